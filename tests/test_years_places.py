"""Chains done in one process, in two, on a cluster that loses a worker, and taken up after a stop: the same to the last bit."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import tracemalloc
from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.errors import InputFaults
from yardland.larderyears import kept as kept_module
from yardland.larderyears import run as run_module
from yardland.larderyears.asked import CHAINS_OF_A_DRAW, Asked
from yardland.larderyears.chains import ground
from yardland.larderyears.cluster import Cluster, Patience
from yardland.larderyears.kept import Kept
from yardland.larderyears.marks import chain_mark
from yardland.larderyears.places import Doing, Here, Noted, Processes
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.result import odds_of
from yardland.larderyears.run import Run, Telling, Years
from yardland.larderyears.told import ChainTold
from yardland.reference import load_tables

ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40", "--area", "0.4 ha"]
ASKED = Asked(count=6, chain_years=2, quick=True)
MARK = "0123456789abcdef01234567"


@pytest.fixture(scope="module", autouse=True)
def _few_draws() -> Iterator[None]:
    """Two draws of yields instead of five: the work is of the same kind."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(run_module, "DRAWS", 2)
        yield


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `yardland new` writes for two people on 0.4 ha."""
    place = tmp_path_factory.mktemp("places") / "brook"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    return place


@pytest.fixture(scope="module")
def shared(folder: Path) -> Prepared:
    """It is made ready once."""
    holding = yardland.load(folder)
    return prepare(ground(holding, load_tables(own=holding.own)), quick=True)


@pytest.fixture(scope="module")
def alone(shared: Prepared) -> Years:
    """Three chains in this process."""
    return Run(shared, ASKED, Telling(), None, Here()).years()


def equal(one: tuple[ChainTold, ...], other: tuple[ChainTold, ...]) -> bool:
    """Whether every number of every chain is the same to the last bit."""
    assert len(one) == len(other) > 0
    return all(
        np.array_equal(getattr(a, item.name), getattr(b, item.name))
        for a, b in zip(one, other, strict=True)
        for item in fields(ChainTold)
    )


def check_same(one: Years, other: Years) -> None:
    """Chains, drawn chains and strikes of two runs are the same to the last bit."""
    assert equal(one.chains, other.chains)
    assert equal(tuple(chain for _, chain in one.drawn), tuple(chain for _, chain in other.drawn))
    assert [draw for draw, _ in one.drawn] == [draw for draw, _ in other.drawn]
    assert one.struck == other.struck


class Counted(Here):
    """This process, counting the pieces of work that are done."""

    def __init__(self) -> None:
        """None is done."""
        super().__init__()
        self.done: list[str] = []

    def finished(self, some: Any) -> list[Doing]:
        """The first is next, and noted."""
        (one,) = super().finished(some)
        self.done.append(one.work.__name__)  # type: ignore[attr-defined]
        return [one]


def test_what_is_kept_is_taken_up_and_not_done_again(shared: Prepared, alone: Years, tmp_path: Path) -> None:
    """A second run walks nothing and gives the same to the bit; one broken and one lost chain are done again, no other."""
    first = Run(shared, ASKED, Telling(), Kept(tmp_path, MARK), Here()).years()
    idle, busy = Counted(), Counted()
    again = Run(shared, ASKED, Telling(), Kept(tmp_path, MARK), idle).years()
    kept = Kept(tmp_path, MARK)
    whole = kept.path(0, 1).read_bytes()
    kept.path(0, 1).write_bytes(whole[: len(whole) // 2])
    kept.path(2, 0).unlink()
    mended = Run(shared, ASKED, Telling(), kept, busy).years()

    assert first.taken_up == 0
    assert again.taken_up == len(first.chains) + len(first.drawn)
    assert len(first.drawn) == 2 * CHAINS_OF_A_DRAW
    assert idle.done == []
    assert mended.taken_up == again.taken_up - 2
    assert busy.done.count("walk") == 2
    for run in (first, again, mended):
        check_same(alone, run)


def test_a_stopped_run_keeps_what_is_done(shared: Prepared, alone: Years, tmp_path: Path) -> None:
    """Ctrl-C after two chains answers with two; started again it takes up two and ends as if it had never stopped."""

    def stop(years: int) -> None:
        if years == 2 * ASKED.chain_years:
            raise KeyboardInterrupt

    stopped = Run(shared, ASKED, Telling(years=stop), Kept(tmp_path, MARK), Here()).years()
    again = Run(shared, ASKED, Telling(), Kept(tmp_path, MARK), Here()).years()

    assert stopped.by_hand
    assert "2 of 3" in stopped.stopped
    assert equal(stopped.chains, alone.chains[:2])
    assert stopped.drawn == ()
    assert again.taken_up == 2
    check_same(alone, again)


def test_the_mark_tells_plans_weather_and_questions_apart(folder: Path, tmp_path: Path) -> None:
    """Another seed, length, policy, plan or weather file has another mark; more years, processes or another place of the folder not."""
    holding = yardland.load(folder)
    mark = chain_mark(holding, ASKED)
    (tmp_path / "weather.csv").write_text("other days\n", encoding="utf-8")
    goal = holding.goal.model_copy(update={"reserve_days": holding.goal.reserve_days + 1.0})
    others = {
        chain_mark(holding, replace(ASKED, seed=2)),
        chain_mark(holding, replace(ASKED, chain_years=3)),
        chain_mark(holding, replace(ASKED, quick=False)),
        chain_mark(holding, replace(ASKED, warmer_c=1.0)),
        chain_mark(holding.model_copy(update={"goal": goal}), ASKED),
        chain_mark(holding.model_copy(update={"folder": tmp_path}), ASKED),
    }

    assert len(others | {mark}) == 7
    assert chain_mark(holding, replace(ASKED, count=100, jobs=8, scheduler="a:1", within=0.1)) == mark
    assert chain_mark(holding.model_copy(update={"folder": tmp_path.parent}), ASKED) == mark


def test_only_the_newest_marks_stay(tmp_path: Path) -> None:
    """Old marks are cleaned, the newest few and whatever is no mark stay."""
    place = tmp_path / kept_module.FOLDER
    (place / "notes").mkdir(parents=True)
    for number in range(kept_module.RUNS + 2):
        kept = Kept(tmp_path, f"{number:024x}")
        os.utime(kept.place, (number, number))
    Kept(tmp_path, MARK)
    left = {one.name for one in place.iterdir()}

    assert left == {"notes", MARK, *(f"{number:024x}" for number in range(3, kept_module.RUNS + 2))}


def test_a_folder_that_cannot_be_written_stops_no_run(shared: Prepared, alone: Years, tmp_path: Path) -> None:
    """Where out/ is a file, the run goes on, keeps nothing, and says why."""
    (tmp_path / "out").write_text("in the way", encoding="utf-8")
    run = Run(shared, ASKED, Telling(), Kept(tmp_path, MARK), Here()).years()

    assert "out" in run.unkept
    check_same(alone, run)


def test_ten_thousand_years_are_counted_in_little_memory(alone: Years) -> None:
    """What is held of 10,000 years, and what counting them takes beside it, are under 300 MB together."""
    many = replace(alone, chains=alone.chains[:2] * 2500, drawn=())
    of_chain = [np.asarray(getattr(alone.chains[0], item.name)).nbytes for item in fields(ChainTold)]
    tracemalloc.start()
    try:
        odds = odds_of(many)
        counting = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    ten_year_chain = sum(of_chain) / ASKED.length * Asked().length

    assert odds.reliability.trials == 10_000
    assert counting + 1000 * ten_year_chain < 300e6


@pytest.mark.slow
def test_two_processes_give_the_bits_of_one(shared: Prepared, alone: Years) -> None:
    """Grown and walked in two processes, and growth in one thread, all is as in one process."""
    place = Processes(2)
    try:
        check_same(alone, Run(shared, ASKED, Telling(), None, place).years())
    finally:
        place.close()


@pytest.mark.slow
def test_a_process_that_dies_is_told_and_what_is_done_is_kept(shared: Prepared, tmp_path: Path) -> None:
    """A worker that is killed ends the run in words; the chain that was done is there for the next run."""
    place = Processes(2)

    def kill(_: int) -> None:
        for process in place.context.begun:
            process.kill()

    try:
        with pytest.raises(InputFaults, match="ended before its work was done"):
            Run(shared, replace(ASKED, count=60), Telling(years=kill), Kept(tmp_path, MARK), place).years()
    finally:
        place.close()

    assert Kept(tmp_path, MARK).load(0, 0) is not None


ORPHANS = """
import os
from yardland.larderyears.places import Processes, start_worker
if __name__ == "__main__":
    place = Processes(2)
    for one in [place.pool.submit(os.getpid) for _ in range(20)]:
        one.result()
    print(*[process.pid for process in place.context.begun], flush=True)
    os.kill(os.getpid(), 9)
