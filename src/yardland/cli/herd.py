"""`yardland herd`: one group of stock, its steady year and many drawn ones."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded
from yardland.cli.output import Line, print_json, print_lines

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.larderyear.herd_told import HerdTold
    from yardland.report.drawing import Table

MOST_YEARS, MOST_CHAINS = 50, 1000
NOTES_TOLD = 2
"""So many findings of grade note are told on the terminal; the page has all."""


@guarded
def herd(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The group, as in holding.toml: hens, ewes.")],
    at: Annotated[Path, typer.Option("--at", metavar="DIR", help="The holding folder.")],
    *,
    years: Annotated[
        int,
        typer.Option("--years", metavar="N", min=1, max=MOST_YEARS, help="Draw so many years, one behind the other."),
    ] = 10,
    chains: Annotated[
        int,
        typer.Option("--chains", metavar="C", min=1, max=MOST_CHAINS, help="Draw them so many times, side by side."),
    ] = 50,
    seed: Annotated[
        int, typer.Option("--seed", min=0, help="Draw births, sexes, deaths and strikes with this seed.")
    ] = 1,
    weather: Annotated[
        int | None,
        typer.Option(
            "--weather",
            metavar="YEAR",
            help="Show the larder year that starts in this year of the record; the last one unless given.",
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the group as one JSON object.")] = False,
    report: Annotated[
        bool, typer.Option("--report/--no-report", "--page/--no-page", help="Write the page to DIR/out.")
    ] = True,
) -> None:
    """Show one group of stock: heads by class, dates, feed by source, products, manure, money.

    This year is a preview at steady numbers; beside it so many years are drawn head by head.

    \b
    Example:
        $ yardland herd hens --at tarn-hollow
        TARN HOLLOW: HENS
        The larder year 2022-10 to 2023-09 at steady numbers (a preview: ...

        The plan
          Keeps: 18 dual-purpose hens and 2 breeding cockerels.
          Young: hatch on 20 Apr under broody birds.
        ...
        Page: tarn-hollow/out/herd-hens.html
    """  # noqa: D301 (the formatter of the help wants that very character)
    from yardland.cli.load import load_holding, reckon
    from yardland.larderyear.herd_told import Run, tell_herd
    from yardland.larderyear.run import USUAL_SEED, known_lane
    from yardland.weather.read import load_weather
    from yardland.weather.years import larder_years

    holding = load_holding(at)
    group = known_group(name, holding)
    result, tables = reckon(holding, weather_year=weather, seed=None, from_stores=False)
    forcing = larder_years(load_weather(holding, USUAL_SEED), holding.place.year_starts.month)
    told = tell_herd(result, tables, forcing, known_lane(forcing, weather), group, Run(years, chains, seed))
    written = write_page(told, at) if report else None
    if as_json:
        from yardland.report.herd_json import herd_json

        print_json(herd_json(told))
        return
    closing = Line(f"Page: {written}" if written else "No page was written.", "head")
    print_lines([*summary(told), Line(), closing])


def known_group(name: str, holding: Holding) -> str:
    """The group's name: spaces, capitals and hyphens do not matter; raises `InputFaults` for an unknown one."""
    from yardland.errors import Fault, InputFaults
    from yardland.holding.misfit import one_of, shown

    wanted = name.strip().lower().replace(" ", "_").replace("-", "_")
    for group in holding.group:
        if group == name or group.lower().replace("-", "_") == wanted:
            return group
    remedy = one_of(name, holding.group, "group")
    raise InputFaults([Fault("NAME", "group", shown(name), "a group of holding.toml", remedy)])


def write_page(told: HerdTold, folder: Path) -> Path:
    """Write the page to `folder`/out and say where; never half-written."""
    from yardland.holding.write import write_text
    from yardland.report.herd import render
    from yardland.report.words import slug

    path = folder / "out" / f"herd-{slug(told.name)}.html"
    path.parent.mkdir(exist_ok=True)
    write_text(path, render(told))
    return path


def summary(told: HerdTold) -> list[Line]:
    """The lines for the terminal."""
    from yardland.cli.summary import wrap
    from yardland.report import herd_facts as facts
    from yardland.report import herd_tables as tables
    from yardland.report.herd import headline, lead

    return [
        *wrap(headline(told).upper(), "head"),
        *wrap(lead(told)),
        *_part("The plan", facts.plan_facts(told)),
        *_part("Heads", facts.heads_facts(told), tables.month_heads(told), tables.counts_table(told)),
        *_part("Dates", facts.dates_facts(told), tables.dates_table(told), tables.stays_table(told)),
        *_part("Feed", facts.feed_facts(told), tables.needs_table(told), tables.short_feed_table(told)),
        *_part("Products", facts.product_facts(told), tables.products_table(told)),
        *_part("Manure and water", facts.manure_facts(told), tables.manure_table(told)),
        *_part("Money of live animals", facts.money_facts(told)),
        *_part("Beside the handbook", [], *tables.short_against(told)),
        *_findings(told),
    ]


def _part(head: str, facts: list[tuple[str, str]], *tables: Table) -> list[Line]:
    """A heading, facts in words, tables."""
    from yardland.cli.crop import sheet
    from yardland.cli.summary import wrap

    lines = [Line(), Line(head, "head")]
    for name, words in facts:
        lines += wrap(f"{name}: {words}", indent="  ", hang="  ")
    for table in tables:
        if table.rows:
            lines += [*([Line()] if len(lines) > 2 else []), *sheet(table)]
    return lines


def _findings(told: HerdTold) -> list[Line]:
    """Findings, gravest first; of the mere notes only the first."""
    from yardland.cli.summary import wrap
    from yardland.report.answer import FAILING

    lines = [Line(), Line("Findings", "head")]
    notes = [one for one in told.findings if one.grade == "note"]
    for one in (*(one for one in told.findings if one.grade != "note"), *notes[:NOTES_TOLD]):
        words = f"{one.grade}: {one.title} ({one.number}). {one.remedy}"
        lines += wrap(words, "bad" if one.grade in FAILING else "", indent="  ", hang="  ")
    if len(notes) > NOTES_TOLD:
        lines.append(Line(f"  and {len(notes) - NOTES_TOLD} more notes on the page", "dim"))
    if not told.findings:
        lines.append(Line("  Nothing was noticed."))
    return lines
