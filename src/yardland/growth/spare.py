"""What the day's rate of wells, streams and mains leaves after people, stock and beds: for swards and trees, in that order.

A tank or pond is emptied by the beds day by day inside the kernel; its water is not carried to grass and trees here.
"""

from __future__ import annotations

import numpy as np

from yardland.growth.io import F64


class Spare:
    """Water left over, taken by one user after the other.

    m3 : [source, 730, lane] ; sources : names in the order of `m3`
    """

    def __init__(self, m3: F64, sources: tuple[str, ...]) -> None:
        self.m3 = m3.copy()
        self.sources = sources

    @classmethod
    def none(cls, shape: tuple[int, ...]) -> Spare:
        """No sources at all, for weather arrays of that shape."""
        return cls(np.zeros((0, *shape)), ())

    def at_hand_m3(self, names: tuple[str, ...]) -> F64:
        """What these sources still have on each day, [730, lane]."""
        rows = self._rows(names)
        return np.asarray(self.m3[rows].sum(axis=0)) if rows else np.zeros(self.m3.shape[1:])

    def take(self, names: tuple[str, ...], wanted_m3: F64) -> F64:
        """Take water from these sources, the first named first; what came from each, [source, 730, lane]."""
        taken = np.zeros_like(self.m3)
        rest = wanted_m3
        for row in self._rows(names):
            taken[row] = np.minimum(rest, self.m3[row])
            rest = rest - taken[row]
        self.m3 -= taken
        return taken

    def _rows(self, names: tuple[str, ...]) -> list[int]:
        return [self.sources.index(name) for name in names if name in self.sources]
