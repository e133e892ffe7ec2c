"""`yardland years`: chains of larder years without a crystal ball, and how often they are enough."""

from __future__ import annotations

import os
import time
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded
from yardland.cli.output import Line, columns, print_json, print_lines
from yardland.larderyears.asked import MOST_COUNT, Asked

if TYPE_CHECKING:
    from yardland.cli.years_run import Runner

MOST_CHAIN = 50


class Start(StrEnum):
    """How chains begin; people say it with and without the "as"."""

    STANDS = "it stands"
    AS_IT_STANDS = "as it stands"
    SETTLED = "settled"

    @property
    def how(self) -> str:
        """In the words of holding.toml."""
        return self.value.removeprefix("as ")


@guarded
def years(
    folders: Annotated[list[Path], typer.Argument(metavar="DIR...", help="The holding folder, or several.")],
    *,
    count: Annotated[
        int, typer.Option("--count", metavar="N", help=f"Count so many larder years, {MOST_COUNT:,} at most.")
    ] = 50,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Draw weather and hazards with this seed.")] = 1,
    chain: Annotated[
        int, typer.Option("--chain", metavar="Y", min=1, max=MOST_CHAIN, help="Years counted in a chain.")
    ] = 10,
    quick: Annotated[
        bool, typer.Option("--quick", help="Look 2 months ahead, not 6, before what was learned counts: faster.")
    ] = False,
    within: Annotated[
        float | None,
        typer.Option("--within", metavar="W", min=0.001, max=0.5, help="Stop when the interval is so narrow."),
    ] = None,
    start: Annotated[
        Start | None,
        typer.Option("--start", help="Begin chains as it stands today, or settled; as the plan says unless given."),
    ] = None,
    against: Annotated[
        Path | None, typer.Option("--against", metavar="DIR", help="Run another plan on the same years, and compare.")
    ] = None,
    warmer: Annotated[float, typer.Option("--warmer", metavar="C", min=-10, max=10, help="Add so many degrees.")] = 0.0,
    jobs: Annotated[
        int | None, typer.Option("--jobs", metavar="J", min=1, max=256, help="Processes; all cores unless given.")
    ] = None,
    scheduler: Annotated[
        str, typer.Option("--scheduler", metavar="ADDRESS", help="Run on the Dask cluster there, as tcp://host:8786.")
    ] = "",
    anew: Annotated[
        bool, typer.Option("--anew", help="Forget what an earlier run of the same kept in out/years.")
    ] = False,
    table: Annotated[
        Path | None, typer.Option("--table", metavar="FILE", help="Write a row for each DIR: .parquet or .csv.")
    ] = None,
    standard: Annotated[
        bool, typer.Option("--standard/--no-standard", help="Run the plan on standard terms as well.")
    ] = True,
    causes: Annotated[
        bool, typer.Option("--causes/--no-causes", help="Walk bad years again, to say what would mend them.")
    ] = True,
    as_json: Annotated[bool, typer.Option("--json", help="Print the result as one JSON object.")] = False,
) -> None:
    """Reckon many larder years, one behind the other, and say how often the household has enough.

    Nothing is known beforehand: each month is decided by what lies in store, by the season's normal, and by what
    training years taught of the worth of stores.
    A run that was stopped goes on where it was.

    \b
    Example:
        $ yardland years tarn-hollow --count 200 --seed 7
        $ yardland years north south --table sites.parquet
    """  # noqa: D301 (the formatter of the help wants that very character)
    from yardland.cli.years_batch import batch, check_question
    from yardland.cli.years_run import Runner

    begun = time.monotonic()
    cores = jobs if jobs is not None else os.cpu_count() or 1
    asked = Asked(count, seed, chain, quick, within, warmer, min(cores, max(1, -(-count // chain))), scheduler)
    check_question(folders, asked, against, table, jobs)
    runner = Runner(asked, standard=standard, start=None if start is None else start.how, anew=anew, causes=causes)
    try:
        if len(folders) > 1:
            raise typer.Exit(batch(runner, folders, table, as_json=as_json))
        one(runner, folders[0], against, table, begun, as_json=as_json)
    finally:
        runner.close()


def one(runner: Runner, folder: Path, against: Path | None, table: Path | None, begun: float, *, as_json: bool) -> None:
    """One holding, told in full."""
    from yardland.cli.years_batch import write_table
    from yardland.larderyears.jsonable import years_json
    from yardland.larderyears.row import years_row
    from yardland.larderyears.terms import terms_of

    answer = runner.answer(folder, against)
    terms = terms_of(answer.odds)
    told = years_json(answer.odds, terms, answer.plain, answer.against, time.monotonic() - begun)
    if table is not None:
        write_table(table, [years_row(str(folder), told)])
    if as_json:
        print_json(told)
        return
    from yardland.report.years_lines import years_lines

    words = years_lines(answer.odds, terms, answer.plain, answer.against, columns())
    print_lines(Line(line, style) for line, style in words)
