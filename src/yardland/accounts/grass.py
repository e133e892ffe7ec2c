"""What each sward grew, gave to mouths and barn, and lost, folded from the flows."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.ledger.arcs import Ledger

F64 = npt.NDArray[np.float64]
WORDS = {"grow": "grown", "graze": "grazed", "gather": "cut", "spoil": "lost"}


def grass_dm_kg(ledger: Ledger) -> dict[str, dict[str, F64]]:
    """Plot -> grown, grazed, cut, lost, kg dry matter [12] each."""
    plots: dict[str, dict[str, F64]] = {}
    for index, arc in enumerate(ledger.arcs):
        for account in (arc.source, arc.target):
            if not account.startswith("sward:") or arc.kind not in WORDS:
                continue
            terms = plots.setdefault(account.removeprefix("sward:"), {word: np.zeros(12) for word in WORDS.values()})
            terms[WORDS[arc.kind]] = terms[WORDS[arc.kind]] + ledger.dm_kg[index]
    return plots
