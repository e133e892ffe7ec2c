"""Holdings at random go through the whole year: an answer that keeps every law, or a fault, and nothing else."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from conftest import EXAMPLES
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_holding import write_holding
from test_year import numbers_in

import yardland
from yardland.accounts.law import worst_miss
from yardland.cli.summary import summary
from yardland.errors import InputFaults
from yardland.holding.model import OwnRow
from yardland.larderyear.blame import strict_numbers
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.result import YearResult
from yardland.reference import load_tables
from yardland.report.html import render
from yardland.report.lookup import Lookup

TABLES = load_tables()
SLACK = 1e-6
SEEDS = st.integers(0, 1_000_000)


def random_year(folder: Path, seed: int) -> YearResult:
    """The year of the holding of that seed; with open books for every third."""
    for old in folder.glob("*.*"):
        old.unlink()
    write_holding(folder, seed, TABLES)
    return yardland.year(yardland.load(folder), seed=seed, from_stores=seed % 3 == 0)


def check_year(result: YearResult, *, closed: bool) -> None:
    """Every law that holds for any holding."""
    assert all(np.isfinite(array).all() for array in numbers_in(result))
    assert worst_miss(result.ledger)[0] < 1e-9
    ledger = result.ledger
    assert min(ledger.fresh_kg.min(initial=0.0), ledger.closing_kg.min(initial=0.0)) >= -SLACK
    assert np.allclose(ledger.opening_kg[:, 1:], ledger.closing_kg[:, :-1], rtol=1e-9, atol=SLACK)
    if closed:
        assert np.allclose(ledger.opening_kg[:, 0], ledger.closing_kg[:, -1], rtol=1e-9, atol=SLACK)
    assert result.coverage["energy_kcal"].max() <= 1.05 + SLACK
    assert all(np.all((short >= -SLACK) & (short <= 1.0 + SLACK)) for short in result.feed_short.values())
    assert all(
        np.all(np.abs(heads - np.round(heads)) < SLACK) for group in result.heads.values() for heads in group.values()
    )
    for row in result.holding.trades:
        sold = [
            kg
            for arc, kg in zip(ledger.arcs, ledger.fresh_kg, strict=True)
            if arc.kind == row.do and arc.good == row.item
        ]
        if row.limit_month is not None and row.per == "kg":
            assert np.all(sum(sold, np.zeros(12)) <= row.limit_month * (1 + SLACK) + SLACK)


def check_faces(result: YearResult) -> None:
    """Terminal, JSON and report can be made of it."""
    assert summary(result, Lookup(TABLES))
    assert json.loads(json.dumps(year_json(result), allow_nan=False))["months"]
    assert "</html>" in render(result, TABLES)


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=SEEDS)
def test_any_holding_has_a_year_that_keeps_the_laws(tmp_path: Path, seed: int) -> None:
    """Finite numbers, matter conserved, nothing under zero, appetite and trades within their limits."""
    check_year(random_year(tmp_path, seed), closed=seed % 3 != 0)


@pytest.mark.slow
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=SEEDS)
def test_many_holdings_have_a_year_that_keeps_the_laws(tmp_path: Path, seed: int) -> None:
    """The same for many, and every face shows them."""
    result = random_year(tmp_path, seed)
    check_year(result, closed=seed % 3 != 0)
    check_faces(result)


@pytest.mark.parametrize("seed", [613, 8017, 8041, 9009])
def test_tons_that_cancel_leave_no_dust(tmp_path: Path, seed: int) -> None:
    """Five hundred broilers that starve, three grams of hay: the books close to a billionth all the same."""
    check_year(random_year(tmp_path, seed), closed=seed % 3 != 0)


@pytest.mark.parametrize("column", ["light_mj_m2", "warm_share"])
def test_an_own_figure_that_nobody_can_reckon_with_is_a_fault(column: str) -> None:
    """Nothing, where the year divides by it, is told with the line of own.csv and the table's figure, not as NaN."""
    own = OwnRow(line=7, key=f"anchors.potato.{column}", value=0.0, why="a slip")
    holding = yardland.load(EXAMPLES / "tarn-hollow").model_copy(update={"own": (own,)})
    with pytest.raises(InputFaults) as told:
        yardland.year(holding)

    assert [(fault.file, fault.where) for fault in told.value.faults] == [("own.csv", "line 7, column value")]
    assert "the table has" in told.value.faults[0].expected


def test_a_failure_without_own_figures_stays_ours() -> None:
    """Where the user gave no figure of their own, nobody blames the user."""
    with pytest.raises(FloatingPointError), strict_numbers(load_tables()):
        np.log(np.zeros(1))
