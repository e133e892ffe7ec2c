"""Findings about the soil by the year: phosphorus and potassium mined, carbon falling, ground too sour, lime due, no test."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from yardland.accounts.ground_nitrogen import SoilNitrogen
from yardland.accounts.ground_year import AHEAD_Y, PlotSoil, SoilNutrient
from yardland.findings.context import Context, Rule, upper_first
from yardland.growth.fertility.figures import fertility_figure
from yardland.growth.fertility.nutrients import LOW_INDEX, OXIDE_PER_ELEMENT
from yardland.holding.era import plan_year
from yardland.larderyear.result import Finding

NAMES = {"p": "phosphorus", "k": "potassium"}
OXIDES = {"p": "P2O5", "k": "K2O"}
MUCH_LEACHED_KG_HA = 80.0
"""Leaching in a year from which it is told (our band: over the usual 20 to 80 kg/ha, from memory)."""
MANY_WET_DAYS = 20.0
"""Waterlogged days in a year from which they are told (our band)."""
LEAST_WANT_KG_HA = 1.0
"""Want of an element a year under which nothing is told (our band: a hundredth of what a crop takes)."""
FEED = {
    "p": "Spread manure or compost there, or rock phosphate where the soil is sour; hay and grain that leave take it along.",
    "k": "Spread manure, compost or clean wood ash there, leave straw and tops on the land, feed hay where it grew.",
}


def listed(plots: list[PlotSoil]) -> str:
    """Names of plots."""
    return ", ".join(one.plot.replace("_", " ") for one in plots)


def part(soil: PlotSoil, name: str) -> SoilNutrient:
    """Phosphorus ("p") or potassium ("k") of a plot."""
    return soil.phosphorus if name == "p" else soil.potassium


def mined(context: Context) -> Iterator[Finding]:
    """Plots that lose phosphorus or potassium and have little of it."""
    for name in NAMES:
        yield from _mined(context, name, "tight", lambda one: one.index is not None and one.index <= LOW_INDEX)


def running_down(context: Context) -> Iterator[Finding]:
    """Plots that have enough phosphorus or potassium and at this year's want come down to a low index in ten years."""
    for name in NAMES:
        yield from _mined(
            context,
            name,
            "note",
            lambda one: (
                one.index is not None
                and one.index > LOW_INDEX
                and one.band_ahead is not None
                and int(one.band_ahead[0]) <= LOW_INDEX
            ),
        )


def _mined(context: Context, name: str, grade: str, low: Callable[[SoilNutrient], bool]) -> Iterator[Finding]:
    found = [
        soil for soil in context.result.soils if low(part(soil, name)) and part(soil, name).balance < -LEAST_WANT_KG_HA
    ]
    if not found:
        return
    worst = min(found, key=lambda soil: part(soil, name).balance)
    one = part(worst, name)
    oxide_kg_ha = one.balance * OXIDE_PER_ELEMENT[name]
    goes = (
        f"at this pace the index of {worst.plot} is {one.band_ahead} in {AHEAD_Y} years"
        if one.band_ahead != f"{one.index}"
        else f"the index of {worst.plot} is {one.index} and stays low"
    )
    key = f"soil_buffers.{worst.texture}.{'p2o5' if name == 'p' else 'k2o'}_kg_ha_per_mg_l"
    figure = context.tables.figure(key)
    yield Finding(
        grade=grade,
        title=f"{upper_first(NAMES[name])} is mined on {listed(found)}",
        what=f"More leaves in harvests than comes back in droppings, manure and compost; {goes}.",
        number=(
            f"{one.balance:+.0f} kg {name.upper()}/ha a year on {worst.plot} ({oxide_kg_ha:+.0f} kg {OXIDES[name]}), index {one.index} now"
        ),
        cause=(
            f"{one.taken:.0f} kg/ha are carried off {worst.plot}, {one.dropped:.0f} come back in droppings and "
            f"{one.dressed:.0f} in manure and compost."
        ),
        remedy=FEED[name] + " Test the soil again before you buy anything.",
        source=f"yearly balance of the plot; {key}: {figure.source} ({figure.standing})",
        subject=f"soil.{worst.plot}",
    )


