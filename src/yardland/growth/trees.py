"""Trees, bushes and vines: what each row of plants bears in a year, by age, winter, frost at bloom, water and habit.

Crop of a plant = middle yield of the table x level x age x chill x frost x water x alternation. docs/growth-trees.md says
how each is found and what is left out (pollination, pests).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.chill import Cold, Winter, chill_factor, chill_hours, chill_units, units_needed, winter_cold
from yardland.growth.crop_traits import TENTHS_APART, growth_figure, kill_slope
from yardland.growth.io import F64, I64
from yardland.growth.one_layer import ground_water_mm, one_layer
from yardland.growth.reference_climate import reference_forcing
from yardland.growth.snow import winter_figure
from yardland.growth.soil_water import relative_yield
from yardland.growth.spare import Spare
from yardland.growth.texture import GroundSoil, soil_of
from yardland.growth.turning import Turning, turning_of
from yardland.holding.era import plan_year
from yardland.holding.model import Holding, TreeRow
from yardland.ledger.months import larder_months, month_of_day
from yardland.reference.tables import Row, Tables
from yardland.weather.types import Forcing
from yardland.weather.years import MONTH_STARTS

HALF_YEAR = 182
BLOOM_CLIMATES = ("cool", "warm")
LEAST_HEAT = 1e-9
"""Degree-days; a species that blooms at midwinter needs none, and its share must still be a number."""
EASES = {"mild": "eases_mild", "strong": "eases_strong", "very strong": "eases_very_strong"}


@dataclass(frozen=True)
class TreeYear:
    """One row of plants in every lane.

    kg [month, lane] : as gathered ; factors[name][lane] : age, chill, frost, water, alternation ; bloom_day [lane] : on
    the 730-day axis ; bloom_low_c [lane] : coldest night round bloom ; chill_h [lane] : hours of chill of the winter before
    the harvest, chill_need_h : what the species needs of them ; chill_units [lane], chill_need_units : the same in Utah
    units, None and 0 where the species is reckoned by hours ; age_y, height_m : at the harvest of the larder year,
    where lanes are of several years that of the first ; ages_y [lane] : of each ; water_m3 [source, month, lane] : given to it
    """

    id: str
    block: str
    plot: str
    species: str
    variety: str
    good: str
    count: int
    age_y: float
    mature_kg: float
    kg: F64
    factors: dict[str, F64]
    bloom_day: I64
    bloom_low_c: F64
    chill_h: F64
    chill_need_h: float
    chill_units: F64 | None
    chill_need_units: float
    height_m: float
    harvest_from: int
    harvest_days: int
    water_m3: F64
    ages_y: tuple[float, ...] = ()

    def age_in(self, lane: int) -> float:
        """Age in a lane."""
        return self.ages_y[lane] if self.ages_y else self.age_y

    @property
    def account(self) -> str:
        """Account that the crop comes from."""
        return f"trees:{self.block}.{self.species}"


def grow_trees(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    year: int | Sequence[int] | None = None,
    spare: Spare | None = None,
    turning: Turning | None = None,
) -> tuple[TreeYear, ...]:
    """Every row of every block in every lane of weather.

    Args:
        holding: the plan.
        tables: the reference tables.
        forcing: weather [730, lanes].
        year: calendar year in which the larder year starts, for the age of the trees (weather of any year may fall on
            it), one for all lanes or one for each; that of the plan (`holding.era.plan_year`) if not given.
        spare: what the sources have left over; rows on watered plots take from it, the first row first.
        turning: of the place's climate; that of the forcing's own lanes if not given. Drawn years need it, or a year
            would hang on those that are grown with it.
    """
    if not holding.block:
        return ()
    left = Spare.none(forcing.rain_mm.shape) if spare is None else spare
    sky = _Sky(
        turning=turning_of(forcing) if turning is None else turning,
        cold=_cold(holding, tables, forcing),
        water_mm=ground_water_mm(tables, forcing),
    )
    starts = (plan_year(holding) if year is None else year,) if year is None or isinstance(year, int) else tuple(year)
    grown: list[TreeYear] = []
    seen: dict[tuple[str, str], int] = {}
    for block, part in holding.block.items():
        for row in part.trees:
            seen[block, row.species] = seen.get((block, row.species), 0) + 1
            number = seen[block, row.species]
            ident = f"{block}.{row.species}" + ("" if number == 1 else f".{number}")
            place = (ident, block, part.plot)
            grown.append(_grow_row(holding, tables, forcing, sky, place, row, starts, left))
    return tuple(grown)


@dataclass(frozen=True)
class _Sky:
    """What all rows of trees share of the weather: the climate's turning points, the cold, water that reaches the ground."""

    turning: Turning
    cold: Cold
    water_mm: F64


