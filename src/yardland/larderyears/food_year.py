"""Where the food of the counted years went, a year in the mean: lines that close, their chief goods, and what they are beside the need."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larderyears.food_flows import CAME, LINES, MJ_PER_KCAL, by_line, food_flows, unclosed
from yardland.larderyears.frame import ENERGY
from yardland.larderyears.prepare import Prepared
from yardland.larderyears.run import Years

F64 = npt.NDArray[np.float64]
DAYS = 365.0


@dataclass(frozen=True)
class FoodYear:
    """Edible energy of a counted year in the mean, MJ.

    mj : line (LINES) -> MJ ; goods : line -> (good, MJ), greatest first ; need_mj : what the household needs in a year
    lacking_mj : what people lacked of it ; unclosed : the greatest of any year's (came - went) / came
    by_chain [chain, line], need_by_chain, lacking_by_chain [chain] : means of single chains
    """

    mj: dict[str, float]
    goods: dict[str, tuple[tuple[str, float], ...]]
    need_mj: float
    lacking_mj: float
    unclosed: float
    by_chain: F64
    need_by_chain: F64
    lacking_by_chain: F64

    @property
    def day_mj(self) -> float:
        """A day's energy need of the household in the mean, MJ; 1 where nobody needs any."""
        return self.need_mj / DAYS or 1.0

    @property
    def change_mj(self) -> float:
        """What lies there more at a year's end than at its beginning."""
        return self.mj["closing"] - self.mj["opening"]


def food_year(run: Years) -> FoodYear:
    """The lines of a run.

    Args:
        run: chains that are done.
    """
    prepared = run.prepared
    flows = food_flows(prepared.frame, prepared.policy.stack)
    told = run.stacked("food_mj")
    lines = by_line(flows, told)
    came = lines[..., : len(CAME)].sum(axis=-1)
    off = np.divide(np.abs(unclosed(lines)), came, out=np.zeros_like(came), where=came > 0.0)
    lacking = run.stacked("lacking_kg").sum(axis=2) * prepared.frame.larder.emergency_kcal_per_kg * MJ_PER_KCAL
    need = np.broadcast_to(need_mj(prepared, run.counted), lacking.shape)
    mean = told.mean(axis=(0, 1))
    return FoodYear(
        mj=dict(zip(LINES, lines.mean(axis=(0, 1)).tolist(), strict=True)),
        goods={line: chief(flows.pairs, mean, line) for line in LINES},
        need_mj=float(need.mean()),
        lacking_mj=float(lacking.mean()),
        unclosed=float(off.max()),
        by_chain=lines.mean(axis=1),
        need_by_chain=need.mean(axis=1),
        lacking_by_chain=lacking.mean(axis=1),
    )


def chief(pairs: tuple[tuple[str, str], ...], mean: F64, line: str) -> tuple[tuple[str, float], ...]:
    """The goods of a line by energy, greatest first, without those of none."""
    own = [(good, float(mj)) for (name, good), mj in zip(pairs, mean, strict=True) if name == line and mj != 0.0]
    return tuple(sorted(own, key=lambda one: (-one[1], one[0])))


def need_mj(prepared: Prepared, counted: slice) -> F64:
    """Energy need of each counted year of a chain, MJ; one for all where people do not grow older."""
    household = prepared.policy.household
    if household is None:
        return np.array([MJ_PER_KCAL * float(np.asarray(prepared.frame.larder.need)[ENERGY].sum())])
    need = household.need[:, ENERGY].sum(axis=1)
    years = [household.at(year) for year in range(counted.start, counted.stop)]
    return np.asarray(MJ_PER_KCAL * need[years], dtype=np.float64)
