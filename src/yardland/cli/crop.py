"""`yardland crop`: one crop of a holding, every year of the record and one of them day by day."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded
from yardland.cli.output import Line, columns, print_json, print_lines

if TYPE_CHECKING:
    from yardland.reference import Tables
    from yardland.report.drawing import Table
    from yardland.season.crop_year import CropPlanting, CropTold
    from yardland.season.sward_told import SwardTold


@guarded
def crop(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The crop, as in plantings.csv: potato, winter_wheat.")],
    at: Annotated[Path, typer.Option("--at", metavar="DIR", help="The holding folder.")],
    *,
    weather: Annotated[
        int | None,
        typer.Option(
            "--weather",
            metavar="YEAR",
            help="Show the days of the larder year that starts in this year of the record; the last one unless given.",
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the crop's years and days as one JSON object.")
    ] = False,
    report: Annotated[bool, typer.Option("--report/--no-report", help="Write the page to DIR/out.")] = True,
    seed: Annotated[
        int | None,
        typer.Option(
            "--seed",
            min=0,
            help="Draw hail, pests and disease with this seed (and days, where only normals are known).",
        ),
    ] = None,
) -> None:
    """Show one crop of a holding: window, dates, yields, water, nitrogen, what limited it when.

    A crop that the plan lacks is tried on 100 m2 of its first plot of crops, dressed like the plan's crops of its kind.
    Grass and forage are told by their months: grass-clover, permanent pasture, lucerne (alfalfa), red clover.

    \b
    Example:
        $ yardland crop potato --at tarn-hollow
        TARN HOLLOW: POTATO
        6 plantings in the plan. 10 larder years of weather.csv; ...

        High, maincrop, year 1 of the rotation
          This year: Sown 12 Apr 2023; gathered 11 Sep 2023, ...
          Yield: 12.6 to 22.4 t/ha over 10 years, 16.5 in the middle one. ...
        ...
        Page: tarn-hollow/out/crop-potato.html
    """  # noqa: D301 (the formatter of the help wants that very character)
    from yardland.cli.load import load_holding
    from yardland.larderyear.run import known_lane
    from yardland.reference import load_tables
    from yardland.season.crop_year import tell_crop
    from yardland.season.sward_told import sward_kind, tell_sward
    from yardland.weather.read import load_weather
    from yardland.weather.years import larder_years

    holding = load_holding(at)
    tables = load_tables(own=holding.own)
    forcing = larder_years(load_weather(holding, 1 if seed is None else seed), holding.place.year_starts.month)
    lane, kind = known_lane(forcing, weather), sward_kind(name, tables)
    if kind is not None:
        sward = tell_sward(holding, tables, forcing, lane, kind)
        _show_sward(sward, write_sward_page(sward, at) if report else None, as_json=as_json)
        return
    told = tell_crop(holding, tables, forcing, lane, known_crop(name, tables), seed)
    written = write_page(told, at) if report else None
    if as_json:
        from yardland.report.crop_json import crop_json

        print_json(crop_json(told))
        return
    print_lines([*summary(told), Line(), _closing(written)])


def _closing(written: Path | None) -> Line:
    return Line(f"Page: {written}" if written else "No page was written.", "head")


def _show_sward(told: SwardTold, written: Path | None, *, as_json: bool) -> None:
    if as_json:
        from yardland.report.sward import sward_json

        print_json(sward_json(told))
        return
    print_lines([*sward_summary(told), Line(), _closing(written)])


def known_crop(name: str, tables: Tables) -> str:
    """The crop's key: spaces, capitals and hyphens do not matter; raises `InputFaults` for an unknown one."""
    from yardland.errors import Fault, InputFaults
    from yardland.holding.misfit import one_of, shown

    key = name.strip().lower().replace(" ", "_").replace("-", "_")
    if key in tables.keys("crops"):
        return key
    if key and any(tree == key or tree.startswith(f"{key}_") for tree in tables.keys("trees")):
        remedy = (
            "Trees, bushes and vines are told by yardland year DIR, in the report; this command tells what is sown."
        )
        raise InputFaults(
            [Fault("NAME", "crop", f"{shown(name)}, a tree, bush or vine", "a crop of the tables", remedy)]
        )
    remedy = one_of(name, (*tables.keys("crops"), *tables.keys("swards")), "crop")
    raise InputFaults([Fault("NAME", "crop", shown(name), "a crop of the tables", remedy)])


