"""Findings: each rule speaks when its case is there and is silent when it is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from conftest import EXAMPLES, demo_year

import yardland
from yardland.findings import (
    animals,
    bees,
    cautions,
    cleared,
    feeds,
    ground,
    hazards,
    herds,
    housing,
    husbandry,
    plate,
    rests,
    sales,
    soil,
    stores,
    trees,
    upkeep,
)
from yardland.findings.collect import RULES, with_findings
from yardland.findings.context import GRADES, Context
from yardland.larderyear.result import YearResult
from yardland.reference import load_tables


def context(result: YearResult) -> Context:
    """The rules' context of a result."""
    return Context(result, load_tables(own=result.holding.own))


def titles(found: object) -> list[str]:
    """Titles of findings."""
    return [finding.title for finding in found]  # type: ignore[attr-defined]


def test_every_finding_says_what_where_from_and_what_to_do(year_result: YearResult) -> None:
    """Each finding has a known grade, a cause, a remedy and a source; the gravest come first."""
    order = [GRADES.index(finding.grade) for finding in year_result.findings]

    assert order == sorted(order)
    for finding in year_result.findings:
        assert finding.title
        assert finding.cause
        assert finding.remedy
        assert finding.source


def test_every_rule_of_every_module_is_walked() -> None:
    """No rule can be written and not run: the list is the sum of the modules' own."""
    modules = (
        plate,
        ground,
        soil,
        trees,
        hazards,
        animals,
        herds,
        feeds,
        rests,
        cleared,
        housing,
        husbandry,
        bees,
        sales,
        stores,
        upkeep,
        cautions,
    )

    assert len(RULES) == sum(len(module.RULES) for module in modules)


def test_a_year_cut_short_says_so_loudly() -> None:
    """With a tenth of the energy on the plate in March the year is short there, with megajoules and a lever."""
    result = demo_year("tarn-hollow")
    cover = dict(result.coverage)
    cover["energy_kcal"] = np.array(cover["energy_kcal"])
    cover["energy_kcal"][5] = 0.1
    found = list(plate.short_months(context(replace(result, coverage=cover))))

    assert [finding.grade for finding in found] == ["short"]
    assert "Mar" in found[0].title
    assert "MJ missing" in found[0].number


def test_a_met_year_has_no_short_month() -> None:
    """Months at or over the threshold bring no finding of shortage."""
    result = demo_year("tarn-hollow")
    cover = {name: np.ones(12) for name in result.coverage}

    assert not list(plate.short_months(context(replace(result, coverage=cover))))
    assert not list(plate.thin_nutrients(context(replace(result, coverage=cover))))
    assert not list(plate.unmakeable(context(replace(result, coverage=cover))))


@pytest.mark.parametrize(
    ("days", "touches", "found"), [(119, True, 1), (120, True, 0), (119, False, 0), (89, False, 1)]
)
def test_raw_manure_waits_as_the_published_rule_asks(days: int, touches: bool, found: int) -> None:
    """120 days to food that touches soil, 90 to other food (7 CFR 205.203(c)(1), published); a day less is a danger."""
    result = demo_year("casa-vereda")
    planting = next(item for item in result.plantings if item.dressing == "raw manure" and item.status == "gathered")
    changed = replace(planting, days=(10, 10 + days + 20), gather_day=10 + days, touches_soil=touches)
    told = list(ground.raw_manure(context(replace(result, plantings=(changed,)))))

    assert len(told) == found
    assert all(finding.grade == "danger" for finding in told)


def test_manure_counts_for_the_crop_behind_the_one_it_was_spread_for() -> None:
    """Food of the next crop on the same strip is too early as well."""
    result = demo_year("casa-vereda")
    planting = next(item for item in result.plantings if item.dressing == "raw manure" and item.status == "gathered")
    first = replace(planting, days=(0, 40), gather_day=40, touches_soil=False, status="lost")
    second = replace(planting, planting="next", days=(50, 100), gather_day=95, dressing="", touches_soil=True)
    told = list(ground.raw_manure(context(replace(result, plantings=(first, second)))))

    assert len(told) == 1
    assert told[0].subject == "next"


def test_a_plot_asked_for_twice_is_told_and_a_full_one_is_not() -> None:
    """Shares that pass the whole on some day are a finding; shares that follow one another are not."""
    result = demo_year("casa-vereda")
    planting = replace(result.plantings[0], plot="p", share=0.6, days=(100, 200))
    together = (planting, replace(planting, planting="other", days=(150, 250)))
    apart = (planting, replace(planting, planting="other", days=(201, 300)))

    assert len(list(ground.two_at_once(context(replace(result, plantings=together))))) == 1
    assert not list(ground.two_at_once(context(replace(result, plantings=apart))))


