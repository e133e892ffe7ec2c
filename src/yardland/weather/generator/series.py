"""A record as whole years on the 365-day calendar, and the five transformed variables of the residual process."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.errors import Fault, InputFaults
from yardland.weather import eto
from yardland.weather.generator.model import CLEARNESS, LEAST_ROOT_RANGE, MONTH_OF_DAY
from yardland.weather.sun import extraterrestrial_radiation_mj_m2
from yardland.weather.types import F64, Record
from yardland.weather.years import DAYS, MONTH_STARTS

LEAST_YEARS = 4
COLUMNS = ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s")


@dataclass(frozen=True)
class Series:
    """Whole years of days in order of time, 29 February's rain on the 28th; arrays are [day].

    doy : 0-364, the day of the common year; month : 0-11; year : 0, 1, ... (spans of 365 days from the first day)
    """

    columns: dict[str, F64]
    doy: npt.NDArray[np.int64]
    month: npt.NDArray[np.int64]
    year: npt.NDArray[np.int64]
    years: int
    latitude_deg: float
    altitude_m: float

    def by_month(self, values: F64) -> F64:
        """Sums by year and calendar month, [years, 12]."""
        sums = np.bincount(self.year * 12 + self.month, weights=values, minlength=12 * self.years)
        return np.asarray(sums.reshape(self.years, 12))


def series(record: Record, least_years: int = LEAST_YEARS) -> Series:
    """The whole years of a record, from the first of its first whole month.

    Raises:
        InputFaults: fewer than `least_years` whole years.
    """
    months = record.dates.astype("datetime64[M]")
    in_month = (record.dates - months).astype(np.int64)
    number = months.astype(np.int64) % 12
    leap = (in_month == 28) & (number == 1)
    columns = {name: np.array(getattr(record, name), dtype=np.float64) for name in COLUMNS}
    before = np.flatnonzero(leap[1:])
    columns["rain_mm"][before] += columns["rain_mm"][before + 1]
    firsts = np.flatnonzero((in_month == 0) & ~leap)
    first = int(firsts[0]) if len(firsts) else len(leap)
    kept = np.flatnonzero(~leap)
    kept = kept[kept >= first]
    years = len(kept) // DAYS
    if years < least_years:
        raise InputFaults([_too_short(record, least_years)])
    kept = kept[: years * DAYS]
    doy = MONTH_STARTS[number[kept]] + in_month[kept]
    return Series(
        columns={name: values[kept] for name, values in columns.items()},
        doy=doy,
        month=MONTH_OF_DAY[doy],
        year=np.repeat(np.arange(years), DAYS),
        years=years,
        latitude_deg=record.latitude_deg,
        altitude_m=record.altitude_m,
    )


def clear_sky_doy_mj_m2(latitude_deg: float, altitude_m: float) -> F64:
    """Clear-sky radiation of the 365 days (FAO-56 equation 37)."""
    ra = extraterrestrial_radiation_mj_m2(latitude_deg, np.arange(1, DAYS + 1, dtype=np.float64))
    return eto.clear_sky_mj_m2(ra, altitude_m)


def transformed(of: Series) -> F64:
    """The five VARIABLES of every day, [day, 5]."""
    c = of.columns
    clear = clear_sky_doy_mj_m2(of.latitude_deg, of.altitude_m)[of.doy]
    share = np.divide(c["rad_mj_m2"], clear, out=np.full(len(clear), 0.5), where=clear > 0.01)
    held = np.clip(share, *CLEARNESS)
    return np.column_stack(
        [
            (c["tmin_c"] + c["tmax_c"]) / 2,
            np.sqrt(np.maximum(c["tmax_c"] - c["tmin_c"], LEAST_ROOT_RANGE**2)),
            np.log(held / (1 - held)),
            c["tmin_c"] - eto.dew_point_c(np.maximum(c["vap_kpa"], 0.01)),
            np.log(np.maximum(c["wind_m_s"], 0.05)),
        ]
    )


def _too_short(record: Record, least_years: int) -> Fault:
    return Fault(
        file=record.source,
        where="whole record",
        found=f"{len(record.dates)} days",
        expected=f"at least {least_years} whole years to fit a weather generator to",
        remedy="Add years to the record, or put twelve normals (normals.csv) in its place to draw from.",
    )
