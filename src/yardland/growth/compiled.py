"""Whether compiled loops are to be had: numba there, its compiling on, and a place where it may keep what it compiled."""

from __future__ import annotations

from functools import lru_cache
from types import ModuleType


@lru_cache(maxsize=1)
def day_loops() -> ModuleType | None:
    """The module of compiled loops over days; None where NumPy's loops have to do, which give the same."""
    try:
        import numba

        from yardland.growth import day_loops as loops
    except RuntimeError:  # numba finds no place to keep its compiled code
        return None
    return None if getattr(numba.config, "DISABLE_JIT", 0) else loops
