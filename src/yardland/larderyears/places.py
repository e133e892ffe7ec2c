"""Where the work on chains is done: in this process, or in processes beside it (`cluster` has the third place).

A place takes pieces of work and says which are finished. All of them do the same work in the same pieces; nothing of an
answer hangs on the place.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterable
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import parent_process
from multiprocessing.context import SpawnContext, SpawnProcess
from typing import Any, Protocol

from yardland.errors import Fault, InputFaults
from yardland.growth.numba_path import THREADS
from yardland.larderyears.work import Packed, Ready, in_worker, packed


class Doing(Protocol):
    """A piece of work that was given out."""

    def result(self) -> Any:  # noqa: ANN401 (what the work returns)
        """Its answer, or what it raised."""


class Place(Protocol):
    """Where work is done."""

    slots: int
    """Pieces that are done at the same time."""

    def hold(self, held: Ready) -> None:
        """What the work that follows shares."""

    def submit(self, work: Callable[..., Any], *arguments: object) -> Doing:
        """Give out a piece of work: `work(held, *arguments)`."""

    def finished(self, some: Iterable[Doing]) -> list[Doing]:
        """Wait until at least one is finished; which."""

    def drop(self, some: Iterable[Doing]) -> None:
        """Work that is wanted no more."""

    def close(self) -> None:
        """Give back what the place holds."""


class Later:
    """Work of this process that is done when it is waited for."""

    def __init__(self, work: Callable[..., Any], *arguments: object) -> None:
        """Nothing is done yet."""
        self.work, self.arguments = work, arguments

    def result(self) -> Any:  # noqa: ANN401 (what the work returns)
        """Do it."""
        return self.work(*self.arguments)


class Here:
    """This process."""

    slots = 1

    def __init__(self) -> None:
        """Nothing is held yet."""
        self.held: Ready | None = None

    def hold(self, held: Ready) -> None:
        """What the work that follows shares."""
        self.held = held

    def submit(self, work: Callable[..., Any], *arguments: object) -> Doing:
        """Note a piece of work."""
        return Later(work, self.held, *arguments)

    def finished(self, some: Iterable[Doing]) -> list[Doing]:
        """The first is next."""
        return [next(iter(some))]

    def drop(self, some: Iterable[Doing]) -> None:
        """Nothing was begun."""

    def close(self) -> None:
        """Nothing to give back."""
        self.held = None


def start_worker() -> None:
    """In a worker: one thread, for there is a process on each core; Ctrl-C is the first process's business."""
    os.environ[THREADS] = "1"
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=leave_with_parent, daemon=True).start()


def leave_with_parent() -> None:
    """End this process when the first one has ended, however: one that was killed tells nobody, and work would be waited for for ever."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


class Deaf(SpawnProcess):
    """A process that never hears Ctrl-C: it is deaf when it is born, not only when it has read what it needs for its work."""

    def start(self) -> None:
        """Begin it; what ignores a signal hands that on."""
        if threading.current_thread() is not threading.main_thread():
            super().start()
            return
        heard = signal.signal(signal.SIGINT, signal.SIG_IGN)
        try:
            super().start()
        finally:
            signal.signal(signal.SIGINT, heard)


class Noted(SpawnContext):
    """Begins processes anew, and notes which."""

    def __init__(self) -> None:
        """None is begun yet."""
        super().__init__()
        self.begun: list[SpawnProcess] = []

    def Process(self, *arguments: Any, **options: Any) -> SpawnProcess:  # type: ignore[override]  # noqa: ANN401, N802 (as the context has it)
        """A process, noted."""
        self.begun.append(Deaf(*arguments, **options))
        return self.begun[-1]


class Processes:
    """Processes of this machine, begun anew and not forked, so that they work alike on every system."""

    def __init__(self, jobs: int) -> None:
        """Make them ready; they begin with the first work."""
        self.slots = jobs
        self.context = Noted()
        self.pool = ProcessPoolExecutor(jobs, self.context, start_worker)
        self.sent = Packed("", b"", "")

    def hold(self, held: Ready) -> None:
        """What the work that follows shares: it is sent with each piece."""
        self.sent = packed(held)

    def submit(self, work: Callable[..., Any], *arguments: object) -> Doing:
        """Give out a piece of work.

        Raises:
            PlaceGone: a process has died.
        """
        try:
            return self.pool.submit(in_worker, self.sent, work, *arguments)
        except BrokenProcessPool:
            raise PlaceGone([died()]) from None

    def finished(self, some: Iterable[Doing]) -> list[Doing]:
        """Wait until at least one is finished.

        Raises:
            PlaceGone: a process has died.
        """
        done = wait([one for one in some if isinstance(one, Future)], return_when=FIRST_COMPLETED).done
        if any(isinstance(one.exception(), BrokenProcessPool) for one in done):
            raise PlaceGone([died()])
        return [*done]

    def drop(self, some: Iterable[Doing]) -> None:
        """Work that has not begun is not begun."""
        for one in some:
            if isinstance(one, Future):
                one.cancel()

    def close(self) -> None:
        """End the processes, whatever they do: what they have done is taken already."""
        self.pool.shutdown(wait=False, cancel_futures=True)
        for process in self.context.begun:
            if process.is_alive():
                process.terminate()


class PlaceGone(InputFaults):
    """The place where work is done is gone, or cannot do it; the plan is not to blame."""


def died() -> Fault:
    """A worker process that ended without an answer."""
    return Fault(
        "this machine",
        "a worker process",
        "that it ended before its work was done (killed, or out of memory)",
        "processes that last as long as the run",
        "Run it again, with fewer --jobs if memory is short; chains that are done are kept in the holding's out/years.",
    )


def open_place(jobs: int, scheduler: str = "") -> Place:
    """The place for a number of processes, or at the address of a cluster.

    Raises:
        PlaceGone: a cluster that cannot be reached, or the libraries for it are not installed.
    """
    if scheduler:
        from yardland.larderyears.cluster import Cluster

        return Cluster(scheduler)
    return Here() if jobs <= 1 else Processes(jobs)
