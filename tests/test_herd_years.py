"""Ten drawn years of the demonstration herds: near the number wanted or told why, losses made good and paid, and what the year tells."""

from __future__ import annotations

import shutil
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from conftest import DEMOS, EXAMPLES, demo_year

import yardland
from yardland.findings import herds, kept
from yardland.findings.context import Context
from yardland.holding.model import Group, Holding, MonthDay
from yardland.reference import load_tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import lane_key, week_keys
from yardland.stock.herds.plan import compile_plan
from yardland.stock.herds.result import GroupYears, HerdYears
from yardland.stock.herds.shortfall import GROWING, OFF_BY, REASONS, SHRINKING
from yardland.stock.herds.twin import run_twin
from yardland.stock.herds.years import Run, herd_years
from yardland.stock.sky import Sky

DEMO_GROUPS = [(name, group) for name in DEMOS for group in yardland.load(EXAMPLES / name).group]


def context_of(name: str, groups: dict[str, Group] | None = None) -> Context:
    """A demonstration year for the rules, with other groups where they are given."""
    result = demo_year(name)
    holding = result.holding if groups is None else result.holding.model_copy(update={"group": groups})
    return Context(replace(result, holding=holding), load_tables(holding.own))


def years_of(holding: Holding, run: Run) -> HerdYears:
    """Drawn years of a demonstration holding, in the weather of its year."""
    context = context_of(holding.folder.name)
    sky = (kept.tmean_c(context), kept.light_h(context))
    return herd_years(holding, load_tables(holding.own), context.result.months, *sky, run.years, run.chains, run.seed)


@lru_cache(maxsize=2)
def demo(name: str) -> HerdYears:
    """A demonstration holding over ten years in twenty chains."""
    return years_of(yardland.load(EXAMPLES / name), Run(10, 20, 7))


def herd_of(name: str, group: str) -> GroupYears:
    """One group of it."""
    return demo(name).groups[group]


def target(herd: GroupYears, row: int) -> int:
    """The number wanted of a row; 0 for young and bought stock."""
    return int(herd.plan.arrays.row[row, at.TARGET])


@pytest.mark.parametrize(("name", "group"), DEMO_GROUPS)
def test_each_class_is_near_its_target_or_a_finding_says_why(name: str, group: str) -> None:
    """At every start of ten years in every chain a class stands within a quarter of its target, or a finding gives the reason."""
    herd, wanted = herd_of(name, group), 0
    told = {note.subject: note for note in demo(name).findings if "more than a quarter off" in note.words}
    for row, label in enumerate(herd.plan.rows):
        number = target(herd, row)
        if not number:
            continue
        wanted += 1
        off = np.abs(herd.heads_at_start[row] - number) > OFF_BY * number
        assert herd.heads_at_start.shape[1:] == (11, 20)
        assert np.array_equal(herd.short_reason[row] > 0, off)
        note = told.get(f"{group}.{label.klass}")
        assert (note is not None) == bool(off.any())
        if note is not None:
            most = np.bincount(herd.short_reason[row][off]).argmax()
            assert REASONS[most] in note.words
            assert note.remedy
    assert wanted or herd.plan.group.batch


@pytest.mark.parametrize(("name", "group"), DEMO_GROUPS)
def test_nothing_is_ever_negative(name: str, group: str) -> None:
    """Heads, counts, needs, products and money of every week, month and year are 0 or more, and finite."""
    outcome = herd_of(name, group).outcome

    for part in outcome:
        assert np.isfinite(part).all()
        assert part.min() >= 0
    assert outcome.heads.max() > 0


def weeks_that(herd: GroupYears, bit: int) -> np.ndarray:
    """Weeks of the year in which something is done."""
    return np.flatnonzero(herd.plan.arrays.calendar & bit)


