"""The law of conservation along chains: closing less opening is incidence x flows, for every account, month and year of a chain."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.accounts.law import misses_kg, throughput_kg
from yardland.cli.main import app
from yardland.larder.description import MONTHS
from yardland.larderyears.asks import HEADS, spared_kg
from yardland.larderyears.board import Board
from yardland.larderyears.books import Books, books_of
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.sides import THAWED, Brought, brought
from yardland.larderyears.walk import Walked, Walker
from yardland.larderyears.window_walk import walker_of
from yardland.ledger.arcs import Ledger
from yardland.ledger.production import Production
from yardland.reference import Tables, load_tables

YEARS = 3
LAW = 1e-9
"""Of an account's throughput: what a month may miss."""
PROGRAM = 1e-6
"""Of a kitchen's or a store's throughput: what a program may miss its rows by, and the books put right."""
ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,f7", "--area", "0.6 ha"]
KINDS = ["plain", "thaws", "hungry stock", "poor harvests", "rich harvests", "drawn chain"]

HARVESTS = {"poor harvests": 0.25, "rich harvests": 2.0}


@dataclass(frozen=True)
class Case:
    """A chain of a holding that keeps hens and ewes, keeps its seed and sells: how it was walked, and its books."""

    kind: str
    prepared: Prepared
    walked: Walked
    books: Books

    def flows(self, kind: str, target: str = "") -> Iterator[tuple[str, str, np.ndarray]]:
        """(source, good, kilograms by month) of all arcs of a kind (to a target) in all years."""
        for one in self.books.ledgers:
            for row, arc in enumerate(one.arcs):
                if arc.kind == kind and arc.target.startswith(target):
                    yield arc.source, arc.good, one.fresh_kg[row]


@pytest.fixture(scope="module")
def tables() -> Tables:
    """The reference tables."""
    return load_tables()


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    """The quick policy of a small holding that keeps its own seed and may sell what it has too much of."""
    place = tmp_path_factory.mktemp("books") / "brook"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    plantings = place / "plantings.csv"
    plantings.write_text(plantings.read_text(encoding="utf-8").replace(",bought,", ",own,"), encoding="utf-8")
    with (place / "trades.csv").open("a", encoding="utf-8") as trades:
        trades.writelines(f"{good},sell,1,kg,,,60,to neighbours\n" for good in ("swede", "egg_hen", "straw_wheat"))
    holding = yardland.load(place)
    return prepare(ground(holding, load_tables(own=holding.own)), quick=True)


def scaled(productions: Sequence[Production], share: float) -> list[Production]:
    """The years with so much of every harvest."""
    return [
        replace(year, gathered=tuple(replace(item, fresh_kg=share * item.fresh_kg) for item in year.gathered))
        for year in productions
    ]


def starved(years: Brought, prepared: Prepared) -> Brought:
    """The years with stock that ask for many times their feed in two months of each."""
    asked = years.asked.copy()
    asked[:, :, :HEADS, [3, 8]] *= 30.0
    return replace(years, asked=asked, spared_kg=spared_kg(prepared.frame.asks, asked, years.gift_kg))


@pytest.fixture(scope="module", params=KINDS)
def case(request: pytest.FixtureRequest, prepared: Prepared, tables: Tables) -> Case:
    """Three years: as they are drawn, with freezers that thaw, hungry stock, poor and rich harvests; and a chain with another turn first."""
    chain = 1 if request.param == "drawn chain" else 0
    productions = list(grow_chains(prepared.ground, 5, [chain], YEARS).productions[0])
    if request.param in HARVESTS:
        productions = scaled(productions, HARVESTS[request.param])
    years = brought(prepared.frame, productions)[0]
    if request.param == "thaws":
        mishaps = years.mishaps.copy()
        mishaps[:, THAWED, [0, 4, 9]] = [0.3, 1.0, 0.6]
        years = replace(years, mishaps=mishaps)
    if request.param == "hungry stock":
        years = starved(years, prepared)
    first = prepared.ground.first_turn(chain)
    walked = walker_of(prepared.policy).walk(years, prepared.opening_kg, first)
    return Case(request.param, prepared, walked, books_of(prepared, productions, walked, tables))


def dry_misses_kg(ledger: Ledger, fractions: dict[str, float]) -> tuple[np.ndarray, np.ndarray]:
    """How far kitchens and stores miss the law in dry mass, and what goes through them, kg [account, 12]."""
    matrix = ledger.incidence().astype(np.float64)
    dry = np.zeros_like(ledger.opening_kg)
    change, through = matrix @ ledger.dm_kg, np.abs(matrix) @ np.abs(ledger.dm_kg)
    for row, name in enumerate(ledger.accounts):
        if name.startswith("store:"):
            gives = {arc.good for arc in ledger.arcs if name in {arc.source, arc.target}}
            assert len(gives) <= 1
            of = fractions[gives.pop()] if gives else 0.0
            dry[row] = of * (ledger.closing_kg[row] - ledger.opening_kg[row])
            through[row] += of * (ledger.closing_kg[row] + ledger.opening_kg[row])
        elif not name.startswith("kitchen:"):
            change[row] = 0.0
    return dry - change, through


