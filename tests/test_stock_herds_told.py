"""Herds by week: what is told of them, and the plan's keys."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from conftest import EXAMPLES
from herds_kit import BORROWED, DEMOS, demo, safe, years_of
from stock_kit import group, holding, light, warmth

import yardland
from yardland.errors import InputFaults
from yardland.holding import sense_stock
from yardland.holding.draft import Draft
from yardland.holding.known import KnownNames
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import week_keys
from yardland.stock.herds.plan import compile_plan
from yardland.stock.herds.shortfall import EARLIER, off_target
from yardland.stock.herds.years import run_group
from yardland.stock.sky import Sky

# what is told


def test_todays_heads_open_every_chain() -> None:
    """The first year begins with the plan's heads, in every chain."""
    for name in DEMOS:
        for herd in demo(name).groups.values():
            for row, label in enumerate(herd.plan.rows):
                if label.part in {"females", "males", "colonies"}:
                    assert np.all(herd.heads_at_start[row, 0] == herd.plan.group.heads[label.klass])


@pytest.mark.parametrize("name", DEMOS)
def test_demo_classes_are_near_their_target_or_say_why(name) -> None:
    """Ten years, fifty chains: at each year's start each class is within a quarter of its target or a reason stands."""
    found = demo(name)
    told = {note.subject for note in found.findings if "more than a quarter off" in note.words}
    for herd in found.groups.values():
        for row, label in enumerate(herd.plan.rows):
            off = off_target(herd.heads_at_start[row], int(herd.plan.arrays.row[row, at.TARGET]))
            why = herd.short_reason[row]
            assert np.array_equal(why > 0, off)
            assert (why == EARLIER).mean() < 0.05, label
            assert off.mean() < 0.45, label
            assert off.mean() < 0.05 or f"{herd.plan.name}.{label.klass}" in told


def test_events_of_the_first_chain_are_its_counts() -> None:
    """Young born or hatched by the list of events are those of the counts."""
    for name in DEMOS:
        found = demo(name)
        for told, herd in found.groups.items():
            events = found.events[told]
            assert [event.week for event in events] == sorted(event.week for event in events)
            for kind, count in (("born", "born"), ("hatched", "born"), ("struck", "struck"), ("culled", "culled")):
                rows = {event.row for event in events if event.kind == kind}
                for row in rows:
                    heads = sum(event.heads for event in events if event.row == row and event.kind == kind)
                    assert heads == herd.count(count)[row, :, 0].sum()


def test_a_kept_male_that_meets_his_daughters_is_told() -> None:
    """Own pullets under a cock that stays three years: told; with a borrowed ram: not."""
    hens = safe(heads={"laying_hen": 12, "cockerel": 1}, born=["04-10"])
    ewes = safe(heads={"ewe": 8}, born=["04-01"], sire=BORROWED)
    found = years_of({"hens": hens, "ewes": ewes}, 8, 8)
    kin = [note.subject for note in found.findings if "daughters" in note.words]

    assert kin == ["hens.laying_hen"]


@pytest.mark.parametrize(("latitude_deg", "wrong", "right"), [(52.0, "10-20", "04-10"), (-40.0, "04-10", "10-01")])
def test_births_out_of_season_are_told(latitude_deg, wrong, right) -> None:
    """Ewes that lamb in autumn, geese that hatch in autumn; half a year later in the south."""
    for klass in ("ewe", "goose"):
        for day, told in ((wrong, True), (right, False)):
            flock = group(heads={klass: 4}, born=[day], sire=BORROWED)
            found = years_of({"g": flock}, 3, 2, latitude_deg=latitude_deg)
            assert any("out of season" in note.words for note in found.findings) == told, (klass, day)


def test_geese_that_sit_in_autumn_have_no_eggs() -> None:
    """No eggs are laid before an autumn setting, so none hatch, and it is told."""
    found = years_of({"geese": group(heads={"goose": 6}, born=["11-05"], sire=BORROWED)}, 3, 3)

    assert found.groups["geese"].count("born").sum() == 0
    assert any(note.number == "0 eggs set" for note in found.findings)


