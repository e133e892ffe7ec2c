"""`yardland new`: a commented plan to start from, from a few answers."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded

if TYPE_CHECKING:
    from yardland.errors import Fault

QUESTIONS = {
    "place": "Where is it? Latitude, longitude in degrees, south and west negative (54.4,-2.9)",
    "name": "What is it called?",
    "country": "Country, two letters (GB)",
    "people": "Who eats there? Sex and age of each (f38,m40,f7)",
    "area": "How much ground? (1.2 ha)",
}

EXPECTED = {
    "place": "latitude, longitude in degrees, south and west negative, such as 54.4,-2.9",
    "name": "the holding's name",
    "country": "two letters, such as GB",
    "people": "sex and age of each, such as f38,m40,f7",
    "area": "the ground in all, such as 1.2 ha",
}


@guarded
def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The folder to write; it must be new or empty.")],
    *,
    place: Annotated[
        str | None, typer.Option("--place", help='Latitude and longitude in degrees: "54.4,-2.9".')
    ] = None,
    name: Annotated[str | None, typer.Option("--name", help="Name of the holding.")] = None,
    country: Annotated[str | None, typer.Option("--country", help="Two letters: GB.")] = None,
    people: Annotated[str | None, typer.Option("--people", help='Sex and age of each: "f38,m40,f7".')] = None,
    area: Annotated[str | None, typer.Option("--area", help='Ground in all: "1.2 ha", "3 acre", "12000 m2".')] = None,
    altitude: Annotated[float, typer.Option("--altitude", metavar="M", help="Metres above the sea.")] = 0.0,
    currency: Annotated[str, typer.Option("--currency", help="Three letters: GBP.")] = "EUR",
) -> None:
    """Write a commented holding folder from a few answers.

    In a terminal it asks for the answers that no option gives.

    \b
    Example:
        $ yardland new brook --name Brook --place "54.4,-2.9" --country GB \\
            --people "f38,m40,f7" --area "1.2 ha"
        brook is written. Next: change brook/holding.toml to what is true, then
          yardland check brook
          yardland year brook
    """  # noqa: D301 (the formatter of the help wants that very character)
    given = {"place": place, "name": name, "country": country, "people": people, "area": area}
    answers = _complete({key: value for key, value in given.items() if value is not None})
    from yardland.holding.starter import parse_answers, write_starter

    write_starter(folder, parse_answers(**answers, altitude_m=altitude, currency=currency))
    typer.echo(
        f"{folder} is written. Next: change {folder}/holding.toml to what is true, then\n"
        f"  yardland check {folder}\n  yardland year {folder}"
    )


def _complete(answers: dict[str, str]) -> dict[str, str]:
    """The answers with the missing ones asked for; every missing one is a fault where nobody can be asked."""
    missing = [key for key in QUESTIONS if key not in answers]
    if missing and not sys.stdin.isatty():
        from yardland.errors import InputFaults

        raise InputFaults([_missing(key) for key in missing])
    return {**answers, **{key: typer.prompt(QUESTIONS[key]) for key in missing}}


def _missing(key: str) -> Fault:
    from yardland.errors import Fault

    return Fault("new", f"--{key}", "nothing", EXPECTED[key], f"Give --{key}, or answer the question in a terminal.")
