"""Whether, when and how hard a hazard falls on a subject, in every lane.

All sowings of one crop on one plot are one subject: they share whether the hazard comes, its loss and the day's draw. What
each sowing loses differs by what of it is in the ground then.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth.hazards.chance import NORMAL, Norm, Outlook, driver_norms, outlooks
from yardland.growth.hazards.draws import Numbers, numbers
from yardland.growth.hazards.table import Hazard
from yardland.growth.io import F64, I64
from yardland.ledger.months import larder_months, month_of_day
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing

RECORD = "record"
"""Name of the chain whose years are those of a record."""
EVERY = ""
"""Hazard or subject that stands for all of them in a key."""


@dataclass(frozen=True)
class Fall:
    """One coming round of a hazard on one subject, [lane].

    comes : whether it comes ; loss : share of what is still to be gathered (0 where it does not come)
    place : where in the days that it may fall on, 0-1
    """

    outlook: Outlook
    comes: npt.NDArray[np.bool_]
    loss: F64
    place: F64


@dataclass(frozen=True)
class Stand:
    """Days of one planting or tree row on the 730-day axis, [lane].

    It is there from `start` and gathered from `first` to `last`; -1, or last < first, where nothing is gathered.
    """

    start: I64
    first: I64
    last: I64


class Chain:
    """The hazards of one chain of years (a record's years are one chain): looked up once for each subject."""

    def __init__(
        self,
        tables: Tables,
        forcing: Forcing,
        seed: int,
        chain: str = RECORD,
        norms: dict[str, Norm] | None = None,
    ) -> None:
        """See the class.

        Args:
            tables: the reference tables under the holding's own figures.
            forcing: weather [730, lanes]; its lanes are the years of the chain.
            seed: of the draws.
            chain: its name.
            norms: what counts as wet or warm, of a longer record (`driver_norms`); that of `forcing` unless given.
        """
        self.tables = tables
        self.forcing = forcing
        self.seed = seed
        self.chain = chain
        self._norms = driver_norms(tables, forcing) if norms is None else norms
        self.month_of_day = np.array(month_of_day(larder_months(2001, forcing.start_month)), dtype=np.int64)
        self._outlooks: dict[str, tuple[Outlook, ...]] = {}
        self._falls: dict[tuple[str, str], tuple[Fall, ...]] = {}
        self._drawn: dict[tuple[str, str, bytes], Numbers] = {}
        self._year_share = tables.row("odds", "year_share").need("number")
        self._driver_share = tables.row("odds", "driver_share").need("number")
        self._loss_common = tables.row("odds", "loss_common").need("number")

    def outlooks(self, hazard: Hazard) -> tuple[Outlook, ...]:
        """Chance of the hazard in each of its coming rounds."""
        if hazard.key not in self._outlooks:
            self._outlooks[hazard.key] = outlooks(hazard, self.tables, self.forcing, self._norms)
        return self._outlooks[hazard.key]

    def falls(self, hazard: Hazard, subject: str) -> tuple[Fall, ...]:
        """What the hazard does to a subject in each of its coming rounds."""
        if (hazard.key, subject) not in self._falls:
            self._falls[hazard.key, subject] = tuple(
                self._fall(hazard, subject, outlook) for outlook in self.outlooks(hazard)
            )
        return self._falls[hazard.key, subject]

    def _numbers(self, hazard: str, subject: str, years: I64) -> Numbers:
        """Drawn once: the numbers of a year are those of all its hazards, a hazard's those of all plots."""
        key = (hazard, subject, years.tobytes())
        if key not in self._drawn:
            self._drawn[key] = numbers(self.seed, self.chain, hazard, subject, years)
        return self._drawn[key]

    def _fall(self, hazard: Hazard, subject: str, outlook: Outlook) -> Fall:
        of_year = self._numbers(EVERY, EVERY, outlook.years)
        common = self._numbers(hazard.key, EVERY, outlook.years)
        own = self._numbers(hazard.key, subject, outlook.years)
        # the weather is in the bar already: what is left has variance 1
        year = self._year_share / (1.0 - (self._driver_share if hazard.driver else 0.0))
        held = (1.0 - year) * hazard.holding_share
        draw = (
            math.sqrt(year) * of_year.strike
            + math.sqrt(held) * common.strike
            + math.sqrt(max(1.0 - year - held, 0.0)) * own.strike
        )
        comes = draw > outlook.bar
        hard = math.sqrt(self._loss_common) * common.loss + math.sqrt(1.0 - self._loss_common) * own.loss
        loss = np.zeros(len(comes))
        lanes = np.flatnonzero(comes)
        loss[lanes] = [loss_at(hazard, NORMAL.cdf(one)) for one in hard[lanes].tolist()]
        # hail falls on all plots on one day; what comes to a crop does so in its own time
        return Fall(outlook, comes, loss, common.day if hazard.on_date else own.day)


def loss_at(hazard: Hazard, share: float) -> float:
    """The loss that this share (0-1) of strikes stays under."""
    return size_at(hazard.loss_low, hazard.loss, hazard.loss_high, share)


def size_at(low: float, middle: float, high: float, share: float) -> float:
    """The size that this share (0-1) of all stays under.

    Even from the low to the middle figure and from the middle to the high, in such parts that the mean is the middle.
    """
    if high <= low:
        return middle
    under = (high - middle) / (high - low)
    if share < under:
        return low + (middle - low) * share / under
    return middle + (high - middle) * (share - under) / max(1.0 - under, 1e-12)


def days_within(hazard: Hazard, outlook: Outlook, stand: Stand) -> tuple[I64, I64]:
    """First and last day on which the hazard may fall on a stand, [lane]; last < first where it cannot.

    What falls on a date may fall on any day of its months. What comes to the crop comes while it is there in these
    months, and before it is gathered if it can.
    """
    if hazard.on_date:
        return np.full_like(stand.start, outlook.first), np.full_like(stand.start, outlook.last)
    first = np.maximum(outlook.first, stand.start)
    last = np.minimum(outlook.last, stand.last)
    before = np.minimum(last, stand.first)
    return first, np.where(before >= first, before, np.minimum(first, last))


def day_of(hazard: Hazard, fall: Fall, stand: Stand) -> I64:
    """Day of the axis on which it falls on a stand, [lane]; -1 where it misses it."""
    first, last = days_within(hazard, fall.outlook, stand)
    day = first + np.floor(fall.place * (last - first + 1)).astype(np.int64)
    there = (last >= first) & (stand.start >= 0) & (stand.last >= stand.first)
    return np.where(fall.comes & there & (day >= stand.start) & (day <= stand.last), day, -1)


def expected_share(hazard: Hazard, outlook: Outlook, stand: Stand) -> F64:
    """Share of a stand's crop that this round takes on average, [lane]: chance x loss x what is still to be gathered.

    What is gathered is taken to be gathered evenly.
    """
    first, last = days_within(hazard, outlook, stand)
    left = np.zeros(len(first))
    for lane in np.flatnonzero((last >= first) & (stand.start >= 0) & (stand.last >= stand.first)):
        day = np.arange(first[lane], last[lane] + 1)
        there = (day >= stand.start[lane]) & (day <= stand.last[lane])
        whole = stand.last[lane] - stand.first[lane] + 1
        still = np.clip(stand.last[lane] - np.maximum(day, stand.first[lane]) + 1, 0, whole) / whole
        left[lane] = float((still * there).mean())
    return outlook.chance * hazard.loss * left
