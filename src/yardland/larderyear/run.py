"""Compute one larder year of a holding: season, larder, ledger and accounts, gathered into a result without findings."""

from __future__ import annotations

import re

import numpy as np
import numpy.typing as npt

from yardland.accounts.food import energy_by_group_kcal, shares
from yardland.accounts.grass import grass_dm_kg
from yardland.accounts.ground_year import ground_year
from yardland.accounts.keeping_year import keeping_year
from yardland.accounts.law import worst_miss
from yardland.accounts.left_lying import left_lying
from yardland.accounts.produce import produce
from yardland.accounts.purse import money_by_item
from yardland.accounts.rooms import store_litres
from yardland.accounts.terms import bought_energy_share, feed_dm_kg
from yardland.accounts.work import hours_by_week
from yardland.errors import Fault, InputFaults, YardlandError
from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.holding.unheard import unheard_note
from yardland.land.areas import fence_runs, plot_grounds
from yardland.larder.causes import find_causes
from yardland.larder.feed_fodder import fodder_count
from yardland.larder.feed_law import region_of
from yardland.larder.feed_leavings import leavings
from yardland.larder.needs import average_need, guest_needs, household_need
from yardland.larder.plan import Plan
from yardland.larder.program import solve
from yardland.larder.table_notes import table_notes
from yardland.larder.upper import over_upper
from yardland.larderyear.pasture import pasture_year, yard_year
from yardland.larderyear.result import Finding, YearResult
from yardland.larderyear.strikes import with_strikes
from yardland.larderyear.why import reasons
from yardland.ledger.months import larder_months
from yardland.reference import Tables
from yardland.season.flows import year_ledger
from yardland.season.season import Season, run_season
from yardland.season.sky import lane_of
from yardland.season.trees import tree_outcomes
from yardland.weather.read import load_weather
from yardland.weather.types import Forcing, Record
from yardland.weather.years import larder_years
from yardland.works.hours import available_hours

F64 = npt.NDArray[np.float64]
BOOKS_TOLERANCE = 1e-9
DIRE_BELOW = 0.80
USUAL_SEED = 1
"""Of days made from normals, where no seed is asked for."""
SURVIVAL = ("energy_kcal", "protein_g")
SKY_NAMES = {
    "tmin_c": "daily minimum",
    "tmax_c": "daily maximum",
    "rain_mm": "rain",
    "rad_mj_m2": "sunshine",
    "vap_kpa": "vapour pressure",
    "wind_m_s": "wind",
    "eto_mm": "evapotranspiration",
}
"""Columns of a weather record in words."""


class BooksError(YardlandError):
    """The ledger does not keep the law of conservation: our fault, not the user's."""


