"""Whether compiled loops are to be had: numba there, its compiling on, and a place where it may keep what it compiled."""

from __future__ import annotations

from functools import lru_cache
from importlib import import_module
from types import ModuleType


@lru_cache(maxsize=8)
def compiled(module: str) -> ModuleType | None:
    """A module of compiled loops; None where NumPy's way has to do, which gives the same."""
    try:
        import numba

        loops = import_module(module)
    except RuntimeError:  # numba finds no place to keep its compiled code
        return None
    return None if getattr(numba.config, "DISABLE_JIT", 0) else loops


def day_loops() -> ModuleType | None:
    """Those of ground and snow, day by day."""
    return compiled("yardland.growth.day_loops")
