"""The twelve USDA texture classes by their bounds: what a laboratory's sand and clay are called."""

from __future__ import annotations

from collections.abc import Callable, Mapping

Bounds = Callable[[float, float, float], bool]

CLASSES: Mapping[str, Bounds] = {
    "sand": lambda _sand, silt, clay: silt + 1.5 * clay < 15,
    "loamy_sand": lambda _sand, silt, clay: silt + 1.5 * clay >= 15 and silt + 2 * clay < 30,
    "sandy_loam": lambda sand, silt, clay: (
        silt + 2 * clay >= 30 and ((7 <= clay < 20 and sand > 52) or (clay < 7 and silt < 50))
    ),
    "loam": lambda sand, silt, clay: 7 <= clay < 27 and 28 <= silt < 50 and sand <= 52,
    "silt_loam": lambda _sand, silt, clay: (silt >= 50 and 12 <= clay < 27) or (50 <= silt < 80 and clay < 12),
    "silt": lambda _sand, silt, clay: silt >= 80 and clay < 12,
    "sandy_clay_loam": lambda sand, silt, clay: 20 <= clay < 35 and silt < 28 and sand > 45,
    "clay_loam": lambda sand, _silt, clay: 27 <= clay < 40 and 20 < sand <= 45,
    "silty_clay_loam": lambda sand, _silt, clay: 27 <= clay < 40 and sand <= 20,
    "sandy_clay": lambda sand, _silt, clay: clay >= 35 and sand > 45,
    "silty_clay": lambda _sand, silt, clay: clay >= 40 and silt >= 40,
    "clay": lambda sand, silt, clay: clay >= 40 and sand <= 45 and silt < 40,
}
"""Class (key of the soils table) -> whether sand, silt and clay (% by mass of the fine earth) lie inside it.

Soil Science Division Staff 2017, Soil survey manual, USDA Handbook 18, chapter 3, "Texture classes" (bounds of sand,
loamy sand, loam, clay loam and clay seen in a glossary with the same wording, the others from memory). They part the
triangle: each point lies in one class.
"""


def texture_class(sand_pct: float, clay_pct: float) -> str:
    """USDA texture class (key of the soils table) of a soil with this much sand and clay, % by mass of the fine earth.

    Raises:
        ValueError: a percentage below 0, or more than 100 together.
    """
    silt_pct = 100.0 - sand_pct - clay_pct
    if min(sand_pct, clay_pct, silt_pct) < 0:
        raise ValueError(f"sand {sand_pct:g} % and clay {clay_pct:g} % are no soil")
    return next(name for name, inside in CLASSES.items() if inside(sand_pct, silt_pct, clay_pct))
