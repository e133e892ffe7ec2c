"""What is seen when a run is looked back on: foresight on the same years, and the tenths of years by weather."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from yardland.larderyears.foreseen import Foreseen, foreseen
from yardland.larderyears.run import Years
from yardland.larderyears.tenths import Tenth, tenths


@dataclass(frozen=True)
class Hindsight:
    """foreseen : the foresight bound beside the policy ; tenths : of years by weather, none under ten years."""

    foreseen: Foreseen
    tenths: tuple[Tenth, ...]


def hindsight(run: Years, bounding: Callable[[int], None] | None = None) -> Hindsight:
    """Look back on a run.

    Args:
        run: chains that are done.
        bounding: is told how many bounds are solved.

    Raises:
        LarderError: a bound was not solved, or is none.
    """
    return Hindsight(foreseen(run, bounding), tenths(run))
