"""One crop told alone: the same harvests as the year's, a trial where the plan has none, limits that add up."""

from __future__ import annotations

import dataclasses
import json
import re
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from conftest import EXAMPLES, demo_year
from growth_kit import holding, row, tables, weather
from hypothesis import given
from hypothesis import strategies as st

import yardland
from yardland.cli.crop import known_crop, sheet, summary
from yardland.errors import InputFaults, YardlandError
from yardland.findings.ground import LIMITS as FINDING_WORDS
from yardland.findings.ground import REMEDIES
from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE
from yardland.growth.outcome import FACTORS
from yardland.larderyear.why import planting_words, want_words
from yardland.reference import load_tables
from yardland.report import crop as page
from yardland.report.crop_json import crop_json
from yardland.report.crop_tables import SHORT_FACTORS
from yardland.report.drawing import Table
from yardland.report.figures import crop_days
from yardland.report.words import FACTOR_WORDS
from yardland.season.crop_limits import LIMITS, DayByDay, common_days, month_words, ten_key
from yardland.season.crop_year import CropPlanting, CropTold, rotation, tell_crop, usual_dressing, with_trial
from yardland.season.plantings import day_on_axis
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years


def days_of(planting: CropPlanting) -> DayByDay:
    """The days of a planting that was sown."""
    assert planting.day_by_day is not None
    return planting.day_by_day


def told(*rows, crop: str = "potato", lanes: int = 2, lane: int = 0, rain_mm: float = 3.0, **plot) -> CropTold:
    """A crop of a made holding in made weather."""
    return tell_crop(holding(*rows, **plot), tables(), weather(rain_mm=rain_mm, lanes=lanes), lane, crop)


@pytest.mark.parametrize(("name", "crop"), [("tarn-hollow", "kale"), ("casa-vereda", "tomato")])
def test_a_crop_told_alone_is_the_crop_of_the_year(name: str, crop: str) -> None:
    """Dates, yields and factors of each planting are those of the whole year, in its lane of the record."""
    plan = yardland.load(EXAMPLES / name)
    own = load_tables(own=plan.own)
    forcing = larder_years(load_weather(plan, 1), plan.place.year_starts.month)
    whole = demo_year(name)
    season = {one.planting: one for one in whole.plantings if one.crop == crop}
    alone = tell_crop(plan, own, forcing, forcing.labels.index(whole.label), crop)

    assert season
    assert not alone.trial
    assert {planting.id for planting in alone.plantings} == set(season)
    for planting in alone.plantings:
        assert planting.shown == season[planting.id]
        assert [year.yield_t_ha for year in planting.years] == pytest.approx(
            list(season[planting.id].yield_t_ha_by_year.values())
        )


def test_the_days_are_those_of_the_harvest() -> None:
    """The shown days begin with the sowing, and their stages end with the last gathering."""
    (planting,) = told(row("potato")).plantings
    days = days_of(planting)

    assert days.dates[0].isoformat() == planting.shown.sown
    assert days.stages[0] == ("sown", planting.shown.sown)
    assert days.stages[-1] == ("gathered", planting.shown.last_gathered)
    assert len(days.dates) == len(days.trace.days["ks"])
    assert (
        planting.days_to_gather[0]
        == (date.fromisoformat(str(planting.shown.first_gathered)) - date.fromisoformat(str(planting.shown.sown))).days
    )


@pytest.mark.parametrize("rain_mm", [0.5, 3.0])
def test_what_was_made_and_what_was_lost_are_the_whole(rain_mm: float) -> None:
    """By month, ten days and over all: made / (efficiency x light) + lost to each limit = 1; a dry summer loses more to drought."""
    planting = told(row("potato"), rain_mm=rain_mm).plantings[0]
    months, tens = days_of(planting).months, days_of(planting).tens
    rue = tables().row("crops", "potato").need("rue_g_per_mj_par")

    for spell in (*months, *tens):
        if spell.light_mj > 0:
            assert spell.made_g_m2 / (rue * spell.light_mj) + sum(spell.lost.values()) == pytest.approx(1.0)
    made, light = (sum(getattr(month, name) for month in months) for name in ("made_g_m2", "light_mj"))
    assert (made, light) == pytest.approx(
        tuple(sum(getattr(ten, name) for ten in tens) for name in ("made_g_m2", "light_mj"))
    )
    assert made / (rue * light) + sum(days_of(planting).lost.values()) == pytest.approx(1.0)
    assert (days_of(planting).lost["water"] > 0.2) == (rain_mm < 1)


