"""Manure, compost and fertiliser as they fall on a strip: what of the nitrogen is at hand at once, soon, and late.

Pure: masses and shares in, kilograms a hectare out. docs/growth-manure.md prints the equations and the sources.
"""

from __future__ import annotations

from dataclasses import dataclass

from yardland.ledger.units import M2_PER_HA


@dataclass(frozen=True, slots=True)
class Dressing:
    """What one planting is given, spread on its strip on its sowing day.

    planting : id in the layout ; plot : where ; kind : "raw manure", "compost", "bought compost" or "fertiliser"
    kg : fresh mass on the whole strip (0 for fertiliser, which is asked for by its nitrogen)
    n_total_kg_ha : all nitrogen as spread ; mineral_n_kg_ha : ammonium and nitrate nitrogen that stays in the soil
    after ammonia has gone ; fresh_n_kg_ha : organic nitrogen that comes free within a year at reference warmth
    slow_n_kg_ha : the rest, which joins the soil's organic matter ; p_kg_ha, k_kg_ha : elements ; c_kg_ha : carbon
    """

    planting: str
    plot: str
    kind: str
    kg: float
    n_total_kg_ha: float
    mineral_n_kg_ha: float
    fresh_n_kg_ha: float
    slow_n_kg_ha: float
    p_kg_ha: float
    k_kg_ha: float
    c_kg_ha: float

    @property
    def volatilised_n_kg_ha(self) -> float:
        """Nitrogen that leaves as ammonia between spreading and digging in."""
        return self.n_total_kg_ha - self.mineral_n_kg_ha - self.fresh_n_kg_ha - self.slow_n_kg_ha


@dataclass(frozen=True, slots=True)
class Analysis:
    """What a kilogram of fresh material holds as it is spread.

    n_g_kg, p_g_kg, k_g_kg, c_g_kg : elements, g/kg fresh
    ready_share : of the nitrogen, ammonium and uric acid ; released_share : of the organic nitrogen, free within a year
    """

    n_g_kg: float
    p_g_kg: float
    k_g_kg: float
    c_g_kg: float
    ready_share: float
    released_share: float


def spread(
    planting: str, plot: str, kind: str, analysis: Analysis, *, kg: float, area_m2: float, kept_share: float
) -> Dressing:
    """Fresh material on a strip.

    Args:
        planting: id in the layout.
        plot: its plot.
        kind: name of the material.
        analysis: what it holds.
        kg: fresh mass on the strip.
        area_m2: of the strip.
        kept_share: of the ready nitrogen, what is not lost as ammonia, 0-1.
    """
    t_ha = kg / area_m2 * M2_PER_HA / 1000.0
    n = t_ha * analysis.n_g_kg
    ready, organic = n * analysis.ready_share, n * (1.0 - analysis.ready_share)
    return Dressing(
        planting=planting,
        plot=plot,
        kind=kind,
        kg=kg,
        n_total_kg_ha=n,
        mineral_n_kg_ha=ready * kept_share,
        fresh_n_kg_ha=organic * analysis.released_share,
        slow_n_kg_ha=organic * (1.0 - analysis.released_share),
        p_kg_ha=t_ha * analysis.p_g_kg,
        k_kg_ha=t_ha * analysis.k_g_kg,
        c_kg_ha=t_ha * analysis.c_g_kg,
    )


def fertiliser(planting: str, plot: str, n_kg_ha: float, *, kept_share: float, held_share: float) -> Dressing:
    """Mineral nitrogen by the hectare: what leaves as ammonia is lost, part of the rest joins the humus.

    Args:
        planting: id in the layout.
        plot: its plot.
        n_kg_ha: nitrogen given.
        kept_share: of it, what does not leave as ammonia, 0-1.
        held_share: of what stays, what microbes and roots leave in the soil's humus, 0-1.
    """
    stays = n_kg_ha * kept_share
    return Dressing(
        planting, plot, "fertiliser", 0.0, n_kg_ha, stays * (1.0 - held_share), 0.0, stays * held_share, 0.0, 0.0, 0.0
    )
