"""What is sown where and when, as the growth kernel takes it: strips of ground and the plantings that follow on them.

The `dates` room makes a `Layout`; this room grows it. Days count on the 730-day axis of a lane: 0-364 is the year
before, 365-729 the larder year.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

I64 = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Planting:
    """One crop on one strip, once a year.

    `opens` and `closes` are the first and last day of its sowing window in the year before (add 365 for the larder
    year); both may run past 365. `clear_by` is the day it must be off the land for what follows, `free_by` the day from
    which what follows could be sown. `due` is the sowing (0: in the year before, 1: in the larder year) whose harvest
    belongs to the larder year. `words` say how the window was found; a `typed` window is the user's own: it waits for
    fit ground and for growth to be possible, not for the germination temperature. `picking_days` are those of this
    climate; 0 takes the table's.
    """

    id: str
    plot: str
    crop: str
    variety: str
    line: int
    opens: int
    closes: int
    clear_by: int
    free_by: int
    due: int
    words: str
    typed: bool = False
    picking_days: float = 0.0


@dataclass(frozen=True, slots=True)
class Strip:
    """A share of a plot on which plantings follow one another."""

    id: str
    plot: str
    area_m2: float
    plantings: tuple[Planting, ...]


@dataclass(frozen=True, slots=True)
class ForageStrip:
    """A share of a crop plot under a perennial forage crop (a row of plantings.csv), grown as a sward."""

    id: str
    plot: str
    crop: str
    area_m2: float


@dataclass(frozen=True)
class Layout:
    """All strips of a holding in one larder year; `notes` say what could not be laid out as asked."""

    strips: tuple[Strip, ...]
    forage: tuple[ForageStrip, ...] = ()
    notes: tuple[str, ...] = field(default=())

    @property
    def plantings(self) -> tuple[Planting, ...]:
        """Every planting, strip by strip."""
        return tuple(planting for strip in self.strips for planting in strip.plantings)

    @property
    def sowing_rows(self) -> I64:
        """Row of the kernel's arrays for [planting, sowing]: of a strip first the year before, then the larder year."""
        rows, first = [], 0
        for strip in self.strips:
            count = len(strip.plantings)
            rows += [[first + place, first + count + place] for place in range(count)]
            first += 2 * count
        return np.array(rows, dtype=np.int64).reshape(-1, 2)
