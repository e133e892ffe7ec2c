"""A line of progress on standard error for work that may take a while: a bar, and the time left; nothing where nobody looks."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import typer

AFTER_S = 0.5
"""Work that is done sooner says nothing; what is told so soon after the first word was there already and is no measure of pace."""
CELLS = 20
"""Width of the bar."""
SURE_SHARE = 0.02
"""Part of the work that must be done before the time left is told."""
ROUNDED_S = ((90.0, 10.0, 1.0, "s"), (5400.0, 60.0, 60.0, "min"), (float("inf"), 1800.0, 3600.0, "h"))
"""Up to so many seconds: the step to round to, what a unit holds, its name."""


@dataclass
class Pace:
    """How fast work goes, from when it first says something: work that was there already does not count.

    whole : how much there is to do ; clock : seconds, ever rising
    """

    whole: int
    clock: Callable[[], float] = time.monotonic
    first: tuple[float, int] | None = field(default=None, init=False)
    settled: bool = field(default=False, init=False)

    def left_s(self, done: int) -> float | None:
        """Seconds left when so much is done; None while nobody can say."""
        now = self.clock()
        if self.first is None or (not self.settled and now - self.first[0] < AFTER_S):
            self.first = (self.first[0] if self.first else now, done)
            return None
        self.settled = True
        since_s, since = now - self.first[0], done - self.first[1]
        left = self.whole - done
        if left <= 0:
            return 0.0
        if since <= 0 or since < SURE_SHARE * (self.whole - self.first[1]):
            return None
        return since_s / since * left


def words_of(seconds: float) -> str:
    """A time in words: "about 40 s", "about 12 min", "about 2.5 h"."""
    step, unit_s, name = next((step, unit, name) for most, step, unit, name in ROUNDED_S if seconds < most)
    rounded = max(step, step * round(seconds / step))
    return f"about {rounded / unit_s:g} {name}"


def line(done: int, whole: int, what: str, left_s: float | None) -> str:
    """The line: bar, count, time left."""
    full = min(CELLS, CELLS * done // whole) if whole else CELLS
    left = "" if left_s is None or done >= whole else f", {words_of(left_s)} left"
    return f"[{'=' * full}{' ' * (CELLS - full)}] {done:,} of {whole:,} {what}{left} (Ctrl-C stops)"


@contextmanager
def progress(what: str, whole: int) -> Iterator[Callable[[int], None]]:
    """Gives a function that is told how much is done; the line goes away at the end, and on Ctrl-C.

    Args:
        what: in the plural, as in "400 of 5,000 years drawn": "years drawn".
        whole: how much there is to do.
    """
    start = time.monotonic()
    pace = Pace(whole)
    shown = False

    def tell(done: int) -> None:
        nonlocal shown
        left_s = pace.left_s(done)
        if not sys.stderr.isatty() or time.monotonic() - start < AFTER_S:
            return
        typer.echo(f"\r{line(done, whole, what, left_s)}\x1b[K", nl=False, err=True)
        shown = True

    try:
        yield tell
    finally:
        if shown:
            typer.echo("\r\x1b[K", nl=False, err=True)
