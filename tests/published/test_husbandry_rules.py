"""Figures of the rules of keeping as printed, against the tables and the formulas."""

from __future__ import annotations

import numpy as np
import pytest
from outside import Outside

from yardland.findings.bees import winter_stores
from yardland.findings.context import Context
from yardland.findings.walks import host_rest
from yardland.holding.model import Round
from yardland.reference import load_tables
from yardland.stock.worms import hatching, larval_life_d

TABLES = load_tables()
MONTH_D = 365.25 / 12.0
KG_PER_LB, HA_PER_ACRE, CM_PER_INCH = 0.45359, 0.40469, 2.54
PARABOSS = "ParaBoss, How long do larvae take to die?"
WORMBOSS = "WormBoss, worm control programs, appendix 1"
PENN = "Penn State Extension, Four Steps to Rotational Grazing"


def life_months(tmax_c: float, tmin_c: float = 5.0, rain_mm: float = 50.0) -> float:
    """Life of larvae in months, if one weather stood."""
    flat = np.ones(12)
    return float(larval_life_d(TABLES, tmax_c * flat, tmin_c * flat, rain_mm * flat)[0]) / MONTH_D


def figure(key: str) -> float:
    """A figure by its full key."""
    return TABLES.figure(key).value


@pytest.mark.parametrize(("worm", "over_c"), [("brown", 8.0), ("scour", 12.0), ("barber", 18.0)])
def test_eggs_of_each_worm_hatch_over_its_warmth(outside: Outside, worm: str, over_c: float) -> None:
    """Published (seen): daily maxima over 8, 12 (or 15) and 18 C, 10-15 mm of rain within 4-10 days."""
    limit, rain = figure(f"keeping.worm_{worm}_c.number"), np.full(20, 1.2)
    warm, cold = (
        hatching(np.full(20, limit + step), rain, limit, window_d=10, least_rain_mm=10.0)[-1] for step in (0.5, -0.5)
    )

    outside.check_close(f"worm.{worm}", "daily maximum over which eggs hatch, C", WORMBOSS, "published", over_c, limit, 0.0)  # fmt: skip
    assert (bool(warm), bool(cold)) == (True, False)


def test_larvae_die_by_season_and_district(outside: Outside) -> None:
    """Published (seen): 2 and 5 months in a warm district, 3 and 6 in a cold one; maxima of 35 C are WormBoss's, the others ours."""
    got = [life_months(tmax_c) for tmax_c in (35.0, 16.0, 29.0, 10.0)]

    outside.check_close("larvae.life", "months, warm district hot and cold, cold district hot and cold", PARABOSS, "published", [2, 5, 3, 6], got, 0.2)  # fmt: skip


def test_frost_does_not_shorten_the_life_of_larvae(outside: Outside) -> None:
    """Published (seen): about six months through a cold season; frosts don't kill worms."""
    outside.check_close("larvae.frost", "months at maxima of 1 C", "ParaBoss, frosts don't kill worms", "published", 6, life_months(1.0, -5.0), 0.2)  # fmt: skip


def test_larvae_in_the_wet_tropics(outside: Outside) -> None:
    """Published (seen): Barger and others 1994: three to seven weeks; ten paddocks of 3.5 days rest 31.5 days."""
    source = "Barger et al. 1994, Veterinary Parasitology 53:109-116"
    weeks = life_months(31.0, 23.0, 250.0) * MONTH_D / 7.0
    plan = Round(order=("goats",), plots=tuple("abcdefghij"), stay_days=(3, 4))

    outside.check_between("larvae.tropics", "weeks of life at 31 C by day, 23 C by night, 250 mm a month", source, "published", 3, 7, weeks)  # fmt: skip
    outside.check_close("round.tropics", "rest of ten paddocks, d", source, "published", 31.5, host_rest(plan, ["goats"]), 0.0)  # fmt: skip


def test_dry_matter_by_live_weight(outside: Outside) -> None:
    """Published (seen): 3 % of live weight for milking cows (Cornell), 3.5-4.5 % for goats in milk (NRC 1981 reports over 5)."""
    outside.check_close("intake.cow", "dry matter, % of live weight", "Cornell worksheet", "published", 3.0, figure("stock.dairy_cow_small.dmi_pct_lw"), 0.3)  # fmt: skip
    outside.check_between("intake.doe", "dry matter, % of live weight", "NRC 1981, goats", "published", 3.5, 4.5, figure("stock.goat_dairy_doe.dmi_pct_lw"))  # fmt: skip


