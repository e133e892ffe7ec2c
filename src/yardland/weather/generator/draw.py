"""Years of weather drawn from a fitted generator: by seed and year, whatever else is drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from yardland.weather import eto
from yardland.weather.generator.model import CLEARNESS, LEAST_ROOT_RANGE, MONTH_OF_DAY, Model
from yardland.weather.generator.series import clear_sky_doy_mj_m2
from yardland.weather.generator.streams import draws, effects_of_months, memory
from yardland.weather.generator.warming import Warming
from yardland.weather.sun import daylength_h, extraterrestrial_radiation_mj_m2, twilight_daylength_h
from yardland.weather.types import F64, INVENTED_YEARS, Forcing, Record
from yardland.weather.years import DAYS, KEPT, MONTH_STARTS, SUMMED, calendar_days

LEAST_WIND_M_S = 0.5
FIRST_LABEL_YEAR = 2001
"""Calendar year by which year 0 is labelled, for want of a true one: a common year."""
BLOCK = 200
"""Years drawn at a time."""


@dataclass(frozen=True)
class Drawn:
    """Calendar years of 365 days, arrays [years, 365]; `first` is the number of the first year."""

    tmin_c: F64
    tmax_c: F64
    rain_mm: F64
    rad_mj_m2: F64
    vap_kpa: F64
    wind_m_s: F64
    eto_mm: F64
    first: int
    seed: int
    latitude_deg: float
    altitude_m: float
    source: str
    notes: tuple[str, ...] = ()


def draw(
    model: Model,
    seed: int,
    years: int,
    start: int = 0,
    warming_c_per_decade: float | F64 = 0.0,
    *,
    warmer_c: float | F64 = 0.0,
    tell: Callable[[int], None] | None = None,
) -> Drawn:
    """`years` calendar years from number `start` on.

    Year n is the same whatever other years are drawn with it, in one process or several.

    Args:
        model: of `fit` or `fit_normals`.
        seed: not negative.
        years: how many, at least 1.
        start: number of the first; may be negative.
        warming_c_per_decade: added to both temperatures in proportion to the year's number, one figure or twelve by
            month; the dew point goes with Tmin, rain and radiation stay.
        warmer_c: the same to every year alike, C; one figure or twelve by month.
        tell: is told after each block how many years are drawn.

    Raises:
        ValueError: a negative seed, no years, a warming that is not finite or has not one or twelve figures.
    """
    if seed < 0 or years < 1:
        raise ValueError("a seed is not negative and years are at least one")
    warming = Warming.of(warmer_c, warming_c_per_decade)
    parts = []
    for first in range(start, start + years, BLOCK):
        parts.append(_values(model, seed, min(BLOCK, start + years - first), first))
        if tell is not None:
            tell(min(first - start + BLOCK, years))
    return _finished(model, seed, start, np.concatenate(parts), warming)


def forcing(
    model: Model,
    seed: int,
    years: int,
    start_month: int,
    start: int = 0,
    warming_c_per_decade: float | F64 = 0.0,
    *,
    warmer_c: float | F64 = 0.0,
) -> Forcing:
    """Larder years side by side as `weather.years.larder_years` gives them; lane k starts in year `start` + k.

    Each lane is led in by the year before it. Arguments and errors of `draw`; `start_month` is 1-12.
    """
    shift = int(MONTH_STARTS[start_month - 1])
    drawn = draw(model, seed, years + 2, start - 1, warming_c_per_decade, warmer_c=warmer_c)
    index = np.arange(2 * DAYS)[:, None] + shift + DAYS * np.arange(years)[None, :]
    day = np.tile(calendar_days(start_month), 2).astype(np.float64)
    lanes = (1, years)
    numbers = [FIRST_LABEL_YEAR + start + k for k in range(years)]
    return Forcing(
        **{name: np.ascontiguousarray(getattr(drawn, name).ravel()[index]) for name in (*SUMMED, *KEPT)},
        daylength_h=np.tile(daylength_h(model.latitude_deg, day)[:, None], lanes),
        twilight_daylength_h=np.tile(twilight_daylength_h(model.latitude_deg, day)[:, None], lanes),
        labels=tuple(f"drawn year {start + k}" for k in range(years)),
        start_years=tuple(numbers),
        start_month=start_month,
        led_in_by_itself=(False,) * years,
        latitude_deg=model.latitude_deg,
        source=drawn.source,
        notes=drawn.notes,
    )


def as_record(drawn: Drawn, first_year: int = FIRST_LABEL_YEAR) -> Record:
    """Drawn years as a daily record from 1 January `first_year`; 29 February is the mean of its neighbours, without rain."""
    years = len(drawn.rain_mm)
    dates = np.arange(f"{first_year:04d}-01-01", f"{first_year + years:04d}-01-01", dtype="datetime64[D]")
    months = dates.astype("datetime64[M]")
    leap = ((dates - months).astype(np.int64) == 28) & (months.astype(np.int64) % 12 == 1)
    names = ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm")
    columns: dict[str, Any] = {}
    for name in names:
        values = np.empty(len(dates))
        values[~leap] = getattr(drawn, name).ravel()
        at = np.flatnonzero(leap)
        values[at] = 0.0 if name == "rain_mm" else (values[at - 1] + values[at + 1]) / 2
        columns[name] = values
    return Record(
        dates=dates,
        **columns,
        latitude_deg=drawn.latitude_deg,
        altitude_m=drawn.altitude_m,
        source=drawn.source,
        estimated=dict.fromkeys(names, "drawn by the weather generator"),
        notes=drawn.notes,
        kind=INVENTED_YEARS,
    )


def _values(model: Model, seed: int, years: int, first: int) -> F64:
    """Transformed variables and rain, [years, 365, 6]."""
    from yardland.weather.generator.kernel import run_years

    before = memory(model.slow)
    effect_normals, daily = draws(seed, first - 1, years + 1, before)
    effects = effects_of_months(model.slow, effect_normals, before)
    rain = np.stack([getattr(model.rain, name) for name in type(model.rain).__dataclass_fields__])
    r = model.residual
    out = np.empty((years, DAYS, 6))
    run_years(
        MONTH_OF_DAY,
        rain,
        r.centre,
        r.sd,
        r.lag,
        r.shock,
        r.slow_share,
        r.bend,
        effects,
        daily.uniform,
        daily.normal,
        out,
    )
    return out


def _finished(model: Model, seed: int, start: int, values: F64, warming: Warming) -> Drawn:
    """Back from the transformed variables, with the warming, and evapotranspiration by FAO-56."""
    mean = values[:, :, 0] + warming.of_years_c(start + np.arange(len(values)))
    half = np.clip(values[:, :, 1], LEAST_ROOT_RANGE, model.residual.most_root_range[MONTH_OF_DAY]) ** 2 / 2
    low, high = mean - half, mean + half
    clear = clear_sky_doy_mj_m2(model.latitude_deg, model.altitude_m)
    rad = np.clip(1 / (1 + np.exp(-values[:, :, 2])), *CLEARNESS) * clear
    vapour = np.clip(eto.saturation_kpa(low - values[:, :, 3]), 0.01, eto.mean_saturation_kpa(low, high))
    wind = np.exp(values[:, :, 4])
    ra = extraterrestrial_radiation_mj_m2(model.latitude_deg, np.arange(1, DAYS + 1, dtype=np.float64))
    return Drawn(
        tmin_c=low,
        tmax_c=high,
        rain_mm=np.ascontiguousarray(values[:, :, 5]),
        rad_mj_m2=rad,
        vap_kpa=vapour,
        wind_m_s=wind,
        eto_mm=eto.reference_eto_mm(low, high, vapour, np.maximum(wind, LEAST_WIND_M_S), rad, ra, model.altitude_m),
        first=start,
        seed=seed,
        latitude_deg=model.latitude_deg,
        altitude_m=model.altitude_m,
        source=f"{model.source}, seed {seed}",
        notes=(*model.notes, *warming.notes),
    )
