"""Snow, the cold beneath it, chill, buds and heights against published figures."""

from __future__ import annotations

import numpy as np
import pytest
from outside import Outside

from yardland.growth.chill import utah_units
from yardland.growth.snow import cold_let_through, crown_c, snow, winter_figure
from yardland.growth.trees import buds_killed, plant_height_m
from yardland.reference import load_tables

RICHARDSON = "Richardson et al. 1974, as printed in Fresh Quarterly 13 (2021)"
AASE = "Aase and Siddoway 1979, abstract"
WSU = "Washington State table, Penn State and Utah State Extension"


def test_utah_units_by_temperature(outside: Outside) -> None:
    """Units of an hour by the bands of Richardson, Seeley and Walker 1974, HortScience 9:331-332. Standing: published."""
    hours = np.array([0.0, 1.4, 1.5, 2.4, 2.5, 9.1, 9.2, 12.4, 12.5, 15.9, 16.0, 18.0, 18.1, 30.0])
    units = [0, 0, 0.5, 0.5, 1, 1, 0.5, 0.5, 0, 0, -0.5, -0.5, -1, -1]

    outside.check_close(
        "K73", "Utah units at each end of each band", RICHARDSON, "published", units, utah_units(hours), 0
    )


def test_utah_units_of_a_made_day(outside: Outside) -> None:
    """6 hours at 0 C, 4 at 2, 8 at 5, 3 at 10, 2 at 14, 1 at 17: 0 + 2 + 8 + 1.5 + 0 - 0.5. Standing: published bands."""
    day = np.repeat([0.0, 2.0, 5.0, 10.0, 14.0, 17.0], [6, 4, 8, 3, 2, 1])

    outside.check_close("K73", "Utah units of a made day", RICHARDSON, "published", 11.0, utah_units(day).sum(), 0)


def test_melt_on_open_ground(outside: Outside) -> None:
    """A degree over freezing melts 3.51 mm in a day, 20 degrees twenty times that. Kuusisto 1980. Standing: published."""
    tmean = np.array([[-10.0], [1.0], [20.0]])
    melted = snow(load_tables(), tmean, np.array([[200.0], [0.0], [0.0]])).melted_mm
    what, source = "snow melted at -10, 1 and 20 C, mm", "Kuusisto 1980, Nordic Hydrology 11:235-242, abstract"

    outside.check_close("melt", what, source, "published", [0, 3.51, 70.2], melted, 1e-9)


def test_rain_and_snow_are_even_at_one_degree(outside: Outside) -> None:
    """Half of a day's rain is snow at 1 C, all at 0 C, none at 2 C. Standing: published."""
    fell = snow(load_tables(), np.array([[0.0], [1.0], [2.0]]), np.full((3, 1), 10.0)).fell_mm
    what, source = "of 10 mm, snow at 0, 1 and 2 C", "National Weather Service Training Center lessons"

    outside.check_close("rain or snow", what, source, "published", [10, 5, 0], fell, 1e-9)


def test_seven_centimetres_of_snow_save_hardy_wheat(outside: Outside) -> None:
    """About 7 cm prevent winterkill when air approaches -40 C; the crown's limit is -16 (less hardened) to -20 C.

    Source: Aase and Siddoway 1979, Soil Science Society of America Journal 43:1229-1233, abstract. Standing: published.
    """
    tables = load_tables()
    lies_mm = 7 * winter_figure(tables, "snow_density") / 100
    air = np.full((5, 1), -40.0)
    crown = crown_c(tables, air, np.full_like(air, lies_mm))[-1, 0]

    outside.check_between("snow", "crown beneath 7 cm of snow in air of -40 C", AASE, "published", -20, -16, crown)
    assert float(crown_c(tables, air, np.zeros_like(air))[-1, 0]) == -40


