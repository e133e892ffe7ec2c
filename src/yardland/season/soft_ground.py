"""Days on which the ground of a plot carries stock, as the growth kernel has them for its strips."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.growth.outcome import GrowthResult
from yardland.holding.model import Holding
from yardland.ledger.months import DAYS_IN_YEAR

Bool = npt.NDArray[np.bool_]


def ground_bears(holding: Holding, grown: GrowthResult, lane: int, plot: str) -> Bool | None:
    """Days of the larder year on which the ground of a plot carries stock, [365]; None where nothing grows on its soil.

    Those of its own sward or, by area, of its beds (at least half bears); of a plot on which nothing is grown (a yard, an
    orchard's floor), those of the first ground of the same soil.
    """
    days = slice(-DAYS_IN_YEAR, None)
    swards, strips = grown.swards, grown.layout.strips
    own = [(one.area_m2, one.bears[days, lane]) for one in swards if one.plot == plot]
    own += [(one.area_m2, grown.bears[row, days, lane]) for row, one in enumerate(strips) if one.plot == plot]
    if own:
        fit = sum((area_m2 * bears for area_m2, bears in own), np.zeros(DAYS_IN_YEAR))
        return np.asarray(fit >= 0.5 * sum(area_m2 for area_m2, _ in own))
    soil = holding.plot[plot].soil if plot in holding.plot else None
    if soil is None:
        return None
    alike = [one.bears for one in swards if holding.plot[one.plot].soil == soil]
    alike += [grown.bears[row] for row, one in enumerate(strips) if holding.plot[one.plot].soil == soil]
    return alike[0][days, lane] if alike else None