def _cold(holding: Holding, tables: Tables, forcing: Forcing) -> Cold:
    """The cold of every day, counted in the ways that the species of the plan ask for."""
    species = {row.species for part in holding.block.values() for row in part.trees}
    if not species:
        return Cold(forcing.tmin_c)
    units = any(units_needed(tables, tables.row("trees", key)) > 0 for key in species)
    hours = chill_hours(forcing, growth_figure(tables, "chill_below_c"))
    return Cold(hours, chill_units(forcing) if units else None)


def age_share(age_y: float, first_y: float, full_y: float, life_y: float, old_share: float) -> float:
    """Share of a mature crop that a plant bears at an age.

    Nothing before its first crop; even steps up to full bearing; full until the end of its productive life, then
    falling to `old_share` at one and a half times that life, and no further.
    """
    if age_y < first_y:
        return 0.0
    if age_y < full_y:
        return (int(age_y) - int(first_y) + 1) / (full_y - first_y + 1)
    past = (age_y - life_y) / (0.5 * life_y)
    return 1.0 - (1.0 - old_share) * min(max(past, 0.0), 1.0)


def plant_height_m(tables: Tables, species: Row, age_y: float) -> float:
    """Height of an unpruned (vines: trained) plant some years after planting, m.

    H - (H - h) exp(-3 t / T), the monomolecular curve (Richards 1959, Journal of Experimental Botany 10:290-301, with
    exponent 1): h when planted, H the mature height, of which 95 % of the rise is done after T years.
    """
    mature_m = species.need("mature_height_m")
    kind = "tree" if "tree" in species.text("habit") else "bush"
    planted_m = min(winter_figure(tables, f"planted_{kind}_m"), mature_m)
    return mature_m - (mature_m - planted_m) * math.exp(-3.0 * max(age_y, 0.0) / species.need("years_to_height"))


def bloom_kill(low_c: F64, kill10_c: float, kill90_c: float) -> F64:
    """Share of open blossom killed by a night of that minimum: a tenth at `kill10_c`, nine tenths at `kill90_c`.

    Linear between the two published points and on to nothing and everything at the same slope.
    """
    slope = TENTHS_APART / (kill10_c - kill90_c)
    return np.clip(0.1 + slope * (kill10_c - low_c), 0.0, 1.0)


