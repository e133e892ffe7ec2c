"""The benchmark of evapotranspiration runs and its judgement of equality holds."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))


def test_own_evapotranspiration_is_pyets_on_xarray_in_both_cases() -> None:
    """Over drawn years, with clear-sky radiation given and worked out, no day differs by 1e-6 mm; both are timed."""
    from bench_evapotranspiration import GIVEN, LARGEST_DIFFERENCE_MM, WORKED_OUT, measure

    found = measure(years=20, repeats=1)

    assert set(found) == {GIVEN, WORKED_OUT}
    for one in found.values():
        assert one["difference"] <= LARGEST_DIFFERENCE_MM
        assert min(one["own"], one["pyet"]) > 0