def test_young_that_miss_the_first_service_are_told() -> None:
    """Kids of August are too young in March: first served a year later."""
    goats = group(heads={"goat_dairy_doe": 4}, born=["08-15"], sire=BORROWED)
    found = years_of({"goats": goats}, 4, 2, latitude_deg=-38.0, start_month=7)
    notes = [note for note in found.findings if "short of the age of first breeding" in note.words]

    assert len(notes) == 1
    assert notes[0].number == "581 days"


def test_young_planned_without_a_sire_are_told() -> None:
    """Dates of birth and no male: none are born, and it is told."""
    flock = group(heads={"ewe": 4}, born=["04-01"], sire=BORROWED).model_copy(update={"sire": None})
    found = years_of({"g": flock}, 3, 2)

    assert found.groups["g"].count("born").sum() == 0
    assert [note.grade for note in found.findings if "no male is kept" in note.words] == ["short"]


def test_summaries_are_the_arrays_in_short() -> None:
    """Means, ranges and products of a summary are those of the arrays."""
    herd = demo("tarn-hollow").groups["ewes"]
    ewe, lamb = herd.summary()

    assert ewe.row == "ewe"
    assert lamb.row == "lamb (young of ewe)"
    assert ewe.heads[0] == pytest.approx(herd.heads_at_start[0].mean())
    assert ewe.target == 2
    assert lamb.products["meat_lamb"] == pytest.approx(
        herd.total("live_killed")[1].sum(axis=0).mean() * load_tables().row("stock", "lamb").need("dressing_fraction")
    )
    assert sum(ewe.short_because.values()) == pytest.approx(1.0)
    assert herd.products_kg()["meat_lamb"].shape == (12, 10, 50)


def test_both_paths_serve_a_run() -> None:
    """A short run goes step by step, a long one compiled, and the chains that they share are equal."""
    ewes = group(heads={"ewe": 5}, born=["04-01"], sire=BORROWED)
    sky = Sky.of(larder_months(2001, 1), warmth(52.0, 1), light(52.0, 1))
    plan = compile_plan(holding({"ewes": ewes}), load_tables(), sky).groups["ewes"]
    keys = week_keys(1, 52 * 4)
    short, long = run_group(plan, keys, 4, 2), run_group(plan, keys, 4, 20)

    for one, other in zip(short, long, strict=True):
        assert np.array_equal(one, other[:2])


def test_no_years_or_no_chains_are_refused() -> None:
    """Herds need a year and a chain."""
    with pytest.raises(ValueError, match="a year and a chain"):
        years_of({"g": group(heads={"ewe": 2})}, 0, 1)


# the plan's keys


@pytest.mark.parametrize(
    ("fields", "where"),
    [
        ({"target": {"lamb": 4}}, "group.g.target.lamb"),
        ({"strike": {"fxo_per_year": 0.1}}, "group.g.strike.fxo_per_year"),
        ({"strike": {"fox_per_year": 3.0}}, "group.g.strike.fox_per_year"),
        ({"renew": "own young only", "born": []}, "group.g.renew"),
        ({"renew": "bought", "keep_young": 2}, "group.g.renew"),
    ],
)
def test_policies_that_cannot_be_are_faults(fields, where) -> None:
    """A target of a class that is not there, an unknown strike, young kept by who buys: each named."""
    flock = group(**({"heads": {"ewe": 4}, "born": ["04-01"]} | fields))
    draft = replace(Draft(), group={"g": flock})
    known = KnownNames(strikes=frozenset({"fox", "dogs"}))
    today = date(2026, 1, 1)
    faults = [fault for check in (sense_stock.policies, sense_stock.strikes) for fault in check(draft, known, today)]

    assert [fault.where for fault in faults] == [where]
    assert faults[0].remedy


def test_unknown_keys_of_a_group_stay_errors(tmp_path) -> None:
    """A mistyped policy is refused with the nearest key."""
    folder = tmp_path / "h"
    folder.mkdir()
    for file in (EXAMPLES / "tarn-hollow").iterdir():
        if file.is_file():
            (folder / file.name).write_bytes(file.read_bytes())
    plan = (folder / "holding.toml").read_text(encoding="utf-8")
    (folder / "holding.toml").write_text(plan.replace("keep_young = 6,", "renw = 'bought',"), encoding="utf-8")

    with pytest.raises(InputFaults, match="renw"):
        yardland.load(folder)
