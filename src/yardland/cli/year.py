"""`yardland year`: one larder year, on the terminal, as JSON and as a report."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded
from yardland.cli.output import Line, print_json, print_lines

if TYPE_CHECKING:
    from yardland.larderyear.result import YearResult
    from yardland.reference import Tables


@guarded
def year(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The holding folder.")],
    *,
    weather: Annotated[
        int | None,
        typer.Option(
            "--weather",
            metavar="YEAR",
            help="Reckon the larder year that starts in this year of the record; the last one unless given.",
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the result as one JSON object.")] = False,
    strict: Annotated[
        bool, typer.Option("--strict", help="Exit with 1 when something is dangerous, against a rule, or short.")
    ] = False,
    report: Annotated[bool, typer.Option("--report/--no-report", help="Write the report to DIR/out.")] = True,
    seed: Annotated[
        int | None,
        typer.Option(
            "--seed",
            min=0,
            help="Draw hail, pests and disease with this seed (and days, where only normals are known).",
        ),
    ] = None,
    from_stores: Annotated[
        bool, typer.Option("--from-stores", help="Start from today's stores (stores.csv) instead of closing the books.")
    ] = False,
) -> None:
    """Reckon one larder year of a holding, month by month.

    \b
    Example:
        $ yardland year tarn-hollow
        TARN HOLLOW, 2022-10 to 2023-09
        Tarn Hollow with what it buys feeds its household in every month; ...

        Month  Oct   Nov   Dec   Jan   Feb   Mar   Apr   May   Jun   Jul   ...
        % fed  100   100   100   100   100   100   100   100   100   100   ...
        ...
        Report: tarn-hollow/out/year-2022-10-to-2023-09.html
    """  # noqa: D301 (the formatter of the help wants that very character)
    run_and_show(
        folder, weather=weather, as_json=as_json, strict=strict, report=report, seed=seed, from_stores=from_stores
    )


def run_and_show(
    folder: Path,
    *,
    weather: int | None = None,
    as_json: bool = False,
    strict: bool = False,
    report: bool = True,
    seed: int | None = None,
    from_stores: bool = False,
) -> None:
    """Run the year of a folder and show it; raises `typer.Exit(1)` when `strict` refuses the year."""
    from yardland.cli.load import load_holding, reckon
    from yardland.report.answer import must_fail

    result, tables = reckon(load_holding(folder), weather_year=weather, seed=seed, from_stores=from_stores)
    written = write_report(result, folder, tables) if report else None
    if as_json:
        from yardland.larderyear.jsonable import year_json

        print_json(year_json(result))
    else:
        from yardland.cli.summary import summary
        from yardland.report.lookup import Lookup

        print_lines(
            [
                *summary(result, Lookup(tables)),
                Line(),
                Line(f"Report: {written}" if written else "No report was written.", "head"),
            ]
        )
    if strict and must_fail(result):
        raise typer.Exit(1)


def write_report(result: YearResult, folder: Path, tables: Tables) -> Path:
    """Write the report to `folder`/out and say where; never half-written."""
    from yardland.holding.write import write_text
    from yardland.report.html import render

    label = "-".join(re.findall(r"[A-Za-z0-9]+", result.label))
    path = folder / "out" / f"year-{label}.html"
    path.parent.mkdir(exist_ok=True)
    write_text(path, render(result, tables))
    return path