def test_a_centimetre_of_cover(outside: Outside) -> None:
    """Published (seen): 300 lb of dry matter an acre and inch; grazed from 7 to 4 inches 900-1000 lb an acre are eaten."""
    per_cm = 300 * KG_PER_LB / HA_PER_ACRE / CM_PER_INCH
    eaten_lb = figure("rules.pasture_kg_dm_per_cm.number") * 3 * CM_PER_INCH * HA_PER_ACRE / KG_PER_LB

    outside.check_close("cover.cm", "dry matter in a centimetre, kg/ha", PENN, "published", per_cm, figure("rules.pasture_kg_dm_per_cm.number"), pct=3)  # fmt: skip
    outside.check_between("cover.eaten", "lb/acre eaten from 7 to 4 inches", PENN, "published", 900, 1000, eaten_lb)


def test_an_animal_unit(outside: Outside) -> None:
    """Published (seen): a dry cow of 1000 lb eats 25 lb of dry matter a day."""
    outside.check_close("animal.unit", "dry matter, kg a day", PENN, "published", 25 * KG_PER_LB, figure("keeping.cow_unit_kg_d.number"), 0.1)  # fmt: skip


def test_nitrogen_of_a_hen_and_hens_a_hectare(outside: Outside) -> None:
    """Published (seen): 0.55 kg N a hen and year (NRCS, Utah State); 170 kg N/ha (91/676/EEC, published): about 300 hens."""
    hen = figure("stock.laying_hen.manure_n_g_d") * 365 / 1000.0
    hens = figure("rules.nitrogen_from_manure.number") / hen

    outside.check_close("hen.nitrogen", "kg N a hen and year", "NRCS, Utah State University Extension", "published", 0.55, hen, pct=6)  # fmt: skip
    outside.check_close("hen.hectare", "hens a hectare under 170 kg N", "computed from both", "computed", figure("rules.hens_per_ha_for_nitrogen.number"), hens, pct=3)  # fmt: skip


def test_fibre_of_rabbits(outside: Outside) -> None:
    """Published (seen): NRC 1977, crude fibre of 10-12 % for growth, 14 % for maintenance."""
    got = [figure(f"stock.{klass}.min_crude_fibre_fraction") for klass in ("rabbit_grower", "rabbit_doe", "rabbit_buck")]  # fmt: skip

    outside.check_between("rabbit.fibre", "least crude fibre, share, grower, doe, buck", "NRC 1977, rabbits, table 1", "published", 0.10, 0.14, got)  # fmt: skip


def test_room_by_the_law_of_barns(outside: Outside) -> None:
    """Published (seen, ruleworks.co.uk, ska.it): 9 layers a square metre, a nest to 7, 15 cm of perch; the table gives no less."""
    source = "Council Directive 1999/74/EC as printed by ruleworks.co.uk"
    row = TABLES.row("stock", "laying_hen")

    outside.check_between("layer.floor", "layers on a square metre of the table", source, "published", 0, figure("keeping.layers_m2.number"), 1 / row.need("floor_area_m2"))  # fmt: skip
    outside.check_close("layer.nest", "layers to a nest", source, "published", figure("keeping.birds_per_nest.number"), 1 / row.need("nest_boxes_per_bird"), 0.05)  # fmt: skip
    outside.check_between("layer.perch", "perch a layer, cm", source, "published", figure("keeping.perch_cm.number"), 20, row.need("perch_cm_per_bird"))  # fmt: skip


