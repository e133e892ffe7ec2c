"""Nutrients of many years on a terminal: those that one year in twenty does not cover, the worst first."""

from __future__ import annotations

import numpy as np

from yardland.larder.description import MONTHS
from yardland.report.palette import rows
from yardland.report.words import nutrient
from yardland.report.years_lines import TOLD_NUTRIENTS, beyond_plates, nutrients_table

KEYS = [row["key"] for row in rows("nutrients.csv")]
NAMES = ("Oct", "Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep")
WIDTH = 80


def covered(**low: tuple[str, float, float]) -> np.ndarray:
    """Bands in which all is covered by half as much again, but in the named month: 1 in 20 and the middle."""
    found = np.full((3, len(KEYS), MONTHS), 1.5)
    for key, (month, worst, middle) in low.items():
        at, place = KEYS.index(key), NAMES.index(month)
        found[:2, at, place] = worst, middle
    return found


def told(coverage: np.ndarray) -> list[str]:
    """The lines."""
    return [line for line, _ in nutrients_table(KEYS, NAMES, coverage, WIDTH)]


def test_nutrients_that_fall_short_are_told_with_their_worst_month() -> None:
    """The worst comes first, with its worst month, what one year in twenty has then, and the middle year; covered ones are left out."""
    coverage = covered(iron_mg=("Feb", 0.72, 1.04), calcium_mg=("May", 0.41, 0.66), zinc_mg=("Nov", 0.999, 1.2))
    coverage[0, KEYS.index("iron_mg"), 0] = 0.9
    head, *lines = told(coverage)

    assert head.split() == ["%", "of", "need", "eaten", "worst", "month", "1", "in", "20", "middle"]
    assert [line.split() for line in lines] == [["Calcium", "May", "41", "66"], ["Iron", "Feb", "72", "104"]]


def test_no_more_nutrients_are_told_than_a_reader_reads() -> None:
    """Of nutrients that fall short six are named, the others are counted."""
    coverage = covered()
    order = sorted(range(len(KEYS)), key=lambda at: len(nutrient(KEYS[at])))
    coverage[0, order, 4] = np.linspace(0.9, 0.2, len(KEYS))
    lines = told(coverage)

    assert len(lines) == 1 + TOLD_NUTRIENTS + 1
    assert lines[1].split()[-2:] == ["20", "150"]
    assert lines[-1].startswith(f"and {len(KEYS) - TOLD_NUTRIENTS} more")
    assert max(len(line) for line in lines) <= WIDTH
    assert len({len(line) for line in lines[:-1]}) == 1


def test_where_nothing_falls_short_that_is_said() -> None:
    """With every nutrient covered in one year of twenty one line says so."""
    assert told(covered()) == ["In every month each nutrient is covered in 19 years of 20."]


def test_a_nutrient_at_the_edge_is_never_printed_as_whole() -> None:
    """What is told is under 100 in print too."""
    lines = told(covered(iron_mg=("Feb", 0.9949, 1.0), zinc_mg=("Feb", 0.9951, 1.0)))

    assert [line.split()[0] for line in lines[1:]] == ["Iron"]
    assert lines[1].split()[-2:] == ["99", "100"]


def test_what_lies_beyond_the_plates_is_told_where_it_is_much() -> None:
    """Days by energy and the three goods that are most of them; nothing under five days."""
    words = beyond_plates({"swede": 60.2, "potato.canned": 40.0, "milk_cow": 3.0, "oats": 1.0})

    assert words == (
        "Days' food is what plates can take; 104 days by energy lie beyond them in the mean, mostly swede, potato canned and milk cow."
    )
    assert "mostly Swedes." in beyond_plates({"swede": 9.0}, {"swede": "Swedes"})
    assert beyond_plates({"swede": 4.9}) == beyond_plates({}) == beyond_plates({}, none=True) == ""
    assert beyond_plates({"swede": 9.0}, none=True) == (
        beyond_plates({"swede": 9.0}) + " It is 0 where full plates of all that lies there are less than a day's need."
    )
