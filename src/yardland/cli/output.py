"""Where a command's words go: plain text for pipes, a little emphasis for terminals, one object for programs."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import typer

WIDTH = 80
NARROWEST = 40


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a summary. `style` is one of "", "head", "bad", "good", "dim"."""

    words: str = ""
    style: str = ""


STYLES = {"head": "bold", "bad": "bold red", "good": "bold green", "dim": "dim"}


def columns() -> int:
    """Columns to write in: 80, or those of a narrower terminal (40 at least)."""
    if not sys.stdout.isatty():
        return WIDTH
    return max(NARROWEST, min(WIDTH, shutil.get_terminal_size().columns))


def print_json(data: Mapping[str, object]) -> None:
    """One JSON object on standard output; refuses a number that JSON cannot hold."""
    typer.echo(json.dumps(data, ensure_ascii=False, allow_nan=False, indent=1))


def print_lines(lines: Iterable[Line]) -> None:
    """The lines, with emphasis when a person looks at them."""
    if not sys.stdout.isatty():
        typer.echo("\n".join(line.words for line in lines))
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(soft_wrap=True, highlight=False)
    for line in lines:
        console.print(Text(line.words, style=STYLES.get(line.style, "")))
