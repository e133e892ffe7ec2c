"""Writes the table of docs/weather-generator.md anew: the generator against its records. Run from the repository's root."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

import generator_kit as kit  # noqa: E402

from yardland.weather.generator.draw import draw  # noqa: E402
from yardland.weather.generator.fit import fit  # noqa: E402
from yardland.weather.generator.stats import Row, Years, compare  # noqa: E402

PAGE = ROOT / "docs" / "weather-generator.md"
START, END = "<!-- table: begin -->\n", "<!-- table: end -->\n"
GENERATED_YEARS, SEED = 4000, 1
HEAD = "| statistic | record | months inside | largest difference | month | record | 95 % interval | generated |\n"
RULE = "| --- | --- | --- | --- | --- | --- | --- | --- |\n"


def main() -> None:
    """Put the table between its marks."""
    text = PAGE.read_text("utf-8")
    before, rest = text.split(START)
    _, after = rest.split(END)
    PAGE.write_text(before + START + table() + END + after, "utf-8")


def table() -> str:
    """A row for each statistic and record: how many months lie inside, and the month that is furthest off."""
    rows: dict[tuple[str, str], list[Row]] = {}
    for name, record in kit.RECORDS.items():
        drawn = draw(fit(record()), SEED, GENERATED_YEARS)
        for row in compare(Years.of_record(record()), Years.of_drawn(drawn)):
            rows.setdefault((row.name, name), []).append(row)
    order = list(dict.fromkeys(name for name, _ in rows))
    chosen = sorted(rows, key=lambda key: order.index(key[0]))
    return HEAD + RULE + "".join(_line(*key, rows[key]) for key in chosen)


def _line(statistic: str, record: str, rows: list[Row]) -> str:
    inside = sum(row.inside for row in rows)
    worst = max(rows, key=_offset)
    numbers = f"{worst.record:.3g} | {worst.low:.3g} to {worst.high:.3g} | {worst.generated:.3g}"
    month = str(worst.month) if worst.month else "year"
    difference = f"{worst.generated - worst.record:+.2g}"
    unit = f", {worst.unit}" if worst.unit else ""
    return f"| {statistic}{unit} | {record} | {inside} of {len(rows)} | {difference} | {month} | {numbers} |\n"


def _offset(row: Row) -> float:
    """How far the generated value is from the record's, in half-widths of the interval on that side."""
    side = row.high - row.record if row.generated > row.record else row.record - row.low
    return abs(row.generated - row.record) / max(side, 1e-12)


if __name__ == "__main__":
    main()
