"""Which soil a plot stands on."""

from __future__ import annotations

from yardland.holding.model import Holding

DEFAULT_TEXTURE = "loam"
"""Taken where the plan names no soil for a plot."""


def texture_of(holding: Holding, plot: str) -> str:
    """Texture class of a plot's soil (key of the soils table)."""
    soil = holding.plot[plot].soil
    return holding.soil[soil].texture if soil and soil in holding.soil else DEFAULT_TEXTURE
