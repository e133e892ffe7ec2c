"""The crop's page in a real browser: no network, a phone and a desk, light and dark, type that can be read."""

from __future__ import annotations

import pytest
from growth_kit import holding, row, tables, weather
from test_browser_report import CONTRAST, OVERLAPS, SMALLEST, browser  # noqa: F401 (a fixture)

from yardland.report.crop import render
from yardland.season.crop_year import tell_crop

pytestmark = pytest.mark.browser
SMALLEST_PX = 9


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    """The page of winter wheat and of its trial."""
    path = tmp_path_factory.mktemp("crop") / "crop.html"
    plan = holding(row("winter_wheat", share=0.5), row("winter_wheat", line=3, share=0.2))
    path.write_text(render(tell_crop(plan, tables(), weather(lanes=12), 3, "winter_wheat")), encoding="utf-8")
    return path


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1200])
def test_the_page_is_readable_and_asks_nothing(browser, file, width, scheme):  # noqa: F811
    """At a phone's and a desk's width text keeps 4.5:1, nothing runs out of a drawing or the page, no request leaves."""
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    told = page.evaluate(CONTRAST)
    assert told["looked"] > 40
    assert told["bad"] == []
    assert page.evaluate(OVERLAPS) == []
    assert page.evaluate(SMALLEST) >= SMALLEST_PX
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert asked == [file.as_uri()]
    page.close()