def test_ten_days_have_eight_to_eleven_and_runs_cover_what_grew() -> None:
    """Ten-day spells begin on the 1st, 11th and 21st; runs of limits follow one another and hold every spell with light."""
    days = days_of(told(row("winter_wheat"), crop="winter_wheat").plantings[0])
    runs = list(days.runs())
    held = [index for _, first, last in runs for index in range(first, last + 1)]

    assert {ten.key[-2:] for ten in days.tens} == {"01", "11", "21"}
    assert all(8 <= ten.days <= 11 for ten in days.tens[1:-1])
    assert held == [index for index, ten in enumerate(days.tens) if ten.light_mj > 0]
    assert all(days.tens[index].limit == limit for limit, first, last in runs for index in range(first, last + 1))
    assert ten_key(date(2023, 3, 31)) == "2023-03-21"


def test_a_dressed_crop_hungers_less_and_its_nitrogen_is_told() -> None:
    """Fertiliser on poor ground: more taken, a better nitrogen factor, a smaller loss to want of nitrogen; removed <= taken + fixed."""
    bare, fed = (
        told(row("cabbage", dressing=dressing), crop="cabbage").plantings[0]
        for dressing in ("", "fertiliser 150 kg N/ha")
    )

    assert bare.dressing is None
    assert fed.dressing is not None
    assert fed.dressing.n_total_kg_ha == pytest.approx(150.0)
    assert fed.nitrogen.taken[0] > bare.nitrogen.taken[0] + 20.0
    assert fed.shown.factors["nitrogen"] > bare.shown.factors["nitrogen"]
    assert days_of(fed).lost["nitrogen"] < days_of(bare).lost["nitrogen"]
    for planting in (bare, fed):
        n = planting.nitrogen
        assert np.all(n.removed <= n.taken + n.fixed)
        assert n.taken[0] == pytest.approx(days_of(planting).trace.days["taken_n_kg_ha"].sum())
        assert (
            f"{n.taken[0]:.0f} kg/ha from the soil"
            in dict(page.facts(planting, told(row("cabbage"), crop="cabbage")))["Nitrogen"]
        )


def test_beans_are_told_with_what_they_fix() -> None:
    """A legume's nitrogen from the air stands in its words, its table and its JSON; a potato's is nothing."""
    bean, potato = (told(row(crop), crop=crop) for crop in ("broad_bean", "potato"))
    words = dict(page.facts(bean.plantings[0], bean))["Nitrogen"]

    assert bean.plantings[0].nitrogen.fixed[0] > 20.0
    assert potato.plantings[0].nitrogen.fixed[0] == 0.0
    assert "from the air" in words
    data: Any = crop_json(bean)
    year = data["plantings"][0]["years"]["cool 0"]["nitrogen_kg_ha"]
    assert year["from_air"] == pytest.approx(bean.plantings[0].nitrogen.fixed[0], abs=0.01)


