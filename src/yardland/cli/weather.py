"""`yardland weather`: what a holding's weather record holds, on the terminal, as JSON and as a page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded
from yardland.cli.output import Line, columns, print_json, print_lines

if TYPE_CHECKING:
    from yardland.holding.model import Place
    from yardland.weather.overview import Overview

WIDE_TABLE = 76
"""Columns that a row of twelve months takes."""


@guarded
def weather(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The holding folder.")],
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print the record's sums as one JSON object.")] = False,
    report: Annotated[bool, typer.Option("--report/--no-report", help="Write the page to DIR/out.")] = True,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Seed of days invented from normals.")] = 1,
) -> None:
    """Show what a holding's weather record holds: months, frost, season, gaps.

    \b
    Example:
        $ yardland weather tarn-hollow
        TARN HOLLOW: ITS WEATHER
        weather.csv: daily values, 2013-01-01 to 2023-12-31 (11 years).

        Month        Jan  Feb  Mar  Apr  May  Jun  Jul  Aug  Sep  Oct  Nov ...
        Min C        0.7  0.5  1.1  2.8  5.8  8.8 10.8 10.6  8.5  6.1  3.3 ...
        ...
        Page: tarn-hollow/out/weather.html
    """  # noqa: D301 (the formatter of the help wants that very character)
    from yardland.cli.load import load_holding
    from yardland.weather.overview import overview
    from yardland.weather.read import load_weather

    holding = load_holding(folder)
    told = overview(load_weather(holding, seed), holding.place.year_starts.month)
    written = write_page(told, holding.place, folder) if report else None
    if as_json:
        from yardland.report.weather_json import weather_json

        print_json(weather_json(told))
        return
    closing = Line(f"Page: {written}" if written else "No page was written.", "head")
    print_lines([*summary(told, holding.place.name), Line(), closing])


def write_page(told: Overview, place: Place, folder: Path) -> Path:
    """Write the page to `folder`/out and say where; never half-written."""
    from yardland.holding.write import write_text
    from yardland.report.weather import render

    path = folder / "out" / "weather.html"
    path.parent.mkdir(exist_ok=True)
    write_text(path, render(told, place))
    return path


def summary(told: Overview, name: str) -> list[Line]:
    """The lines for the terminal."""
    from yardland.cli.summary import wrap
    from yardland.report.weather import facts, lead

    lines = [*wrap(f"{name.upper()}: ITS WEATHER", "head"), *wrap(lead(told)), Line(), *_months(told), Line()]
    for about, words in facts(told):
        lines += wrap(f"{about}: {words}", hang="  ")
    if told.record.notes:
        lines += [Line(), Line("What was done with the record", "head")]
        for note in told.record.notes:
            lines += wrap(note, indent="  ", hang="  ")
    return lines


def _months(told: Overview) -> list[Line]:
    """The normals in one table, or in two where the terminal is narrow."""
    from yardland.report.weather import normals

    table = normals(told)
    step = 12 if columns() >= WIDE_TABLE else 4
    cell = 5 if step == 12 else 7
    lines: list[Line] = []
    for first in range(1, 13, step):
        for index, row in enumerate((table.header, *table.rows)):
            cells = "".join(f"{word:>{cell}}" for word in row[first : first + step])
            lines.append(Line(f"{row[0]:<11}{cells}", "head" if index == 0 else ""))
    return lines
