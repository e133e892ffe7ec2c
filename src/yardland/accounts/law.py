"""The law of conservation: closing - opening = A @ flows, for every account and month."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.ledger.arcs import BOUNDLESS, Ledger


def misses_kg(ledger: Ledger) -> npt.NDArray[np.float64]:
    """How far each account misses the law, kg, float64 [account, month]; zero for the boundless accounts."""
    change = ledger.incidence().astype(np.float64) @ ledger.fresh_kg
    miss = ledger.closing_kg - ledger.opening_kg - change
    miss[[name in BOUNDLESS for name in ledger.accounts]] = 0.0
    return np.asarray(miss)


def throughput_kg(ledger: Ledger) -> npt.NDArray[np.float64]:
    """All that goes through each account in a month, in and out and lying there, kg, float64 [account, month]."""
    passing = np.abs(ledger.incidence().astype(np.float64)) @ ledger.fresh_kg
    return np.asarray(passing + ledger.opening_kg + ledger.closing_kg)


def worst_miss(ledger: Ledger) -> tuple[float, str]:
    """The greatest miss as a share of the account's greatest throughput, and the account; (0, "") for no accounts."""
    if not ledger.accounts:
        return 0.0, ""
    share = np.abs(misses_kg(ledger)).max(axis=1) / np.maximum(throughput_kg(ledger).max(axis=1), 1e-12)
    worst = int(np.argmax(share))
    return float(share[worst]), ledger.accounts[worst]
