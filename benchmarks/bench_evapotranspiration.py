"""Reference evapotranspiration of 1,000 years of days: own NumPy against pyet on xarray, in one run, judged equal first.

Both follow FAO-56 from measured radiation, vapour pressure and wind. Years lie side by side, [year, day], the form in
which pyet is quickest (on one long record it spells out every date and takes some fifty times as long). Two cases: clear-sky radiation
given to both, and worked out by both for each year of days. Run: python benchmarks/bench_evapotranspiration.py
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from functools import partial

import numpy as np
import pandas as pd
import pyet  # type: ignore[import-untyped] # it carries no types
import xarray as xr

from yardland.weather import eto
from yardland.weather.generator.draw import LEAST_WIND_M_S, draw
from yardland.weather.generator.normals import fit_normals
from yardland.weather.normals import shipped
from yardland.weather.sun import extraterrestrial_radiation_mj_m2
from yardland.weather.types import F64

LEAST_OVER_PYET = 2.0
LARGEST_DIFFERENCE_MM = 1e-6
GIVEN, WORKED_OUT = "clear sky given", "clear sky worked out"
DOY = np.arange(1, 366, dtype=np.float64)
Run = Callable[[], F64 | xr.DataArray]


def cases(years: int) -> dict[str, tuple[Run, Run]]:
    """For each case the call of ours and that of pyet, on the same drawn days."""
    days = draw(fit_normals(shipped()["seattle"]), 1, years)
    # FAO-56's floor of wind, which pyet leaves to its caller.
    wind = np.maximum(days.wind_m_s, LEAST_WIND_M_S)
    weather = (days.tmin_c, days.tmax_c, days.vap_kpa, wind, days.rad_mj_m2)
    latitude_deg, altitude_m = days.latitude_deg, days.altitude_m
    ra = extraterrestrial_radiation_mj_m2(latitude_deg, DOY)
    latitudes = np.full((years, 1), latitude_deg)

    label = partial(xr.DataArray, dims=("year", "time"), coords={"time": pd.date_range("2001-01-01", periods=365)})
    low, high, vapour, moved, sun = (label(values) for values in weather)
    clear = label(np.broadcast_to(eto.clear_sky_mj_m2(ra, altitude_m), days.rain_mm.shape).copy())
    cells = xr.DataArray(np.radians(latitudes[:, 0]), dims="year")

    def own_from(outside: Callable[[], F64]) -> F64:
        return eto.reference_eto_mm(*weather, outside(), altitude_m)

    def pyet_from(**sky: xr.DataArray) -> xr.DataArray:
        mean = (low + high) / 2
        eto_mm: xr.DataArray = pyet.pm_fao56(
            mean, moved, rs=sun, ea=vapour, tmin=low, tmax=high, elevation=altitude_m, **sky
        )
        return eto_mm

    return {
        GIVEN: (partial(own_from, lambda: ra), partial(pyet_from, rso=clear)),
        WORKED_OUT: (
            partial(own_from, lambda: extraterrestrial_radiation_mj_m2(latitudes, DOY)),
            partial(pyet_from, lat=cells),
        ),
    }


def measure(years: int, repeats: int = 7) -> dict[str, dict[str, float]]:
    """By case: nanoseconds a day of both, their ratio, and the largest difference, mm."""
    found = {}
    for name, (own, theirs) in cases(years).items():
        difference = float(np.abs(np.asarray(own()) - np.asarray(theirs())).max())
        ours_s, theirs_s = best_seconds((own, theirs), repeats)
        found[name] = {
            "own": ours_s / years / 365 * 1e9,
            "pyet": theirs_s / years / 365 * 1e9,
            "ratio": theirs_s / ours_s,
            "difference": difference,
        }
    return found


def best_seconds(runs: tuple[Run, Run], repeats: int) -> tuple[float, float]:
    """Least CPU time of each, taken in turn, so that a busy machine is busy for both."""
    best = [float("inf"), float("inf")]
    for _ in range(repeats):
        for index, run in enumerate(runs):
            start = time.process_time()
            run()
            best[index] = min(best[index], time.process_time() - start)
    return best[0], best[1]


def main() -> None:
    """Print the times, their ratios and whether the aim is reached."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--years", type=int, default=1000)
    given = parser.parse_args()
    found = measure(given.years)
    for name, one in found.items():
        print(
            f"{name}: own {one['own']:.0f} ns a day, pyet on xarray {one['pyet']:.0f} ns ({one['ratio']:.1f} times as "
            f"long), largest difference {one['difference']:.0e} mm"
        )
    reached = all(
        one["ratio"] >= LEAST_OVER_PYET and one["difference"] <= LARGEST_DIFFERENCE_MM for one in found.values()
    )
    words = "reached" if reached else "MISSED"
    print(f"asked: {LEAST_OVER_PYET:g} times as fast as pyet, equal to {LARGEST_DIFFERENCE_MM:g} mm: {words}")


if __name__ == "__main__":
    main()
