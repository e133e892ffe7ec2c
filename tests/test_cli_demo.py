"""The shipped demonstration holdings through the real command, from the weather to the report."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

RUN = [sys.executable, "-c", "from yardland.cli.main import main; main()"]


def run(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """A command in a process of its own."""
    return subprocess.run(
        [*RUN, *map(str, words)], capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL, timeout=300
    )  # fmt: skip


@pytest.fixture(scope="module", params=["tarn-hollow", "casa-vereda"])
def shown(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A demonstration's folder after its year was reckoned, and what was printed."""
    folder = tmp_path_factory.mktemp("demo") / request.param
    done = run("demo", request.param, "--to", folder)

    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    return folder, done.stdout


@pytest.fixture(scope="module")
def as_json(shown: tuple[Path, str]) -> subprocess.CompletedProcess[str]:
    """Its year as JSON, with an exit code that says what was found."""
    return run("year", shown[0], "--json", "--no-report", "--strict")


def test_the_demonstration_prints_an_answer_and_writes_its_report(shown: tuple[Path, str]) -> None:
    """The answer is yes or no in words, the months stand in a row, and the report, under 1 MB, is where it is said to be."""
    folder, out = shown
    report = Path(out.strip().splitlines()[-1].removeprefix("Report: "))

    assert ("feeds its household" in out) != ("does not feed its household" in out)
    assert "\nMonth" in out
    assert report.parent == folder / "out"
    assert report.read_text(encoding="utf-8").rstrip().endswith("</html>")
    assert report.stat().st_size < 1_000_000
    assert max(len(line) for line in out.splitlines() if str(folder) not in line) <= 80


def test_json_tells_the_same_as_the_words(shown: tuple[Path, str], as_json: subprocess.CompletedProcess[str]) -> None:
    """The JSON of the year names the same short months as the summary, and strict says by its exit code what it found."""
    data, out = json.loads(as_json.stdout), shown[1]
    failing = any(finding["grade"] in {"danger", "rule", "short"} for finding in data["findings"])

    assert as_json.returncode == int(failing)
    assert ("does not feed" in out) == bool(data["short_months"])
    assert sum(data["harvest_kg"].values()) > 1000


def test_every_result_of_the_report_can_be_asked_for(
    shown: tuple[Path, str], as_json: subprocess.CompletedProcess[str]
) -> None:
    """`why` answers a harvest of that very year, with the figures that its sentence names."""
    key = next(key for key in json.loads(as_json.stdout)["why"] if key.startswith("harvest."))
    done = run("why", key, "--at", shown[0])

    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(key)
    assert "Standing: " in done.stdout


def test_a_year_that_the_record_lacks_is_a_fault(shown: tuple[Path, str]) -> None:
    """--weather with a year outside the record exits with 2 and names the years there are."""
    done = run("year", shown[0], "--weather", "1815")

    assert done.returncode == 2
    assert "2022" in done.stderr


@pytest.mark.browser
def test_the_report_fits_a_phone_and_asks_nothing_of_the_network(shown: tuple[Path, str]) -> None:
    """In a browser 390 px wide the real report makes no request, does not scroll sideways and complains of nothing."""
    chromium = Path("/usr/bin/chromium")
    if not chromium.exists():
        if os.environ.get("YARDLAND_REQUIRE_BROWSER") == "1":
            pytest.fail(f"{chromium} is absent, and YARDLAND_REQUIRE_BROWSER=1 demands it")
        pytest.skip(f"{chromium} is absent")
    from playwright.sync_api import sync_playwright

    blocked: list[str] = []
    complaints: list[str] = []
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=str(chromium), args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        )
        page = browser.new_context(viewport={"width": 390, "height": 800}).new_page()
        page.route(
            lambda url: not url.startswith("file:"), lambda route: (blocked.append(route.request.url), route.abort())
        )
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(next((shown[0] / "out").glob("*.html")).as_uri())
        width = page.evaluate("document.documentElement.scrollWidth")
        browser.close()

    assert blocked == []
    assert complaints == []
    assert width <= 390
