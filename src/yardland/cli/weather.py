"""`yardland weather`: what a holding's weather record holds and years drawn from it: terminal, JSON, page, sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded
from yardland.cli.output import Line, columns, print_json, print_lines

if TYPE_CHECKING:
    from yardland.holding.model import Holding, Place
    from yardland.report.weather_drawn import DrawnTold
    from yardland.weather.overview import Overview
    from yardland.weather.types import Record

WIDE_TABLE = 76
"""Columns that a row of twelve months takes."""
MOST_DRAWN = 10_000


@guarded
def weather(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The holding folder.")],
    *,
    draw: Annotated[
        int | None,
        typer.Option(
            "--draw",
            metavar="N",
            min=1,
            max=MOST_DRAWN,
            help="Draw N years with the months and spread of the record, or of normals, and judge them by it.",
        ),
    ] = None,
    warmer: Annotated[
        str,
        typer.Option(
            "--warmer",
            metavar="C",
            help="Add so many degrees to the drawn years: one figure, or twelve with commas from January on.",
        ),
    ] = "0",
    write: Annotated[
        Path | None, typer.Option("--write", metavar="FILE", help="Write the drawn years as a daily sheet.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the record's sums as one JSON object.")] = False,
    report: Annotated[bool, typer.Option("--report/--no-report", help="Write the page to DIR/out.")] = True,
    seed: Annotated[
        int, typer.Option("--seed", min=0, help="Seed of drawn years, and of days invented from normals.")
    ] = 1,
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

    \b
    More years than the record has, for a look at bad ones:
        $ yardland weather tarn-hollow --draw 1000 --seed 7 --warmer 1.5
    """  # noqa: D301 (the formatter of the help wants that very character)
    from yardland.cli.load import load_holding
    from yardland.weather.overview import overview
    from yardland.weather.read import load_weather

    warmer_c = _degrees(warmer)
    if draw is None and (write is not None or any(warmer_c)):
        raise typer.BadParameter("goes with --draw N only", param_hint="--write, --warmer")
    holding = load_holding(folder)
    record = load_weather(holding, seed)
    told = overview(record, holding.place.year_starts.month)
    if write is not None:
        _refuse_place(write, folder)
    drawn = None if draw is None else _draw(holding, record, draw, seed, warmer_c)
    saved = None if write is None or drawn is None else _save(drawn, write)
    written = write_page(told, holding.place, folder, drawn) if report else None
    if as_json:
        from yardland.report.weather_json import weather_json

        print_json(weather_json(told, drawn))
        return
    lines = summary(told, holding.place.name)
    if drawn is not None:
        lines += [Line(), *drawn_summary(drawn)]
    closing = [Line(f"Days: {saved}", "head")] if saved else []
    closing.append(Line(f"Page: {written}" if written else "No page was written.", "head"))
    print_lines([*lines, Line(), *closing])


def write_page(told: Overview, place: Place, folder: Path, drawn: DrawnTold | None = None) -> Path:
    """Write the page to `folder`/out and say where; never half-written."""
    from yardland.holding.write import write_text
    from yardland.report.weather import render

    path = folder / "out" / "weather.html"
    path.parent.mkdir(exist_ok=True)
    write_text(path, render(told, place, drawn))
    return path


def _degrees(words: str) -> list[float]:
    """Twelve degrees from one figure or from twelve."""
    from math import isfinite

    try:
        figures = [float(word) for word in words.split(",")]
    except ValueError:
        figures = []
    if len(figures) not in {1, 12} or not all(isfinite(one) and abs(one) <= 10 for one in figures):
        hint = f"{words!r} is neither one number of degrees nor twelve with commas, within 10 C of today"
        raise typer.BadParameter(hint, param_hint="--warmer")
    return figures * (12 // len(figures))


def _draw(holding: Holding, record: Record, years: int, seed: int, warmer_c: list[float]) -> DrawnTold:
    """The drawn years, told while they come, and their judgement."""
    import numpy as np

    from yardland.cli.progress import progress
    from yardland.report.weather_drawn import DrawnTold
    from yardland.weather.generator.choose import choose
    from yardland.weather.generator.draw import draw
    from yardland.weather.generator.judge import judged

    chosen = choose(holding, record)
    with progress("years drawn", years) as tell:
        drawn = draw(chosen.model, seed, years, warmer_c=np.array(warmer_c), tell=tell)
    return DrawnTold(drawn, judged(chosen.model, seed, years, record, chosen.normals))


def _refuse_place(path: Path, folder: Path) -> None:
    """Drawn days take no file's place, and never that of the holding's own weather."""
    from yardland.errors import Fault, InputFaults

    own = path.parent.resolve() == folder.resolve() and path.name.startswith("weather.")
    if not own and not path.exists():
        return
    taken = "a folder of that name" if path.is_dir() else "a file of that name"
    found = "the name of the holding's own weather" if own else taken
    remedy = "Name another file, or copy the holding's folder and write weather.csv there by hand."
    raise InputFaults([Fault(str(path), "--write", found, "a new name: measured days are not replaced", remedy)])


def _save(told: DrawnTold, path: Path) -> Path:
    """Write the drawn days; never half-written."""
    from yardland.holding.write import write_text
    from yardland.weather.generator.sheet import sheet_text

    write_text(path, sheet_text(told.drawn, path.name))
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


def drawn_summary(told: DrawnTold) -> list[Line]:
    """The drawn years for the terminal: what they hold, what they keep, what to know of them."""
    from yardland.cli.summary import wrap
    from yardland.report import weather_drawn as words

    lines = [*wrap(words.heading(told).upper(), "head"), *wrap(f"{told.drawn.source}.", "dim")]
    for about, said in words.facts(told):
        lines += wrap(f"{about}: {said}", hang="  ")
    lines += [Line(), Line("What is kept", "head"), *wrap(words.verdict_words(told)), *_verdicts(told)]
    missed = words.not_kept(told)
    lines += wrap(missed, "bad") if missed else []
    lines += [Line(), Line("What to know of them", "head")]
    for note in told.drawn.notes:
        lines += wrap(note, indent="  ", hang="  ")
    return lines


def _verdicts(told: DrawnTold) -> list[Line]:
    """The table of statistics; on a narrow terminal the name stands above its numbers."""
    from yardland.report.weather_drawn import table

    of = table(told)
    rows = [of.header, *of.rows]
    widths = [max(len(row[cell]) for row in rows) for cell in range(len(of.header))]
    narrow = sum(widths) + len(widths) - 1 > columns()
    lines: list[Line] = []
    for index, row in enumerate(rows):
        numbers = " ".join(cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True))
        missed = index > 0 and not told.judged.verdicts[index - 1].kept
        style = "head" if index == 0 else "bad" if missed else ""
        if narrow:
            lines += [Line(row[0], style), Line(f"  {numbers}", style)]
        else:
            lines.append(Line(f"{row[0]:<{widths[0]}} {numbers}", style))
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