@pytest.mark.parametrize(("name", "group"), DEMO_GROUPS)
def test_lost_sires_and_dams_are_replaced_by_rule(name: str, group: str) -> None:
    """Males are whole again every four weeks, females never under half for longer, and all are at their change of adults."""
    herd = herd_of(name, group)
    for row, label in enumerate(herd.plan.rows):
        numbers, there = herd.plan.arrays.row[row], herd.heads_week[row]
        if label.part == "females":
            there = there + herd.heads_week[int(numbers[at.YOUNG_ROW])]
        if label.part in {"females", "males"}:
            assert numbers[at.BUYS] == 1
            least = 0.5 if label.part == "females" else 1.0
            assert there[weeks_that(herd, at.LOOK)].min() >= least * target(herd, row)
            assert there[int(numbers[at.TURN_W])].min() >= target(herd, row)
        elif label.part == "colonies":
            assert there[weeks_that(herd, at.SPRING)].min() >= 0.5 * target(herd, row)


@pytest.mark.parametrize(("name", "group"), DEMO_GROUPS)
def test_what_is_bought_is_paid(name: str, group: str) -> None:
    """Money spent is the price of each head bought, above nothing, and the sire's cost in years in which a female is there."""
    herd = herd_of(name, group)
    arrays, bought, spent = herd.plan.arrays, herd.count("bought"), herd.money(at.SPENT)
    sire = herd.plan.group.sire
    fee = sire.cost if sire is not None else 0.0
    for row, label in enumerate(herd.plan.rows):
        if label.part == "young":
            assert not spent[row].any()
            continue
        heads = bought[row] + (bought[int(arrays.row[row, at.YOUNG_ROW])] if label.part == "females" else 0)
        price = float(arrays.figure[row, at.PRICE])
        left = spent[row] - price * heads
        assert price > 0.0
        assert np.all(np.isclose(left, 0.0, atol=1e-9) | np.isclose(left, fee, atol=1e-9))
        assert (left > 0.5 * fee).mean() >= (0.9 if fee and label.part == "females" else 0.0)


@pytest.mark.parametrize("name", DEMOS)
def test_sires_and_dams_are_lost_in_ten_years(name: str) -> None:
    """Both are lost and bought in each demonstration, so that the rules above have something to do."""
    for part in ("males", "females"):
        rows = [
            (herd, row)
            for herd in demo(name).groups.values()
            for row, label in enumerate(herd.plan.rows)
            if label.part == part
        ]
        assert sum(int(herd.count("died")[row].sum() + herd.count("struck")[row].sum()) for herd, row in rows) > 50
        assert sum(int(herd.count("bought")[row].sum()) for herd, row in rows) > 50


# what is said in the plan


def changed(tmp_path: Path, before: str, after: str) -> Holding:
    """Tarn Hollow with one thing in its plan written otherwise."""
    folder = tmp_path / "tarn-hollow"
    shutil.copytree(EXAMPLES / "tarn-hollow", folder, ignore=shutil.ignore_patterns("out"))
    plan = (folder / "holding.toml").read_text(encoding="utf-8")
    assert before in plan
    (folder / "holding.toml").write_text(plan.replace(before, after), encoding="utf-8")
    return yardland.load(folder)


EWES = "ewes = { heads = { ewe = 2 }, "


def test_a_flock_that_is_to_grow_says_so_in_the_plan(tmp_path: Path) -> None:
    """Four ewes with target = { ewe = 8 } that only renew themselves stand near eight by the tenth year; growing is the reason till then."""
    before = f'{EWES}born = ["04-10"], sire = {{ how = "hired", from = "11-10", cost = 45 }}, keep_young = 1, '
    after = before.replace("ewe = 2 }", "ewe = 4 }, target = { ewe = 8 }").replace(
        "keep_young = 1", 'renew = "own young only"'
    )
    found = years_of(changed(tmp_path, before, after), Run(10, 10, 1))
    herd = found.groups["ewes"]

    assert np.all(herd.heads_at_start[0, 0] == 4)
    assert np.all(herd.short_reason[0, 0] == GROWING)
    assert herd.count("bought").sum() == 0
    assert np.median(herd.heads_at_start[0, -1]) >= 6
    assert any(REASONS[GROWING] in note.words for note in found.findings if note.subject == "ewes.ewe")