def test_heat_at_flowering_and_standing_loss_are_told() -> None:
    """A hot spell while beans flower, and rain on ripe wheat, stand in the words with their shares."""
    sky = weather(rain_mm=3.0)
    tmax = sky.tmax_c.copy()
    plan = holding(row("dry_bean"))
    unhurt = days_of(tell_crop(plan, tables(), sky, 0, "dry_bean").plantings[0]).trace
    open_days, sow = np.flatnonzero(unhurt.days["flowering"]), unhurt.sow_day
    tmax[sow + open_days] = 40.0
    hot = tell_crop(plan, tables(), dataclasses.replace(sky, tmax_c=tmax), 0, "dry_bean")
    planting = hot.plantings[0]
    share = planting.shown.factors["heat"]

    assert len(open_days) > 3
    assert share < 0.9
    assert f"Heat left {100 * share:.0f} %" in dict(page.facts(planting, hot))["Flowering"]
    wet = told(row("winter_wheat"), crop="winter_wheat", rain_mm=3.0)
    stood = dataclasses.replace(
        wet.plantings[0],
        years=tuple(
            dataclasses.replace(year, factors={**year.factors, "standing": 0.8}) for year in wet.plantings[0].years
        ),
    )
    assert "lost 20 % of its crop" in dict(page.facts(stood, wet))["Standing ripe"]


def test_why_names_the_figures_of_hunger_heat_and_standing() -> None:
    """A harvest's sentence names every factor, and the figures of nitrogen, heat in flower and standing that the tables know."""
    planting = told(row("dry_bean", dressing="compost 10 t/ha"), crop="dry_bean").plantings[0].shown
    wants = want_words(tables(), planting)
    words = planting_words(planting, "frost", wants)
    keys = re.findall(r"crops\.dry_bean\.\w+", wants)

    assert all(f"{name} {planting.factors[name]:.2f}" in words for name in FACTORS)
    assert "dressed with compost" in words
    assert {key.rpartition(".")[2] for key in keys} == {
        "n_critical_a_pct", "n_critical_b", "n_fixed_share", "flower_heat10_c", "flower_heat90_c", "standing_loss_pct_day",
    }  # fmt: skip
    assert all(tables().figure(key).value is not None for key in keys)
    assert "not dressed" in want_words(tables(), told(row("carrot"), crop="carrot").plantings[0].shown)


def test_every_factor_has_its_words_its_remedy_and_its_column() -> None:
    """Nothing that can hold a yield down is told by a bare key, in findings or in tables."""
    names = {*FACTORS, "hazards"}

    assert names == set(FINDING_WORDS) == set(REMEDIES) == set(SHORT_FACTORS)
    assert set(FACTOR_WORDS) == set(FACTORS)


def test_a_trial_is_dressed_like_the_plans_crops_of_its_kind() -> None:
    """Most of the plan's roots get raw manure, so a trial of carrots does, and the page says so; a kind that is absent gets none."""
    rows = (
        row("potato", share=0.2, dressing="raw manure 20 t/ha"),
        row("swede", line=3, share=0.2, dressing="raw manure 20 t/ha"),
        row("beetroot", line=4, share=0.2),
        row("oats", line=5, share=0.2),
    )
    dress, words = usual_dressing(holding(*rows), tables(), "carrot")

    assert (dress.kind, dress.kg_ha) == ("raw manure", 20_000.0)
    assert words == "it is given raw manure 20 t/ha, as most roots of the plan (potato, swede)"
    assert usual_dressing(holding(*rows), tables(), "rye") == (
        type(dress)(),
        "it is given no dressing, as most cereals of the plan",
    )
    assert (
        usual_dressing(holding(*rows), tables(), "kale")[1]
        == "it is given no dressing: the plan has no other leaf crops"
    )
    tried = told(row("potato", dressing="fertiliser 60 kg N/ha"), crop="carrot")
    assert tried.plantings[0].dressing is not None
    assert tried.plantings[0].dressing.n_total_kg_ha == pytest.approx(60.0)
    assert "it is given fertiliser 60 kg N/ha, as most roots of the plan (potato)" in page.lead(tried)


def test_a_crop_that_the_plan_lacks_is_tried() -> None:
    """A trial of 100 m2 stands on the first plot of crops beside the plan's own plantings, and the page says so."""
    tried = told(row("potato"), crop="carrot")

    assert tried.trial
    assert tried.plantings[0].plot == "field"
    assert tried.plantings[0].shown.area_m2 == pytest.approx(100.0)
    assert page.lead(tried).startswith("The plan has no carrot. A trial of 100 m2 on field")


