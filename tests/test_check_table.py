"""The page of outside checks is what a run of them gives, and its writer does what it says."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from outside import ROW, TOLD, Outside

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "checks.md").read_text(encoding="utf-8")


def script() -> ModuleType:
    """scripts/check_table.py as a module."""
    spec = importlib.util.spec_from_file_location("check_table", ROOT / "scripts" / "check_table.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow  # it runs the published checks a second time
def test_the_page_is_what_the_run_gives() -> None:
    """Every check holds and docs/checks.md prints exactly these rows (renew it with scripts/check_table.py)."""
    table = script()
    rows, told = table.gather()

    assert table.page(PAGE, rows, told) == PAGE
    assert len({(row[0], row[1]) for row in rows}) == len(rows), "two rows of one name"


AT = ("X1", "a made figure", "nobody", "computed")


@pytest.mark.parametrize(
    ("fails", "holds"),
    [
        (lambda o: o.check_close(*AT, 2.0, 2.11, 0.1), lambda o: o.check_close(*AT, 2.0, 2.1, 0.1)),
        (lambda o: o.check_close(*AT, [1, 2], [1, 2.1], pct=4), lambda o: o.check_close(*AT, [1, 2], [1, 2.1], pct=5)),
        (lambda o: o.check_apart(*AT, [1, 2], [1, 2.1], 0.05), lambda o: o.check_apart(*AT, [1, 2], [1, 2.1], 0.2)),
        (lambda o: o.check_between(*AT, 1, 2, [1.5, 2.5]), lambda o: o.check_between(*AT, 1, 2, [1.0, 2.0])),
        (lambda o: o.check_same(*AT, "loam", "silt"), lambda o: o.check_same(*AT, "loam", "loam")),
        (lambda o: o.check_close(*AT, np.ones(20), np.ones(19), 1), lambda o: o.check_close(*AT, 1, np.ones(20), 1)),
        (lambda o: o.check_close("X1", "a", "b", "seen", 1, 1, 0), lambda o: o.check_close(*AT, 1, 1, 0)),
    ],
)  # fmt: skip
def test_a_check_asserts_and_is_written_down(
    fails: Callable[[Outside], None], holds: Callable[[Outside], None]
) -> None:
    """A value outside its tolerance, a series cut short and an unknown standing fail; what holds leaves one row."""
    with pytest.raises(AssertionError):
        fails(Outside([]))
    written: list[tuple[str, object]] = []
    holds(Outside(written))

    assert [name for name, _ in written] == [ROW]


def test_numbers_are_printed_to_the_digit_behind_the_tolerance() -> None:
    """What is printed does not hang on the last bits of a float; long series show their worst value."""
    written: list[tuple[str, object]] = []
    outside = Outside(written)
    outside.check_close(*AT, 0.0, 1e-17, 1e-9)
    outside.check_close(*AT, [3.075, 1.705], [3.07536, 1.70512], 0.005)
    outside.check_close(*AT, np.zeros(20), np.arange(20) / 100, 0.2)
    outside.tell("Left out", "a line")

    assert [row[4:] for name, row in written if name == ROW and isinstance(row, list)] == [
        ["0", "0", "1e-09"],
        ["3.075, 1.705", "3.0754, 1.7051", "0.005"],
        ["0 (of 20)", "0.19, the furthest off", "0.2"],
    ]
    assert written[-1] == (TOLD, ["Left out", "a line"])


def test_rows_stand_in_the_order_of_their_keys_and_replace_the_old() -> None:
    """K9 comes before K10; what stood between the marks goes, the words around them stay; a bar in a cell is escaped."""
    table = script()
    made = "Before.\n\n" + table.START + "old\n" + table.END + "After.\n"
    rows = [["K10", "b", "s", "computed", "1", "1", "0"], ["K9", "a|b", "s", "published", "1", "1", "0"]]
    text = table.page(made, rows, [["Crops outside", "rye"]])

    assert text.index("| K9 | a\\|b |") < text.index("| K10 |")
    assert "old" not in text
    assert text.startswith("Before.\n\n")
    assert text.endswith("- rye\n" + table.END + "After.\n")
    assert "2 checks: 1 computed, 1 published." in text
