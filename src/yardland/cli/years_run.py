"""The runs behind one answer of `yardland years`: the plan, the plan on standard terms, another plan on the same years."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import typer

from yardland.cli.hindsight import looked_back
from yardland.cli.load import load_holding
from yardland.cli.progress import progress
from yardland.holding.model import Holding
from yardland.larderyears.asked import CHAINS_OF_A_DRAW, DRAWS, Asked
from yardland.larderyears.compared import Compared, compared
from yardland.larderyears.kept import kept_of
from yardland.larderyears.places import Place, PlaceGone, open_place
from yardland.larderyears.prepare import programs_of
from yardland.larderyears.result import Odds, odds_of
from yardland.larderyears.run import Telling, run_years
from yardland.larderyears.standard import is_standard, on_standard_terms
from yardland.larderyears.start import started_as
from yardland.reference import load_tables


@dataclass(frozen=True)
class Answer:
    """odds : of the plan ; plain : on standard terms, None where not asked or the same ; against : the other plan.

    by_hand : whether Ctrl-C ended one of the runs, so that what was to come after it is not there
    """

    odds: Odds
    plain: Odds | None = None
    against: Compared | None = None
    by_hand: bool = False


class Runner:
    """Runs plans at one place, which is opened once and closed by `close`."""

    def __init__(self, asked: Asked, *, standard: bool, start: str | None, anew: bool, causes: bool) -> None:
        """Note what is asked; a cluster is called up at once, processes begin with the first work.

        Raises:
            PlaceGone: the cluster is not there.
        """
        self.asked, self.standard, self.start, self.anew, self.causes = asked, standard, start, anew, causes
        self.place: Place = open_place(asked.jobs, asked.scheduler)
        self.gone = False
        self.said: set[str] = set()

    def reopen(self) -> None:
        """A new place for one that is gone; `gone` says that there is none."""
        self.place.close()
        try:
            self.place = open_place(self.asked.jobs, self.asked.scheduler)
        except PlaceGone:
            self.gone = True

    def close(self) -> None:
        """Give the place back."""
        self.place.close()

    def answer(self, folder: Path, against: Path | None = None, of: str = "") -> Answer:
        """Run what is asked of a holding; Ctrl-C ends with what is done by then, where that is an answer.

        Args:
            folder: of the holding.
            against: of another plan.
            of: which holding, for the progress.

        Raises:
            InputFaults: of either folder; PlaceGone among them.
        """
        holding = self.load(folder)
        other = None if against is None else self.load(against)
        odds = looked_back(self.run(holding, f"years{of}"), self.place, causes=self.causes)
        if odds.years.by_hand:
            return Answer(odds, by_hand=True)
        plain = None
        try:
            if self.standard and not is_standard(holding):
                plain = self.run(on_standard_terms(holding), f"years on standard terms{of}")
            if other is None or (plain is not None and plain.years.by_hand):
                return Answer(odds, plain, by_hand=plain is not None and plain.years.by_hand)
            beside = self.run(other, "years of the other plan")
        except KeyboardInterrupt:
            typer.echo("Stopped: the run that was under way is left out.", err=True)
            return Answer(odds, plain, by_hand=True)
        return Answer(odds, plain, compared(odds, beside), beside.years.by_hand)

    def load(self, folder: Path) -> Holding:
        """A holding, with the start that is asked for."""
        holding = load_holding(folder)
        return holding if self.start is None else started_as(holding, self.start)

    def run(self, holding: Holding, what: str) -> Odds:
        """Run and count one plan, with progress; what is done is kept in its folder."""
        asked, tables = self.asked, load_tables(own=holding.own)
        kept = kept_of(holding, asked, anew=self.anew)
        drawn = DRAWS * CHAINS_OF_A_DRAW * asked.chain_years
        with (
            progress(f"training programs of {what}", programs_of(holding)) as training,
            progress(what, asked.chains * asked.chain_years) as tell,
            progress(f"{what} under other yields", drawn) as drawing,
        ):
            telling = Telling(training, tell, drawing)
            run = run_years(holding, tables, asked, telling=telling, kept=kept, place=self.place)
        if run.unkept and run.unkept not in self.said:
            self.said.add(run.unkept)
            typer.echo(f"A run that is stopped will begin anew: chains cannot be kept ({run.unkept}).", err=True)
        return odds_of(run)
