"""Writes the tables of docs/weather-generator.md anew: the generator against its records, and what it keeps worst.

Run from the repository's root.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

import generator_kit as kit  # noqa: E402

from yardland.weather.generator.draw import draw  # noqa: E402
from yardland.weather.generator.fit import fit  # noqa: E402
from yardland.weather.generator.judge import Verdict, offset, verdicts  # noqa: E402
from yardland.weather.generator.model import Model  # noqa: E402
from yardland.weather.generator.normals import fit_normals  # noqa: E402
from yardland.weather.generator.stats import Row, Years, compare  # noqa: E402
from yardland.weather.normals import shipped  # noqa: E402
from yardland.weather.types import Record  # noqa: E402

PAGE = ROOT / "docs" / "weather-generator.md"
GENERATED_YEARS, SEED = 4000, 1
NUMBERS = "record | 95 % interval | generated |\n"
HEAD = f"| statistic | record | months inside | largest difference | month | {NUMBERS}" + 8 * "| --- " + "|\n"
WORST_HEAD = f"| fitted to | statistic | month | {NUMBERS}" + 6 * "| --- " + "|\n"
FAR = 0.2
"""A statistic of a synthetic truth or of thirty years that is off by more than this share is told."""
NOT_OF_TRUTHS = ("mean ", "rain days", "wet days less", "lag-one", "year after year", "day-to-day")
"""Statistics that are judged by degrees and bounds, not by a share."""


def main() -> None:
    """Put each table between its marks."""
    text = PAGE.read_text("utf-8")
    for name, made in (("table", table()), ("worst", worst())):
        before, rest = text.split(f"<!-- {name}: begin -->\n")
        _, after = rest.split(f"<!-- {name}: end -->\n")
        text = f"{before}<!-- {name}: begin -->\n{made}<!-- {name}: end -->\n{after}"
    PAGE.write_text(text, "utf-8")


def compared(record: Record, model: Model) -> tuple[Row, ...]:
    """Drawn years of a model against a record."""
    return compare(Years.of_record(record), Years.of_drawn(draw(model, SEED, GENERATED_YEARS)))


def table() -> str:
    """A row for each statistic and record: how many months lie inside, and the month that is furthest off."""
    found = {name: verdicts(compared(record(), fit(record()))) for name, record in kit.RECORDS.items()}
    order = [one.name for one in next(iter(found.values()))]
    lines = (_line(one, record) for name in order for record, own in found.items() for one in own if one.name == name)
    return HEAD + "".join(lines)


def _line(one: Verdict, record: str) -> str:
    worst_row = one.worst
    difference = f"{worst_row.generated - worst_row.record:+.2g}"
    unit = f", {one.unit}" if one.unit else ""
    return (
        f"| {one.name}{unit} | {record} | {one.inside} of {one.months} | {difference} | {worst_row.month or 'year'} | "
        f"{_numbers(worst_row)} |\n"
    )


def worst() -> str:
    """Months outside their record's interval, and statistics of long records off by over a fifth, worst first."""
    lines = []
    for name, record in kit.RECORDS.items():
        rows = [row for row in compared(record(), fit(record())) if not row.inside]
        lines += [(name, row) for row in sorted(rows, key=offset, reverse=True)]
    for which, truth in kit.TRUTHS.items():
        for years, record in ((60, truth()), (30, kit.first_thirty(truth))):
            lines += [(f"{years} years of the {which} truth", row) for row in _far(compared(record, fit(record)))]
    seattle = compared(kit.seattle(), fit_normals(shipped()["seattle"]))
    lines += [("normals of Seattle, judged by its record", row) for row in seattle if not row.month and not row.inside]
    return WORST_HEAD + "".join(
        f"| {name} | {row.name}{f', {row.unit}' if row.unit else ''} | {row.month or 'year'} | {_numbers(row)} |\n"
        for name, row in lines
    )


def _far(rows: tuple[Row, ...]) -> Iterator[Row]:
    for row in rows:
        if not row.name.startswith(NOT_OF_TRUTHS) and not 1 - FAR <= row.ratio <= 1 + FAR:
            yield row


def _numbers(row: Row) -> str:
    return f"{row.record:.3g} | {row.low:.3g} to {row.high:.3g} | {row.generated:.3g}"


if __name__ == "__main__":
    main()
