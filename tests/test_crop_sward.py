"""Grass and forage told alone: months that add up, the same as the year's, trials, limits, page and JSON."""

from __future__ import annotations

import json

import numpy as np
import pytest
from conftest import EXAMPLES
from growth_kit import holding, row, tables, weather
from test_browser_report import CONTRAST, OVERLAPS, SMALLEST, browser  # noqa: F401 (a fixture)

import yardland
from yardland.cli.crop import sward_summary
from yardland.errors import InputFaults
from yardland.reference import load_tables
from yardland.report import sward as page
from yardland.season.season import run_season
from yardland.season.sward_told import SwardTold, sward_kind, tell_sward
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years


def told(*rows, kind: str = "permanent pasture", rain_mm: float = 3.0, lanes: int = 2, **plot) -> SwardTold:
    """The grass of a made holding in made weather."""
    plot = plot or {"use": "grass"}
    return tell_sward(holding(*rows, **plot), tables(), weather(rain_mm=rain_mm, lanes=lanes), 0, kind)


def test_grass_told_alone_is_the_grass_of_the_year() -> None:
    """Growth, grazing and hay of each sward are those of the whole year, for a lane in the middle of the record."""
    plan = yardland.load(EXAMPLES / "tarn-hollow")
    own = load_tables(own=plan.own)
    forcing = larder_years(load_weather(plan, 1), plan.place.year_starts.month)
    season = {one.id: one for one in run_season(plan, own, forcing, 4).swards if one.crop == "grass_clover"}
    alone = {one.id: one for one in tell_sward(plan, own, forcing, 4, "grass_clover").swards}

    assert set(alone) == set(season)
    for name, sward in alone.items():
        ha = sward.year.area_m2 / 1e4
        np.testing.assert_array_equal(sward.year.hay_kg, season[name].hay_kg)
        np.testing.assert_allclose(1000.0 * ha * sward.stand_t_ha["grew"], season[name].grown_kg_dm, rtol=1e-9)
        np.testing.assert_allclose(1000.0 * ha * sward.stand_t_ha["grazed"], season[name].grazing_kg_dm, rtol=1e-9)


def test_months_of_grass_add_up() -> None:
    """Start + grew = grazed + mown + trodden + withered + end in each month; the next month starts there."""
    (sward,) = told().swards
    stand = sward.stand_t_ha
    gone = stand["grazed"] + sward.cut_t_ha + stand["trampled"] + stand["withered"]

    np.testing.assert_allclose(stand["start"] + stand["grew"], gone + stand["end"], atol=1e-9)
    np.testing.assert_allclose(stand["start"][1:], stand["end"][:-1], atol=1e-9)
    assert stand["grazed"].sum() > 2.0


@pytest.mark.parametrize("rain_mm", [0.3, 3.0])
def test_what_grass_made_and_lost_are_the_whole(rain_mm: float) -> None:
    """By ten days made / (efficiency x light) + lost = 1; a dry year loses more to want of water and yields less."""
    (sward,) = told(rain_mm=rain_mm).swards
    rue = tables().row("swards", "permanent pasture").need("rue_g_per_mj_par")

    for ten in sward.day_by_day.tens:
        if ten.light_mj > 0:
            assert ten.made_g_m2 / (rue * ten.light_mj) + sum(ten.lost.values()) == pytest.approx(1.0)
    assert len(sward.day_by_day.dates) == 365
    assert (sward.day_by_day.lost["water"] > 0.2) == (rain_mm < 1)
    assert (sward.yields_t_ha[0] < 4.0) == (rain_mm < 1)


def test_lucerne_that_the_plan_lacks_is_tried_and_mown() -> None:
    """A trial of 100 m2 is mown, never grazed, fixes nitrogen, and the page says what it is."""
    tried = told(row("potato", share=0.5), kind="alfalfa", use="crops")
    (sward,) = tried.swards

    assert tried.trial
    assert sward.use == "mown"
    assert sward.year.area_m2 == pytest.approx(100.0)
    assert sward.stand_t_ha["grazed"].sum() == 0.0
    assert sward.year.fixed_n_kg_ha[0] > 20.0
    assert "A trial of 100 m2 on field stands" in page.lead(tried)


def test_pasture_that_the_plan_lacks_is_a_fault_with_a_remedy() -> None:
    """Permanent pasture cannot be tried on a plot of crops."""
    with pytest.raises(InputFaults, match="grass that the plan has"):
        told(row("potato"), use="crops")


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("Grass-Clover", "grass_clover"),
        ("lucerne", "lucerne"),
        ("alfalfa", "alfalfa"),
        ("permanent pasture", "permanent pasture"),
        ("red clover", "red_clover"),
        ("potato", None),
    ],
)
def test_grass_is_known_however_it_is_typed(typed: str, kind: str | None) -> None:
    """Capitals, spaces and hyphens do not matter; other crops are no swards."""
    assert sward_kind(typed, tables()) == kind


def test_page_terminal_and_json_tell_the_months() -> None:
    """The page has its five drawings with tables and unique ids; the terminal keeps 80 columns; JSON holds finite numbers by month."""
    grass = told(use="grass", shut_up_for_hay="04-25/07-05")
    text, lines = page.render(grass), [line.words for line in sward_summary(grass)]
    data = json.loads(json.dumps(page.sward_json(grass), allow_nan=False))
    (planting,) = data["plantings"]
    ids = [part.split('"')[0] for part in text.split(' id="')[1:]]

    assert text.count("<figure") == text.count("The same as a table") == 5
    assert len(ids) == len(set(ids))
    assert max(map(len, lines)) <= 80
    assert {"plot", "sow", "harvest", "yield_t_ha", "limits", "months", "days"} <= set(planting)
    assert (planting["sow"], planting["use"]) == (None, "grazed and shut up for hay")
    assert len(planting["months"]["grew_t_ha"]) == len(planting["months"]["n_uptake_kg_ha"]) == 12
    assert planting["years"]["cool 0"]["hay_kg"] > 0


@pytest.mark.browser
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_of_grass_fits_and_can_be_read(browser, tmp_path, width, scheme):  # noqa: F811
    """At a phone's and a desk's width text keeps 4.5:1, nothing runs out of a drawing or the page, no request leaves."""
    file = tmp_path / "page.html"
    file.write_text(page.render(told(use="grass", shut_up_for_hay="04-25/07-05")), encoding="utf-8")
    opened = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    asked = []
    opened.on("request", lambda request: asked.append(request.url))
    opened.goto(file.as_uri())
    seen = opened.evaluate(CONTRAST)

    assert seen["looked"] > 40
    assert seen["bad"] == []
    assert opened.evaluate(OVERLAPS) == []
    assert opened.evaluate(SMALLEST) >= 9
    assert opened.evaluate("document.documentElement.scrollWidth") <= width
    assert asked == [file.as_uri()]
    opened.close()
