"""Hazards: how a strike is told in the year, on the crop's page and among the findings."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest
from fixtures_result import year_result
from growth_kit import holding, tables
from hazard_kit import CROPS, row, years

from yardland.findings.context import Context
from yardland.findings.hazards import strikes as told_strikes
from yardland.growth.hazards.strike import FACTOR
from yardland.growth.hazards.table import Hazard, hazard_of
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.strikes import given_back, strike_words, with_strikes
from yardland.larderyear.why import hazards as hazard_reasons
from yardland.ledger.production import Gathered, Production
from yardland.report.answer import answer
from yardland.report.crop import facts, years_table
from yardland.report.crop_json import crop_json
from yardland.season.crop_year import tell_crop
from yardland.season.season import run_season
from yardland.season.strikes import StrikeYear


def struck_year(**more: object) -> StrikeYear:
    """A strike of late blight on the made year's potatoes."""
    lost = np.zeros(12)
    lost[0] = 80.0
    cells: dict[str, object] = {
        "key": "strike.north.potato.late_blight", "hazard": "late_blight", "name": "Late blight", "kind": "disease",
        "account": "crop:north.potato", "subject": "north.potato", "plant": "potato", "good": "potato", "day": "2023-08-12",
        "chance": 0.7, "loss_share": 0.5, "share_lost": 0.4, "lost_kg": lost, "driver": "a wet July",
        "remedy": "Lift early.", "caution": "Follow the label.", **more,
    }  # fmt: skip
    return StrikeYear(**cells)  # type: ignore[arg-type]


def test_a_season_without_a_seed_has_no_strike() -> None:
    """Without a seed nothing falls; with one, strikes carry dates in the larder year and take from what is gathered."""
    plan = holding(*CROPS)
    calm = run_season(plan, tables(), years(), 7)
    rough = [run_season(plan, tables(), years(), 7, hazard_seed=seed) for seed in range(4)]

    assert calm.strikes == ()
    assert FACTOR not in calm.grown.factors
    assert any(one.strikes for one in rough)
    for season in rough:
        assert FACTOR in season.plantings[0].factors
        lost = sum(one.kg for one in season.strikes)
        before, after = (sum(one.harvest_kg for one in found.plantings) for found in (calm, season))
        assert before - after == pytest.approx(lost, rel=1e-6, abs=1e-6)
        assert all("1986" <= one.day[:4] <= "1988" for one in season.strikes)


def test_the_terms_say_whether_hazards_are_in() -> None:
    """Without a seed the terms say how to have them; with one, how many fell."""
    calm = year_result()
    rough = dataclasses.replace(calm, hazard_seed=6, strikes=(struck_year(),))

    assert answer(calm).terms.endswith("no hail, pest or disease is in this year; --seed N draws them.")
    assert answer(rough).terms.endswith("hail, pests and disease drawn with seed 6: 1 strike.")
    assert "none struck" in answer(dataclasses.replace(calm, hazard_seed=6)).terms


def test_a_strike_is_told_with_loss_remedy_caution_and_why() -> None:
    """The finding, the sentence behind it and the JSON name hazard, loss, chance, figures and remedy."""
    rough = dataclasses.replace(year_result(), hazard_seed=6, strikes=(struck_year(),))
    rough = dataclasses.replace(rough, why=dict(hazard_reasons(rough, tables())))
    (finding,) = told_strikes(Context(rough, tables()))
    told = year_json(rough)["hazards"]

    assert finding.grade == "tight"
    assert finding.title == "Late blight takes potato in north"
    assert finding.number == "80 kg lost"
    assert finding.remedy == "Lift early. Follow the label."
    for words in (
        "hazards.late_blight.chance_per_year",
        "0.70",
        "a wet July makes it likelier",
        "seed 6",
        "2023-08-12",
    ):
        assert words in finding.cause
    assert isinstance(told, dict)
    assert told["drawn"] is True
    assert told["strikes"][0]["lost_kg"] == 80.0
    assert told["strikes"][0]["why"] == rough.why["strike.north.potato.late_blight"]
    assert year_json(year_result())["hazards"] == {"drawn": False, "strikes": []}


