"""Looking back on a run of `yardland years`, with progress; Ctrl-C leaves it out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from yardland.cli.progress import progress

if TYPE_CHECKING:
    from yardland.larderyears.result import Odds


def looked_back(odds: Odds) -> Odds:
    """The odds with what is seen in hindsight; without, where the run was stopped by hand or this is."""
    from yardland.larderyears.foreseen import programs
    from yardland.larderyears.hindsight import hindsight

    run = odds.years
    if run.by_hand:
        return odds
    try:
        with progress("chains solved with foresight", programs(run)) as bounding:
            return replace(odds, hindsight=hindsight(run, bounding))
    except KeyboardInterrupt:
        return odds
