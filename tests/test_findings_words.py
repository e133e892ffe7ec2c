"""Findings and cautions speak of numbers, months and names as a reader wants them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from fixtures_result import year_result

from yardland.findings.cautions import TABLE, sentence, the
from yardland.findings.context import Context
from yardland.findings.ground import thin_yields
from yardland.reference import Tables, load_tables


@pytest.fixture(scope="module")
def tables() -> Tables:
    """The shipped tables."""
    return load_tables()


def test_every_caution_tells_its_number(tables: Tables) -> None:
    """A row's number stands in its sentence as a number of its own, also where the words hold it inside another."""
    told = 0
    for caution in TABLE:
        for key in caution.rules:
            row = tables.row("rules", key)
            number = row["number"]
            words = sentence(row.text("text"), number, row.text("unit"))
            if number is not None:
                told += 1
                assert f"{number:g}" in re.findall(r"(?<![\d.])\d+(?:\.\d+)?", words), words

    assert told > 8


def test_a_number_inside_another_is_not_taken_for_said() -> None:
    """Five is not told by five hundred; what is told is not told twice."""
    assert sentence("into 500 ohm at most", 5, "J") == "into 500 ohm at most 5 J."
    assert sentence("boil 10 minutes", 10, "min") == "boil 10 minutes."
    assert sentence("sour", 4.6, "pH") == "sour: pH 4.6."


def test_authorities_have_their_article() -> None:
    """An authority is named with one article."""
    assert (the("health authority"), the("the fence maker"), the("a vet")) == (
        "the health authority",
        "the fence maker",
        "a vet",
    )


def test_months_in_a_row_are_told_as_a_run(tables: Tables) -> None:
    """Runs of months are joined, all twelve are every month."""
    context = Context(replace(year_result(), findings=()), tables)

    assert context.month_names([0, 2, 3, 4]) == "Oct, Dec to Feb"
    assert context.month_names(range(12)) == "every month"


def test_names_lose_what_explains_them(tables: Tables) -> None:
    """A crop or a good is called as one calls it in a sentence."""
    context = Context(year_result(), tables)

    assert context.crop("broad_bean") == "broad bean"
    assert context.name("meat_chicken") == "chicken"


def test_sowings_of_one_crop_that_yield_little_are_told_together(tables: Tables) -> None:
    """Two poor sowings of three make one finding, with the worst one's figures and the mass of both."""
    first = next(one for one in year_result().plantings if one.status == "gathered")
    given = [
        replace(first, yield_t_ha=share * first.table_low_t_ha, harvest_kg=kg)
        for share, kg in ((0.9, 10.0), (0.5, 20.0), (1.5, 30.0))
    ]
    found = list(thin_yields(Context(replace(year_result(), plantings=tuple(given)), tables)))

    assert len(found) == 1
    assert found[0].title.endswith("low figure in 2 of 3 sowings")
    assert found[0].number == "30 kg gathered"
    assert f"{0.5 * first.table_low_t_ha:.1f} t/ha" in found[0].what
