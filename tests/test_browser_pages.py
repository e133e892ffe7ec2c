"""The weather page, the crop's and the group's page in a real browser: no network, phone and desk, light and dark, type to be read."""

from __future__ import annotations

import generator_kit
import growth_kit
import pytest
import weather_kit
from conftest import EXAMPLES, demo_year
from test_browser_report import CONTRAST, OVERLAPS, SMALLEST, browser  # noqa: F401 (a fixture)

import yardland
from yardland.larderyear.herd_told import Run, tell_herd
from yardland.reference import load_tables
from yardland.report import crop, herd, weather
from yardland.report.weather_drawn import DrawnTold
from yardland.season.crop_year import tell_crop
from yardland.weather.generator.draw import draw
from yardland.weather.generator.fit import fit
from yardland.weather.generator.judge import judged
from yardland.weather.overview import overview
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years

pytestmark = pytest.mark.browser
SMALLEST_PX = 9
CODES_PX = 8
"""Codes on the layers of stacked bars, which the key repeats larger."""


def weather_page() -> str:
    """The page of five made years."""
    return weather.render(overview(weather_kit.record()), weather_kit.NORTH)


def drawn_page() -> str:
    """The page of ten recorded years with drawn ones."""
    record = generator_kit.fulda()
    model = fit(record)
    told = DrawnTold(draw(model, 1, 100), judged(model, 1, 100, record, None))
    return weather.render(overview(record), weather_kit.NORTH, told)


def crop_page() -> str:
    """The page of winter wheat and of its trial."""
    rows = (growth_kit.row("winter_wheat", share=0.5), growth_kit.row("winter_wheat", line=3, share=0.2))
    told = tell_crop(growth_kit.holding(*rows), growth_kit.tables(), growth_kit.weather(lanes=12), 3, "winter_wheat")
    return crop.render(told)


def herd_page() -> str:
    """The page of a flock with drawn years."""
    plan = yardland.load(EXAMPLES / "tarn-hollow")
    forcing = larder_years(load_weather(plan, 1), plan.place.year_starts.month)
    lane = len(forcing.labels) - 1
    told = tell_herd(demo_year("tarn-hollow"), load_tables(plan.own), forcing, lane, "hens", Run(12, 5, 1))
    return herd.render(told)


@pytest.fixture(scope="module", params=[weather_page, drawn_page, crop_page, herd_page])
def file(request, tmp_path_factory):
    """Each page in turn, as a file."""
    name = "stacked.html" if request.param is herd_page else "page.html"
    path = tmp_path_factory.mktemp("page") / name
    path.write_text(request.param(), encoding="utf-8")
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
    assert page.evaluate(SMALLEST) >= (CODES_PX if "stacked" in file.name else SMALLEST_PX)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert asked == [file.as_uri()]
    page.close()