"""


@pytest.mark.slow
def test_workers_leave_when_the_first_process_is_killed(tmp_path: Path) -> None:
    """A run that is killed outright leaves no worker behind."""
    script = tmp_path / "orphans.py"
    script.write_text(ORPHANS, encoding="utf-8")
    run = subprocess.run([sys.executable, str(script)], stdout=subprocess.PIPE, text=True, timeout=120, check=False)
    workers = [int(one) for one in run.stdout.split()]
    until = time.monotonic() + 30.0
    while time.monotonic() < until and any(map(alive, workers)):
        time.sleep(0.2)

    assert run.returncode == -signal.SIGKILL
    assert workers
    assert not any(map(alive, workers))


def alive(pid: int) -> bool:
    """Whether a process is there."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.fixture
def dask() -> Iterator[Any]:
    """A Dask cluster of two workers on this machine, in processes of their own."""
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None, silence_logs=50
    ) as cluster:
        yield cluster


@pytest.mark.slow
def test_a_cluster_that_loses_a_worker_gives_the_same_bits(shared: Prepared, alone: Years, dask: Any) -> None:
    """One of two workers is killed in the run: its chains are done by the other, to the last bit."""
    place = Cluster(dask.scheduler_address)
    workers = place.client.run(os.getpid)
    killed = []

    def kill(_: int) -> None:
        if not killed:
            killed.append(next(iter(workers.values())))
            os.kill(killed[0], signal.SIGKILL)

    try:
        run = Run(shared, ASKED, Telling(years=kill), None, place).years()
    finally:
        place.close()

    assert len(workers) == 2
    assert killed
    check_same(alone, run)