def test_room_by_organic_law(outside: Outside) -> None:
    """Published (seen): EU 2020/464: ducks 21 kg/m2 and 4.5 m2 out; milking cow 6 and 4.5 m2; cattle to 200 kg 2.5 and 1.9, over 350 kg 1 and 0.75 a hundred kilograms, at least 5 and 3.7.

    From memory: sheep and goats 1.5 and 2.5 m2, their young 0.35 and 0.5; sow 7.5 and 2.5, boar 6 and 8, pig of 110 kg 1.3
    and 1.0; layers 4 m2 outside.
    """
    source = "Commission Implementing Regulation (EU) 2020/464, annex I"
    duck = TABLES.row("stock", "duck_meat_pekin")
    packed = duck.need("slaughter_weight_kg") / duck.need("floor_area_m2")
    seen = {"dairy_cow_small": (6.0, 4.5), "beef_steer": (5.3, 4.0), "calf": (2.5, 1.9)}
    known = {"ewe": (1.5, 2.5), "goat_dairy_doe": (1.5, 2.5), "lamb": (0.35, 0.5), "goat_kid": (0.35, 0.5), "sow": (7.5, 2.5), "boar": (6.0, 8.0), "pig_grower": (1.3, 1.0)}  # fmt: skip

    outside.check_between("duck.floor", "kg of ducks on a square metre", source, "published", 0, 21, packed)
    outside.check_close("duck.out", "ground outside, m2", source, "published", 4.5, duck.need("outdoor_area_m2"), 0.0)
    for standing, classes in (("published", seen), ("from memory", known)):
        for klass, (inside, out) in classes.items():
            row = TABLES.row("stock", klass)
            got = [row.need("floor_area_m2"), row.need("outdoor_area_m2")]
            outside.check_close(f"room.{klass}", "floor and yard, m2", source, standing, [inside, out], got, 0.0)
    outside.check_close("layer.out", "ground outside, m2", source, "from memory", 4.0, figure("stock.laying_hen.outdoor_area_m2"), 0.0)  # fmt: skip


def test_straw_of_the_trade(outside: Outside) -> None:
    """Published (seen, Irish Farmers Journal): 7 kg a week for lowland ewes, 4-5 for hill ewes; the rest common practice."""
    trade = "figures of the trade"

    outside.check_between("straw.ewe", "straw a ewe and week, kg", "Irish Farmers Journal, Calculating straw requirements", "published", 4, 7, 7 * figure("bedding.sheep_adult.straw_kg_d"))  # fmt: skip
    for key, low, high in (("cattle", 3.0, 4.0), ("goat", 0.6, 0.9), ("pig", 2.0, 3.0)):
        outside.check_between(f"straw.{key}", "straw a head and day, kg", trade, "common practice", low, high, figure(f"bedding.{key}_adult.straw_kg_d"))  # fmt: skip
    outside.check_between("straw.hen", "straw a hen and year, kg", trade, "common practice", 1, 2, 365 * figure("bedding.chicken_adult.straw_kg_d"))  # fmt: skip


def test_hours_of_sheep_and_the_fixed_time(outside: Outside) -> None:
    """Published (seen, SAC): 1.8-7.3 h a ewe and year; common practice: 10-20 min a species and day, so that few heads cost more each."""
    row = TABLES.row("stock", "ewe")
    head, fixed = row.need("labour_min_per_head_day"), row.need("labour_min_per_herd_day_fixed")
    few, many = (head + fixed / count for count in (5, 50))

    outside.check_between("hours.ewe", "hours a ewe and year in a flock of many", "SAC, sheep labour", "published", 1.8, 7.3, head * 365 / 60)  # fmt: skip
    outside.check_between("hours.fixed", "minutes a species and day beside the heads", "practice of small holdings", "common practice", 10, 20, fixed)  # fmt: skip
    assert few > 1.5 * many


def test_winter_stores_lie_in_the_printed_spans(outside: Outside) -> None:
    """Published (seen, Ecrotek): 18-27 kg in warm to moderate, 36-40 kg in cool to cold climates."""
    from dataclasses import replace

    from fixtures_result import year_result

    def stores(coldest_c: float) -> float:
        sky = {"tmin_c": np.zeros(12), "tmax_c": np.linspace(coldest_c, 20.0, 12)}
        return winter_stores(Context(replace(year_result(), weather_months=sky), TABLES))[0]

    outside.check_between("bees.warm", "winter stores, kg a colony, mild and temperate", "Ecrotek, How much honey is enough", "published", 18, 27, [stores(12.0), stores(6.0)])  # fmt: skip
    outside.check_between("bees.cold", "winter stores, kg a colony, cold", "Ecrotek, How much honey is enough", "published", 36, 40, stores(-5.0))  # fmt: skip


def test_eggs_of_chicken_worms_in_soil(outside: Outside) -> None:
    """Published (seen): Thapa and others 2017, Parasitology 144: nine tenths gone 23 weeks after burial in April, 38 after December."""
    got = [figure(f"keeping.poultry_rest_{season}_w.number") for season in ("warm", "cold")]

    outside.check_close("poultry.rest", "weeks until nine tenths are gone, spring and winter", "Thapa et al. 2017, Parasitology 144:1060", "published", [23, 38], got, 0.0)  # fmt: skip
