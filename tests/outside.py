"""Checks against figures from outside: a test asserts them through the fixture `outside`, which also writes them down.

`scripts/check_table.py` runs every test that asks for the fixture (`--outside-checks FILE`) and makes docs/checks.md of
what was written down. The rows travel with the tests' reports, so they arrive from parallel workers as well.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

STANDINGS = ("published", "common practice", "from memory", "computed", "identity")
"""Seen in a stored page; a fact of the trade; remembered; another implementation's number; true by its own terms."""
MOST_SHOWN = 14
FEW = 4
"""Digits of a value that is judged by per cent."""
ROW, TOLD = "outside check", "outside told"
Values = float | Sequence[float] | np.ndarray[Any, Any]


class Outside:
    """Asserts a check and writes its row down. Standing is one of STANDINGS; got and expected share one unit."""

    def __init__(self, written: list[tuple[str, object]]) -> None:
        self.written = written

    def check_close(
        self,
        key: str,
        what: str,
        source: str,
        standing: str,
        expected: Values,
        got: Values,
        within: float | None = None,
        *,
        pct: float | None = None,
    ) -> None:
        """Every value lies `within` its expected one (absolute), or within `pct` per cent of it."""
        assert (within is None) != (pct is None), "give the tolerance as within or as pct"
        want, have = _flat(expected), _flat(got)
        if len(want) == 1:
            want = np.full(len(have), want[0])
        assert len(have) == len(want) > 0, f"{key}: {len(have)} values, expected {len(want)}"
        most = np.abs(want) * pct / 100.0 if pct is not None else np.full(len(want), float(within or 0.0))
        off = np.abs(have - want)
        decimals = _decimals(within) if within is not None else None
        wanted, shown = _numbers(want), _numbers(have, decimals, FEW)
        if len(want) > MOST_SHOWN:
            worst = int(np.argmax(off - most))
            wanted = f"{_number(want[worst])} (of {len(want)})"
            shown = f"{_number(have[worst], decimals, FEW)}, the furthest off"
        told = _tolerance(within, pct)
        self._row(key, what, source, standing, wanted, shown, told)
        # the last bits of a float are no part of a printed tolerance
        assert (off <= most + 1e-12 * np.maximum(1.0, np.abs(want))).all(), f"{key} {what}: {have} for {want}, {told}"

    def check_apart(
        self, key: str, what: str, source: str, standing: str, theirs: Values, ours: Values, within: float
    ) -> None:
        """Two series of any length lie nowhere further apart than `within`: the row shows the widest difference."""
        apart = np.abs(_flat(ours) - _flat(theirs))
        assert len(apart) > 0
        widest = float(apart.max())
        shown = _number(widest, _decimals(within)) if widest > within / 100 else f"under {_number(within / 100)}"
        self._row(key, what, source, standing, f"no difference in {len(apart)}", shown, _tolerance(within, None))
        assert widest <= within, f"{key} {what}: {widest} apart, {within} allowed"

    def check_between(
        self, key: str, what: str, source: str, standing: str, low: float, high: float, got: Values
    ) -> None:
        """Every value lies in the band from `low` to `high`, ends included."""
        have = _flat(got)
        band = f"{_number(low)} to {_number(high)}"
        ends = f"{_number(have.min(), None, FEW)} to {_number(have.max(), None, FEW)}"
        inside = _numbers(have, None, FEW) if len(have) <= MOST_SHOWN else ends
        self._row(key, what, source, standing, band, inside, "band")
        assert len(have) > 0
        assert ((have >= low) & (have <= high)).all(), f"{key} {what}: {have} outside {band}"

    def check_same(self, key: str, what: str, source: str, standing: str, expected: object, got: object) -> None:
        """Exactly the expected words, numbers or dates, singly or in a list."""
        self._row(key, what, source, standing, _words(expected), _words(got), "exact")
        assert got == expected, f"{key} {what}"

    def tell(self, heading: str, line: str) -> None:
        """A line under a heading of the page: what a check leaves out."""
        self.written.append((TOLD, [heading, line]))

    def _row(self, key: str, what: str, source: str, standing: str, expected: str, got: str, within: str) -> None:
        assert standing in STANDINGS, f"{key}: no such standing as {standing!r}"
        self.written.append((ROW, [key, what, source, standing, expected, got, within]))


@pytest.fixture
def outside(request: pytest.FixtureRequest) -> Outside:
    """Checks of this test, asserted and written down."""
    return Outside(request.node.user_properties)


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--outside-checks FILE`: run the tests that check against outside figures, no others, and write the rows."""
    parser.addoption("--outside-checks", type=Path, default=None, help="run only outside checks; write them as JSON")


def pytest_configure(config: pytest.Config) -> None:
    """Gather the rows where they were asked for."""
    if config.getoption("--outside-checks"):
        config.pluginmanager.register(_Gather(config.getoption("--outside-checks")), "outside-gather")


class _Gather:
    """Takes the rows out of the tests' reports."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.rows: list[object] = []
        self.told: list[object] = []

    def pytest_collection_modifyitems(self, config: pytest.Config, items: list[pytest.Item]) -> None:
        """Leave out the tests that do not ask for the fixture."""
        kept = [item for item in items if "outside" in getattr(item, "fixturenames", ())]
        config.hook.pytest_deselected(items=[item for item in items if item not in set(kept)])
        items[:] = kept

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """A test has run: its rows are in its report."""
        if report.when == "call":
            self.rows += [value for name, value in report.user_properties if name == ROW]
            self.told += [value for name, value in report.user_properties if name == TOLD]

    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        """Write what was gathered (the workers of a parallel run leave that to their master)."""
        if not hasattr(session.config, "workerinput"):
            self.file.write_text(json.dumps({"rows": self.rows, "told": self.told}), encoding="utf-8")


def _flat(values: Values) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.atleast_1d(np.asarray(values, dtype=np.float64)).ravel()


def _decimals(within: float) -> int:
    """One digit more than the tolerance has."""
    return max(0, math.ceil(-math.log10(within)) + 1) if within > 0 else 10


def _tolerance(within: float | None, pct: float | None) -> str:
    if pct is not None:
        return f"{_number(pct)} %"
    return "exact" if within == 0 else f"{within:g}"


def _number(value: float, decimals: int | None = None, digits: int = 6) -> str:
    """A number without needless digits: with so many decimals, or with so many significant digits."""
    text = f"{float(f'{value:.{digits}g}'):.15g}" if decimals is None else f"{value:.{decimals}f}"
    if "." in text and "e" not in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _numbers(values: np.ndarray[Any, np.dtype[np.float64]], decimals: int | None = None, digits: int = 6) -> str:
    return ", ".join(_number(float(value), decimals, digits) for value in values)


def _words(value: object) -> str:
    return ", ".join(_pieces(value)) or "nothing"


def _pieces(value: object) -> Iterator[str]:
    if isinstance(value, (list, tuple, set, frozenset, np.ndarray)):
        for part in sorted(value) if isinstance(value, (set, frozenset)) else value:
            yield from _pieces(part)
    elif isinstance(value, (float, np.floating)):
        yield _number(float(value))
    elif value is None:
        yield "none"
    else:
        yield str(value)