def _grow_row(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    sky: _Sky,
    place: tuple[str, str, str],
    row: TreeRow,
    starts: tuple[int, ...],
    spare: Spare,
) -> TreeYear:
    ident, block, plot = place
    species = tables.row("trees", row.species)
    first_day, days = _harvest(species, forcing)
    harvests = {start: date(start, forcing.start_month, 1) + timedelta(days=first_day) for start in starts}
    ages = {start: (harvest_on - row.planted).days / 365.25 for start, harvest_on in harvests.items()}
    age = ages[starts[0]]
    midwinter = sky.turning.midwinter_before(tr.YEAR + first_day)
    need_h, need_units = species["chill_hours_low"] or 0.0, units_needed(tables, species)
    turning, cold = sky.turning, sky.cold
    winter = by_hours = winter_cold(tables, need_h, cold.hours, midwinter)
    if need_units > 0 and cold.units is not None:
        winter = winter_cold(tables, need_units, cold.units, midwinter)
    heat = heat_to_bloom(tables, species, forcing, tr.YEAR + first_day, winter, turning)
    bloom = _first_open(heat, tr.YEAR + first_day)
    low = _coldest_round(tables, forcing, bloom)
    lanes = forcing.rain_mm.shape[1]
    level = growth_figure(tables, f"level_{holding.goal.level.replace(' ', '_')}")
    water, taken = _water(holding, tables, species, forcing, sky, plot, row.count, spare)
    factors = {
        "age": by_start(starts, {start: _age(tables, species, one) for start, one in ages.items()}, lanes),
        "chill": chill_factor(tables, winter.share),
        "frost": _frost(tables, species, forcing, low, heat, bloom),
        "water": water,
        "alternation": by_start(
            starts, {start: _alternation(tables, species, row, one.year) for start, one in harvests.items()}, lanes
        ),
    }
    mature = species.need("mature_yield_mid_kg")
    total = mature * level * row.count * np.prod(np.stack(list(factors.values())), axis=0)
    month = np.array(month_of_day(larder_months(2001, forcing.start_month)))
    share = np.bincount(month[(first_day + np.arange(days)) % tr.YEAR], minlength=12) / days
    return TreeYear(
        id=ident,
        block=block,
        plot=plot,
        species=row.species,
        variety=row.variety,
        good=species.text("good"),
        count=row.count,
        age_y=age,
        mature_kg=mature,
        kg=share[:, None] * total[None, :],
        factors=factors,
        bloom_day=bloom,
        bloom_low_c=low,
        chill_h=by_hours.counted,
        chill_need_h=need_h,
        chill_units=winter.counted if need_units > 0 else None,
        chill_need_units=need_units,
        height_m=plant_height_m(tables, species, age),
        harvest_from=first_day,
        harvest_days=days,
        water_m3=np.stack([np.stack([part[tr.YEAR :][month == m].sum(axis=0) for m in range(12)]) for part in taken])
        if len(taken)
        else np.zeros((0, 12, lanes)),
        ages_y=tuple(ages[start] for start in starts) if len(starts) > 1 else (),
    )


def by_start(starts: tuple[int, ...], values: dict[int, float], lanes: int) -> F64:
    """A value of each starting year in every lane, [lane]; of one year for all."""
    return np.full(lanes, values[starts[0]]) if len(starts) == 1 else np.array([values[start] for start in starts])


def _harvest(species: Row, forcing: Forcing) -> tuple[int, int]:
    """Larder day of the first gathering and days of it; the table's days are northern, half a year later in the south."""
    day = int(species.need("harvest_from_doy")) - 1 + (HALF_YEAR if forcing.latitude_deg < 0 else 0)
    return (day - int(MONTH_STARTS[forcing.start_month - 1])) % tr.YEAR, int(species["harvest_days"] or 1)


def _age(tables: Tables, species: Row, age_y: float) -> float:
    return age_share(
        age_y,
        species.need("years_to_first_crop"),
        species.need("years_to_full_bearing"),
        species.need("productive_life_years"),
        growth_figure(tables, "old_tree_share"),
    )


def _alternation(tables: Tables, species: Row, row: TreeRow, year: int) -> float:
    """On and off years in turn, for rows that are said to ease every other year; an even age is an on year."""
    figure = EASES.get(species.text("alternate_bearing"))
    if not row.eases_every_other_year or figure is None:
        return 1.0
    swing = growth_figure(tables, figure)
    return 1.0 + swing if (year - row.planted.year) % 2 == 0 else 1.0 - swing


# --- bloom and frost ---------------------------------------------------------------------------------------------------


def bloom_days(tables: Tables, species: Row, forcing: Forcing, harvest_day: int, winter: Winter | None = None) -> I64:
    """Day of full bloom before a harvest, [lane] on the 730-day axis: degree-days from midwinter reach the species' sum."""
    return _first_open(heat_to_bloom(tables, species, forcing, harvest_day, winter), harvest_day)