def carbon_falls(context: Context) -> Iterator[Finding]:
    """Plots whose topsoil loses carbon by more than a hundredth a year; graver where it holds too little for its clay."""
    told = fertility_figure(context.tables, "carbon_fall_told")
    falling = [soil for soil in context.result.soils if soil.carbon.yearly_share < -told]
    for grade, found in (
        ("tight", [soil for soil in falling if soil.carbon.over_clay < soil.carbon.aim_over_clay]),
        ("note", [soil for soil in falling if soil.carbon.over_clay >= soil.carbon.aim_over_clay]),
    ):
        if not found:
            continue
        worst = min(found, key=lambda soil: soil.carbon.yearly_share)
        carbon = worst.carbon
        came = sum(carbon.added.values())
        guess = " (its organic matter is a guess: no test)" if "organic matter" in worst.unknown else ""
        yield Finding(
            grade=grade,
            title=f"The soil of {listed(found)} loses humus",
            what=(
                f"It decays faster than leavings, roots, droppings and manure make good. {upper_first(worst.plot)} holds "
                f"{100 * carbon.over_clay:.0f} kg of carbon to 100 kg of clay{guess}; {100 * carbon.aim_over_clay:.0f} are asked for such ground."
            ),
            number=(
                f"{100 * carbon.yearly_share:+.1f} % a year on {worst.plot}: from {carbon.stock:.0f} to {carbon.ahead:.0f} t C/ha in {AHEAD_Y} years"
            ),
            cause=f"{came:.1f} t C/ha come in the year; {carbon.holding:.1f} would hold what is there.",
            remedy="Leave straw and tops, sow green cover before the ground lies bare, bring manure or compost, put it down to a ley for some years.",
            source="RothC-26.3 by the month, Coleman & Jenkinson 1996; aim: " + _source(context, "carbon_clay_arable"),
            subject=f"soil.{worst.plot}",
        )


def _too_much(
    context: Context, amount: Callable[[SoilNitrogen], float], most: float, title: str, number: str, **words: str
) -> Iterator[Finding]:
    """A note on the plots with more of something in the year than `most`: {plots} in the title, {worst} of {plot} as number."""
    known = [(soil, amount(soil.nitrogen)) for soil in context.result.soils if soil.nitrogen is not None]
    over = [(soil, held) for soil, held in known if held > most]
    if not over:
        return
    worst, held = max(over, key=lambda one: one[1])
    yield Finding(
        grade="note",
        title=upper_first(title.format(plots=listed([soil for soil, _ in over]))),
        number=number.format(worst=held, plot=worst.plot),
        subject=f"soil.{worst.plot}.nitrogen",
        **words,
    )


def leaches(context: Context) -> Iterator[Finding]:
    """Plots from which the year's water took much nitrogen."""
    yield from _too_much(
        context,
        lambda nitrogen: nitrogen.leached,
        MUCH_LEACHED_KG_HA,
        title="Nitrogen is washed out of {plots}",
        number="{worst:.0f} kg N/ha in the year from {plot}",
        what="Rain that drains takes along what no root has taken up; it is lost to the crops and ends in wells and streams.",
        cause="Ground without living roots while it rains, or dung and manure ahead of what grows.",
        remedy="Sow a catch crop or winter cover behind early crops, dig in green stuff and manure in spring, undersow.",
        source="docs/growth-nitrogen.md; band: our choice, from memory of usual losses of 20 to 80 kg",
    )


def waterlogged(context: Context) -> Iterator[Finding]:
    """Plots whose top soil stood full of water for long."""
    yield from _too_much(
        context,
        lambda nitrogen: nitrogen.wet_days,
        MANY_WET_DAYS,
        title="{plots} stands wet",
        number="{worst:.0f} days in the year on {plot}",
        what="Roots want air: crops suffer on such days, and the yields here do not count it.",
        cause="More rain than the soil lets through.",
        remedy="Raise beds, keep ditches and drains open, do not work or graze it wet; give such ground to grass or willow.",
        source="docs/growth-water.md",
    )


def too_sour(context: Context) -> Iterator[Finding]:
    """Plots whose pH is under what a crop on them wants."""
    for soil in context.result.soils:
        sour = soil.acidity.too_sour
        if not sour or soil.acidity.ph is None:
            continue
        crops = ", ".join(f"{context.crop(crop)} ({least:g})" for crop, least in sour.items())
        key = f"crop_soil.{max(sour, key=lambda crop: sour[crop])}.least_ph"
        figure = context.tables.figure(key)
        yield Finding(
            grade="tight",
            title=f"{upper_first(soil.plot)} is too sour for {', '.join(context.crop(crop) for crop in sour)}",
            what="Under the pH named, roots stay short and food in the soil stays locked; the yields here do not count that loss.",
            number=f"pH {soil.acidity.ph:g}; wanted at least: {crops}",
            cause="Rain and harvests take lime out of the soil year by year.",
            remedy=(
                f"Lime it before sowing: {soil.acidity.lime_kg:,.0f} kg of ground limestone to pH {soil.acidity.aim_ph:g}, or grow what bears it (potatoes, rye, oats)."
                if soil.acidity.lime_kg > 0
                else "Grow it on sweeter ground, or lime a little for this crop alone; grow what bears it here."
            ),
            source=f"{key}: {figure.source} ({figure.standing})",
            subject=f"soil.{soil.plot}",
        )