def run_year(
    holding: Holding,
    tables: Tables,
    *,
    weather_year: int | None = None,
    seed: int | None = None,
    from_stores: bool = False,
    rotation_year: int = 1,
) -> YearResult:
    """One larder year, with foresight within that year.

    Args:
        holding: the plan.
        tables: reference tables under the holding's own figures.
        weather_year: calendar year in which the larder year starts; the last complete one of the record if None.
        seed: of hail, pests and disease (none falls if None), and of the days where only normals are known.
        from_stores: begin with stores.csv and leave the books open; else the year ends as it began.
        rotation_year: which year of the rotation stands.

    Raises:
        InputFaults: weather that cannot be used, or a year that the record lacks.
        BooksError: the ledger does not keep the law of conservation.
    """
    record = load_weather(holding, USUAL_SEED if seed is None else seed)
    forcing = larder_years(record, holding.place.year_starts.month)
    season = run_season(holding, tables, forcing, known_lane(forcing, weather_year), rotation_year, seed)
    eating = larder_months(plan_year(holding), forcing.start_month)
    needs, need_day = household_need(holding, tables, eating)
    plan = solve(holding, tables, eating, season.production, need_day, from_stores=from_stores)
    ledger = year_ledger(plan, plan.larder.production, tables)
    miss, account = worst_miss(ledger)
    if miss > BOOKS_TOLERANCE:
        raise BooksError(f"the books of {account} are out by {miss:.2e} of what goes through it")
    short, dire = short_and_dire(plan, holding.goal.short_below)
    fed_kg, fed_bought_kg = feed_dm_kg(ledger)
    kept = keeping_year(holding, tables, plan)
    result = YearResult(
        holding=holding,
        label=forcing.labels[season.lane],
        months=season.months,
        weather_note=weather_note(record, forcing, season.lane),
        weather_months={name: values for name, values in season.weather.items() if name != "daylength_h"},
        seed=USUAL_SEED if seed is None else seed,
        needs=needs,
        need_day=need_day,
        coverage=told_coverage(holding, plan),
        short_months=short,
        dire_months=dire,
        plantings=season.plantings,
        production=season.production,
        harvest_kg=harvest_kg(season),
        eaten_kg=plan.eaten_kg,
        eaten_energy_share=shares(energy_by_group_kcal(ledger, plan.larder)),
        bought_energy_share=bought_energy_share(ledger, plan.larder),
        feed_dm_kg=fed_kg,
        bought_feed_dm_kg=fed_bought_kg,
        stores_kg=plan.stores_kg,
        feed_kg=plan.feed_kg,
        feed_short=plan.feed_short,
        feed_lacks=plan.feed_lacks,
        feeds_barred=barred_by_group(plan),
        feeds_at_hand=tuple(sorted(plan.larder.feeds)),
        fodder=fodder_count(holding, tables, plan, forcing, season.swards, season.lane),
        leavings=leavings(holding, tables, eating, season.production),
        products_kg=plan.products_kg,
        heads=heads_by_month(season),
        manure_kg=by_group_kg(season),
        grass_dm_kg=grass_dm_kg(ledger),
        water_m3=water_m3(season),
        hours_week=hours_by_week(season.events, plan, tables, season.months),
        hours_available_week=available_hours(holding.people, season.months),
        money=money_by_item(
            holding,
            tables,
            plan,
            season.herd.events.events,
            season.months,
            compost_kg=season.heap.bought_kg,
            took=kept.preserving,
        ),
        emergency_kg=plan.emergency_kg,
        causes=with_strikes(
            find_causes(plan),
            plan,
            season.strikes,
            lambda production: solve(holding, tables, eating, production, need_day, from_stores=from_stores),
        ),
        findings=(),
        figure_keys=(),
        ledger=ledger,
        stock_notes=tuple(stock_findings(season, tables)),
        water_dry_days=dry_days(season),
        store_litres=store_litres(ledger, tables),
        kept=kept,
        trees=tree_outcomes(season.trees, forcing, season.lane),
        plots=tuple(plot_grounds(holding)),
        fences=tuple(fence_runs(holding)),
        soils=ground_year(holding, tables, season, ledger),
        hazard_seed=seed,
        strikes=season.strikes,
        stays=season.stays,
        stubble=season.stubble,
        heap=season.heap,
        droppings=season.droppings,
        produce=produce(ledger, tables, region_of(holding)),
        left_lying=left_lying(plan, tables),
        pasture=pasture_year(holding, tables, season),
        yard=yard_year(holding, tables, season),
        coverage_average=average_coverage(plan, average_need(holding, tables, eating)),
        diets=plan.diets,
        likes_missed=plan.likes_missed,
        over_upper=over_upper(holding, tables, eating, plan),
        guests=guest_needs(holding, tables, eating),
        notes=tuple(
            dict.fromkeys(
                (
                    *season.notes,
                    *plan.notes,
                    *table_notes(holding, tables, eating),
                    *record.notes,
                    *unheard_note(holding),
                )
            )
        ),
    )
    return reasons(result, tables)


def barred_by_group(plan: Plan) -> dict[str, dict[str, str]]:
    """Group -> feed -> the rule that keeps it from some class of the group."""
    found: dict[str, dict[str, str]] = {}
    for account, ration in plan.larder.rations.items():
        found.setdefault(account.removeprefix("herd:").partition(".")[0], {}).update(ration.barred)
    return found


def known_lane(forcing: Forcing, weather_year: int | None) -> int:
    """The lane asked for.

    Raises:
        InputFaults: the record holds no larder year that starts then.
    """
    try:
        return lane_of(forcing, weather_year)
    except KeyError:
        known = ", ".join(str(year) for year in forcing.start_years)
        fault = Fault(
            forcing.source, "larder year", str(weather_year), f"one of {known}", "Ask for one of these years."
        )
        raise InputFaults([fault]) from None


def weather_note(record: Record, forcing: Forcing, lane: int) -> str:
    """Where the weather comes from and what of it was worked out, in one sentence or two."""
    parts = [f"{record.source}, larder year {forcing.labels[lane]}"]
    if forcing.led_in_by_itself[lane]:
        parts.append("the record holds no year before it, so it leads itself in")
    parts += [f"{SKY_NAMES.get(name, name)} {words}" for name, words in record.estimated.items()]
    return "; ".join(parts)


