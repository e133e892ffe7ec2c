"""Anchor of a crop: the table's yield over the model's in reference climates; a row of anchors.csv."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Anchor:
    """One crop in its reference climates (names parted by spaces); see docs/growth-anchors.md.

    days : from sowing to gathering ; dm_g_m2, light_mj_m2 : dry matter grown and light caught ; warm_share : of the light,
    after the temperature factor ; anchor : table's middle yield over the model's
    """

    crop: str
    climate: str
    days: int
    dm_g_m2: float
    light_mj_m2: float
    warm_share: float
    anchor: float