def write_page(told: CropTold, folder: Path) -> Path:
    """Write the page to `folder`/out and say where; never half-written."""
    from yardland.report.crop import render

    return _write(folder, told.crop, render(told))


def write_sward_page(told: SwardTold, folder: Path) -> Path:
    """The same for grass and forage."""
    from yardland.report.sward import render
    from yardland.season.sward_told import plain_key

    return _write(folder, plain_key(told.crop), render(told))


def _write(folder: Path, name: str, page: str) -> Path:
    from yardland.holding.write import write_text

    path = folder / "out" / f"crop-{name}.html"
    path.parent.mkdir(exist_ok=True)
    write_text(path, page)
    return path


def summary(told: CropTold) -> list[Line]:
    """The lines for the terminal."""
    from yardland.cli.summary import wrap
    from yardland.report.crop import headline, lead, overview

    lines = [*wrap(headline(told).upper(), "head"), *wrap(lead(told)), *_glance(overview(told))]
    for planting in told.plantings:
        lines += [Line(), *_planting(planting, told)]
    if told.notes:
        lines += [Line(), Line("Notes", "head")]
        for note in told.notes:
            lines += wrap(note, indent="  ", hang="  ")
    return lines


def _planting(planting: CropPlanting, told: CropTold) -> list[Line]:
    from yardland.report.crop import facts, heading
    from yardland.report.crop_tables import factor_table, month_table, short_years

    tables = (short_years(planting), factor_table(planting), month_table(planting.day_by_day))
    return _part(heading(planting, told), facts(planting, told), tables)


def sward_summary(told: SwardTold) -> list[Line]:
    """The lines for the terminal, of grass and forage."""
    from yardland.cli.summary import wrap
    from yardland.report.crop import headline
    from yardland.report.sward import facts, heading, lead, overview, short_months

    lines = [*wrap(headline(told).upper(), "head"), *wrap(lead(told)), *_glance(overview(told))]
    for sward in told.swards:
        lines += [Line(), *_part(heading(sward, told), facts(sward), short_months(sward))]
    return lines


def _glance(table: Table) -> list[Line]:
    return [Line(), *sheet(table)] if table.rows else []


def _part(head: str, facts: list[tuple[str, str]], tables: tuple[Table, ...]) -> list[Line]:
    """A heading, facts in words, tables."""
    from yardland.cli.summary import wrap

    lines = wrap(head, "head")
    for name, words in facts:
        lines += wrap(f"{name}: {words}", indent="  ", hang="  ")
    for table in tables:
        if table.rows:
            lines += [Line(), *sheet(table)]
    return lines


def sheet(table: Table) -> list[Line]:
    """A table in columns, words to the left and numbers to the right; what the terminal has no room for is left out."""
    rows = (table.header, *table.rows)
    left = [not any(cell[:1].isdigit() for cell in column) for column in zip(*table.rows, strict=True)]
    left[0] = True
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    fits = len(widths)
    while fits > 1 and sum(widths[:fits]) + 2 * fits > columns():
        fits -= 1
    lines = []
    for index, row in enumerate(rows):
        cells = [
            cell.ljust(wide) if to_left else cell.rjust(wide)
            for cell, wide, to_left in zip(row[:fits], widths, left, strict=False)
        ]
        lines.append(Line(("  " + "  ".join(cells)).rstrip(), "head" if index == 0 else ""))
    return lines
