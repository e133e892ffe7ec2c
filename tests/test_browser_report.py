"""The report in a real browser: it asks nothing of any network, fits a phone and a desk, and reads in light and in dark."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from fixtures_result import year_result

from yardland.report.html import render
from yardland.report.palette import themes

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run",
]  # fmt: skip
READABLE = 4.5
CONTRAST = """
() => {
  const lum = c => { const f = c.map(v => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
                     return 0.2126 * f[0] + 0.7152 * f[1] + 0.0722 * f[2]; };
  const rgb = s => { const n = s.match(/[0-9.]+/g).map(Number); return n.length === 4 && n[3] === 0 ? null : n.slice(0, 3); };
  const bad = [];
  let looked = 0;
  for (const node of document.querySelectorAll("h1,h2,h3,h4,p,li,dt,dd,th,td,a,summary,figcaption,b,span")) {
    if (!node.checkVisibility() || !node.textContent.trim() || node.classList.contains("skip")) continue;
    let back = null;
    for (let up = node; up && !back; up = up.parentElement) back = rgb(getComputedStyle(up).backgroundColor);
    const [one, two] = [lum(rgb(getComputedStyle(node).color)), lum(back || [255, 255, 255])].sort((a, b) => b - a);
    looked += 1;
    if ((one + 0.05) / (two + 0.05) < 4.5) bad.push(node.tagName + ": " + node.textContent.slice(0, 40));
  }
  return { looked, bad };
}
"""
SMALLEST = """
() => Math.min(...[...document.querySelectorAll("svg text")].filter(t => t.checkVisibility())
  .map(t => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a))
"""
OVERLAPS = """
() => {
  const bad = [];
  for (const svg of document.querySelectorAll("svg")) {
    if (!svg.checkVisibility()) continue;
    const box = svg.getBoundingClientRect();
    for (const text of svg.querySelectorAll("text")) {
      const inner = text.getBoundingClientRect();
      if (inner.left < box.left - 3 || inner.right > box.right + 3 || inner.bottom > box.bottom + 3)
        bad.push(text.textContent + " in " + svg.querySelector("title").textContent);
    }
  }
  return bad;
}
"""

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Debian's chromium; without it the tests are skipped, or fail when the run demands a browser."""
    if not CHROMIUM.exists():
        if os.environ.get("YARDLAND_REQUIRE_BROWSER") == "1":
            pytest.fail(f"{CHROMIUM} is absent, and YARDLAND_REQUIRE_BROWSER=1 demands it")
        pytest.skip(f"{CHROMIUM} is absent")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The report of the made-up year as a file."""
    path = tmp_path_factory.mktemp("report") / "year.html"
    path.write_text(render(year_result()), encoding="utf-8")
    return path


def opened(browser: Browser, report: Path, width: int, scheme: str) -> tuple[Page, list[str], list[str]]:
    """The page at that width and scheme, the requests that were blocked, and what it complained of."""
    blocked: list[str] = []
    complaints: list[str] = []
    page = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme).new_page()  # type: ignore[arg-type]
    page.route(
        lambda url: not url.startswith("file:"), lambda route: (blocked.append(route.request.url), route.abort())
    )
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(report.as_uri())
    return page, blocked, complaints


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 390, 820, 1280])
def test_the_page_fits_and_asks_nothing_of_the_network(
    browser: Browser, report: Path, width: int, scheme: str, tmp_path: Path
) -> None:
    """At each width and scheme: no request, no complaint, no sideways scrolling, text in its box and readable."""
    page, blocked, complaints = opened(browser, report, width, scheme)
    colours = page.evaluate(CONTRAST)

    assert blocked == []
    assert complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert colours["looked"] > 100
    assert colours["bad"] == []
    assert page.evaluate(SMALLEST) >= 8
    assert page.evaluate(OVERLAPS) == []
    assert len(page.screenshot(path=tmp_path / "page.png", full_page=True)) > 10_000
    page.context.close()


SHOWN = """
() => [...document.querySelectorAll('figure')].map(f => [...f.querySelectorAll('.v')].filter(v => v.checkVisibility()).map(v => v.className))
"""
INKS = """
(ink) => [...new Set([...document.querySelectorAll('.v text')].filter(t => t.checkVisibility() && t.getAttribute('fill') === ink)
  .map(t => getComputedStyle(t).fill))]
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_each_drawing_is_shown_once_in_the_colours_of_the_scheme(browser: Browser, report: Path, scheme: str) -> None:
    """Of the widths that a drawing is embedded in, just one is visible, and its ink is that of the scheme."""
    for width in (390, 1280):
        page, _, _ = opened(browser, report, width, scheme)
        figures = page.evaluate(SHOWN)

        assert len(figures) > 5
        assert all(len(shown) == 1 for shown in figures)
        assert page.evaluate(INKS, themes()["light"].ink) == [css_rgb(themes()[scheme].ink)]
        page.context.close()


def test_paper_gets_the_colours_of_paper(browser: Browser, report: Path) -> None:
    """In print, even from a dark screen, each drawing is shown once, in the ink of the paper."""
    page, _, _ = opened(browser, report, 1280, "dark")
    page.emulate_media(media="print")
    figures = page.evaluate(SHOWN)

    assert len(figures) > 5
    assert all(len(shown) == 1 for shown in figures)
    assert page.evaluate(INKS, themes()["light"].ink) == [css_rgb(themes()["print"].ink)]
    page.context.close()


def css_rgb(colour: str) -> str:
    """A colour as a browser tells it."""
    return f"rgb({', '.join(str(int(colour[at : at + 2], 16)) for at in (1, 3, 5))})"


def test_the_keyboard_reaches_the_answer_and_an_explanation(browser: Browser, report: Path) -> None:
    """The first tab stop skips to the answer; a result's link opens the fold with its explanation."""
    page, _, _ = opened(browser, report, 1280, "light")
    page.keyboard.press("Tab")

    assert page.evaluate("document.activeElement.getAttribute('href')") == "#answer"
    page.locator("details:has(a[href='#why-harvest.north.potato']) > summary").first.focus()
    page.keyboard.press("Enter")
    page.focus("a[href='#why-harvest.north.potato']")
    page.keyboard.press("Enter")
    page.wait_for_function("document.getElementById('why-harvest.north.potato').checkVisibility()")

    assert page.locator("#why-harvest\\.north\\.potato").is_visible()
    page.context.close()
