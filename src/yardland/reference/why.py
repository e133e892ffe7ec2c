"""Why a figure is what it is, in lines that a reader can check."""

from __future__ import annotations

from dataclasses import dataclass

from yardland.errors import Fault, InputFaults, TableError
from yardland.reference.figure import Figure
from yardland.reference.tables import Tables


@dataclass(frozen=True, slots=True)
class Why:
    """A figure and the sentences that explain it."""

    figure: Figure
    lines: tuple[str, ...]

    def as_dict(self) -> dict[str, object]:
        """Plain fields, for --json."""
        figure = self.figure
        own = figure.overridden_by
        return {
            "key": figure.key,
            "value": figure.value,
            "unit": figure.unit,
            "low": figure.low,
            "high": figure.high,
            "source": figure.source,
            "standing": figure.standing,
            "meaning": figure.meaning,
            "table_value": figure.table_value,
            "overridden_by": None if own is None else {"line": own.line, "value": own.value, "why": own.why},
        }


def explain(tables: Tables, key: str) -> Why:
    """Explain the figure "table.row.column".

    Raises:
        InputFaults: no such figure; the fault names the nearest keys.
    """
    try:
        figure = tables.figure(key)
    except TableError as error:
        expected = "the key of a figure: table.row.column, such as crops.potato.base_temp_c"
        raise InputFaults([Fault("key", key, key, expected, f"{error}.")]) from None
    return Why(figure, _lines(figure))


def _lines(figure: Figure) -> tuple[str, ...]:
    """The sentences, most wanted first."""
    lines = [f"{figure.key} = {figure.value:g} {figure.unit}", figure.meaning]
    own = figure.overridden_by
    if own is not None:
        table = "the table has none" if figure.table_value is None else f"the table has {figure.table_value:g}"
        lines.append(f"Yours, by line {own.line} of own.csv ({table}): {own.why}")
    if figure.low is not None and figure.high is not None:
        lines.append(f"Range: {figure.low:g} to {figure.high:g} {figure.unit}")
    lines += [f"Source: {figure.source}", f"Standing: {figure.standing}"]
    return tuple(lines)