def test_a_trial_fits_a_small_plot_and_needs_one() -> None:
    """A trial takes a whole plot of under 100 m2; without ground it is a fault with a remedy."""
    small, _ = with_trial(holding(area_m2=40.0), tables(), "carrot")
    nowhere = holding(use="house")

    assert small.plantings[-1].share == 1.0
    with pytest.raises(InputFaults, match="ground for a trial"):
        with_trial(nowhere, tables(), "carrot")


def test_forage_crops_are_told_as_swards() -> None:
    """A crop that is grown as a sward is never told as one that is sown and gathered."""
    with pytest.raises(YardlandError, match="tell_sward"):
        told(row("alfalfa"), crop="alfalfa")


def test_each_year_of_the_rotation_is_told_once() -> None:
    """Lines of year 2 and 3 are told with their year, lines of every year once, with the first."""
    plan = holding(row("potato", year=2), row("potato", year=3, line=3), row("potato", line=4, year="every", share=0.1))

    assert list(rotation(plan, "potato")) == [(2, frozenset({2, 4})), (3, frozenset({3}))]
    assert list(rotation(plan, "carrot")) == [(1, frozenset())]


def test_a_sowing_that_never_was_has_no_days() -> None:
    """A planting whose window is always too cold is told as not sown, without drawings of days, on page, terminal and JSON."""
    cold = told(row("maize_grain", "01-05/01-10"), crop="maize_grain")
    (planting,) = cold.plantings
    data: Any = crop_json(cold)
    out = data["plantings"][0]

    assert planting.fates[0] == "not sown"
    assert planting.day_by_day is None
    assert crop_days.drawings(planting) == []
    assert (out["sow"], out["limits"], out["days"]) == (None, {}, {})
    assert "not sown" in " ".join(line.words for line in summary(cold)).lower()
    assert "Not sown." in page.render(cold)


def test_a_frozen_crop_is_told_with_the_night() -> None:
    """Beans that frost kills have a last day under what they live through, and the words say by how much."""
    sky = weather(rain_mm=3.0)
    tmin = sky.tmin_c.copy()
    tmin[tr.YEAR + 190 :] = -6.0
    tmin[190 : tr.YEAR] = -6.0
    cold = tell_crop(holding(row("dry_bean")), tables(), dataclasses.replace(sky, tmin_c=tmin), 0, "dry_bean")
    (planting,) = cold.plantings
    nearest = days_of(planting).nearest_frost
    assert nearest is not None
    margin, day = nearest

    assert planting.shown.yield_t_ha == 0.0
    assert margin < 0
    assert day == days_of(planting).dates[-1]
    assert f"It froze on {day.day} " in dict(page.facts(planting, cold))["Frost"]


def test_json_has_what_other_programs_rely_on() -> None:
    """The object has schema, version and plantings with plot, sow, harvest, yield by year and limits, and only finite numbers."""
    data = json.loads(json.dumps(crop_json(told(row("potato"))), allow_nan=False))
    (planting,) = data["plantings"]

    assert data["schema"] == "yardland.crop/1"
    assert {"version", "crop", "label", "trial", "notes"} <= set(data)
    assert {"plot", "sow", "harvest", "yield_t_ha", "limits"} <= set(planting)
    assert set(planting["yield_t_ha"]) == set(planting["years"]) == {"cool 0", "cool 1"}
    assert len({len(values) for values in planting["days"].values()}) == 1
    assert set(planting["limits"]["lost_share"]) == set(LIMITS)
    assert set(planting["years"]["cool 0"]["factors"]) == set(FACTORS)
    assert {spell["limit"] for spell in planting["limits"]["ten_days"].values()} <= {None, *LIMITS}