def test_a_low_yield_names_the_factor_that_held_it_down() -> None:
    """A yield under the table's low figure names every factor that left less than four fifths."""
    result = demo_year("tarn-hollow")
    planting = replace(
        next(item for item in result.plantings if item.status == "gathered"),
        yield_t_ha=0.1,
        factors={"water": 0.4, "light": 0.9, "season": 1.0},
    )
    told = list(ground.thin_yields(context(replace(result, plantings=(planting,)))))

    assert "water ran short in its root zone (40 % left)" in told[0].cause.lower()
    assert "light" not in told[0].cause


def test_unfed_animals_are_a_danger() -> None:
    """More than a fifth of a month's energy missing is a danger, less is short, none is silent."""
    result = demo_year("tarn-hollow")
    shares = {"ewes": np.full(12, 0.3), "hens": np.full(12, 0.1), "cow": np.zeros(12)}
    told = {finding.subject: finding.grade for finding in animals.unfed(context(replace(result, feed_short=shares)))}

    assert told == {"ewes": "danger", "hens": "short"}


def test_cautions_follow_the_plan() -> None:
    """A holding without animals, jars or electric fence brings no caution for them."""
    holding = yardland.load(EXAMPLES / "tarn-hollow")
    bare = holding.model_copy(update={"group": {}, "round": {}, "fence": {}})
    found = yardland.year(bare).findings
    told = {finding.subject for finding in found if finding.subject.startswith("caution.")}

    assert not any("slaughter" in subject or "electric" in subject or "milk" in subject for subject in told)


def test_vitamin_b12_is_named_where_no_animal_is_kept() -> None:
    """Without animals and without bought animal food the year says that B12 comes from animals only."""
    holding = yardland.load(EXAMPLES / "tarn-hollow")
    bare = holding.model_copy(update={"group": {}, "round": {}})

    assert "Vitamin B12 comes from animals only" in titles(yardland.year(bare).findings)


def test_findings_add_the_figures_they_read() -> None:
    """Keys of rules that findings quote are among the result's figure keys."""
    result = demo_year("tarn-hollow")

    assert "rules.low_acid_ph.number" in result.figure_keys or "rules.raw_milk_heat.number" in result.figure_keys
    assert with_findings(result, load_tables()).figure_keys


@pytest.mark.parametrize(
    ("plots", "groups", "asked", "told"), [(13, 1, 36, 0), (12, 1, 36, 1), (3, 3, 28, 1), (3, 1, 0, 0)]
)
def test_a_round_with_too_few_plots_says_how_many_it_needs(plots: int, groups: int, asked: int, told: int) -> None:
    """Rest is stay x free plots; under the plan's own rest the finding names the plots that would give it."""
    result = demo_year("tarn-hollow")
    names = tuple(f"p{number}" for number in range(plots))
    order = tuple(f"g{number}" for number in range(groups))
    plan = result.holding.round["green"].model_copy(
        update={"order": order, "plots": names, "stay_days": (3, 3), "rest_days": asked}
    )
    holding = result.holding.model_copy(update={"round": {"green": plan}})
    found = list(animals.short_rests(context(replace(result, holding=holding))))

    assert len(found) == told
    if told:
        assert str(-(-asked // 3) + groups) in found[0].remedy


def test_a_yield_held_at_the_high_figure_is_told() -> None:
    """The cap on a yield is never silent: a note names the crop; yields that are not held bring none."""
    result = demo_year("tarn-hollow")
    planting = next(item for item in result.plantings if item.status == "gathered")
    held = replace(planting, held=True, reason="sown; held at the table's high figure: 60.0 t/ha")

    assert not list(ground.held_yields(context(result)))
    assert [item.grade for item in ground.held_yields(context(replace(result, plantings=(held,))))] == ["note"]


def test_weeks_with_more_work_than_hands_are_told() -> None:
    """Hours over what the household has are counted by week: a quarter over is short, less is tight, enough hands are silence."""
    result = demo_year("tarn-hollow")
    asked = np.zeros(52)
    asked[20:23] = [30.0, 24.0, 10.0]
    busy = replace(result, hours_week={"ewes": asked}, hours_available_week=np.full(52, 20.0))
    idle = replace(busy, hours_available_week=np.full(52, 31.0))
    (found,) = upkeep.hours(context(busy))
    (tight,) = upkeep.hours(context(replace(busy, hours_available_week=np.full(52, 27.0))))

    assert (found.grade, tight.grade) == ("short", "tight")
    assert "in 2 of 52 weeks" in found.title
    assert found.number == "14 hours over in the year"
    assert "ewes" in found.cause
    assert not list(upkeep.hours(context(idle)))
