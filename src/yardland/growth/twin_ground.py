"""One strip of ground in one lane, in plain Python: its layers of water and nitrogen, and what stands on it.

Part of the twin (`growth.twin`); docs/growth-water.md and docs/growth-nitrogen.md print the equations.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from yardland.growth import traits as tr
from yardland.growth.io import KernelInput

WAIT, GROW, PICK, STAND, SWARD = range(5)
UPTAKE_RATE = 0.15
"""Share of the mineral nitrogen round its roots that a crop can take up in a day (from memory)."""
FIX_NO_MORE_KG_HA = 48.0
"""Mineral nitrogen in the top soil with which a legume fixes none (Voisin and others 2002, Plant and Soil 243:31-42, pea)."""
MOIST_FROM = 0.556
"""Share of the available water from which rotting goes at full pace: 1 - 0.444, RothC-26.3 (Coleman & Jenkinson 1996)."""
DRY_ROT = 0.2
"""Pace of rotting in dry soil over that in moist soil (RothC-26.3)."""
WATERLOGGED_SHARE = 0.5
"""A day counts as waterlogged when the top soil holds more than this share of the room between field capacity and
saturation (from memory)."""


@dataclass(frozen=True)
class Soil:
    """What a strip's ground is: lists run over the layers. Water in mm above the wilting point.

    full_mm, sat_mm : at field capacity and saturation ; pass_share : of what is above field capacity, drains in a day
    hold_mm : all the water at field capacity ; dry_mm : under the wilting point, that evaporation takes from the first layer
    soaks_share : of the water that drains through the first layer, what still softens it an evening later
    """

    awc_mm_m: float
    thick_m: list[float]
    full_mm: list[float]
    sat_mm: list[float]
    pass_share: list[float]
    hold_mm: list[float]
    dry_mm: float
    tew_mm: float
    rew_mm: float
    soil_n_kg_ha_d: float
    soaks_share: float

    @classmethod
    def of(cls, given: KernelInput, strip: int) -> Soil:
        """A strip's soil out of the kernels' arrays."""
        layers = {
            name: [float(value) for value in getattr(given, name)[:, strip]]
            for name in ("thick_m", "full_mm", "sat_mm", "pass_share", "hold_mm")
        }
        plain = {
            name: float(getattr(given, name)[strip])
            for name in ("awc_mm_m", "dry_mm", "tew_mm", "rew_mm", "soil_n_kg_ha_d", "soaks_share")
        }
        return cls(**layers, **plain)  # type: ignore[arg-type]


@dataclass
class Ground:
    """A strip in a lane: water and nitrogen by layer, and the state of what stands on it; `bears` : it carries stock."""

    soil: Soil
    sowing: int
    end: int
    water_mm: list[float]
    n_kg_ha: list[float]
    fresh_n_kg_ha: float = 0.0
    evaporated_mm: float = 0.0
    soaked_mm: float = 0.0
    root_m: float = tr.SHALLOW_M
    phase: int = WAIT
    free_from: int = 0
    heat: float = 0.0
    units: float = 0.0
    vernal: float = 0.0
    hardy: float = 0.0
    set_share: float = 1.0
    scorched: float = 0.0
    kcb: float = 0.0
    crop_n_kg_ha: float = 0.0
    critical_n_kg_ha: float = 0.0
    fixed_n_kg_ha: float = 0.0
    mass_g_m2: float = 0.0
    ripe_wait: int = 0
    last_plan: int = -1
    cut_in: int = -1
    bears: bool = True
    booked: dict[str, float] = field(default_factory=dict)

    @property
    def rooted(self) -> list[float]:
        """Share of each layer that roots have reached."""
        top, shares = 0.0, []
        for thick in self.soil.thick_m:
            shares.append(min(max((self.root_m - top) / thick, 0.0), 1.0))
            top += thick
        return shares

    @property
    def within_mm(self) -> float:
        """Water above the wilting point that the roots reach."""
        return sum(share * max(mm, 0.0) for share, mm in zip(self.rooted, self.water_mm, strict=True))

    @property
    def taw_mm(self) -> float:
        """Total available water of the root zone (FAO-56 equation 82)."""
        return self.soil.awc_mm_m * self.root_m

    @property
    def depletion_mm(self) -> float:
        """Root zone depletion; below zero while water above field capacity drains."""
        return self.taw_mm - self.within_mm

    @property
    def n_index(self) -> float:
        """Nitrogen in the crop over its critical amount, 0-1 (nitrogen nutrition index)."""
        return min(self.crop_n_kg_ha / self.critical_n_kg_ha, 1.0) if self.critical_n_kg_ha > 0.0 else 1.0


def wet(ground: Ground, into_mm: float) -> tuple[float, float, float]:
    """Water goes in at the top, drains from layer to layer and carries nitrate along.

    Of what a layer holds above field capacity its `pass_share` drains in the day; what a layer cannot hold backs up, at
    the surface it runs off. Nitrogen goes with the drainage by the share d / (d + water at field capacity) (Burns 1975).

    Returns:
        mm drained out of the lowest layer, mm that ran off a full soil, kg/ha of nitrogen leached from the lowest layer.
    """
    soil, water, n = ground.soil, ground.water_mm, ground.n_kg_ha
    ground.evaporated_mm = max(ground.evaporated_mm - into_mm, 0.0)
    flow, carried = into_mm, 0.0
    for layer in range(tr.LAYERS):
        water[layer] += flow
        n[layer] += carried
        flow = soil.pass_share[layer] * max(water[layer] - soil.full_mm[layer], 0.0)
        water[layer] -= flow
        if layer == 0:
            room = soil.sat_mm[0] - soil.full_mm[0]
            ground.soaked_mm = min((ground.soaked_mm + flow) * soil.soaks_share, room)
        carried = n[layer] * flow / (flow + soil.hold_mm[layer])
        n[layer] -= carried
    backed = 0.0
    for layer in reversed(range(tr.LAYERS)):
        water[layer] += backed
        backed = max(water[layer] - soil.sat_mm[layer], 0.0)
        water[layer] -= backed
    return flow, backed, carried


def rot(ground: Ground, pace: float, fresh_rate_d: float) -> tuple[float, float]:
    """A day's nitrogen out of soil organic matter and out of fresh matter, into the top soil's two layers, kg/ha.

    `pace` is the temperature factor of RothC-26.3 (1 at 9.25 C); moisture acts by the same model's factor.
    """
    soil = ground.soil
    held = max(ground.water_mm[0] + ground.water_mm[1], 0.0) / (soil.full_mm[0] + soil.full_mm[1])
    rate = pace * min(DRY_ROT + (1.0 - DRY_ROT) * held / MOIST_FROM, 1.0)
    out_of_soil = soil.soil_n_kg_ha_d * rate
    out_of_fresh = ground.fresh_n_kg_ha * min(fresh_rate_d * rate, 1.0)
    ground.fresh_n_kg_ha -= out_of_fresh
    mix_in(ground, out_of_soil + out_of_fresh)
    return out_of_soil, out_of_fresh


def settle(ground: Ground, start_n_kg_ha: float) -> None:
    """The nitrogen of ground that a crop has just left: the start's, spread over the depth, and no fresh matter."""
    depth = sum(ground.soil.thick_m)
    ground.n_kg_ha = [start_n_kg_ha * thick / depth for thick in ground.soil.thick_m]
    ground.fresh_n_kg_ha = 0.0


