"""Soil carbon against its papers: RothC-26.3 step by step, the inert pool, the simple estimate of the IPCC.

Sources and standings stand beside each check. No published run with all its pools was found; that inputs, pools and gas
close is held in tests/test_fertility.py.
"""

from __future__ import annotations

import numpy as np
import pytest
from outside import Outside

from yardland.growth.fertility import carbon, carbon_tier1
from yardland.growth.heat import rot_pace
from yardland.reference import load_tables

ROTHC = "Coleman & Jenkinson 1996, RothC-26.3"
FAO = "FAO 2020, GSOCseq technical manual"
RAIN_MM = np.array([74, 59, 62, 51, 52, 57, 34, 55, 58, 56, 75, 71], dtype=float)
PAN_MM = np.array([8, 10, 27, 49, 83, 99, 103, 91, 69, 34, 16, 8], dtype=float)
PAN_SHARE = 0.75
CLAY_PCT = 23.4
TABLES = load_tables()
RATES = carbon.turnover(TABLES)


def test_the_deficit_of_rothamsted_month_by_month(outside: Outside) -> None:
    """Rain and open-pan evaporation of Rothamsted give the deficits and the pace of table 1 (G65; inputs seen, outputs recomputed)."""
    greatest = carbon.greatest_deficit_mm(CLAY_PCT)
    deficit = carbon.moisture_deficit_mm(RAIN_MM, PAN_SHARE * PAN_MM, CLAY_PCT)
    pace = carbon.moisture_pace(deficit, greatest)
    what = "topsoil moisture deficit of Rothamsted, January to December, mm (inputs seen)"
    wanted = [0, 0, 0, 0, -10.25, -27.50, -44.94, -44.94, -38.69, -8.19, 0, 0]
    paces = [1, 1, 1, 1, 1, 0.758, 0.2, 0.2, 0.400, 1, 1, 1]

    outside.check_close("G65", what, f"{ROTHC}, table 1", "computed", wanted, deficit, 0.01)
    outside.check_close("G65", "the same, moisture factor b", f"{ROTHC}, table 1", "computed", paces, pace, 0.005)


def test_the_pace_by_temperature(outside: Outside) -> None:
    """Factor a at 9.25, 0, 15 and 20 C (G66, from memory)."""
    got = rot_pace(np.array([9.25, 0.0, 15.0, 20.0]))

    outside.check_close(
        "G66", "temperature factor a at 9.25, 0, 15, 20 C", ROTHC, "from memory", [1.0, 0.146, 1.907, 2.831], got, 0.002
    )


def test_what_a_month_decomposes(outside: Outside) -> None:
    """With all factors 1 a month takes these shares of the pools (G68: rates seen, shares derived)."""
    got = carbon.decomposed_share(1.0, RATES.decay_per_y)
    what = "share of DPM, RPM, BIO, HUM that decomposes in a month, a b c = 1"

    outside.check_close(
        "G68", what, f"{FAO}, eq. 4.2 and rates", "published", [0.56540, 0.02469, 0.05351, 0.00167], got, 1e-5
    )


def test_the_inert_part(outside: Outside) -> None:
    """Carbon that never decays in soils of 50 and 80 t C/ha (G70: formula seen, values derived)."""
    got = carbon.inert_t_ha([50.0, 80.0])

    outside.check_close(
        "G70",
        "inert carbon of 50 and 80 t C/ha, t/ha",
        f"Falloon et al. 1998 in {FAO}, eq. 4.1",
        "published",
        [4.220, 7.208],
        got,
        0.001,
    )


