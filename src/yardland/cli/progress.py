"""A line of progress on standard error for work that may take a while; nothing where nobody looks."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import typer

AFTER_S = 0.5
"""Work that is done sooner says nothing."""


@contextmanager
def progress(what: str, whole: int) -> Iterator[Callable[[int], None]]:
    """Gives a function that is told how much is done; the line goes away at the end, and on Ctrl-C.

    Args:
        what: in the plural, as in "400 of 5,000 years drawn": "years drawn".
        whole: how much there is to do.
    """
    start = time.monotonic()
    shown = False

    def tell(done: int) -> None:
        nonlocal shown
        if not sys.stderr.isatty() or time.monotonic() - start < AFTER_S:
            return
        typer.echo(f"\r{done:,} of {whole:,} {what} (Ctrl-C stops)", nl=False, err=True)
        shown = True

    try:
        yield tell
    finally:
        if shown:
            typer.echo("\r\x1b[K", nl=False, err=True)
