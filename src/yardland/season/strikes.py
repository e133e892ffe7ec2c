"""What hazards took in one larder year, in the terms of the plan: where, what, when, how much, what lessens it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth.hazards.chance import is_south
from yardland.growth.hazards.spans import of_this_half
from yardland.growth.hazards.strike import Strike, strikes_of
from yardland.reference import Tables
from yardland.season.plantings import day_on_axis
from yardland.weather.types import Forcing


@dataclass(frozen=True)
class StrikeYear:
    """One strike of a larder year.

    key : result key ("strike.north.potato.late_blight") ; hazard : row of the table ; account : that the harvest comes from
    subject : planting or row of trees ; plant : crop or species ; day : ISO date ; chance : of this year, given its weather
    loss_share : of what was still to be gathered ; share_lost : of the whole crop ; lost_kg [month] ; driver : weather that
    makes it likelier, in words, "" for none
    """

    key: str
    hazard: str
    name: str
    kind: str
    account: str
    subject: str
    plant: str
    good: str
    day: str
    chance: float
    loss_share: float
    share_lost: float
    lost_kg: npt.NDArray[np.float64]
    driver: str
    remedy: str
    caution: str

    @property
    def kg(self) -> float:
        """What it took over the year."""
        return float(self.lost_kg.sum())


def strike_years(
    tables: Tables, forcing: Forcing, strikes: tuple[Strike, ...], lane: int, kind: str
) -> Iterator[StrikeYear]:
    """The strikes of one lane that took from its harvest.

    Args:
        tables: the reference tables.
        forcing: weather [730, lanes].
        strikes: of all lanes.
        lane: the one that is wanted.
        kind: of their accounts, "crop" or "trees".
    """
    table, south = "crops" if kind == "crop" else "trees", is_south(forcing)
    for one in strikes_of(strikes, lane):
        hazard = one.hazard
        yield StrikeYear(
            key=f"strike.{one.id}.{hazard.key}",
            hazard=hazard.key,
            name=hazard.name,
            kind=hazard.kind,
            account=f"{kind}:{one.id if kind == 'crop' else one.subject}",
            subject=one.id,
            plant=one.plant,
            good=tables.row(table, one.plant).text("good"),
            day=day_on_axis(forcing, lane, one.day) or "",
            chance=one.chance,
            loss_share=one.loss_share,
            share_lost=one.share_lost,
            lost_kg=one.lost_kg,
            driver=of_this_half(driver_words(tables, hazard.driver), south=south),
            remedy=of_this_half(hazard.remedy, south=south),
            caution=of_this_half(hazard.caution, south=south),
        )


def driver_words(tables: Tables, driver: str) -> str:
    """The weather that makes a hazard likelier, in words; "" for none."""
    return tables.row("drivers", driver).text("common_name") if driver else ""