def test_a_flock_that_is_to_shrink_says_so_in_the_plan(tmp_path: Path) -> None:
    """Six ewes with target = { ewe = 3 } are three after the first change of adults; the number is told as over what is wanted."""
    found = years_of(changed(tmp_path, EWES, "ewes = { heads = { ewe = 6 }, target = { ewe = 3 }, "), Run(10, 10, 1))
    herd = found.groups["ewes"]

    assert np.all(herd.heads_at_start[0, 0] == 6)
    assert np.all(herd.short_reason[0, 0] == SHRINKING)
    assert np.median(herd.heads_at_start[0, 1:]) == 3
    assert herd.heads_at_start[0, 2:].max() <= 4
    assert any(REASONS[SHRINKING] in note.words for note in found.findings if note.subject == "ewes.ewe")


# what the year tells


@pytest.mark.parametrize("name", DEMOS)
def test_the_year_tells_each_class_that_is_off_its_target(name: str) -> None:
    """The year's findings name each class off its target in two drawn chains of ten years, with number, cause, remedy and source."""
    result = demo_year(name)
    drawn = years_of(result.holding, herds.RUN)
    off = {
        f"{group}.{label.klass}"
        for group, herd in drawn.groups.items()
        for row, label in enumerate(herd.plan.rows)
        if herd.short_reason[row].any()
    }
    told = [finding for finding in result.findings if "more than a quarter off" in finding.title]

    assert off
    assert sorted(finding.subject for finding in told) == sorted(off)
    for finding in told:
        assert finding.grade in {"tight", "note"}
        assert "10 years drawn head by head in 2 chains (seed 1)" in finding.cause
        assert finding.number.endswith("% of years")
        assert finding.remedy
        assert finding.source.startswith("stock.")


def test_what_the_plan_shows_is_not_told_again_from_drawn_years() -> None:
    """Daughters under their father: told of the plan where young are kept by number, else of the drawn years; never twice."""
    key = "age_first_breeding_d"
    found = {
        subject: [each.number for each in demo_year(name).findings if each.subject == subject and key in each.source]
        for name, subject in (("tarn-hollow", "hens.dual_purpose_hen"), ("casa-vereda", "rabbits.rabbit_doe"))
    }

    assert [number.endswith("days") for number in found["hens.dual_purpose_hen"]] == [True]
    assert [number.endswith("% of females") for number in found["rabbits.rabbit_doe"]] == [True]


def test_eggs_that_are_set_when_none_are_laid_are_told_in_the_year() -> None:
    """Geese that are to hatch in November: no eggs before the setting, and the year says so."""
    geese = demo_year("tarn-hollow").holding.group["geese"].model_copy(update={"born": (MonthDay(11, 5),)})
    found = list(herds.drawn(context_of("tarn-hollow", {"geese": geese})))

    assert any(finding.number == "0 eggs set" and finding.subject == "geese.goose" for finding in found)


def test_a_crowd_is_not_drawn_in_the_year() -> None:
    """A group of more than five hundred heads is left to its own page; beside it the others are told as before."""
    groups = demo_year("casa-vereda").holding.group
    crowd = Group.model_validate({"heads": {"laying_hen": 100_000}, "home": "casa"})
    before = list(herds.drawn(context_of("casa-vereda")))
    after = list(herds.drawn(context_of("casa-vereda", {**groups, "crowd": crowd})))

    assert before
    assert after == before
    assert list(herds.drawn(context_of("casa-vereda", {"crowd": crowd}))) == []


@pytest.mark.parametrize("name", DEMOS)
def test_heads_alone_are_the_same_heads(name: str) -> None:
    """Without needs and products heads, counts and money are those of the full run, to the bit."""
    context = context_of(name)
    sky = Sky.of(context.result.months, kept.tmean_c(context), kept.light_h(context))
    for group, plan in compile_plan(context.result.holding, context.tables, sky).groups.items():
        lanes, keys = [lane_key(group, chain) for chain in range(2)], week_keys(5, 6 * at.WEEKS)
        full, events = run_twin(plan.arrays, lanes, keys, 6)
        heads, same = run_twin(plan.arrays, lanes, keys, 6, heads_only=True)

        assert events == same
        for part in ("heads", "counts", "money", "close"):
            assert np.array_equal(getattr(full, part), getattr(heads, part))
        assert full.sums[..., at.ENERGY].sum() > 0.0 or plan.rows[0].part == "colonies"
        assert heads.sums[..., at.ENERGY].sum() == 0.0
