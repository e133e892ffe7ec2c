"""`yardland check`: everything that is wrong with a holding folder, at once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import AT_FAULT, guarded, print_faults
from yardland.cli.output import print_json

if TYPE_CHECKING:
    from yardland.errors import Fault
    from yardland.holding.model import Holding


@guarded
def check(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The holding folder.")],
    as_json: Annotated[bool, typer.Option("--json", help="Print the faults as one JSON object.")] = False,
) -> None:
    """Read a holding folder and report every fault in it.

    \b
    Example:
        $ yardland check tarn-hollow
        no fault found
        Tarn Hollow (GB): 6 people, 11 plots of 1.29 ha, 27 plantings, 5 groups ...
        larder year from 1 Oct; short is under 95 % of need
        weather: weather.csv, 2013-01-01 to 2023-12-31
    """  # noqa: D301 (the formatter of the help wants that very character)
    faults, holding, weather = examine(folder)
    if as_json:
        from yardland.version import __version__

        print_json(
            {"schema": "yardland.check/1", "version": __version__, "faults": [fault.as_dict() for fault in faults]}
        )
    elif faults:
        print_faults(faults)
    elif holding is not None:
        typer.echo("no fault found\n" + "\n".join((*understood(holding), f"weather: {weather}")))
    if faults:
        raise typer.Exit(AT_FAULT)


def examine(folder: Path) -> tuple[list[Fault], Holding | None, str]:
    """Faults of the plan and of its weather together; the holding if it can be read; where its weather is from."""
    from yardland.errors import InputFaults
    from yardland.holding.known import known_names
    from yardland.holding.read import read_holding
    from yardland.reference import load_tables
    from yardland.weather.read import load_weather
    from yardland.weather.years import larder_years

    try:
        holding = read_holding(folder, known_names(load_tables))
    except InputFaults as error:
        return [*error.faults, *_weather_faults(folder, error.faults)], None, ""
    try:
        record = load_weather(holding)
        larder_years(record, holding.place.year_starts.month)
        return [], holding, f"{record.source}, {record.dates[0]} to {record.dates[-1]}"
    except InputFaults as error:
        return list(error.faults), holding, ""


def _weather_faults(folder: Path, found: tuple[Fault, ...]) -> tuple[Fault, ...]:
    """Faults of the weather file beside a faulty plan, when the plan says at least where it lies."""
    from yardland.errors import InputFaults
    from yardland.holding.read import read_place
    from yardland.weather.find import weather_file
    from yardland.weather.read import NORMALS_FILE, read_record

    place = read_place(folder)
    if place is None:
        return ()
    try:
        path = weather_file(folder)
        if path is None or any(fault.file == path.name for fault in found):
            return ()
        normals = folder / NORMALS_FILE
        read_record(path, place, normals if normals.is_file() else None)
    except InputFaults as error:
        return tuple(fault for fault in error.faults if fault not in found)
    return ()


def understood(holding: Holding) -> tuple[str, str]:
    """Two lines of what the plan says."""
    from yardland.ledger.months import MONTH_NAMES

    place = holding.place
    area_ha = sum(plot.area_m2 for plot in holding.plot.values()) / 10_000
    starts = place.year_starts
    counts = f"{len(holding.people)} people, {len(holding.plot)} plots of {area_ha:.2f} ha"
    kept = f"{len(holding.plantings)} plantings, {len(holding.group)} groups of animals"
    return (
        f"{place.name} ({place.country}): {counts}, {kept}",
        f"larder year from {starts.day} {MONTH_NAMES[starts.month - 1]}; short is under {100 * holding.goal.short_below:.0f} % of need",
    )
