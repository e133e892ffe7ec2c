"""`yardland why`: where a figure or a result comes from."""

from __future__ import annotations

import difflib
import re
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from yardland.cli.guard import guarded
from yardland.cli.output import print_json

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.reference.why import Why


RESULTS = frozenset(
    {
        "harvest",
        "yield",
        "fruit",
        "hay",
        "soil",
        "strike",
        "coverage",
        "need",
        "store",
        "heads",
        "feed",
        "product",
        "money",
        "hours",
    }
)
"""What the key of a result begins with."""


@guarded
def why(
    key: Annotated[
        str,
        typer.Argument(
            metavar="KEY", help="A figure (crops.potato.gdd_maturity) or, with --at, a result (harvest.north.potato)."
        ),
    ],
    at: Annotated[
        Path | None, typer.Option("--at", metavar="DIR", help="The holding folder that the question is about.")
    ] = None,
    seed: Annotated[
        int | None, typer.Option("--seed", min=0, help="Seed of the year that the result is of (as in yardland year).")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the answer as one JSON object.")] = False,
) -> None:
    """Say where a figure or a result comes from.

    Keys of results: harvest.PLOT.CROP, fruit.BLOCK.SPECIES, hay.PLOT,
    soil.PLOT.nitrogen (carbon, phosphorus, potassium, lime),
    coverage.NUTRIENT.MONTH, store.GOOD.METHOD, need.PERSON.energy_kcal,
    heads.GROUP.CLASS, feed.GROUP.CLASS, product.GROUP.GOOD, hours.TASK, money.ITEM,
    strike.* (with --seed).

    \b
    Example:
        $ yardland why foods.potato.energy_kcal
        foods.potato.energy_kcal = 77 kcal
        Energy by food-specific factors, per 100 g edible
        Source: USDA National Nutrient Database for Standard Reference, release
          28 (2016)
        Standing: published
    """  # noqa: D301 (the formatter of the help wants that very character)
    from yardland.reference import load_tables

    holding = _holding(at)
    tables = load_tables(own=holding.own if holding else ())
    if key.partition(".")[0] in tables.names or holding is None:
        _show_figure(_figure(key, holding), as_json)
        return
    _show_result(key, holding, seed, as_json)


def _holding(at: Path | None) -> Holding | None:
    if at is None:
        return None
    from yardland.cli.load import load_holding

    return load_holding(at)


def _figure(key: str, holding: Holding | None) -> Why:
    from yardland.errors import Fault, InputFaults
    from yardland.reference import load_tables
    from yardland.reference.why import explain

    tables = load_tables(own=holding.own if holding else ())
    if holding is None and key.partition(".")[0] in RESULTS:
        raise InputFaults(
            [
                Fault(
                    "key",
                    key,
                    "a result without a holding",
                    "the holding that it is about",
                    f"Say: yardland why {key} --at DIR",
                )
            ]
        )
    if key.partition(".")[0] not in tables.names:
        expected = f"a figure, TABLE.ROW.COLUMN, of the tables {', '.join(sorted(tables.names))}"
        remedy = f"Look into the report, or ask for a result with --at DIR: {', '.join(sorted(RESULTS))}."
        raise InputFaults([Fault("key", key, "no such table", expected, remedy)])
    return explain(tables, key)


def _show_figure(found: Why, as_json: bool) -> None:
    if as_json:
        print_json({**_head(), **found.as_dict()})
    else:
        typer.echo("\n".join(_fill(line) for line in found.lines))


def _show_result(key: str, holding: Holding, seed: int | None, as_json: bool) -> None:
    from yardland.cli.load import reckon
    from yardland.errors import Fault, InputFaults

    result, _ = reckon(holding, seed=seed)
    key = {known.lower(): known for known in result.why}.get(key.lower(), key)
    words = result.why.get(key)
    if words is None and seed is None and key.partition(".")[0] == "strike":
        remedy = f"Say with which seed they are drawn: yardland why {key} --at DIR --seed 1"
        raise InputFaults([Fault("key", key, "a strike, and a year without any", "a year with strikes", remedy)])
    if words is None:
        near = difflib.get_close_matches(key, list(result.why), n=3, cutoff=0.4)
        raise InputFaults(
            [
                Fault(
                    "key",
                    key,
                    key,
                    "a result key of this year",
                    f"Nearest: {', '.join(near)}." if near else "See the report's section Why.",
                )
            ]
        )
    figures = [_figure(name, holding) for name in figures_in(words)]
    if as_json:
        print_json({**_head(), "key": key, "words": words, "figures": [one.as_dict() for one in figures]})
        return
    typer.echo(_fill(f"{key}: {words}"))
    for one in figures:
        typer.echo("\n" + "\n".join(_fill(line, "  ") for line in one.lines))


def figures_in(words: str) -> list[str]:
    """Keys of the tables' figures that a sentence names, in their order, each once."""
    from yardland.errors import TableError
    from yardland.reference import load_tables

    tables = load_tables()
    found = []
    for match in re.findall(r"[a-z_]+(?:\.[A-Za-z0-9_]+){2,}", words):
        if match.partition(".")[0] in tables.names and match not in found:
            try:
                tables.figure(match)
            except TableError:
                continue
            found.append(match)
    return found


def _head() -> dict[str, object]:
    from yardland.version import __version__

    return {"schema": "yardland.why/1", "version": __version__}


def _fill(words: str, indent: str = "") -> str:
    return textwrap.fill(
        words,
        80,
        initial_indent=indent,
        subsequent_indent=indent + "  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
