"""Work on a Dask cluster: a third place beside this process and processes of this machine.

The cluster may lose workers and get new ones in the run; it does again what was lost. If the scheduler does not answer, or
no worker is left, the run waits a while and then says so.
"""

from __future__ import annotations

import queue
import re
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from yardland.errors import Fault
from yardland.larderyears.places import Doing, PlaceGone
from yardland.larderyears.work import OtherVersions, Ready, in_worker, packed

ADDRESS = re.compile(r"((tcp|tls|ws|wss)://)?(\[[0-9A-Fa-f:.]+\]|[A-Za-z0-9_.-]+):(\d{1,5})/?")
MOST_PORT = 65_535
REMEDY = "Start it, then run again: chains that are done are kept in the holding's out/years and taken up."
EXTRA = "pip install 'yardland[cluster]'"


@dataclass(frozen=True)
class Patience:
    """Seconds to wait (own choices).

    reach : for the scheduler's first answer ; worker : for a first worker ; gone : for a scheduler that is silent, or for
    a worker when none is left ; look : between two looks at the cluster's health
    """

    reach: float = 15.0
    worker: float = 30.0
    gone: float = 60.0
    look: float = 5.0


PATIENCE = Patience()


class Cluster:
    """A Dask cluster that is there already; it is left running."""

    def __init__(self, address: str, patience: Patience = PATIENCE) -> None:
        """Find the scheduler and its workers.

        Raises:
            PlaceGone: no such address, nobody there, no worker, or the libraries are not installed.
        """
        self.address, self.patience = address, patience
        self.client = reached(address, patience)
        self.finished_now: queue.SimpleQueue[Any] = queue.SimpleQueue()
        self.held: Any = None
        try:
            self.client.wait_for_workers(1, timeout=patience.worker)
            self.slots = max(1, sum(self.threads().values()))
        except (OSError, TimeoutError):
            self.close()
            raise PlaceGone([fault(address, f"a scheduler without workers for {patience.worker:.0f} s")]) from None

    def threads(self) -> dict[str, int]:
        """Threads of each worker, as the scheduler has them now."""
        found: dict[str, int] = self.client.sync(self.client.scheduler.ncores, callback_timeout=self.patience.look)
        return found

    def hold(self, held: Ready) -> None:
        """What the work that follows shares: one piece of work gives it, so that a worker that dies takes nothing along."""
        self.held = self.client.submit(given, packed(held), pure=False)

    def submit(self, work: Callable[..., Any], *arguments: object) -> Doing:
        """Give out a piece of work."""
        doing: Any = self.client.submit(in_worker, self.held, work, *arguments, pure=False)
        doing.add_done_callback(self.finished_now.put)
        return doing  # type: ignore[no-any-return]

    def finished(self, some: Iterable[Doing]) -> list[Doing]:
        """Wait until at least one is finished.

        Raises:
            PlaceGone: the cluster is gone, or its workers cannot do the work.
        """
        by_key = {one.key: one for one in some}  # type: ignore[attr-defined]
        well = time.monotonic()
        while True:
            try:
                done = by_key.get(self.finished_now.get(timeout=self.patience.look).key)
            except queue.Empty:
                well = time.monotonic() if self.is_well() else well
                if time.monotonic() - well > self.patience.gone:
                    words = f"no answer from it, or no worker in it, for {self.patience.gone:.0f} s"
                    raise PlaceGone([fault(self.address, words)]) from None
                continue
            if done is None:
                continue
            if done.status == "finished":  # type: ignore[attr-defined]
                return [done]
            self.refuse(done)
            self.finished_now.put(done)
            time.sleep(self.patience.look)
            if time.monotonic() - well > self.patience.gone:
                raise PlaceGone([fault(self.address, "a cluster that has dropped the work")])

    def is_well(self) -> bool:
        """Whether the scheduler answers and has a worker."""
        try:
            return self.client.status == "running" and len(self.threads()) > 0
        except (OSError, TimeoutError):
            return False

    def refuse(self, doing: Any) -> None:  # noqa: ANN401 (a future of the library)
        """Raise what a worker met, in words where it is no fault of ours."""
        from distributed import KilledWorker

        error = doing.exception(timeout=self.patience.look) if doing.status == "error" else None
        if isinstance(error, OtherVersions | ImportError | KilledWorker):
            words = " ".join(str(error).split())[:300]
            raise PlaceGone([fault(self.address, words, "workers with the same versions, and memory for the work")])
        if error is not None:
            raise error

    def drop(self, some: Iterable[Doing]) -> None:
        """Work that is wanted no more."""
        if self.client.status == "running":
            self.client.cancel([*some], force=True)

    def close(self) -> None:
        """Leave the cluster as it was."""
        self.held = None
        self.client.close(timeout=self.patience.look)


def given(sent: Any) -> Any:  # noqa: ANN401 (what it gets)
    """What it gets."""
    return sent


def reached(address: str, patience: Patience) -> Any:  # noqa: ANN401 (a client of the library)
    """A client of the scheduler at an address.

    Raises:
        PlaceGone: it cannot be reached, or the libraries are not installed.
    """
    match = ADDRESS.fullmatch(address)
    if match is None or not 0 < int(match[4]) <= MOST_PORT:
        raise PlaceGone([fault(address, repr(address), "an address such as tcp://192.168.1.20:8786", "Correct it.")])
    try:
        from distributed import Client
    except ImportError:
        words = "no library dask and distributed"
        raise PlaceGone([fault(address, words, "both installed", f"Install them: {EXTRA}")]) from None
    answer: queue.SimpleQueue[Any] = queue.SimpleQueue()

    def call() -> None:
        try:
            answer.put(Client(address, timeout=patience.reach, set_as_default=False))  # type: ignore[no-untyped-call]
        except (OSError, TimeoutError, ValueError) as error:
            answer.put(" ".join(str(error).split())[:200] or type(error).__name__)

    # Beside the main thread: somebody who takes the call and never speaks would hold the library for ever.
    threading.Thread(target=call, daemon=True).start()
    try:
        found = answer.get(timeout=patience.reach + patience.look)
    except queue.Empty:
        found = f"nobody who speaks Dask's language within {patience.reach + patience.look:.0f} s"
    if isinstance(found, str):
        raise PlaceGone([fault(address, found)])
    return found


def fault(address: str, found: str, expected: str = "a Dask scheduler with workers", remedy: str = REMEDY) -> Fault:
    """What is wrong with a cluster."""
    return Fault(f"--scheduler {address}", "the cluster", found, expected, remedy)
