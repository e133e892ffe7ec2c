"""`yardland years`: chains of larder years without a crystal ball, and how often they are enough."""

from __future__ import annotations

import os
import time
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded
from yardland.cli.hindsight import looked_back
from yardland.cli.output import Line, columns, print_json, print_lines
from yardland.cli.progress import progress
from yardland.larderyears.asked import CHAINS_OF_A_DRAW, DRAWS, MOST_COUNT, Asked

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.larderyears.result import Odds

MOST_CHAIN = 50


class Start(StrEnum):
    """How chains begin."""

    STANDS = "it stands"
    SETTLED = "settled"


@guarded
def years(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The holding folder.")],
    *,
    count: Annotated[
        int, typer.Option("--count", metavar="N", min=2, max=MOST_COUNT, help="Count so many larder years.")
    ] = 50,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Draw weather and hazards with this seed.")] = 1,
    chain: Annotated[
        int, typer.Option("--chain", metavar="Y", min=1, max=MOST_CHAIN, help="Years counted in a chain.")
    ] = 10,
    quick: Annotated[
        bool, typer.Option("--quick", help="Look to the end of each larder year only: faster, and a little hungrier.")
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
    standard: Annotated[
        bool, typer.Option("--standard/--no-standard", help="Run the plan on standard terms as well.")
    ] = True,
    causes: Annotated[
        bool, typer.Option("--causes/--no-causes", help="Walk bad years again, to say what would mend them.")
    ] = True,
    as_json: Annotated[bool, typer.Option("--json", help="Print the result as one JSON object.")] = False,
) -> None:
    """Reckon many larder years, one behind the other, and say how often the household has enough.

    Nothing is known beforehand: each month is decided by what lies in store and by the season's normal.

    \b
    Example:
        $ yardland years tarn-hollow --count 200 --seed 7
    """  # noqa: D301 (the formatter of the help wants that very character)
    from yardland.cli.load import load_holding
    from yardland.larderyears.compared import compared
    from yardland.larderyears.standard import is_standard, on_standard_terms
    from yardland.larderyears.terms import terms_of

    begun = time.monotonic()
    holding = beginning(load_holding(folder), start)
    other_plan = None if against is None else beginning(load_holding(against), start)
    cores = jobs if jobs is not None else os.cpu_count() or 1
    asked = Asked(count, seed, chain, quick, within, warmer, min(cores, max(1, -(-count // chain))))
    odds = looked_back(run_odds(holding, asked, "years"), causes=causes)
    plain = (
        run_odds(on_standard_terms(holding), asked, "years on standard terms")
        if standard and not is_standard(holding)
        else None
    )
    against_it = None if other_plan is None else compared(odds, run_odds(other_plan, asked, "years of the other plan"))
    if as_json:
        from yardland.larderyears.jsonable import years_json

        print_json(years_json(odds, terms_of(odds), plain, against_it, time.monotonic() - begun))
        return
    from yardland.report.years_lines import years_lines

    words = years_lines(odds, terms_of(odds), plain, against_it, columns())
    print_lines(Line(line, style) for line, style in words)


def beginning(holding: Holding, start: Start | None) -> Holding:
    """The plan with the start that is asked for."""
    from yardland.larderyears.start import started_as

    return holding if start is None else started_as(holding, start.value)


def run_odds(holding: Holding, asked: Asked, what: str) -> Odds:
    """Run and count one plan, with progress."""
    from yardland.larderyears.prepare import programs_of
    from yardland.larderyears.result import odds_of
    from yardland.larderyears.run import Telling, run_years
    from yardland.reference import load_tables

    tables = load_tables(own=holding.own)
    drawn = DRAWS * CHAINS_OF_A_DRAW * asked.chain_years
    with (
        progress("training programs", programs_of(holding)) as training,
        progress(what, asked.chains * asked.chain_years) as tell,
        progress(f"{what} under other yields", drawn) as drawing,
    ):
        return odds_of(run_years(holding, tables, asked, telling=Telling(training, tell, drawing)))