def heat_to_bloom(
    tables: Tables,
    species: Row,
    forcing: Forcing,
    harvest_day: int,
    winter: Winter | None = None,
    turning: Turning | None = None,
) -> F64:
    """Share of the degree-days to full bloom gathered by each day, [730, lanes]; 1 and more from full bloom.

    The sum is what the reference climates of the species' home have gathered by the table's day of bloom. Heat counts only
    once the need of chill is met (or the time for it is over), where `winter` says when that was.
    """
    base = growth_figure(tables, "bloom_base_c")
    heat = np.maximum((forcing.tmin_c + forcing.tmax_c) / 2 - base, 0.0)
    needed = bloom_heat(tables, species.need("bloom_doy"), species.text("bloom_climate"))
    turns = turning_of(forcing) if turning is None else turning
    begin = np.full(heat.shape[1], turns.midwinter_before(harvest_day))
    if winter is not None:
        begin = np.maximum(begin, winter.met_day)
    counts = np.arange(len(heat))[:, None] >= begin
    gathered = np.cumsum(np.where(counts, heat, 0.0), axis=0)
    return np.where(counts, (gathered + LEAST_HEAT) / (needed + LEAST_HEAT), -1.0)


def _first_open(share: F64, harvest_day: int) -> I64:
    """First day of full bloom, at the latest that of the harvest, [lane]."""
    reached = share >= 1.0
    day = np.where(reached.any(axis=0), np.argmax(reached, axis=0), harvest_day)
    return np.minimum(day, harvest_day).astype(np.int64)


def bloom_heat(tables: Tables, bloom_doy: float, climate: str = "") -> float:
    """Degree-days from midwinter to a day of the year, in one reference climate or as mean of the temperate ones."""
    base = growth_figure(tables, "bloom_base_c")
    sums = [
        float(_climate_heat(tables, name, base)[int(bloom_doy) - 1])
        for name in ((climate,) if climate else BLOOM_CLIMATES)
    ]
    return sum(sums) / len(sums)


@lru_cache(maxsize=16)
def _climate_heat(tables: Tables, name: str, base_c: float) -> F64:
    """Degree-days gathered since midwinter by each day of the year in a reference climate."""
    forcing = reference_forcing(tables, name)
    heat = np.maximum((forcing.tmin_c + forcing.tmax_c)[: tr.YEAR, 0] / 2 - base_c, 0.0)
    midwinter = int(tables.row("climates", name).need("coldest_doy")) - 1
    heat[:midwinter] = 0.0
    return np.cumsum(heat)


def _coldest_round(tables: Tables, forcing: Forcing, bloom: I64) -> F64:
    """Lowest night minimum from a little before full bloom until the fruit has set, [lane]."""
    before = int(growth_figure(tables, "bloom_before_days"))
    after = int(growth_figure(tables, "bloom_after_days"))
    days = np.clip(bloom[None, :] + np.arange(-before, after + 1)[:, None], 0, tr.AXIS - 1)
    return np.asarray(np.take_along_axis(forcing.tmin_c, days, axis=0).min(axis=0))


def _frost(tables: Tables, species: Row, forcing: Forcing, low_c: F64, share: F64, bloom: I64) -> F64:
    """Share of the crop that the buds and blossom left alive can set."""
    kill10, kill90 = species["bloom_kill10_c"], species["bloom_kill90_c"]
    if kill10 is None or kill90 is None:
        return np.ones_like(low_c)
    kill_slope("trees", species, kill10, kill90)
    killed = np.maximum(
        bloom_kill(low_c, kill10, kill90), buds_killed(tables, species, forcing.tmin_c, share, bloom, (kill10, kill90))
    )
    return np.minimum((1.0 - killed) / growth_figure(tables, "bloom_needed_share"), 1.0)


