"""Who sits at the table over time: pregnancy and nursing by date, children that come, guests, two lines of adequacy."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.holding.model import Guests, Holding, MonthDay, Person, Place, Visit
from yardland.larder import bearing
from yardland.larder.guests import presence
from yardland.larder.needs import (
    NUTRIENTS,
    average_need,
    day_need,
    eaters,
    guest_needs,
    household_need,
    suckling_day,
)
from yardland.larder.table_notes import table_notes
from yardland.ledger.months import larder_months
from yardland.reference import load_tables

TABLES = load_tables()
MONTHS = larder_months(2026, 10)
DAYS = np.array([month.days for month in MONTHS])
BIRTH = date(2027, 3, 10)
WOMAN = Person(born=date(1996, 1, 30), sex="f", weight_kg=60)
MOTHER = WOMAN.model_copy(update={"expects": (BIRTH,)})
MAN = Person(born=date(1990, 1, 30), sex="m", weight_kg=70)


def holding(guests: dict[str, Guests] | None = None, **people: Person) -> Holding:
    """A holding of nothing but people."""
    place = Place(name="x", latitude_deg=50, longitude_deg=0, country="GB", year_starts=MonthDay(10, 1))
    return Holding(folder=Path(), place=place, people=people, guests=guests or {}, plot={})


def more(nutrient: str, **people: Person) -> np.ndarray:
    """What these people need beyond the woman alone, by month."""
    _, alone = household_need(holding(one=WOMAN), TABLES, MONTHS)
    _, both = household_need(holding(**people), TABLES, MONTHS)
    return both[nutrient] - alone[nutrient]


def test_trimesters_and_nursing_follow_the_date_of_birth() -> None:
    """From memory (FAO/WHO/UNU 2001): 285 and 475 kcal in the later trimesters, 505 while she nurses, weighed by days."""
    energy = more("energy_kcal", one=MOTHER)

    assert energy[:2] == pytest.approx([285.0, 285.0])  # second trimester from 10 September to 17 December
    third = (31 - 16) / 31
    assert energy[2] == pytest.approx(285.0 + third * (475.0 - 285.0), abs=7.0)
    assert energy[3:5] == pytest.approx([475.0, 475.0])
    assert energy[5] == pytest.approx((9 * 475.0 + 22 * 505.0) / 31)
    assert energy[6:11] == pytest.approx(np.full(5, 505.0))
    assert energy[11] == pytest.approx(505.0 * 8 / 30, abs=505.0 / 30)


def test_pregnancy_asks_the_intakes_of_its_life_stage() -> None:
    """Iron 27 and folate 600 while she carries (DRI), iron 9 while she nurses; 25 g of protein more from the second trimester."""
    _, need = household_need(holding(one=MOTHER), TABLES, MONTHS)

    assert need["iron_mg"][:5] == pytest.approx(np.full(5, 27.0))
    assert need["folate_dfe_ug"][0] == pytest.approx(600.0)
    assert need["iron_mg"][7] == pytest.approx(9.0)
    assert more("protein_g", one=MOTHER)[[0, 4, 7]] == pytest.approx([25.0, 25.0, 25.0])


def test_the_first_trimester_asks_no_protein_yet() -> None:
    """A birth in June puts the first trimester into October: 85 kcal more, no protein more."""
    early = WOMAN.model_copy(update={"expects": (date(2027, 7, 20),)})

    assert more("energy_kcal", one=early)[1] == pytest.approx(85.0)
    assert more("protein_g", one=early)[1] == pytest.approx(0.0)


def test_a_birth_long_past_changes_nothing() -> None:
    """Half a year after the birth the mother eats as any woman does."""
    past = WOMAN.model_copy(update={"expects": (date(2024, 5, 1),)})

    assert more("energy_kcal", one=past) == pytest.approx(np.zeros(12))


def test_a_child_that_is_there_is_nursed_once() -> None:
    """A person born near the expected day is that child: its mother's need moves to the real day and is not doubled."""
    child = Person(born=BIRTH + timedelta(days=12), sex="m", weight_kg=6.0)
    both = more("energy_kcal", one=MOTHER, child=child)
    stranger = child.model_copy(update={"born": BIRTH + timedelta(days=90)})

    assert both[6:11] == pytest.approx(np.full(5, 505.0))
    assert bearing.births({"one": MOTHER, "child": child}, TABLES)[1] == {"child": "one"}
    assert bearing.births({"one": MOTHER, "child": stranger}, TABLES)[1] == {}
    assert more("energy_kcal", one=MOTHER, child=stranger)[9] == pytest.approx(1010.0)


def test_twins_of_the_plan_are_two_children_of_one_birth_at_most_once_nursed() -> None:
    """Of two people born near one expected day one is taken for the child; the other counts through a mother of its own."""
    twin = Person(born=BIRTH, sex="m", weight_kg=6.0)
    _, mothers = bearing.births({"one": MOTHER, "a": twin, "b": twin}, TABLES)

    assert mothers == {"a": "one"}


@given(ahead=st.integers(-400, 400))
def test_a_day_is_in_one_state_at_most_around_one_birth(ahead: int) -> None:
    """Trimesters follow one another, then the birth, then nursing; nothing overlaps."""
    state = bearing.state_on(BIRTH - timedelta(days=ahead), (BIRTH,), TABLES)

    assert len(state) <= 1
    assert bool(state) == (0 < ahead <= 280 or 0 <= -ahead < 183)
    assert (bearing.NURSING in state) == (-183 < ahead <= 0)


