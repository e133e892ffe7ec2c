"""What is seen when a run is looked back on: foresight on the same years, tenths of years by weather, causes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from yardland.larderyears.causes import Causes, find_causes
from yardland.larderyears.foreseen import Foreseen, foreseen
from yardland.larderyears.places import Place
from yardland.larderyears.run import Years
from yardland.larderyears.tenths import Tenth, tenths


@dataclass(frozen=True)
class Hindsight:
    """What was seen.

    foreseen : the foresight bound beside the policy ; tenths : of years by weather, none under ten years
    causes : None where they were not looked for
    """

    foreseen: Foreseen
    tenths: tuple[Tenth, ...]
    causes: Causes | None = None


def hindsight(run: Years, bounding: Callable[[int], None] | None = None) -> Hindsight:
    """Look back on a run, its causes left out.

    Args:
        run: chains that are done.
        bounding: is told how many bounds are solved.

    Raises:
        LarderError: a bound was not solved, or is none.
    """
    return Hindsight(foreseen(run, bounding), tenths(run))


def with_causes(
    seen: Hindsight, run: Years, walking: Callable[[int], None] | None = None, place: Place | None = None
) -> Hindsight:
    """The same with its causes.

    Args:
        seen: without them.
        run: that was looked back on.
        walking: is told how many walks are done.
        place: where they are done; opened for them if None.

    Raises:
        LarderError: a month's program was not solved as it must be.
    """
    return replace(seen, causes=find_causes(run, walking, place))