def buds_killed(tables: Tables, species: Row, tmin_c: F64, share: F64, bloom: I64, open_c: tuple[float, float]) -> F64:
    """Most of the buds that one night before full bloom kills, [lane]: none where the table knows no stages.

    What a bud stands goes in a line from stage to stage with the share of heat, to what open blossom stands (`open_c`:
    a tenth, nine tenths), which is never hardier than a bud. Before its first stage the bud is taken as hardy.
    """
    kind = species.text("bud_kind")
    stages = [tables.row("buds", key) for key in tables.where("buds", kind=kind)] if kind else []
    if not stages:
        return np.zeros(tmin_c.shape[1])
    at = [*(stage.need("heat_share") for stage in stages), 1.0]
    tenth, most = (
        np.interp(share, at, [*(min(stage.need(name), limit) for stage in stages), limit])
        for name, limit in zip(("kill10_c", "kill90_c"), open_c, strict=True)
    )
    slope = TENTHS_APART / (tenth - most)
    killed = np.clip(0.1 + slope * (tenth - tmin_c), 0.0, 1.0)
    shows = (share >= at[0]) & (np.arange(len(share))[:, None] <= bloom)
    return np.asarray(np.where(shows, killed, 0.0).max(axis=0))


# --- water -------------------------------------------------------------------------------------------------------------


def _water(
    holding: Holding,
    tables: Tables,
    species: Row,
    forcing: Forcing,
    sky: _Sky,
    plot: str,
    count: int,
    spare: Spare,
) -> tuple[F64, F64]:
    """Yield left by want of water over the growing half of the larder year (FAO-33 form), and the water given.

    Returns:
        The factor [lane]; cubic metres from each source [source, 730, lane].
    """
    area = count * species.need("spacing_in_row_m") * species.need("spacing_between_rows_m")
    watered = holding.plot[plot].watered_by
    ratio, given_mm = et_ratio(
        tables,
        species,
        forcing,
        soil_of(holding, tables, plot),
        1000.0 * spare.at_hand_m3(watered) / area,
        sky.turning,
        sky.water_mm,
    )
    dry = (species["chill_hours_low"] or 0.0) <= growth_figure(tables, "dry_tree_chill_h")
    ky = growth_figure(tables, "tree_ky_dry" if dry else "tree_ky")
    taken = spare.take(watered, given_mm * area / 1000.0)
    return np.array([relative_yield(ky, float(value)) for value in ratio]), taken


def et_ratio(
    tables: Tables,
    species: Row,
    forcing: Forcing,
    soil: GroundSoil,
    water_at_hand_mm: F64 | None = None,
    turning: Turning | None = None,
    water_mm: F64 | None = None,
) -> tuple[F64, F64]:
    """Evapotranspiration over what an unstressed stand would use, over the 180 warmest days before harvest.

    One layer as deep as the roots (FAO-56 equations 84, 85, 88) with the mid-season coefficient while in leaf; water at
    hand is given when the readily available water is used up.

    Returns:
        The ratio [lane]; water given, mm [730, lane].
    """
    in_leaf = _in_leaf(turning_of(forcing) if turning is None else turning)
    water = one_layer(
        tables,
        forcing,
        soil,
        root_m=species.need("rooting_depth_max_m"),
        depletion_p=species.need("depletion_fraction_p"),
        kc=np.where(in_leaf, species.need("kc_mid"), species.need("kc_ini"))[:, None],
        water_at_hand_mm=water_at_hand_mm,
        water_mm=water_mm,
    )
    first, _ = _harvest(species, forcing)
    days = np.arange(tr.AXIS)
    counted = in_leaf & (days < tr.YEAR + first) & (days >= first)
    wanted = water.etc_mm[counted]
    return (water.ks[counted] * wanted).sum(axis=0) / np.maximum(wanted.sum(axis=0), 1e-9), water.given_mm


def _in_leaf(turning: Turning) -> npt.NDArray[np.bool_]:
    """The 180 days round the warmest time of the year, True on the 730-day axis."""
    away = np.abs((np.arange(tr.AXIS) - turning.warmest + HALF_YEAR) % tr.YEAR - HALF_YEAR)
    return np.asarray(away <= 90)
