"""Looking back on a run of `yardland years`, with progress; Ctrl-C leaves it out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from yardland.cli.progress import progress

if TYPE_CHECKING:
    from yardland.larderyears.places import Place
    from yardland.larderyears.result import Odds


def looked_back(odds: Odds, place: Place, *, causes: bool) -> Odds:
    """The odds with what is seen in hindsight; without, where the run was stopped by hand, or as far as this was.

    Args:
        odds: of a run.
        place: where bad years are walked again.
        causes: whether to look for them.
    """
    from yardland.larderyears.causes import walks_of
    from yardland.larderyears.foreseen import programs
    from yardland.larderyears.hindsight import hindsight, with_causes

    run = odds.years
    if run.by_hand:
        return odds
    try:
        with progress("chains solved with foresight", programs(run)) as bounding:
            odds = replace(odds, hindsight=hindsight(run, bounding))
        if causes and odds.hindsight is not None:
            with progress("walks for causes", walks_of(run)) as walking:
                odds = replace(odds, hindsight=with_causes(odds.hindsight, run, walking, place))
    except KeyboardInterrupt:
        return odds
    return odds
