"""One group of stock: the steady year that the larder feeds, and many drawn years, ready to be shown.

docs/herd-page.md says what each part is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from yardland.holding.model import Group, Holding
from yardland.larder.feed_fodder import SYSTEM
from yardland.larderyear.herd_against import Against, yardsticks
from yardland.larderyear.herd_balance import Balance, balances, beside_the_table
from yardland.larderyear.herd_feed import ClassFed, GroupFed, group_fed
from yardland.larderyear.result import Finding, YearResult
from yardland.larderyear.run import first_words
from yardland.ledger.months import DAYS_IN_YEAR, Month
from yardland.ledger.production import HerdNeed
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Tables
from yardland.season.droppings import droppings
from yardland.season.evenings import Evenings, Walk, grass_share
from yardland.season.sky import weather_months
from yardland.stock.cohorts import HerdEvent
from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import lane_key, week_keys
from yardland.stock.herds.findings import herd_findings
from yardland.stock.herds.layout import F64, I64
from yardland.stock.herds.plan import compile_plan
from yardland.stock.herds.result import GroupYears
from yardland.stock.herds.twin import run_twin
from yardland.stock.herds.years import run_group
from yardland.stock.notes import Housing, StockNote
from yardland.stock.sky import Sky
from yardland.stock.year import HerdEvents, herd_year
from yardland.weather.types import Forcing
from yardland.works.money import heads_by_month, money, sire_costs

__all__ = ["Against", "Balance", "ClassFed", "GroupFed", "HerdTold", "Manure", "Purse", "tell_herd"]


@dataclass(frozen=True)
class Manure:
    """Droppings of the group in the steady year, [12] each: all, and where their nitrogen falls.

    kg : fresh ; n_kg : nitrogen ; roof_n_kg : under a roof ; plot_n_kg : plot -> out of doors
    """

    kg: F64
    n_kg: F64
    roof_n_kg: F64
    plot_n_kg: dict[str, F64]


@dataclass(frozen=True)
class Purse:
    """Money of live stock in the steady year, income positive.

    by_item : "buy pullet" -> [12] ; table_priced : items priced by the tables, in euros ; unpriced : counted as nothing
    """

    by_item: dict[str, F64]
    table_priced: tuple[str, ...]
    unpriced: tuple[str, ...]


@dataclass(frozen=True)
class HerdTold:
    """Everything that a group's page says.

    needs : each class in the steady year, by month ; heads_week : class -> whole heads on the first day of each week, [52]
    events : of the steady year, by day ; on_grass : turn-out and coming in, of ruminants
    fed : what the larder's program feeds ; balances : nitrogen and energy that its classes eat, keep and leave
    years : drawn head by head, `chains` of them side by side
    """

    result: YearResult
    name: str
    needs: tuple[HerdNeed, ...]
    heads_week: dict[str, I64]
    events: tuple[HerdEvent, ...]
    on_grass: tuple[tuple[int, int], ...]
    housing: Housing | None
    fed: GroupFed
    manure: Manure
    purse: Purse
    years: GroupYears
    count: int
    chains: int
    seed: int
    against: tuple[Against, ...]
    balances: tuple[Balance, ...]
    findings: tuple[Finding, ...]

    @property
    def holding(self) -> Holding:
        """The plan."""
        return self.result.holding

    @property
    def group(self) -> Group:
        """The group's plan."""
        return self.holding.group[self.name]

    @property
    def months(self) -> tuple[Month, ...]:
        """Months of the larder year."""
        return self.result.months

    @property
    def products_kg(self) -> dict[str, F64]:
        """Good -> kg by month in the steady year, as far as the group is fed."""
        return self.result.products_kg.get(self.name, {})

    @property
    def walk(self) -> Walk | None:
        """Stays and evenings of those with whom the group goes; None for a group that is not taken to grass."""
        walk = self.round_walk
        return None if walk is None else walk.part(self.name)

    @property
    def round_walk(self) -> Walk | None:
        """The same of all groups of its round, whom it may follow."""
        return next((walk for walk in self.result.pasture.walks.values() if self.name in walk.groups), None)

    @property
    def ahead(self) -> Walk | None:
        """The walk of the group that it follows on its round; None for who leads or goes with all."""
        parts = () if self.round_walk is None else self.round_walk.parts
        place = next((number for number, part in enumerate(parts) if self.name in part.groups), 0)
        return parts[place - 1] if place > 0 else None

    @property
    def water_m3(self) -> F64:
        """Drinking water of the group in the steady year, [12]."""
        return sum((need.water_m3 for need in self.needs), np.zeros(12))


def tell_herd(result: YearResult, tables: Tables, forcing: Forcing, lane: int, name: str, run: Run) -> HerdTold:
    """One group of a holding.

    Args:
        result: the larder year that is shown, with its findings.
        tables: the reference tables under the holding's own figures.
        forcing: every larder year of the record.
        lane: the one that `result` is.
        name: the group, one of the holding's.
        run: how many years are drawn.

    Raises:
        KeyError: the holding has no such group.
    """
    holding = result.holding
    group = holding.group[name]
    weather = weather_months(forcing, lane, result.months)
    warm = (weather["tmin_c"] + weather["tmax_c"]) / 2
    steady = herd_year(holding, tables, result.months, warm, weather["daylength_h"])
    sky = Sky.of(result.months, warm, weather["daylength_h"])
    needs = tuple(need for need in steady.needs if need.group == name)
    events = tuple(event for event in steady.events.events if event.group == name)
    drawn, notes = _drawn(holding, tables, sky, name, run)
    days = {klass: heads for (owner, klass), heads in steady.events.heads_day.items() if owner == name}
    fed = group_fed(result, tables, needs)
    kept = balances(name, group, needs, fed, tables, sky)
    return HerdTold(
        result=result,
        name=name,
        needs=needs,
        heads_week={klass: heads for (owner, klass), heads in steady.events.heads_week.items() if owner == name},
        events=events,
        on_grass=on_grass(result, needs),
        housing=_housing(steady.events, name),
        fed=fed,
        manure=_manure(holding, tables, needs, weather, grass_share(result.stays, result.months)),
        purse=_purse(holding, tables, events, result.months),
        years=drawn,
        count=run.years,
        chains=run.chains,
        seed=run.seed,
        against=(*yardsticks(tables, group, needs, days, events, drawn), *beside_the_table(kept, days, tables)),
        balances=kept,
        findings=_findings(result, tables, name, notes),
    )


