"""Chains that are done, kept under the holding's out/ so that a run that was stopped goes on where it was.

`out/years/<mark>/chain-0007.npz`, and `draw-2-chain-0001.npz` for drawn yields; the mark is that of `marks.chain_mark`.
Each file is whole or not there; one that cannot be read, or says that it is another chain, counts as not there.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np

from yardland.holding.model import Holding
from yardland.holding.write import write_bytes
from yardland.larderyears.asked import Asked
from yardland.larderyears.chains import Struck
from yardland.larderyears.marks import chain_mark
from yardland.larderyears.told import ChainTold

FOLDER = Path("out") / "years"
RUNS = 6
"""Marks that stay: three plans with their standard terms. Older ones are cleaned."""
MARK = re.compile(r"[0-9a-f]{24}")
BROKEN = (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile, zlib.error)
"""What reading a broken file can raise."""
HIT = "struck_"


class Kept:
    """The chains of one mark. `fault` says why chains cannot be kept, "" while they can."""

    def __init__(self, folder: Path, mark: str) -> None:
        """Make the folder, count as its newest use, and clean older marks.

        Args:
            folder: of the holding.
            mark: digest of all that the chains hang on.
        """
        self.mark = mark
        self.place = folder / FOLDER / mark
        self.fault = ""
        try:
            self.place.mkdir(parents=True, exist_ok=True)
            os.utime(self.place)
            clean(folder / FOLDER)
        except OSError as error:
            self.fault = told(error)

    def path(self, draw: int, chain: int) -> Path:
        """File of a chain."""
        return self.place / (f"draw-{draw}-chain-{chain:04d}.npz" if draw else f"chain-{chain:04d}.npz")

    def load(self, draw: int, chain: int) -> tuple[ChainTold, tuple[Struck, ...]] | None:
        """A chain that is kept; None where there is none, or a broken one."""
        try:
            with np.load(io.BytesIO(self.path(draw, chain).read_bytes()), allow_pickle=False) as data:
                if str(data["mark"]) != self.mark or int(data["chain"]) != chain or int(data["draw"]) != draw:
                    return None
                return unfolded({name: data[name] for name in data.files})
        except BROKEN:
            return None

    def save(self, draw: int, chain: ChainTold, struck: Sequence[Struck]) -> None:
        """Keep a chain; where the disk refuses, `fault` says so and the run goes on."""
        if self.fault:
            return
        held = io.BytesIO()
        arrays: dict[str, Any] = {"mark": np.array(self.mark), "draw": np.array(draw), **folded(chain, struck)}
        np.savez_compressed(held, **arrays)
        try:
            write_bytes(self.path(draw, chain.chain), held.getvalue())
        except OSError as error:
            self.fault = told(error)

    def forget(self) -> None:
        """Begin anew: drop what is kept under this mark."""
        for path in self.place.glob("*.npz"):
            path.unlink(missing_ok=True)


def kept_of(holding: Holding, asked: Asked, *, anew: bool = False) -> Kept:
    """Where the chains of a plan are kept.

    Args:
        holding: its folder holds them.
        asked: seed, length and policy of the chains.
        anew: forget what is there.

    Raises:
        InputFaults: several weather files.
    """
    kept = Kept(holding.folder, chain_mark(holding, asked))
    if anew and not kept.fault:
        kept.forget()
    return kept


def folded(chain: ChainTold, struck: Sequence[Struck]) -> dict[str, Any]:
    """A chain as arrays that need no pickling."""
    found = {one.name: np.asarray(getattr(chain, one.name)) for one in fields(ChainTold)}
    for one in fields(Struck):
        found[HIT + one.name] = np.array([getattr(hit, one.name) for hit in struck])
    return found


def unfolded(data: dict[str, Any]) -> tuple[ChainTold, tuple[Struck, ...]]:
    """A chain from its arrays.

    Raises:
        KeyError: an array is missing.
        ValueError: it holds what is no number.
    """
    values = {one.name: data[one.name] for one in fields(ChainTold)}
    if any(array.dtype.kind == "f" and not np.isfinite(array).all() for array in values.values()):
        raise ValueError("not finite")
    plain: dict[str, Any] = {name: array if array.ndim else array.item() for name, array in values.items()}
    chain = ChainTold(**plain)
    columns = [data[HIT + one.name].tolist() for one in fields(Struck)]
    return chain, tuple(Struck(*row) for row in zip(*columns, strict=True))


def clean(folder: Path) -> None:
    """Drop all marks but the newest; nothing that is no mark, nor what a link leads to."""
    marks = [one for one in folder.iterdir() if MARK.fullmatch(one.name) and one.is_dir() and not one.is_symlink()]
    for one in sorted(marks, key=lambda path: path.stat().st_mtime, reverse=True)[RUNS:]:
        shutil.rmtree(one, ignore_errors=True)


def told(error: OSError) -> str:
    """Why chains are not kept."""
    return f"{error.filename or 'out/years'}: {error.strerror or type(error).__name__}"
