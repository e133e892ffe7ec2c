"""Milkers over many years: who goes when she dries off, who is bought, and what milk that leaves."""

from __future__ import annotations

import pytest
from herds_kit import BORROWED, check_law, own, safe, years_of
from stock_kit import year_of

COW = {"heads": {"dairy_cow_small": 1}, "born": ["04-05"], "sire": BORROWED, "milk_share": "once a day"}
GOATS = {"heads": {"goat_dairy_doe": 4}, "born": ["03-20"], "sire": BORROWED, "milk_share": "once a day"}


@pytest.mark.parametrize(
    ("plan", "good"),
    [
        pytest.param(COW | {"keep_young": 0}, "milk_cow", id="a cow that is bought anew"),
        pytest.param(COW | {"heads": {"dairy_cow_small": 3}, "keep_young": 1}, "milk_cow", id="cows with own heifers"),
        pytest.param(GOATS | {"keep_young": 1}, "milk_goat", id="goats with own doelings"),
    ],
)
def test_drawn_years_give_the_milk_of_the_preview(plan, good) -> None:
    """Barrenness, age and death cost a milker's house no more than a tenth of the steady numbers' milk."""
    groups = {"herd": safe(**plan)}
    found = years_of(groups, 10, 20)
    check_law(found)
    (dam,) = plan["heads"]
    steady = next(need for need in year_of(groups).needs if need.klass == dam).products[good].sum()
    drawn = found.groups["herd"].total("milk")[0].sum(axis=0).mean()
    assert drawn == pytest.approx(steady, rel=0.1)


def test_a_milker_past_her_years_is_milked_until_she_dries_off() -> None:
    """No cow goes while she is in milk: none is culled between a birth and the end of the milk, and one in calf follows."""
    tables = own(stock__dairy_cow_small__mortality_adult_per_year=0)
    events = years_of({"herd": safe(**COW, keep_young=0)}, 10, 1, tables=tables).events["herd"]
    kinds = [(event.week, event.kind) for event in events if event.kind in {"born", "dried off", "culled", "bought"}]
    culled = [week for week, kind in kinds if kind == "culled"]
    dry = [week for week, kind in kinds if kind == "dried off"]
    assert culled
    assert set(culled) <= set(dry)
    for week in culled:
        assert (week, "bought") in kinds
        births = [born for born, kind in kinds if kind == "born" and born > week]
        assert not births or births[0] - week < 12


@pytest.mark.parametrize(
    ("changed", "speaks"),
    [
        pytest.param({}, True, id="milked, served, bought"),
        pytest.param({"renew": "own young only", "keep_young": 1}, False, id="none is bought for her"),
        pytest.param({"born": [], "sire": None}, False, id="nobody serves"),
    ],
)
def test_only_milkers_that_were_served_go_when_they_dry_off(changed, speaks) -> None:
    """With half of all services barren, a milker goes on the day she dries off, and no other dam does."""
    tables = own(stock__dairy_cow_small__mortality_adult_per_year=0, breeding__dairy_cow_small__bears_share=0.5)
    plan = {"keep_young": 0} | COW | {"heads": {"dairy_cow_small": 6}} | changed
    events = years_of({"herd": safe(**plan)}, 8, 1, tables=tables).events["herd"]
    dry = {event.week for event in events if event.kind == "dried off"}
    assert any(event.week in dry for event in events if event.kind == "culled") == speaks