@pytest.mark.parametrize(("depth_cm", "least_c", "most_c"), [(6.5, 16.7, 19.4), (13, 22.2, 30.6)])
def test_snow_warms_the_crown(outside: Outside, depth_cm: float, least_c: float, most_c: float) -> None:
    """In air of -35 C 5 to 8 cm of snow keep the crown 30 to 35 F warmer, 13 cm and more 40 to 55 F. Standing: published."""
    tables = load_tables()
    through = float(cold_let_through(tables, np.array(depth_cm * winter_figure(tables, "snow_density") / 100)))
    what = f"how much warmer {depth_cm:g} cm of snow keep the crown in air of -35 C"
    source = "North Dakota State University and USDA, as reported"

    outside.check_between("snow", what, source, "published", least_c, most_c, 35 * (1 - through))


@pytest.mark.parametrize(
    ("species", "low_h", "high_h"),
    [("hazel", 800, 1500), ("quince", 300, 400), ("fig", 0, 100), ("kiwifruit", 600, 850)],
)
def test_more_hours_of_chill_by_species(outside: Outside, species: str, low_h: float, high_h: float) -> None:
    """Hours under 45 F that hazel (1,500, the upper end here), quince, fig (few) and kiwifruit need. Standing: published."""
    row = load_tables().row("trees", species)
    what, source = f"hours of cold that {species} needs, low and high", "Univ. of California list, reprinted"
    got = [row["chill_hours_low"], row["chill_hours_high"]]

    outside.check_same("K75", what, source, "published", [float(low_h), float(high_h)], got)


@pytest.mark.parametrize(
    ("kind", "tenth_c", "most_c"),
    [
        ("apple", [-9.4, -7.8, -5.0, -2.8, -2.2, -2.2, -2.2], [-16.7, -12.2, -9.4, -6.1, -4.4, -3.9, -3.9]),
        ("pear", [-9.4, -6.7, -4.4, -3.9, -3.3, -2.8], [-17.8, -14.4, -9.4, -7.2, -5.6, -5.0]),
        ("peach", [-7.8, -6.1, -5.0, -3.9, -3.3], [-17.2, -15.0, -12.8, -9.4, -6.1]),
    ],
)
def test_frost_on_buds_by_stage(outside: Outside, kind: str, tenth_c: list[float], most_c: list[float]) -> None:
    """What kills a tenth and nine tenths of the buds in half an hour, from the first stage to first bloom.

    Apple: silver tip, green tip, half-inch green, tight cluster, first pink, full pink, first bloom. Standing: published.
    """
    tables = load_tables()
    stages = [tables.row("buds", key) for key in tables.where("buds", kind=kind)]
    for column, words, expected in (("kill10_c", "a tenth", tenth_c), ("kill90_c", "nine tenths", most_c)):
        got = [stage.need(column) for stage in stages]
        outside.check_close("K76", f"{words} of {kind} buds killed, by stage, C", WSU, "published", expected, got, 0.1)


def test_a_night_at_each_stage_kills_its_share(outside: Outside) -> None:
    """At a stage's share of the heat its tenth-killing night kills a tenth, as the table is read. Standing: published."""
    tables = load_tables()
    apple = tables.row("trees", "apple_standard")
    stages = [tables.row("buds", key) for key in tables.where("buds", kind="apple")]
    killed = [
        buds_killed(
            tables,
            apple,
            np.array([[stage.need("kill10_c")]]),
            np.array([[stage.need("heat_share")]]),
            np.array([5]),
            (-2.2, -3.9),
        )[0]
        for stage in stages
    ]

    outside.check_close("K76", "apple buds killed by that night, share", WSU, "published", [0.1] * 7, killed, 1e-9)


def test_walnut_passes_twelve_metres_in_twenty_to_fifty_years(outside: Outside) -> None:
    """A walnut grows higher than 12 m, in 20 to 50 years. RHS plant details of Juglans regia. Standing: published."""
    tables = load_tables()
    heights = np.array([plant_height_m(tables, tables.row("trees", "walnut"), age) for age in range(80)])
    years = int(np.argmax(heights > 12))

    outside.check_between(
        "height", "years until a walnut passes 12 m", "RHS, Juglans regia", "published", 20, 50, years
    )