@pytest.mark.slow
def test_a_cluster_that_goes_away_is_told_and_what_is_done_is_kept(shared: Prepared, dask: Any, tmp_path: Path) -> None:
    """When the scheduler ends for good the run ends in words, soon, and the chains that were done are there."""
    place = Cluster(dask.scheduler_address, Patience(reach=5.0, worker=5.0, gone=3.0, look=1.0))

    def leave(years: int) -> None:
        if years == ASKED.chain_years:
            dask.close()

    begun = time.monotonic()
    try:
        with pytest.raises(InputFaults, match="out/years"):
            Run(shared, replace(ASKED, count=200), Telling(years=leave), Kept(tmp_path, MARK), place).years()
    finally:
        place.close()

    assert time.monotonic() - begun < 90.0
    assert Kept(tmp_path, MARK).load(0, 0) is not None


def test_nonsense_and_silent_addresses_are_refused() -> None:
    """What is no address, a closed port, and a port that never answers end in words, each in its time."""
    for words in ("banana", "tcp://", "http://127.0.0.1:8786", "127.0.0.1:99999", "a b:1"):
        with pytest.raises(InputFaults, match=r"tcp://192\.168"):
            Cluster(words)
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        port = silent.getsockname()[1]
        with pytest.raises(InputFaults, match="a Dask scheduler with workers"):
            Cluster(f"tcp://127.0.0.1:{port}", Patience(reach=1.0, look=1.0))
        silent.listen()
        with pytest.raises(InputFaults, match="a Dask scheduler with workers"):
            Cluster(f"tcp://127.0.0.1:{port}", Patience(reach=1.0, look=1.0))


def test_without_the_libraries_the_answer_says_how_to_get_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where distributed is not installed, the fault names the extra."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputFaults, match=r"yardland\[cluster\]"):
        Cluster("tcp://127.0.0.1:8786")


@pytest.mark.skipif(sys.platform == "win32", reason="signals are handed on by POSIX")
def test_a_process_does_not_hear_ctrl_c_while_it_is_born() -> None:
    """A process that is interrupted before it has read anything goes on, and the first one hears as it did."""
    heard = signal.getsignal(signal.SIGINT)
    process = Noted().Process(target=time.sleep, args=(0.2,))
    process.start()
    assert signal.getsignal(signal.SIGINT) is heard
    assert process.pid is not None
    os.kill(process.pid, signal.SIGINT)
    process.join(60.0)
    assert process.exitcode == 0