def short_and_dire(plan: Plan, threshold: float) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Months under the user's threshold, and under four fifths, in energy or protein, of the people worst fed."""
    least = np.minimum(*(plan.worst_coverage(name) for name in SURVIVAL))
    return (
        tuple(int(month) for month in np.flatnonzero(least < threshold - 1e-6)),
        tuple(int(month) for month in np.flatnonzero(least < DIRE_BELOW - 1e-6)),
    )


def average_coverage(plan: Plan, need_day: dict[str, F64]) -> dict[str, F64]:
    """Eaten / average requirement of each nutrient that has one; 1 where nothing is needed."""
    days = np.array([month.days for month in plan.larder.months], dtype=np.float64)
    return {
        name: np.where(need > 0.0, plan.eaten[name] / np.where(need > 0.0, need * days, 1.0), 1.0)
        for name, need in need_day.items()
    }


def told_coverage(holding: Holding, plan: Plan) -> dict[str, F64]:
    """Coverage of every nutrient; without sodium where salt may be bought, for then it is added by hand."""
    by_hand = any(row.do == "buy" and row.item == "salt" for row in holding.trades)
    return {name: cover for name, cover in plan.coverage.items() if not (by_hand and name == "sodium_mg")}


def harvest_kg(season: Season) -> dict[str, float]:
    """Everything gathered, by account without its kind ("north.potato", "apples.apple_standard", "mead"; silage "mead.silage_grass")."""
    total: dict[str, float] = {}
    main = {f"crop:{planting.planting}": planting.good for planting in season.plantings}
    for item in season.production.gathered:
        name = item.account.partition(":")[2]
        wet = item.account.startswith("sward:") and not item.good.startswith("hay_")
        if wet or (item.account in main and item.good != main[item.account]):
            name = f"{name}.{item.good}"
        total[name] = total.get(name, 0.0) + float(np.sum(item.fresh_kg))
    return total


def heads_by_month(season: Season) -> dict[str, dict[str, F64]]:
    """Group -> class -> whole heads, the most of each month."""
    groups: dict[str, dict[str, F64]] = {}
    for need in season.herd.needs:
        groups.setdefault(need.group, {})[need.klass] = need.heads
    return groups


def by_group_kg(season: Season) -> dict[str, F64]:
    """Group -> fresh droppings."""
    total: dict[str, F64] = {}
    for need in season.herd.needs:
        total[need.group] = total.get(need.group, np.zeros(12)) + need.manure_kg
    return total


def water_m3(season: Season) -> dict[str, F64]:
    """Source -> drawn for people, stock and plots; "missing for people and stock" where a source ran dry."""
    grown, lane = season.grown, season.lane
    drawn = {name: grown.source_m3[index, :, lane].copy() for index, name in enumerate(grown.sources)}
    given = [tree.water_m3 for tree in season.trees]
    for water in given:
        for index, name in enumerate(grown.sources):
            if len(water):
                drawn[name] = drawn[name] + water[index, :, lane]
    if grown.unmet_m3[:, lane].any():
        drawn["missing for people and stock"] = grown.unmet_m3[:, lane]
    return drawn


def dry_days(season: Season) -> dict[str, F64]:
    """Source -> days of the month on which it could not give what was asked."""
    grown = season.grown
    return {name: grown.source_dry_days[index, :, season.lane] for index, name in enumerate(grown.sources)}


def stock_findings(season: Season, tables: Tables) -> list[Finding]:
    """The stock room's notes in the form of findings."""
    found = []
    for note in season.herd.events.notes:
        figure = tables.figure(note.source_key)
        group = note.subject.partition(".")[0].replace("_", " ")
        first, rest = first_words(note.words)
        found.append(
            Finding(
                grade=note.grade,
                title=f"{group[:1].upper()}{group[1:]}: {first[:1].lower()}{first[1:]}",
                what=f"{rest[:1].upper()}{rest[1:]}.".replace("..", ".") if rest else "",
                number=note.number,
                cause="The plan of this group, and the table's figures for its class.",
                remedy="Change the group in holding.toml, or put your own figure into own.csv.",
                source=f"{figure.key}: {figure.source} ({figure.standing})",
                subject=note.subject,
            )
        )
    return found


def first_words(words: str) -> tuple[str, str]:
    """A note's first clause, up to a colon, a semicolon or the end of a sentence, and what follows it."""
    found = re.match(r"(.*?)(?:[:;]|\.(?=\s|$))\s*(.*)", words, re.DOTALL)
    return (found[1], found[2]) if found else (words, "")