def mix_in(ground: Ground, mineral_n_kg_ha: float) -> None:
    """Mineral nitrogen worked into the top soil."""
    ground.n_kg_ha[0] += tr.TOP_SHARE[0] * mineral_n_kg_ha
    ground.n_kg_ha[1] += tr.TOP_SHARE[1] * mineral_n_kg_ha


def waterlogged(ground: Ground) -> bool:
    """Whether the top soil is nearer saturation than field capacity."""
    soil = ground.soil
    full, sat = soil.full_mm[0] + soil.full_mm[1], soil.sat_mm[0] + soil.sat_mm[1]
    return ground.water_mm[0] + ground.water_mm[1] > full + WATERLOGGED_SHARE * (sat - full)


def carries(ground: Ground, tmean_c: float, over_mm: float, frozen_c: float) -> bool:
    """Whether the ground carries stock: its first layer holds hardly more than field capacity, or it is frozen.

    What drained through it counts along until the soil has had its days to settle: hooves sink longer than water runs.
    """
    return ground.water_mm[0] + ground.soaked_mm <= ground.soil.full_mm[0] + over_mm or tmean_c < frozen_c


def dry_out(ground: Ground, evaporation_mm: float, transpiration_mm: float) -> tuple[float, float]:
    """Take the day's evaporation from the first layer and its transpiration from the rooted layers by what they hold.

    Returns:
        What was there to be taken: evaporation, transpiration.
    """
    shares, water = ground.rooted, ground.water_mm
    reach = [share * max(mm, 0.0) for share, mm in zip(shares, water, strict=True)]
    total = sum(reach)
    taken = min(transpiration_mm, total)
    if total > 0.0:
        for layer in range(tr.LAYERS):
            water[layer] -= taken * reach[layer] / total
    evaporated = min(evaporation_mm, max(water[0] + ground.soil.dry_mm, 0.0))
    water[0] -= evaporated
    return evaporated, taken


def feed(ground: Ground, crop: list[float], critical_kg_ha: float) -> tuple[float, float]:
    """Nitrogen up to the critical amount, kg/ha: from the soil's rooted layers and from the air.

    A legume's air comes first: its share of what the day's growth asks for, the less the more nitrogen lies in the top soil.
    """
    want = max(critical_kg_ha - ground.crop_n_kg_ha, 0.0)
    new = max(critical_kg_ha - ground.critical_n_kg_ha, 0.0)
    lean = max(1.0 - (ground.n_kg_ha[0] + ground.n_kg_ha[1]) / FIX_NO_MORE_KG_HA, 0.0)
    fixed = min(want, crop[tr.N_FIXED] * new * lean)
    reach = [UPTAKE_RATE * share * n for share, n in zip(ground.rooted, ground.n_kg_ha, strict=True)]
    total = sum(reach)
    taken = min(want - fixed, total)
    if total > 0.0:
        for layer in range(tr.LAYERS):
            ground.n_kg_ha[layer] -= taken * reach[layer] / total
    ground.crop_n_kg_ha += taken + fixed
    ground.critical_n_kg_ha = critical_kg_ha
    ground.fixed_n_kg_ha += fixed
    return taken, fixed