def test_a_child_that_no_one_has_entered_is_told() -> None:
    """The notes name a child that eats within the year and is not among the people; none when it is there."""
    early = WOMAN.model_copy(update={"expects": (date(2026, 12, 1),)})
    child = Person(born=date(2026, 12, 4), sex="f", weight_kg=6.0)

    assert any(
        "the child that one has on 2026-12-01" in note for note in table_notes(holding(one=early), TABLES, MONTHS)
    )
    assert not table_notes(holding(one=early, child=child), TABLES, MONTHS)


def test_guests_eat_on_their_days() -> None:
    """Two guests for ten of July's days: 20 person-days, a third of two guests in the month, nobody else."""
    aunts = Guests(adults=2, when=(Visit(MonthDay(7, 1), MonthDay(7, 10)),))
    plan = holding({"aunts": aunts}, one=WOMAN)
    _, need = household_need(plan, TABLES, MONTHS)
    _, alone = household_need(holding(one=WOMAN), TABLES, MONTHS)
    added = need["energy_kcal"] - alone["energy_kcal"]
    told = guest_needs(plan, TABLES, MONTHS)

    assert np.flatnonzero(added) == pytest.approx([9])
    assert told[0].person_days == pytest.approx(20.0)
    assert told[0].energy_kcal == pytest.approx(added[9] * 31)
    assert 2000.0 < told[0].energy_kcal / 20.0 < 2700.0


@given(
    start=st.dates(date(2026, 10, 1), date(2027, 9, 30)),
    length=st.integers(1, 200),
    meals=st.floats(0.1, 1.0),
)
def test_person_days_of_guests_are_their_days_within_the_year(start: date, length: int, meals: float) -> None:
    """Days x share of meals, of those days that fall into the larder year; 29 February is no day of it."""
    end = start + timedelta(days=length - 1)
    here = Guests(adults=1, when=(Visit(start, end),), meals=meals)
    inside = (min(end, date(2027, 9, 30)) - start).days + 1

    assert presence(here, MONTHS) @ DAYS == pytest.approx(inside * meals)


def test_yearly_guests_come_over_the_new_year() -> None:
    """A span from December to January counts its days once, and overlapping spans count a day once."""
    over = Guests(adults=1, when=(Visit(MonthDay(12, 20), MonthDay(1, 5)), Visit(MonthDay(12, 24), MonthDay(12, 26))))

    assert presence(over, MONTHS) @ DAYS == pytest.approx(17.0)


def test_guests_of_another_year_are_told() -> None:
    """Dates outside the larder year feed nobody in it, and the notes say so."""
    later = Guests(adults=9, when=(Visit(date(2031, 6, 1), date(2031, 6, 3)),))
    plan = holding({"feast": later}, one=WOMAN)

    assert guest_needs(plan, TABLES, MONTHS)[0].person_days == 0.0
    assert any("the guests feast do not come" in note for note in table_notes(plan, TABLES, MONTHS))


def test_the_average_requirement_stands_under_the_recommended_intake() -> None:
    """Protein 0.66 against 0.80 g a kg, iron of a man 6 against 8 mg; energy is the same on both lines (DRI)."""
    plan = holding(man=MAN)
    average = average_need(plan, TABLES, MONTHS)
    _, asked = household_need(plan, TABLES, MONTHS)

    assert average["protein_g"] == pytest.approx(np.full(12, 0.66 * 70))
    assert average["iron_mg"] == pytest.approx(np.full(12, 6.0))
    assert average["energy_kcal"] == pytest.approx(asked["energy_kcal"])
    assert {"fat_g", "fibre_g", "potassium_mg"}.isdisjoint(average)
    for nutrient, need in average.items():
        assert np.all(need <= asked[nutrient] + 1e-9), nutrient


def test_every_eater_has_both_lines_and_no_number_that_is_none() -> None:
    """Infants, children, mothers, the old and guests: finite, never negative, the average never above the recommended.

    A suckling is the difference of two life stages, which is wider in the average requirement of folate: left out there.
    """
    people = {
        "old": Person(born=date(1940, 1, 1), sex="f", weight_kg=55),
        "mother": MOTHER,
        "suckling": Person(born=date(2026, 9, 1), sex="m", weight_kg=8),
        "toddler": Person(born=date(2025, 1, 1), sex="f", weight_kg=12),
    }
    plan = holding({"help": Guests(adults=1, children=3, when=(Visit(MonthDay(8, 1), MonthDay(8, 9)),))}, **people)
    recommended = eaters(plan, TABLES, MONTHS)
    average = eaters(plan, TABLES, MONTHS, "average")

    assert len(recommended) == 4 + 4
    for first, second in zip(recommended, average, strict=True):
        for nutrient in NUTRIENTS:
            high, low = first.need(nutrient), second.need(nutrient)
            assert np.all(np.isfinite(high))
            assert np.all(low >= 0.0)
            assert first.name == "suckling" or np.all(low <= high + 1e-9), (first.name, nutrient)


def test_the_suckling_day_is_what_a_mother_of_the_plan_adds() -> None:
    """The mother of an entered child adds the same energy and protein as a child alone does for a mother unknown."""
    alone = suckling_day(TABLES).amounts
    nursing = more("energy_kcal", one=MOTHER)[7], more("protein_g", one=MOTHER)[7]

    assert nursing == pytest.approx((alone["energy_kcal"], alone["protein_g"]))
    assert day_need(WOMAN, TABLES, 0.2, 0.2).amounts["energy_kcal"] == pytest.approx(505.0)
