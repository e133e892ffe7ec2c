"""Water through the growth kernel: tanks, what is let out and what arrives, books that close; light; nitrogen of the soil.

The kernel is `yardland.growth.run.run_kernel` on made arrays; sources and standings stand beside each check.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from crops_kit import stand, watered
from growth_kit import holding, laid, row, tables, weather

from yardland.growth import traits as tr
from yardland.growth.crop_traits import growth_figure
from yardland.growth.ground import soil_carbon_t_ha
from yardland.growth.io import KernelInput
from yardland.growth.run import kernel_input, run_kernel
from yardland.growth.texture import class_soil
from yardland.growth.twin_crop import sward_cover
from yardland.holding.model import Water, WaterSource
from yardland.land.water import roof_water_m3

ROOF_RAIN_MM = np.array([80, 70, 60, 50, 40, 20, 10, 15, 40, 70, 90, 85.0])
TANK_M3, DEMAND_M3 = 10.0, 4.0


def twelve_steps() -> KernelInput:
    """A tank without strips whose twelve months are twelve single days; it is empty when they begin."""
    tank = Water(source={"butt": WaterSource(kind="tank", volume_m3=TANK_M3, fed_by_roof_m2=100)})
    plan, forcing = holding(water=tank), weather("cool", rain_mm=0.0)
    given, _ = kernel_input(plan, tables(), forcing, laid(plan, forcing))
    steps = slice(tr.YEAR, tr.YEAR + 12)
    month, inflow, demand = np.full(tr.AXIS, -1), np.zeros((1, tr.AXIS, 1)), np.zeros(tr.AXIS)
    month[steps] = np.arange(12)
    inflow[0, steps, 0] = roof_water_m3(ROOF_RAIN_MM, 100.0, 0.8)
    demand[steps], demand[tr.YEAR - 1] = DEMAND_M3, TANK_M3
    return replace(given, month=month, inflow_m3=inflow, demand_m3=demand)


def test_a_tank_fills_spills_and_is_drawn_in_that_order(outside) -> None:
    """A roof of 100 m2, a tank of 10 m3, 4 m3 a month: stores, spill and shortage of a worked year. Standing: computed."""
    given = twelve_steps()
    out = run_kernel(given)
    drawn = out.drawn_m3[0, :, 0]
    source = "worked by hand, add, spill, draw"
    short = [0, 0, 0, 0, 0, 0, 1.6, 2.8, 0.8, 0, 0, 0]
    outside.check_close("G56", "want of water by month, m3", source, "computed", short, out.unmet_m3[:, 0], 0.001)
    stores = []
    for number in range(12):
        # draw all that is left on the day of that month: what is drawn beyond the usual is the store of its end
        demand = given.demand_m3.copy()
        demand[tr.YEAR + number] += 2 * TANK_M3
        stores.append(float(run_kernel(replace(given, demand_m3=demand)).drawn_m3[0, number, 0] - drawn[number]))
    ends = [2.4, 4.0, 4.8, 4.8, 4.0, 1.6, 0.0, 0.0, 0.0, 1.6, 4.8, 6.0]
    outside.check_close("G56", "store at each month's end, m3", source, "computed", ends, stores, 0.001)
    inflow = float(given.inflow_m3.sum())
    got = [inflow, drawn.sum(), inflow - drawn.sum() - stores[-1]]
    outside.check_close(
        "G56", "caught, drawn and spilled in the year, m3", source, "computed", [50.4, 42.8, 1.6], got, 0.001
    )


def test_more_is_let_out_than_arrives(outside) -> None:
    """30 mm net on 0.2 ha take 70.2, 84.2, 105.3 m3 by drip, sprinkler and surface, with pipes that lose 5 %.

    Source: FAO Irrigation Water Management Training Manual 4, annex I. Standing: efficiencies from memory.
    """
    mains = Water(source={"tap": WaterSource(kind="mains")})
    plan = holding(row("cabbage"), water=mains, use="garden", watered_by=("tap",), area_m2=2000.0)
    forcing = weather("warm", rain_mm=0.2)
    given, _ = kernel_input(plan, tables(), forcing, laid(plan, forcing))
    got = []
    for application in (0.90, 0.75, 0.60):
        out = run_kernel(replace(given, efficiency=np.array([application * 0.95])))
        net_mm = out.water[tr.WATER_TERMS.index("irrigation_mm")].sum()
        assert net_mm > 30
        got.append(30.0 * out.drawn_m3.sum() / net_mm)
    what = "let out for 30 mm on 0.2 ha by drip, sprinkler, surface, m3"
    source = "FAO Training Manual 4, annex I"
    outside.check_close("G61", what, source, "from memory", [70.2, 84.2, 105.3], got, 0.1)


def test_the_books_of_the_ground_close(outside) -> None:
    """Rain + irrigation - runoff - drainage - evapotranspiration = what the ground gained, strip by strip, month by month.

    Every crop of the warm climate, from parched to drowned ground that drains slowly (FAO-56 equation 85). Standing:
    identity.
    """
    given = stand("warm", 1).given
    storms = np.where(np.arange(tr.AXIS) % 9 == 0, 9.0, 0.0)[None, :, None] * np.array([0.0, 0.5, 2.0, 60.0])
    water = np.repeat(storms, given.strips, axis=0)
    slow = replace(watered(given, water), pass_share=0.05 * given.pass_share)
    book = dict(zip(tr.WATER_TERMS, run_kernel(slow).water, strict=True))
    came = book["rain_mm"] + book["irrigation_mm"]
    went = book["runoff_mm"] + book["drainage_mm"] + book["et_mm"]
    gap = came - went - (book["end_mm"] - book["start_mm"])
    assert book["drainage_mm"].max() > 0
    assert book["runoff_mm"].max() > 0
    what = f"widest gap in the water books of {given.strips} crops by month, mm"
    outside.check_close("K40", what, "FAO-56 eq. 85, through the kernel", "identity", 0.0, np.abs(gap).max(), 1e-9)


def test_nitrogen_out_of_soil_organic_matter(outside) -> None:
    """15 cm with 2 % organic matter give 17 to 67 kg N/ha a year (1 to 4 % of what it holds; 34 at 2 %).

    Source: a fertiliser-science note for the stock, 2 % common practice. Standing: common practice.
    """
    soil = replace(class_soil(tables(), "loam"), organic_matter_pct=2.0)
    stock = 1000.0 * soil_carbon_t_ha(soil, 0.15) / growth_figure(tables(), "soil_cn_ratio")
    got = stock * growth_figure(tables(), "soil_n_mineralised_share_year")
    source = "fertiliser-science note; 1 to 4 % a year"
    what = "nitrogen out of 15 cm with 2 % organic matter, kg/ha and year"
    outside.check_between("G81", what, source, "common practice", 17, 67, got)


def test_light_caught_by_leaves(outside) -> None:
    """1 - exp(-k LAI): 0.393, 0.777, 0.858, 0.835 of the light (Monsi and Saeki 1953). Standing: computed.

    A sward's leaves are told by its dry matter: light caught per gram takes the place of k times leaf area per gram.
    """
    got = []
    for k, leaf_area in ((0.5, 1.0), (0.5, 3.0), (0.65, 3.0), (0.45, 4.0)):
        sward = [0.0] * tr.COUNT
        sward[tr.TOP], sward[tr.LIGHT_PER_MASS] = 1.0, k
        got.append(sward_cover(sward, leaf_area))
    what = "light caught at k 0.5 LAI 1, 0.5 and 3, 0.65 and 3, 0.45 and 4, share"
    expected = [0.393, 0.777, 0.858, 0.835]
    outside.check_close("K46", what, "Monsi and Saeki 1953", "computed", expected, got, 0.001)
