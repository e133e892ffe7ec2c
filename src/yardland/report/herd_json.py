"""One group of stock as one JSON object, with stable keys and SI units in their names."""

from __future__ import annotations

from yardland.holding.model import MonthDay
from yardland.larderyear.feed_json import eggs_json, slaughter_json
from yardland.larderyear.herd_spread import (
    Spread,
    at_starts,
    by_week,
    counts_a_year,
    money_by_year,
    products_by_month,
    products_by_year,
    sum_by_year,
)
from yardland.larderyear.herd_told import HerdTold
from yardland.larderyear.jsonable import numbers, series
from yardland.larderyear.numbers import maybe, number
from yardland.report.herd_tables import day_of
from yardland.report.html import made_by
from yardland.stock.herds import layout as at

SCHEMA = "yardland.herd/1"
G_PER_KG, L_PER_M3 = 1000.0, 1000.0


def herd_json(told: HerdTold) -> dict[str, object]:
    """Everything that the page tells; docs/herd-page.md lists the keys.

    Raises:
        YardlandError: a number that is not finite.
    """
    return {
        "schema": SCHEMA,
        "version": made_by(),
        "holding": told.holding.place.name,
        "group": told.name,
        "label": told.result.label,
        "months": [f"{month.year}-{month.month:02d}" for month in told.months],
        "week_starts": [day_of(told, 7 * week).isoformat() for week in range(at.WEEKS)],
        "plan": _plain(told.group.model_dump(by_alias=True, exclude_unset=True)),
        "heads": {klass: [int(value) for value in heads] for klass, heads in told.heads_week.items()},
        "dates": [
            {
                "day": day_of(told, event.day).isoformat(),
                "what": event.kind,
                "class": event.klass or None,
                "heads": event.heads,
                "live_kg": number(event.live_kg),
                "cost": number(event.cost),
            }
            for event in told.events
        ],
        "on_grass": [[day_of(told, day).isoformat() for day in spell] for spell in told.on_grass],
        **_stays(told),
        **_feed(told),
        "products": {
            "this_year_kg": series(told.products_kg),
            "drawn_kg_a_year": {good: _spread(one) for good, one in products_by_year(told.years).items()},
            "drawn_kg_a_month": {good: _spreads(one) for good, one in products_by_month(told.years).items()},
            "slaughter_kg": slaughter_json(told.result.produce.slaughter.get(told.name, {})),
            "eggs": eggs_json(told.result.produce.eggs[told.name]) if told.name in told.result.produce.eggs else None,
        },
        "manure": {
            "kg": numbers(told.manure.kg),
            "n_kg": numbers(told.manure.n_kg),
            "under_roof_n_kg": numbers(told.manure.roof_n_kg),
            "dropped_n_kg": series(told.manure.plot_n_kg),
        },
        "water_m3": numbers(told.water_m3),
        "money": series(told.purse.by_item),
        "currency": told.holding.place.currency,
        "years": _years(told),
        "handbook": [_against(told, index) for index in range(len(told.against))],
        "findings": [
            {
                "grade": one.grade,
                "title": one.title,
                "what": one.what,
                "number": one.number,
                "cause": one.cause,
                "remedy": one.remedy,
                "source": one.source,
                "subject": one.subject,
            }
            for one in told.findings
        ],
    }


def _plain(value: object) -> object:
    """The plan's own words: dates that recur as "04-20"."""
    if isinstance(value, MonthDay):
        return str(value)
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return [_plain(one) for one in value] if isinstance(value, tuple) else value


def _stays(told: HerdTold) -> dict[str, object]:
    """Stays of the group's herd and its evenings by month; empty and null for a group that is not taken out.

    `strips` of a stay are those of cleared ground that it is on, none on grass.
    """
    walk = told.walk
    return {
        "stays": [
            {
                "plot": stay.plot,
                "from": day_of(told, stay.first).isoformat(),
                "to": day_of(told, stay.last).isoformat(),
                "evenings": stay.last - stay.first,
                "strips": list(stay.strips),
            }
            for stay in (walk.out if walk is not None else ())
            if told.name in stay.groups
        ],
        "evenings_on_grass": None if walk is None else numbers(walk.grass_d),
        "evenings_on_cleared_ground": None if walk is None else numbers(walk.leavings_d),
        "evenings_in_yard": None if walk is None else numbers(walk.yard_d),
    }


def _feed(told: HerdTold) -> dict[str, object]:
    return {
        "feed_kg": series(told.fed.kg_by_good),
        "feed_sources": [
            {
                "good": one.good,
                "grazed_on": one.place or None,
                "bought_share": number(one.bought_share),
                "kg": numbers(one.kg),
                "dm_kg": numbers(one.dm_kg),
            }
            for one in told.fed.sources
        ],
        "classes": {
            one.klass: {
                "feed_kg": series(one.kg),
                "met_share": {
                    name: [number(value) if value == value else None for value in met]  # noqa: PLR0124 (NaN: no need)
                    for name, met in one.met.items()
                },
            }
            for one in told.fed.classes
        },
    }


def _years(told: HerdTold) -> dict[str, object]:
    """The drawn years: by row of the group, and of the whole group by year."""
    drawn = told.years
    return {
        "count": told.count,
        "chains": told.chains,
        "seed": told.seed,
        "rows": {label.words: _row(told, row) for row, label in enumerate(drawn.plan.rows)},
        "energy_mj": _spread(sum_by_year(drawn, "energy")),
        "manure_kg": _spread(sum_by_year(drawn, "manure")),
        "manure_n_kg": _spread(sum_by_year(drawn, "manure_n").scaled(1.0 / G_PER_KG)),
        "water_m3": _spread(sum_by_year(drawn, "water").scaled(1.0 / L_PER_M3)),
        "sugar_kg": _spread(sum_by_year(drawn, "sugar")),
        "spent": _spread(money_by_year(drawn, at.SPENT)),
        "earned": _spread(money_by_year(drawn, at.EARNED)),
    }


def _row(told: HerdTold, row: int) -> dict[str, object]:
    label, starts = told.years.plan.rows[row], at_starts(told.years, row)
    return {
        "class": label.klass,
        "part": label.part,
        "target": starts.target or None,
        "at_start": _spreads(starts.heads),
        "within_quarter_share": numbers(starts.near) if starts.target else None,
        "off_target_because": {reason: number(share) for reason, share in starts.because.items()},
        "heads_by_week": _spreads(by_week(told.years, row)),
        "heads_a_year": {name: number(value) for name, value in counts_a_year(told.years, row).items()},
    }


def _spread(one: Spread) -> dict[str, float]:
    return {"p05": number(float(one.low)), "median": number(float(one.median)), "p95": number(float(one.high))}


def _spreads(one: Spread) -> dict[str, list[float]]:
    return {"p05": numbers(one.low), "median": numbers(one.median), "p95": numbers(one.high)}


def _against(told: HerdTold, index: int) -> dict[str, object]:
    one = told.against[index]
    return {
        "class": one.klass,
        "what": one.what,
        "unit": one.unit,
        "this_year": maybe(one.steady),
        "drawn": None
        if one.drawn is None
        else dict(zip(("median", "p05", "p95"), map(number, one.drawn), strict=True)),
        "handbook": number(one.handbook),
        "key": one.key,
        "source": one.source,
        "standing": one.standing,
    }
