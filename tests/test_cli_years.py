"""`yardland years`: the answer with its ranges and terms, as words and as JSON; what it refuses."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.cli.years import Start
from yardland.cli.years_run import Runner
from yardland.larderyears.asked import Asked
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.prepare import prepare
from yardland.larderyears.run import run_years
from yardland.larderyears.sides import brought
from yardland.larderyears.stack import stacked
from yardland.larderyears.standard import is_standard, on_standard_terms
from yardland.larderyears.told import tell_chain, teller
from yardland.larderyears.walk import Policy, started
from yardland.larderyears.window_walk import walker_of
from yardland.reference import load_tables

ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,m16", "--area", "0.4 ha"]
SMALL = ["--count", "4", "--chain", "2", "--jobs", "1", "--quick", "--no-standard"]


def call(*words: str) -> tuple[int, str, str]:
    """Run the command: exit code, standard output, standard error."""
    answer = CliRunner().invoke(app, ["years", *words])
    return answer.exit_code, answer.stdout, answer.stderr


@pytest.fixture(scope="session")
def brook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `yardland new` writes for three people on 0.4 ha, who are short now and then."""
    place = tmp_path_factory.mktemp("odds") / "brook"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    return place


@pytest.fixture(scope="session")
def told(brook: Path) -> dict[str, object]:
    """Four years of it as JSON, beside the same plan under another name."""
    other = brook.parent / "twin"
    other.mkdir()
    for file in brook.iterdir():
        if file.is_file():
            (other / file.name).write_bytes(file.read_bytes())
    code, out, err = call(str(brook), *SMALL, "--against", str(other), "--json")
    assert code == 0, err
    found: dict[str, object] = json.loads(out)
    return found


def test_the_object_has_its_stable_keys(told: dict[str, object]) -> None:
    """Reliability with both ranges, terms, the months' odds and bands are there, shares between 0 and 1."""
    assert told["schema"] == "yardland.years/1"
    assert told["count"] == 4
    assert told["chains"] == 2
    low, high = told["reliability_interval"]  # type: ignore[misc]
    assert 0.0 <= low <= told["reliability"] <= high <= 1.0  # type: ignore[operator]
    assert low < high
    from_knowledge = told["reliability_range"]
    assert 0.0 <= from_knowledge[0] <= from_knowledge[1] <= 1.0  # type: ignore[index]
    assert len(told["short_probability"]) == 12  # type: ignore[arg-type]
    assert len(told["store_days_bands"]) == 3  # type: ignore[arg-type]
    assert 0.0 <= told["foresight_reliability"] <= 1.0  # type: ignore[operator]
    assert {"link", "kind", "mended_share", "resimulated"} <= set(told["causes"][0])  # type: ignore[index]
    assert told["food_per_year"]["unclosed_share_greatest"] < 1e-8  # type: ignore[index,call-overload]
    assert told["short_months_seen_close"]["of_months"] == 48  # type: ignore[index,call-overload]
    assert told["hungry_stock_seen_close"]["classes"] is not None  # type: ignore[index,call-overload]
    assert any("seed 1" in term for term in told["terms"])  # type: ignore[union-attr,attr-defined]


def test_a_plan_against_itself_differs_in_nothing(told: dict[str, object]) -> None:
    """On the same years two equal plans mend and spoil none, and the interval still has a width."""
    against = told["against"]
    assert against["difference"] == 0.0  # type: ignore[index,call-overload]
    low, high = against["difference_interval"]  # type: ignore[index,call-overload]
    assert low < 0.0 < high
    assert {one["line"] for one in against["moves"]} >= {
        "bought",
        "eaten",
        "fed",
        "spoiled",
        "leanest_store",
        "short_months",
    }  # type: ignore[index,call-overload]
    assert all(one["difference"] == 0.0 and not one["told_apart"] for one in against["moves"])  # type: ignore[index,call-overload]


def test_no_year_and_a_folder_that_is_not_there_are_refused(tmp_path: Path) -> None:
    """0 and ten million years, chains of none, and a missing folder end in words and exit code 2."""
    for words in (["--count", "0"], ["--count", "10000000"], ["--chain", "0"], ["--within", "0"]):
        code, _, err = call(str(tmp_path), *words)
        assert code == 2
        assert words[0] in err
    code, _, err = call(str(tmp_path / "nowhere"))
    assert code == 2
    assert "nowhere" in err