def test_the_cases_are_what_they_say(case: Case) -> None:
    """Something thaws, stock go hungry, people are short and get emergency food, potatoes are sold, seed is kept, stores carried."""
    seed = sum(kg.sum() for _, _, kg in case.flows("sow"))
    carried = [one.closing_kg[:, -1].sum() for one in case.books.ledgers]
    emergency = sum(kg.sum() for _, _, kg in case.flows("emergency", "people"))

    assert seed > 10.0
    assert min(carried) > 50.0
    if case.kind == "thaws":
        assert case.walked.thawed_kg.sum(axis=1).min() > 0.1
    if case.kind == "hungry stock":
        assert sum(kg.sum() for _, good, kg in case.flows("give") if good == "egg_hen") < 0.95 * sum(
            case.walked.came.gift_kg[:, number].sum()
            for number, gift in enumerate(case.prepared.frame.asks.gifts)
            if gift.good == "egg_hen"
        )
    if case.kind == "poor harvests":
        assert emergency > 20.0
    if case.kind == "rich harvests":
        assert sum(kg.sum() for _, _, kg in case.flows("sell")) > 1.0


def test_every_account_keeps_the_law_in_every_month_of_a_chain(case: Case) -> None:
    """Fresh mass, on the numbers that are stored, to 1e-9 of the account's throughput: crops, swards, herds, kitchens, stores."""
    for one in case.books.ledgers:
        share = np.abs(misses_kg(one)).max(axis=1) / np.maximum(throughput_kg(one).max(axis=1), 1e-12)

        assert share.max() < LAW
        assert {name.partition(":")[0] for name in one.accounts} >= {"kitchen", "store", "sward", "herd", "crop"}


def test_kitchens_and_stores_keep_the_law_in_dry_mass(case: Case) -> None:
    """Dry mass too, by what each good has of it; water that a process adds carries none."""
    fractions = {key: good.dm_fraction for key, good in case.prepared.frame.larder.goods.items()}
    for one in case.books.ledgers:
        miss, through = dry_misses_kg(one, fractions)

        assert (np.abs(miss).max(axis=1) / np.maximum(through.max(axis=1), 1e-12)).max() < LAW


def test_each_year_opens_with_what_the_last_one_left(case: Case) -> None:
    """Account by account the opening is the last closing; and it is what the policy went on with."""
    for before, after in zip(case.books.ledgers, case.books.ledgers[1:], strict=False):
        left = dict(zip(before.accounts, before.closing_kg[:, -1], strict=True))
        opens = dict(zip(after.accounts, after.opening_kg[:, 0], strict=True))
        for name in {*left, *opens}:
            assert opens.get(name, 0.0) == pytest.approx(left.get(name, 0.0), rel=LAW, abs=LAW)
    for year, one in enumerate(case.books.ledgers):
        stores = sum(
            kg for name, kg in zip(one.accounts, one.opening_kg[:, 0], strict=True) if name.startswith("store:")
        )
        assert stores == pytest.approx(case.walked.opening_kg[year].sum(), rel=LAW)


def test_no_flow_and_no_store_is_less_than_nothing(case: Case) -> None:
    """Nothing flows backwards, and no account holds less than nothing, to 1e-9 of its throughput."""
    for one in case.books.ledgers:
        through = throughput_kg(one).max(axis=1)
        row = {name: index for index, name in enumerate(one.accounts)}
        for arc, kg in zip(one.arcs, one.fresh_kg, strict=True):
            assert kg.min() >= -LAW * min(through[row[arc.source]], through[row[arc.target]])
        assert (one.closing_kg.min(axis=1) >= -LAW * np.maximum(through, 1.0)).all()


def test_what_the_books_put_right_is_the_solvers_rounding(case: Case) -> None:
    """By less than a millionth of what goes through a kitchen or store in a year the books differ from what was decided."""
    assert case.books.rounding < PROGRAM, case.books.where


def test_the_emergency_item_is_never_free_stock(case: Case) -> None:
    """What nobody had goes to people, or into the ground as seed, and nowhere else: no kitchen or store ever holds any of it."""
    for one in case.books.ledgers:
        for row, arc in enumerate(one.arcs):
            if arc.source == "emergency":
                assert arc.target in {"people", "seed"} or one.fresh_kg[row].max() < LAW
            if arc.good == "emergency_food":
                assert (arc.source, arc.target, arc.kind) == ("emergency", "people", "emergency")
            assert arc.source not in {"people", "seed"}


def test_stock_gives_no_more_than_it_had_to_give(case: Case) -> None:
    """Of each good herds give no more than was drawn for their heads, hungry or not."""
    frame = case.prepared.frame
    for year, one in enumerate(case.books.ledgers):
        gives: dict[str, float] = {}
        for row, arc in enumerate(one.arcs):
            if arc.kind == "give":
                gives[arc.good] = gives.get(arc.good, 0.0) + float(one.fresh_kg[row].sum())
        for good, kg in gives.items():
            most = case.walked.came.given_kg[year, frame.goods.index(good)].sum()
            assert kg <= most * (1.0 + LAW) + LAW


def test_grass_of_the_years_last_month_moves_nothing_in_its_first(prepared: Prepared) -> None:
    """What stands in the first month does not hang on what will grow in the last: it is not known yet."""
    years = prepared.training
    later = replace(years, growth_kg_dm=years.growth_kg_dm * np.where(np.arange(MONTHS) > 0, 2.0, 1.0))
    stack = prepared.policy.stack
    boards = []
    for known in (years, later):
        board = Board(stack)
        Walker(prepared.policy).reveal(board, 0, known, 1, 0)
        boards.append(board)

    assert later.growth_kg_dm[1, :, -1].max() > 1.0
    assert np.array_equal(boards[0].upper, boards[1].upper)
    assert np.array_equal(boards[0].row_upper, boards[1].row_upper)
