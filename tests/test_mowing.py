"""Cuts of shut-up grass and their windows: hay in dry spells, silage of what stayed wet, where there is a clamp."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from yardland import load
from yardland.growth.sward import SwardYear
from yardland.ledger.arcs import Arc
from yardland.ledger.months import larder_months
from yardland.ledger.production import Gathered, Grazing, Production
from yardland.reference import load_tables
from yardland.season.flows import Flow, grown, without
from yardland.season.mowing import mown
from yardland.season.season import run_season
from yardland.season.sky import dry_shares
from yardland.weather.read import load_weather
from yardland.weather.types import Forcing
from yardland.weather.years import larder_years

TABLES = load_tables()
EXAMPLES = Path(__file__).parents[1] / "examples"
MONTHS = larder_months(2023, 1)


@lru_cache(maxsize=1)
def forcing_of_tarn_hollow() -> Forcing:
    """Every larder year of the demo record."""
    holding = load(EXAMPLES / "tarn-hollow")
    return larder_years(load_weather(holding, 1), holding.place.year_starts.month)


def rained(rain_mm: np.ndarray) -> Forcing:
    """A year that brings these rains and nothing else to look at."""
    years = forcing_of_tarn_hollow()
    return replace(years, rain_mm=np.concatenate([rain_mm, rain_mm])[:, None])


def test_the_share_of_days_on_which_dry_days_begin() -> None:
    """Three dry days in a wet January: one third of them begins three, two thirds begin two; a dry February begins all."""
    rain = np.full(365, 10.0)
    rain[10:13] = 1.9
    rain[31:59] = 0.0
    rain[59:65] = 0.0

    share = dry_shares(rained(rain), 0, MONTHS)

    assert [share[days][0] for days in (1, 2, 3, 4)] == pytest.approx([3 / 31, 2 / 31, 1 / 31, 0.0])
    assert share[1][1] == share[5][1] == 1.0
    assert share[7][1] == 1.0
    assert share[8][1] == pytest.approx(27 / 28)
    assert share[1][3] == 0.0


def test_a_dry_spell_goes_on_over_the_turn_of_the_year() -> None:
    """The year comes round: two dry days begin on its last day when its first is dry."""
    rain = np.full(365, 10.0)
    rain[[0, 364]] = 0.0

    share = dry_shares(rained(rain), 0, MONTHS)

    assert share[2] == pytest.approx(np.array([0.0] * 11 + [1 / 31]))


def shut_up(wet_t: float, dry_t: float) -> SwardYear:
    """The mead of the demonstration with these tonnes of dry matter cut in July, wet and dry."""
    holding = load(EXAMPLES / "tarn-hollow")
    season = run_season(holding, TABLES, forcing_of_tarn_hollow(), 0)
    lea = next(sward for sward in season.swards if sward.id == "lea")
    july = np.zeros_like(lea.hay_kg)
    july[9] = 1000.0
    wet_hay = wet_t * july * 0.65 / 0.86
    return replace(lea, hay_kg=wet_hay + dry_t * july * 0.8 / 0.86, wet_kg_dm=wet_t * july, wet_hay_kg=wet_hay)


def test_a_wet_cut_is_poor_hay_without_a_clamp_and_silage_with_one() -> None:
    """Of 2 t dry matter cut wet: 1.3 t of hay, or 1.64 t of silage; 1 t cut dry is 0.8 t of hay either way."""
    holding = load(EXAMPLES / "tarn-hollow")
    clamp = holding.store["barn"].model_copy(update={"kind": "clamp"})
    with_clamp = holding.model_copy(update={"store": {**holding.store, "pit": clamp}})
    swards = (shut_up(2.0, 1.0),)

    without_one = {cut.good: cut for cut in mown(holding, TABLES, swards, 0)}
    with_one = {cut.good: cut for cut in mown(with_clamp, TABLES, swards, 0)}

    assert {good: cut.dm_kg.sum() for good, cut in without_one.items()} == pytest.approx({"hay_grass": 2100.0})
    assert {good: cut.dm_kg.sum() for good, cut in with_one.items()} == pytest.approx(
        {"hay_grass": 800.0, "silage_grass": 1640.0}
    )
    assert with_one["silage_grass"].fresh_kg[9] == pytest.approx(1640.0 / 0.3)
    assert with_one["silage_grass"].task == "hay.silage_by_hand"
    assert with_one["silage_grass"].gathered.account == "sward:lea"


def test_silage_of_both_kinds_grows_once() -> None:
    """Of 100 kg of silage from one mead, 60 were a wet hay cut: 60 grow anew, 40 are of the grass that was to be grazed."""
    cut = np.zeros(12)
    cut[6] = 60.0
    grass = Grazing("sward:mead", "grazing_grass", np.full(12, 50.0), 0.5, ("cow",))
    production = Production((Gathered("sward:mead", "silage_grass", cut),), (grass,))
    whole = np.zeros(12)
    whole[6] = 100.0
    flow = Flow(Arc("sward:mead", "kitchen:silage_grass", "silage_grass", "gather"), whole, whole * 0.3)

    (new,) = grown([flow], production)
    rest = without(flow, {("sward:mead", "silage_grass"): cut})

    assert new.arc == Arc("sky", "sward:mead", "silage_grass", "grow")
    assert (new.fresh_kg[6], new.dm_kg[6]) == (60.0, pytest.approx(18.0))
    assert (rest.fresh_kg[6], rest.dm_kg[6]) == (40.0, pytest.approx(12.0))