def lime_due(context: Context) -> Iterator[Finding]:
    """Plots under the best pH of their use."""
    found = [soil for soil in context.result.soils if soil.acidity.lime_kg > 0]
    if not found:
        return
    doses = ", ".join(f"{soil.plot} {soil.acidity.lime_kg:,.0f} kg" for soil in found)
    over = [soil for soil in found if soil.acidity.lime_kg_ha > soil.acidity.most_once_kg_ha]
    yield Finding(
        grade="note",
        title=f"Lime is due on {listed(found)}",
        what=f"Ground limestone to the pH that suits their use: {doses}.",
        number=f"{sum(soil.acidity.lime_kg for soil in found):,.0f} kg of ground limestone",
        cause="The soil's pH is under the best for crops or grass, and a year's rain and harvests take more lime away.",
        remedy=(
            "Spread it evenly in autumn, years before potatoes rather than just before them"
            + (f"; {listed(over)} in two dressings" if over else "")
            + ". A laboratory's lime requirement is better than this chart."
        ),
        source="lime chart by texture: "
        + _cited(
            context,
            f"lime_chart.{context.tables.row('soil_buffers', found[0].texture).text('lime_chart')}.6.0.limestone_lb_100ft2",
        )
        + "; best pH: "
        + _source(context, "best_ph_arable"),
        subject="soil.lime",
    )


def untested(context: Context) -> Iterator[Finding]:
    """Soils of farmed plots without a test of what is reckoned here."""
    lacking = {what: [soil for soil in context.result.soils if what in soil.unknown] for what in _tests(context)}
    if not lacking:
        return
    words = "; ".join(f"{what} on {listed(soils)}" for what, soils in lacking.items())
    wants = [(part(soil, name).balance, name, soil) for name in NAMES for soil in lacking.get(NAMES[name], [])]
    worst = min(wants, key=lambda one: one[0], default=None)
    if worst is not None and worst[0] < -LEAST_WANT_KG_HA:
        words += f". The largest want: {worst[0]:+.0f} kg {worst[1].upper()}/ha a year on {worst[2].plot}"
    yield Finding(
        grade="note",
        title=f"No soil test of {', '.join(lacking)}",
        what=f"Without it nothing can be said of what the ground has in store: {words}.",
        number=f"{len({soil.plot for soils in lacking.values() for soil in soils})} of {len(context.result.soils)} plots",
        cause="The plan's soils have no such figures.",
        remedy=(
            "Have a laboratory test a sample of each soil and put ph, organic_matter_pct, p_index and k_index into holding.toml; "
            f"again every {fertility_figure(context.tables, 'test_every_y'):g} years."
        ),
        source=_source(context, "test_every_y"),
        subject="soil.test",
    )


def old_test(context: Context) -> Iterator[Finding]:
    """Soils that were tested too long ago."""
    start = plan_year(context.result.holding)
    old = [soil for soil in context.result.soils if soil.next_test is not None and soil.next_test.year < start]
    if not old:
        return
    first = min(soil.next_test for soil in old if soil.next_test is not None)
    yield Finding(
        grade="note",
        title=f"The soil test of {listed(old)} is old",
        what="Harvests, manure and rain have moved the soil since; what is said of it here starts from the old test.",
        number=f"due again since {first.isoformat()}",
        cause="tested_on in holding.toml.",
        remedy="Have it tested again and put the new figures into holding.toml.",
        source=_source(context, "test_every_y"),
        subject="soil.test",
    )


def _tests(context: Context) -> list[str]:
    return list(dict.fromkeys(what for soil in context.result.soils for what in soil.unknown))


def _source(context: Context, key: str) -> str:
    return _cited(context, f"fertility.{key}.number")


def _cited(context: Context, key: str) -> str:
    figure = context.tables.figure(key)
    return f"{figure.source} ({figure.standing})"


RULES: tuple[Rule, ...] = (
    mined,
    running_down,
    leaches,
    waterlogged,
    carbon_falls,
    too_sour,
    lime_due,
    untested,
    old_test,
)