@dataclass(frozen=True)
class Run:
    """How many years are drawn: `years` in each of `chains`, from `seed`."""

    years: int = 10
    chains: int = 50
    seed: int = 1


def _drawn(holding: Holding, tables: Tables, sky: Sky, name: str, run: Run) -> tuple[GroupYears, tuple[StockNote, ...]]:
    """The group's drawn years, the same as in `stock.herds.years.herd_years` of the whole holding, and their findings."""
    plan = compile_plan(holding, tables, sky).groups[name]
    keys = week_keys(run.seed, at.WEEKS * run.years)
    if run.chains == 1:
        outcome, _ = run_twin(plan.arrays, [lane_key(name, 0)], keys, run.years)
    else:
        outcome = run_group(plan, keys, run.years, run.chains)
    years = GroupYears(plan, outcome, tables)
    return years, tuple(herd_findings(years, sky, tables))


def on_grass(result: YearResult, needs: tuple[HerdNeed, ...]) -> tuple[tuple[int, int], ...]:
    """Turn-out and coming in of ruminants by the count of winter fodder, days of the larder year (0-364); none for others."""
    count = result.fodder
    if count is None or not any(need.system == SYSTEM for need in needs):
        return ()
    return ((count.turn_out_day % DAYS_IN_YEAR, count.housed_day % DAYS_IN_YEAR),)


def _housing(events: HerdEvents, name: str) -> Housing | None:
    room = events.housing.get(name)
    return room if room is not None and (room.floor_m2 or room.outdoor_m2 or room.nest_boxes or room.perch_m) else None


def _manure(
    holding: Holding, tables: Tables, needs: tuple[HerdNeed, ...], weather: dict[str, F64], evenings: Evenings
) -> Manure:
    """Droppings of these classes alone, by the season's own rule of where they fall."""
    kg: F64 = sum((need.manure_kg for need in needs), np.zeros(12))
    n_kg: F64 = sum((need.manure_n_kg for need in needs), np.zeros(12))
    dropped = droppings(holding, tables, needs, weather, evenings)
    plots = {one.plot: one.n_kg_ha * holding.plot[one.plot].area_m2 / M2_PER_HA for one in dropped}
    outside: F64 = sum(plots.values(), np.zeros(12))
    return Manure(kg, n_kg, np.maximum(n_kg - outside, 0.0), plots)


def _purse(holding: Holding, tables: Tables, events: tuple[HerdEvent, ...], months: tuple[Month, ...]) -> Purse:
    """Heads bought and sold, and the coming of a sire, at the plan's prices, else the tables'."""
    paid = money(
        months,
        holding.trades,
        tables,
        bought_heads=heads_by_month(events, "bought", months),
        sold_heads=heads_by_month(events, "sold", months),
        costs=sire_costs(events, months),
    )
    return Purse(paid.by_item, tuple(dict.fromkeys(paid.table_priced)), tuple(dict.fromkeys(paid.unpriced)))


def _findings(result: YearResult, tables: Tables, name: str, drawn: tuple[StockNote, ...]) -> tuple[Finding, ...]:
    """What the year found about the group, its round and its plots, then what only drawn years show.

    A drawn note on what the year noticed already (same class, figure and number) is left out; a share of the year's own
    few drawn chains gives way to the same share of this page's.
    """
    rounds = {f"round.{key}" for key, plan in result.holding.round.items() if name in plan.order}
    here = list(_told(tables, drawn))
    again = {_share_of(one) for one in here if "%" in one.number}
    own = [one for one in result.findings if one.subject.partition(".")[0] == name or one.subject in rounds]
    own = [one for one in own if _share_of(one) not in again]
    noticed = {_matter(one) for one in own}
    grades = ("danger", "rule", "short", "tight", "note")
    told = [*own, *(one for one in here if _matter(one) not in noticed)]
    return tuple(sorted(told, key=lambda one: grades.index(one.grade)))


def _matter(one: Finding) -> tuple[str, str, str]:
    return one.subject, one.source.partition(":")[0], one.number


def _share_of(one: Finding) -> tuple[str, str, str]:
    """The same without its figures: "9 % of years" and "7 % of years" are one matter."""
    return one.subject, one.source.partition(":")[0], re.sub(r"[\d.,]+", "", one.number)


def _told(tables: Tables, notes: tuple[StockNote, ...]) -> Iterator[Finding]:
    """Notes of the drawn years in the form of findings."""
    for note in notes:
        figure = tables.figure(note.source_key)
        first, rest = first_words(note.words)
        yield Finding(
            grade=note.grade,
            title=f"{first[:1].upper()}{first[1:]}",
            what=f"{rest[:1].upper()}{rest[1:]}.".replace("..", ".") if rest else "",
            number=note.number,
            cause="Drawn years of this group.",
            remedy=note.remedy or "Change the group in holding.toml, or put your own figure into own.csv.",
            source=f"{figure.key}: {figure.source} ({figure.standing})",
            subject=note.subject,
        )