def test_the_split_of_plants_and_manure(outside: Outside) -> None:
    """Crops 59 and 41 %, woodland 20 and 80 % (FAO manual, chapter 4, seen); manure 49, 49, 2 % (seen)."""
    crops, wood = carbon.plant_split(np.array([1.44, 0.25]))
    what = "decomposable and resistant part of crops (1.44) and of woodland (0.25)"

    outside.check_close(
        "RothC", what, f"{FAO}, chapter 4", "published", [0.59, 0.41, 0.20, 0.80], [*crops[:2], *wood[:2]], 0.005
    )
    outside.check_close(
        "RothC", "parts of manure", ROTHC, "published", [0.49, 0.49, 0.0, 0.02], carbon.manure_split(RATES), 1e-9
    )


def test_gas_over_kept_by_clay(outside: Outside) -> None:
    """Gas over kept is 1.67 (1.85 + 1.60 exp(-0.0786 clay)): 3.51 at 23.4 % clay (formula seen; value derived)."""
    what = "gas over carbon kept at 0 and 23.4 % clay"

    outside.check_close(
        "RothC", what, ROTHC, "published", [5.7615, 3.5142], carbon.carbon_dioxide_over_kept([0.0, CLAY_PCT]), 0.001
    )


def test_the_simple_estimate(outside: Outside) -> None:
    """Full tillage to no-till with high input on 95 t C/ha, temperate and moist (G63, factors seen, stock chosen)."""
    climate = "temperate_moist"
    land = carbon_tier1.factor(TABLES, "2003", "land", "long_term", climate)
    full, none = (carbon_tier1.factor(TABLES, "2003", "tillage", level, climate) for level in ("full", "none"))
    medium, high = (carbon_tier1.factor(TABLES, "2003", "input", level, climate) for level in ("medium", "high"))
    before = carbon_tier1.stock_t_ha(95.0, land, full, medium)
    after = carbon_tier1.stock_t_ha(95.0, land, none, high)
    got = [before, after, carbon_tier1.yearly_change_t_ha(before, after, 20.0)]
    source = "IPCC 2003, as table 3 of Ecological Processes 2019 8:42"

    outside.check_close("G63", "stocks before and after, t C/ha", source, "published", [67.45, 86.85], got[:2], 0.01)
    outside.check_close("G63", "change, t C/ha a year", source, "published", 0.970, got[2], 0.001)


def test_the_worked_example_of_a_county(outside: Outside) -> None:
    """A million hectares before and after less tillage (IPCC 2006, volume 4, chapter 5, worked example; from memory, recomputed)."""
    climate = "temperate_moist"

    def stock(*, tillage: str, inputs: str) -> float:
        land = carbon_tier1.factor(TABLES, "2006", "land", "long_term", climate)
        factors = (
            carbon_tier1.factor(TABLES, "2006", kind, level, climate)
            for kind, level in (("tillage", tillage), ("input", inputs))
        )
        return carbon_tier1.stock_t_ha(88.0, land, *factors)

    low, medium = stock(tillage="full", inputs="low"), stock(tillage="full", inputs="medium")
    reduced, none = stock(tillage="reduced", inputs="medium"), stock(tillage="none", inputs="medium")
    before_mt = 0.4 * low + 0.6 * medium
    after_mt = 0.2 * low + 0.7 * reduced + 0.1 * none
    got = [before_mt, after_mt, carbon_tier1.yearly_change_t_ha(before_mt, after_mt, 20.0)]
    what = "stock before and after on 1 Mha, Mt C; change a year"

    outside.check_close(
        "IPCC", what, "IPCC 2006, volume 4, chapter 5, worked example", "from memory", [58.78, 64.06, 0.264], got, 0.01
    )


@pytest.mark.parametrize("edition", carbon_tier1.EDITIONS)
def test_no_edition_is_taken_for_another(edition: str) -> None:
    """Factors of no-till on moist temperate ground differ between the editions: 1.16, 1.15, 1.09 (only 2003 seen)."""
    climate = "cool_moist" if edition == "2019" else "temperate_moist"
    wanted = {"2003": 1.16, "2006": 1.15, "2019": 1.09}[edition]

    assert carbon_tier1.factor(TABLES, edition, "tillage", "none", climate) == wanted
