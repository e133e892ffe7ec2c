"""Snow, the cold beneath it, and chill against published figures."""

from __future__ import annotations

import numpy as np
import pytest

from yardland.growth.chill import utah_units
from yardland.growth.snow import cold_let_through, crown_c, snow, winter_figure
from yardland.growth.trees import plant_height_m
from yardland.reference import load_tables


@pytest.mark.parametrize(
    ("hour_c", "units"),
    [
        *((0.0, 0), (1.4, 0), (1.5, 0.5), (2.4, 0.5), (2.5, 1), (9.1, 1), (9.2, 0.5), (12.4, 0.5), (12.5, 0)),
        *((15.9, 0), (16.0, -0.5), (18.0, -0.5), (18.1, -1), (30.0, -1)),
    ],
)
def test_utah_units_by_temperature(hour_c: float, units: float) -> None:
    """Units of an hour by the bands of Richardson, Seeley and Walker.

    Source: HortScience 1974, 9:331-332, as printed in Fresh Quarterly 13 (2021), table 1. Standing: published.
    """
    assert float(utah_units(np.array(hour_c))) == units


def test_utah_units_of_a_made_day() -> None:
    """6 hours at 0 C, 4 at 2, 8 at 5, 3 at 10, 2 at 14, 1 at 17 make 11 units.

    Source: Richardson et al. 1974, computed. Standing: published (bands).
    """
    day = np.repeat([0.0, 2.0, 5.0, 10.0, 14.0, 17.0], [6, 4, 8, 3, 2, 1])

    assert float(utah_units(day).sum()) == 11.0


def test_melt_on_open_ground() -> None:
    """A degree over freezing melts 3.51 mm of snow in a day, twenty degrees twenty times that.

    Source: Kuusisto 1980, Nordic Hydrology 11:235-242. Standing: published.
    """
    tmean = np.array([[-10.0], [1.0], [20.0]])
    made = snow(load_tables(), tmean, np.array([[200.0], [0.0], [0.0]]))

    np.testing.assert_allclose(made.melted_mm[:, 0], [0, 3.51, 70.2])


def test_rain_and_snow_are_even_at_one_degree() -> None:
    """Half of the day's rain is snow at 1 C; all at 0 C; none at 2 C.

    Source: National Weather Service Training Center, River Forecast System lessons (0 to 2 C, default 1 C). Standing: published.
    """
    fell = snow(load_tables(), np.array([[0.0], [1.0], [2.0]]), np.full((3, 1), 10.0)).fell_mm

    np.testing.assert_allclose(fell[:, 0], [10, 5, 0])


def test_seven_centimetres_of_snow_save_hardy_wheat() -> None:
    """Beneath 7 cm of snow three days at -40 C leave the crown between -16 and -20 C; on bare ground it has the air's.

    Source: Aase and Siddoway 1979, Soil Science Society of America Journal 43:1229-1233 (abstract): about 7 cm prevent
    winterkill when air approaches -40 C; well hardened plants stand -20 C at the crown, less hardened -16 C. Standing: published.
    """
    tables = load_tables()
    lies_mm = 7 * winter_figure(tables, "snow_density") / 100
    air = np.full((5, 1), -40.0)

    assert -20 < float(crown_c(tables, air, np.full_like(air, lies_mm))[-1, 0]) < -16
    assert float(crown_c(tables, air, np.zeros_like(air))[-1, 0]) == -40


@pytest.mark.parametrize(("depth_cm", "least_c", "most_c"), [(6.5, 17, 19.5), (13, 22, 31)])
def test_snow_warms_the_crown(depth_cm: float, least_c: float, most_c: float) -> None:
    """In air of -35 C 5 to 8 cm of snow keep the crown 17 to 19 C warmer (30 to 35 F), 13 cm and more 22 to 31 C.

    Source: North Dakota State University and USDA, as reported by a farm weather page (2012). Standing: published.
    """
    tables = load_tables()
    let_through = float(cold_let_through(tables, np.array(depth_cm * winter_figure(tables, "snow_density") / 100)))

    assert least_c <= 35 * (1 - let_through) <= most_c


@pytest.mark.parametrize(
    ("species", "low_h", "high_h"),
    [("hazel", 800, 1500), ("quince", 300, 400), ("fig", 0, 100), ("kiwifruit", 600, 850)],
)
def test_more_hours_of_chill_by_species(species: str, low_h: float, high_h: float) -> None:
    """Hours under 45 F that hazel, quince, fig (few) and kiwifruit need; the rest is in test_growth_heat.

    Source: University of California list as reprinted (hazel: its 1,500 is the upper end here). Standing: published.
    """
    row = load_tables().row("trees", species)

    assert (row["chill_hours_low"], row["chill_hours_high"]) == (low_h, high_h)


def test_walnut_passes_twelve_metres_in_twenty_to_fifty_years() -> None:
    """A walnut grows higher than 12 m, in twenty to fifty years.

    Source: Royal Horticultural Society, plant details of Juglans regia. Standing: published.
    """
    tables = load_tables()
    walnut = tables.row("trees", "walnut")

    assert plant_height_m(tables, walnut, 20) < 12 < plant_height_m(tables, walnut, 50)