@pytest.mark.parametrize(("lost", "grade"), [(0.05, "note"), (0.2, "tight"), (0.85, "short")])
def test_the_grade_follows_the_share_lost(lost: float, grade: str) -> None:
    """A nibble is a note, a fifth is tight, most of it is short."""
    rough = dataclasses.replace(year_result(), hazard_seed=6, strikes=(struck_year(share_lost=lost),))

    assert next(iter(told_strikes(Context(rough, tables())))).grade == grade


def test_a_usual_chance_is_not_put_down_to_the_weather() -> None:
    """The sentence speaks of weather only where it moved the chance."""
    usual = tables().row("hazards", "late_blight").need("chance_per_year")
    words = strike_words(struck_year(chance=usual), year_result(), tables())

    assert "likelier" not in words
    assert "less than its mean" in strike_words(struck_year(chance=0.1), year_result(), tables())


def test_what_a_hazard_took_is_among_the_causes() -> None:
    """Solved again with its loss given back, a hazard's cause is the share of the shortage that goes."""
    production = Production(
        gathered=(Gathered("crop:north.potato", "potato", np.full(12, 10.0)),), grazing=(), herds=(), seed=()
    )

    def solved(given: Production) -> SimpleNamespace:
        kg = np.asarray(given.gathered[0].fresh_kg)
        cover = np.minimum(kg / 50.0, 1.0)
        return SimpleNamespace(
            coverage={"energy_kcal": cover, "protein_g": cover}, larder=SimpleNamespace(production=given)
        )

    plan = solved(production)
    found = with_strikes((), plan, (struck_year(),), solved)  # type: ignore[arg-type]
    restored = given_back(production, (struck_year(),))

    assert float(np.asarray(restored.gathered[0].fresh_kg)[0]) == 90.0
    assert [cause.link for cause in found] == ["hazard.late_blight"]
    assert found[0].mended_share == pytest.approx(0.8 / (12 * 0.8))
    assert with_strikes((), solved(restored), (), solved) == ()  # type: ignore[arg-type]


def test_the_crops_page_tells_the_average_year_and_what_was_drawn() -> None:
    """Expected losses always; strikes and their factor with a seed; the JSON holds both."""
    calm = tell_crop(holding(row("potato")), tables(), years(), 5, "potato")
    rough = tell_crop(holding(row("potato")), tables(), years(), 5, "potato", 3)
    planting = rough.plantings[0]
    words, drawn = (dict(facts(one.plantings[0], one)) for one in (calm, rough))
    told = crop_json(rough)["plantings"]

    assert "late blight" in words["Hazards"]
    assert words["Hazards"] == drawn["Hazards"]
    assert "--seed N draws them" in words["Drawn hazards"]
    assert "with seed 3 it is struck in" in drawn["Drawn hazards"]
    assert "Against late blight" in words
    assert "label" in words["Against late blight"]
    assert "Hazards" in years_table(planting).header
    assert "Hazards" not in years_table(calm.plantings[0]).header
    assert planting.yields_t_ha.sum() < calm.plantings[0].yields_t_ha.sum()
    assert isinstance(told, list)
    assert told[0]["hazards"]["expected_loss_share"]["late_blight"] == pytest.approx(
        next(one.share for one in planting.expected if one.key == "late_blight"), abs=1e-4
    )
    assert len(told[0]["hazards"]["strikes"]) == len(planting.strikes) > 0


def test_the_shown_yields_are_the_unstruck_ones_times_the_factor() -> None:
    """The page's yields with a seed are those without it, times the hazards' factor of each year."""
    calm = tell_crop(holding(row("potato")), tables(), years(), 5, "potato").plantings[0]
    rough = tell_crop(holding(row("potato")), tables(), years(), 5, "potato", 3).plantings[0]
    factor = np.array([year.factors[FACTOR] for year in rough.years])

    np.testing.assert_allclose(rough.yields_t_ha, calm.yields_t_ha * factor, rtol=1e-9)


def test_hazards_are_plain_figures_of_the_tables() -> None:
    """`why` finds a hazard's chance with its range, source and standing."""
    figure = tables().figure("hazards.late_blight.chance_per_year")

    assert figure.low is not None
    assert figure.high is not None
    assert figure.low < figure.value < figure.high
    assert figure.source
    assert isinstance(hazard_of(tables(), "late_blight"), Hazard)
