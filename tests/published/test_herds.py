"""Herds by week against breeding tables of publications: dates, litters, shares that bear, losses to predators."""

from __future__ import annotations

import sys
from datetime import date, timedelta
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from stock_kit import group, holding, light, warmth

from yardland.holding.model import OwnRow, Sire
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.herds import figures
from yardland.stock.herds.years import herd_years

MISSISSIPPI = "Mississippi State University Extension, Poultry: Reproduction and incubation"
PILLING = "T. Pilling, The Press (Christchurch) 29 Aug 1980, via Papers Past"
HEADING = "Herds over many years"
BORROWED = Sire.model_validate({"how": "borrowed"})
QUIET = {
    f"{key}_per_year": 0.0
    for key in ("fox", "poultry_disease", "rabbit_fever", "dogs", "sheep_disease", "pig_disease", "cattle_mishap")
}


@lru_cache(maxsize=16)
def days_between(klass: str, born: str, first: str) -> tuple[int, ...]:
    """Days from service or setting to birth or hatching, for each birth of three years of the first chain."""
    flock = group(heads={klass: 4}, born=[born], sire=BORROWED, strike=QUIET)
    found = run({"g": flock}, 4, 1)
    events = found.events["g"]
    starts = [event.week for event in events if event.kind == first]
    ends = [event.week for event in events if event.kind in {"born", "hatched"}]
    return tuple(7 * (end - max(start for start in starts if start < end)) for end in ends if end > starts[0])


def run(groups, years, chains, **figures_by_key):
    """Herds of a holding at 52 degrees north."""
    rows = [
        OwnRow(line=line, key=key.replace("__", "."), value=value, why="test")
        for line, (key, value) in enumerate(figures_by_key.items(), 2)
    ]
    months = larder_months(2001, 1)
    return herd_years(holding(groups), load_tables(rows), months, warmth(52, 1), light(52, 1), years, chains, 1)


@pytest.mark.parametrize(
    ("key", "klass", "born", "first", "days", "low", "high", "source", "standing"),
    [
        ("L01", "laying_hen", "04-10", "eggs set", 21, 20, 22, MISSISSIPPI, "published"),
        ("L03", "goose", "05-05", "eggs set", 30, 28, 34, f"{MISSISSIPPI}; poultryproducer.com", "published"),
        ("L05", "goat_dairy_doe", "03-14", "served", 150, 145, 155, "agriculturewale.com gestation table", "published"),
        (
            "L06",
            "dairy_cow_small",
            "04-19",
            "served",
            283,
            279,
            290,
            "agriculturewale.com gestation table",
            "published",
        ),
        ("L08", "sow", "03-25", "served", 114, 111, 120, "MED101 quiz set (range); usual table", "published"),
    ],
)
def test_births_follow_services_as_the_species_asks(
    outside, key, klass, born, first, days, low, high, source, standing
) -> None:
    """From service or setting to birth in whole weeks: inside the published range, within half a week of the table's days."""
    got = days_between(klass, born, first)

    assert len(got) >= 3
    outside.check_between(key, f"{klass}, days by weekly steps", source, standing, low, high, np.array(got))
    assert load_tables().row("stock", klass).need("gestation_or_incubation_d") == days


def test_dates_of_the_published_examples(outside) -> None:
    """Service and setting counted back from the birth: the examples' dates to the day, by the table's days."""
    for key, klass, served, born, source in (
        ("L01", "laying_hen", date(2026, 3, 20), date(2026, 4, 10), MISSISSIPPI),
        ("L05", "goat_dairy_doe", date(2025, 10, 15), date(2026, 3, 14), "agriculturewale.com gestation table"),
        ("L06", "dairy_cow_small", date(2025, 7, 10), date(2026, 4, 19), "agriculturewale.com gestation table"),
        ("L08", "sow", date(2025, 12, 1), date(2026, 3, 25), "usual table"),
    ):
        days = load_tables().row("stock", klass).need("gestation_or_incubation_d")
        standing = "from memory" if key == "L08" else "published"
        outside.check_same(
            key, f"{klass} served or set {served}", source, standing, str(born), str(served + timedelta(days))
        )


def test_rabbits_of_a_small_farm(outside) -> None:
    """A litter every two months, ten kits, one or two lost before weaning: one youngster for every week of the year."""
    does = group(
        heads={"rabbit_doe": 4},
        born=["01-15", "03-15", "05-15", "07-15", "09-15", "11-15"],
        sire=BORROWED,
        conception=1.0,
        keep_young=0,
        strike=QUIET,
    )
    found = run(
        {"does": does},
        6,
        20,
        stock__rabbit_doe__litter_or_clutch_size=10,
        stock__rabbit_doe__mortality_young_fraction=0.15,
        stock__rabbit_doe__mortality_adult_per_year=0,
    )
    herd = found.groups["does"]
    killed = herd.count("killed")[1, 1:].mean() / 4

    outside.check_close("L13", "young reared per doe and year, drawn", PILLING, "published", 52.0, killed, pct=5)
    outside.check_between("L15", "litters per doe and year", PILLING, "published", 0, 8, herd.count("bore")[0] / 4)


def test_litters_and_shares_of_the_tables_are_the_published(outside) -> None:
    """Spread of sows' litters, ewes that lamb, losses of hens to predators, years without honey."""
    tables = load_tables()
    sow = figures.litter_cumulative(10.0, tables.row("breeding", "sow").need("litter_sd"))
    chance = np.diff(sow, prepend=0.0)
    young = np.arange(len(chance))
    spread = float(np.sqrt(chance @ (young - 10.0) ** 2))
    paper = "Dewey and others 1995, Preventive Veterinary Medicine 23:101-110"
    outside.check_close("herds", "sows' litters: standard deviation about 10", paper, "published", 2.7, spread, 0.1)
    ewes = group(heads={"ewe": 40}, born=["04-01"], sire=BORROWED, strike=QUIET)
    herd = run({"ewes": ewes}, 6, 20).groups["ewes"]
    share = herd.count("bore")[0, 1:].sum() / herd.count("served")[0, :-1].sum()
    extension = "Oregon State University Extension, Evaluation of flock production (good flocks)"
    outside.check_between("herds", "ewes served that lamb, drawn", extension, "published", 0.90, 0.95, share)
    fox = tables.row("herd_strikes", "fox")
    loss = fox.need("chance_per_year") * fox.need("loss_share")
    dutch = "Bestman and Bikker-Ouwejan 2020, Animals 10:177"
    outside.check_close("herds", "hens lost to predators, share a year", dutch, "published", 0.037, loss, 0.001)
    hives = run({"hives": group(heads={"honeybee_colony": 6})}, 20, 40).groups["hives"]
    honey, stood = hives.total("honey")[0].sum(axis=0), hives.heads_at_start[0, 1:] > 0
    bbka = "British Beekeepers Association survey 2013, as reported"
    none = float((honey[stood] == 0).mean())
    outside.check_close("herds", "years without honey, drawn", bbka, "published", 0.1, none, 0.05)


def test_what_the_weekly_steps_leave_to_others(outside) -> None:
    """Checks of breeding that the weekly steps do not reckon are told."""
    events = {
        event.kind for event in run({"g": group(heads={"sow": 2}, born=["03-01"], sire=BORROWED)}, 2, 1).events["g"]
    }

    outside.tell(
        HEADING, "L10, L11 (heats and their return): a date of birth is one event; returns are in the share that bears."
    )
    assert not events & {"heat", "returned"}