def test_the_page_has_each_drawing_with_its_table() -> None:
    """Yield by year, leaves, limits, water, nitrogen, cold and warmth are drawn, each with its numbers as a table; ids are unique."""
    text = page.render(told(row("potato"), row("potato", line=3, share=0.3)))
    ids = [part.split('"')[0] for part in text.split(' id="')[1:]]

    assert text.count("<figure") == 14
    assert text.count("The same as a table") == 14
    assert len(ids) == len(set(ids))
    assert "nan" not in text.lower().replace("nanc", "")


def test_the_terminal_keeps_its_width() -> None:
    """No line passes 80 columns; a table drops the columns that do not fit instead of cutting one."""
    lines = [line.words for line in summary(told(row("potato"), row("potato", line=3, share=0.3)))]
    wide = Table(("Name", *("column" * 2,) * 8), (("first", *("1",) * 8),))

    assert max(map(len, lines)) <= 80
    assert all(len(line.words) <= 80 and line.words.endswith(("columncolumn", "1")) for line in sheet(wide))


@pytest.mark.parametrize("typed", ["winter wheat", "Winter-Wheat", " winter_wheat "])
def test_a_crop_is_known_however_it_is_typed(typed: str) -> None:
    """Capitals, spaces and hyphens do not matter."""
    assert known_crop(typed, tables()) == "winter_wheat"


@pytest.mark.parametrize("typed", ["apple", "Hazel", "apple_semidwarf"])
def test_a_tree_is_no_crop_and_is_sent_to_the_year(typed: str) -> None:
    """Whoever asks for a tree is told where trees are told, not the crop whose name looks like it."""
    with pytest.raises(InputFaults, match="a tree, bush or vine") as told:
        known_crop(typed, tables())
    assert "yardland year" in told.value.faults[0].remedy


def test_an_unknown_crop_is_a_fault_with_the_nearest_name() -> None:
    """A misspelt crop is refused with the name that was meant."""
    with pytest.raises(InputFaults, match="potato"):
        known_crop("potatos", tables())


def test_days_skip_the_leap_day() -> None:
    """Days run on without 29 February; months read as words."""
    days = common_days(date(2024, 2, 27), 4)

    assert [day.isoformat() for day in days] == ["2024-02-27", "2024-02-28", "2024-03-01", "2024-03-02"]
    assert month_words("2024-03") == "Mar 2024"


def check_told(crop: str) -> bool:
    """Whether a crop has its object and its yields, without a number that is none."""
    alone = told(row(crop), crop=crop, lanes=1)
    whole = bool(json.dumps(crop_json(alone), allow_nan=False))
    return whole and all(bool(np.isfinite(planting.yields_t_ha).all()) for planting in alone.plantings)


def sown_crops() -> dict[str, list[str]]:
    """Crops that are sown and gathered, by canopy group."""
    found: dict[str, list[str]] = {}
    for crop in tables().keys("crops"):
        if crop not in FORAGE:
            found.setdefault(tables().row("crops", crop).text("canopy_group"), []).append(crop)
    return found


@pytest.mark.parametrize("group", sown_crops())
def test_a_crop_of_each_group_can_be_told(group: str) -> None:
    """The first crop of each canopy group has its page."""
    assert check_told(sown_crops()[group][0])


@given(st.integers(1901, 2110), st.integers(1, 12), st.integers(0, 729))
def test_days_of_the_axis_are_dates_that_leave_leap_days_out(year: int, month: int, day: int) -> None:
    """Counting on from the first day of the year before, day by day and never on 29 February, gives the date."""
    forcing = dataclasses.replace(weather(start_month=month), start_years=(year,))
    days = (date(year - 1, month, 1) + timedelta(days=count) for count in range(800))
    counted = [when for when in days if (when.month, when.day) != (2, 29)]

    assert day_on_axis(forcing, 0, day) == counted[day].isoformat()
    assert day_on_axis(forcing, 0, -1) is None


@pytest.mark.slow
def test_every_crop_can_be_told() -> None:
    """Each crop that is sown and gathered has its page."""
    crops = [crop for group in sown_crops().values() for crop in group]
    assert len(crops) > 45
    assert all(check_told(crop) for crop in crops)
