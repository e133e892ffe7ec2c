"""Three analytic years in which crops are anchored: smooth temperatures, clear rules of light, no weather.

Chosen so that every crop ripens in at least one: a cool oceanic summer, a warm continental one, a hot dry one. They
are nobody's record; their figures stand in reference/data/climates.csv.
"""

from __future__ import annotations

import numpy as np

from yardland.reference.tables import Tables
from yardland.weather.sun import daylength_h, extraterrestrial_radiation_mj_m2, twilight_daylength_h
from yardland.weather.types import Forcing

CLIMATES = ("cool", "warm", "hot")
ANGSTROM_A, ANGSTROM_B = 0.25, 0.50
"""FAO-56 equation 35 with its default coefficients."""


def reference_forcing(tables: Tables, name: str) -> Forcing:
    """One lane of the reference climate `name`, starting on 1 January: rain-free, for runs without want of water.

    Mean temperature T = mean - swing cos(2 pi (J - coldest) / 365); the night is half the daily range below it;
    radiation by FAO-56 equation 35 with the climate's share of sunshine, which also swings to its summer value.
    """
    row = tables.row("climates", name)
    day = np.tile(np.arange(1.0, 366.0), 2)
    season = np.cos(2 * np.pi * (day - row.need("coldest_doy")) / 365)
    mean = row.need("mean_c") - row.need("swing_c") * season
    half = row.need("daily_range_c") / 2
    winter, summer = row.need("sunshine_winter"), row.need("sunshine_summer")
    sunshine = (winter + summer) / 2 - (summer - winter) / 2 * season
    latitude = row.need("latitude_deg")
    rad = extraterrestrial_radiation_mj_m2(latitude, day) * (ANGSTROM_A + ANGSTROM_B * sunshine)
    return Forcing(
        tmin_c=(mean - half)[:, None],
        tmax_c=(mean + half)[:, None],
        rain_mm=np.zeros((730, 1)),
        rad_mj_m2=rad[:, None],
        eto_mm=np.full((730, 1), 2.0),
        daylength_h=daylength_h(latitude, day)[:, None],
        twilight_daylength_h=twilight_daylength_h(latitude, day)[:, None],
        labels=(name,),
        start_years=(2001,),
        start_month=1,
        led_in_by_itself=(True,),
        latitude_deg=latitude,
        source=f"analytic reference climate: {name}",
    )