def test_one_chain_is_no_comparison(brook: Path) -> None:
    """--against with all years in one chain is refused before anything is run, with what would do."""
    code, _, err = call(str(brook), "--count", "10", "--chain", "10", "--against", str(brook))
    assert code == 2
    assert "two chains or more" in err
    assert "--chain" in err


def test_a_start_may_be_said_either_way(brook: Path) -> None:
    """Both "it stands" and "as it stands" mean the same beginning; another word is refused."""
    assert {Start("it stands").how, Start("as it stands").how} == {"it stands"}
    assert Start("settled").how == "settled"
    code, _, err = call(str(brook), "--start", "standing")
    assert code == 2
    assert "as it stands" in err


@pytest.mark.parametrize("stopped_at", [2, 3])
def test_who_stops_a_later_run_keeps_the_first(brook: Path, monkeypatch: pytest.MonkeyPatch, stopped_at: int) -> None:
    """Ctrl-C on standard terms, or in the other plan, leaves what was done before, and says that it was stopped."""
    done: list[str] = []

    def run(_: Runner, __: object, what: str) -> SimpleNamespace:
        done.append(what)
        if len(done) == stopped_at:
            raise KeyboardInterrupt
        return SimpleNamespace(years=SimpleNamespace(by_hand=False))

    monkeypatch.setattr(Runner, "run", run)
    monkeypatch.setattr("yardland.cli.years_run.looked_back", lambda odds, *_, **__: odds)
    answer = Runner(Asked(), standard=True, start=None, anew=False, causes=False).answer(brook, brook)

    assert answer.by_hand
    assert answer.against is None
    assert (answer.plain is None) == (stopped_at == 2)


def test_standard_terms_buy_nothing_but_salt(brook: Path) -> None:
    """The plan on standard terms keeps its sales, loses its purchases, and is then standard."""
    holding = yardland.load(Path(__file__).parent.parent / "examples" / "tarn-hollow")
    plain = on_standard_terms(holding)

    assert {row.item for row in plain.trades if row.do == "buy"} <= {"salt"}
    assert [row for row in plain.trades if row.do == "sell"] == [row for row in holding.trades if row.do == "sell"]
    assert not is_standard(holding)
    assert is_standard(plain)
    assert yardland.load(brook).place.name == "Brook"


@pytest.mark.slow
def test_two_processes_give_the_bits_of_one(brook: Path) -> None:
    """Chains walked in two processes are those of one process, to the last bit; and a shorter run is the start of a longer."""
    holding = yardland.load(brook)
    tables = load_tables(own=holding.own)
    one = run_years(holding, tables, Asked(count=6, chain_years=2, quick=True, jobs=1))
    two = run_years(holding, tables, Asked(count=4, chain_years=2, quick=True, jobs=2))

    for alone, beside in zip(one.chains, two.chains, strict=False):
        assert (alone.coverage == beside.coverage).all()
        assert (alone.stock_days == beside.stock_days).all()
        assert (alone.bought_kg == beside.bought_kg).all()


@pytest.mark.slow
def test_who_looks_further_is_short_of_less(brook: Path) -> None:
    """On tight ground, over the same ten chains: plain rolling to the year's end lacks most, the quick policy less, the shipped one least.

    Each difference of the means, in months' needs a year, is beyond twice its standard error: two chains alone can go the other way.
    """
    holding = yardland.load(brook)
    place = ground(holding, load_tables(own=holding.own))
    shipped, quick = prepare(place), prepare(place, quick=True)
    frame = shipped.frame
    plain = started(Policy(frame, stacked(frame, 1, shipped.kept), shipped.policy.expected), shipped.opening_kg)
    grown = grow_chains(place, 1, range(10), 8)
    chains = [brought(frame, one)[0] for one in grown.productions]
    lacks = {}
    for name, policy in (("plain", plain), ("quick", quick.policy), ("shipped", shipped.policy)):
        tell, walker = teller(frame, policy.stack), walker_of(policy)
        walks = [walker.walk(one, shipped.opening_kg, place.first_turn(chain)) for chain, one in enumerate(chains)]
        lacks[name] = np.array([tell_chain(tell, 0, one).shortfall.mean() for one in walks])

    assert lacks["quick"].mean() < 0.8 * lacks["plain"].mean()
    for less, more in (("shipped", "quick"), ("quick", "plain")):
        differ = lacks[less] - lacks[more]
        assert differ.mean() + 2.0 * differ.std(ddof=1) / np.sqrt(len(differ)) < 0.0
