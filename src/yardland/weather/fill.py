"""From raw columns to a complete record: what was not measured is worked out by FAO-56's procedures, and named."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.weather import eto
from yardland.weather.sun import daylength_h, extraterrestrial_radiation_mj_m2
from yardland.weather.types import F64, Record

WIND_FLOOR_M_S = 0.5
"""FAO-56 chapter 3 advises no less than 0.5 m/s in the ET_o equation (boundary layer, buoyancy)."""


@dataclass(frozen=True)
class Raw:
    """Daily weather as measured: one entry per day in `dates`, no gap between days; NaN where a value is missing.

    Required: tmin_c, tmax_c, rain_mm without NaN. The others may be None.
    """

    dates: npt.NDArray[np.datetime64]
    tmin_c: F64
    tmax_c: F64
    rain_mm: F64
    rad_mj_m2: F64 | None = None
    sun_h: F64 | None = None
    vap_kpa: F64 | None = None
    dew_c: F64 | None = None
    rh_mean_pct: F64 | None = None
    rh_min_pct: F64 | None = None
    rh_max_pct: F64 | None = None
    wind_m_s: F64 | None = None
    wind_height_m: float = 2.0
    notes: tuple[str, ...] = field(default=())


Procedure = tuple[str, Callable[[], F64 | None]]


def day_of_year(dates: npt.NDArray[np.datetime64]) -> F64:
    """Day of the year, 1-366, as floats."""
    return np.asarray((dates - dates.astype("datetime64[Y]")).astype(np.int64) + 1, dtype=np.float64)


def fill(raw: Raw, latitude_deg: float, altitude_m: float, source: str, krs: float = eto.KRS_INTERIOR) -> Record:
    """A complete `Record` with ET_o by Penman-Monteith; what is missing comes from FAO-56's procedures.

    Day by day the first procedure that has its inputs is taken. Radiation: measured, sunshine (equation 35),
    temperature range (50). Vapour pressure: measured, dew point (14), extremes of humidity (17), mean humidity (19),
    dew point = Tmin (48). Wind: measured and brought to 2 m (47), else 2 m/s. `Record.estimated` says which, for how
    many days. Radiation by temperature range is held at or under the clear-sky value (37), measured radiation under that
    outside the air (21), vapour pressure under saturation.

    Args:
        raw: measured columns.
        latitude_deg: north positive.
        altitude_m: of the place.
        source: what the record is called in results.
        krs: equation 50's coefficient: 0.16 inland, 0.19 at the coast.
    """
    ra = extraterrestrial_radiation_mj_m2(latitude_deg, day_of_year(raw.dates))
    estimated: dict[str, str] = {}
    clear = eto.clear_sky_mj_m2(ra, altitude_m)
    rad = np.minimum(_first_known("rad_mj_m2", _radiation(raw, latitude_deg, ra, clear, krs), estimated), ra)
    vapour = _first_known("vap_kpa", _vapour(raw), estimated)
    vapour = np.clip(vapour, 0.01, eto.mean_saturation_kpa(raw.tmin_c, raw.tmax_c))
    wind = _first_known("wind_m_s", _wind(raw), estimated)
    evaporation = eto.reference_eto_mm(
        raw.tmin_c, raw.tmax_c, vapour, np.maximum(wind, WIND_FLOOR_M_S), rad, ra, altitude_m
    )
    return Record(
        dates=raw.dates,
        tmin_c=raw.tmin_c,
        tmax_c=raw.tmax_c,
        rain_mm=raw.rain_mm,
        rad_mj_m2=rad,
        vap_kpa=vapour,
        wind_m_s=wind,
        eto_mm=evaporation,
        latitude_deg=latitude_deg,
        altitude_m=altitude_m,
        source=source,
        estimated=estimated,
        notes=raw.notes,
    )


def _radiation(raw: Raw, latitude_deg: float, ra: F64, clear: F64, krs: float) -> list[Procedure]:
    def by_sunshine() -> F64 | None:
        if raw.sun_h is None:
            return None
        return eto.radiation_from_sunshine_mj_m2(raw.sun_h, daylength_h(latitude_deg, day_of_year(raw.dates)), ra)

    where = "coast" if krs > (eto.KRS_INTERIOR + eto.KRS_COASTAL) / 2 else "inland"
    return [
        ("", lambda: raw.rad_mj_m2),
        ("from hours of sunshine (FAO-56 eq. 35)", by_sunshine),
        (
            f"from the range of temperature (FAO-56 eq. 50, k = {krs:g}, {where})",
            lambda: np.minimum(eto.radiation_from_range_mj_m2(raw.tmin_c, raw.tmax_c, ra, krs), clear),
        ),
    ]


def _vapour(raw: Raw) -> list[Procedure]:
    def by_extremes() -> F64 | None:
        if raw.rh_min_pct is None or raw.rh_max_pct is None:
            return None
        return eto.vapour_from_rh_range_kpa(raw.tmin_c, raw.tmax_c, raw.rh_min_pct, raw.rh_max_pct)

    def by_mean() -> F64 | None:
        if raw.rh_mean_pct is None:
            return None
        return eto.vapour_from_rh_mean_kpa(raw.tmin_c, raw.tmax_c, raw.rh_mean_pct)

    return [
        ("", lambda: raw.vap_kpa),
        (
            "from the dew point (FAO-56 eq. 14)",
            lambda: None if raw.dew_c is None else eto.vapour_from_dew_point_kpa(raw.dew_c),
        ),
        ("from the day's extremes of relative humidity (FAO-56 eq. 17)", by_extremes),
        ("from mean relative humidity (FAO-56 eq. 19)", by_mean),
        (
            "dew point taken as Tmin (FAO-56 eq. 48; too moist in dry country)",
            lambda: eto.vapour_from_dew_point_kpa(raw.tmin_c),
        ),
    ]


def _wind(raw: Raw) -> list[Procedure]:
    def measured() -> F64 | None:
        if raw.wind_m_s is None or raw.wind_height_m == 2.0:
            return raw.wind_m_s
        return eto.wind_at_2m_m_s(raw.wind_m_s, raw.wind_height_m)

    words = "" if raw.wind_height_m == 2.0 else f"brought from {raw.wind_height_m:g} m to 2 m (FAO-56 eq. 47)"
    return [
        (words, measured),
        ("taken as 2 m/s (FAO-56, missing wind)", lambda: np.full(len(raw.dates), eto.DEFAULT_WIND_M_S)),
    ]


def _first_known(name: str, procedures: list[Procedure], estimated: dict[str, str]) -> F64:
    """Day by day the value of the first procedure that knows it; the words of those used go into `estimated`."""
    values: F64 | None = None
    said: list[str] = []
    for words, procedure in procedures:
        candidate = procedure()
        if candidate is None:
            continue
        if values is None:
            values, used = np.array(candidate, dtype=np.float64), int(np.isfinite(candidate).sum())
        else:
            gaps = np.isnan(values) & np.isfinite(candidate)
            values[gaps], used = candidate[gaps], int(gaps.sum())
        if used and words:
            said.append(words if used == len(values) else f"{words}, {used} days")
        if not np.isnan(values).any():
            break
    if said:
        estimated[name] = "; ".join(said)
    if values is None:
        raise ValueError(f"no procedure gives {name}")
    return values
