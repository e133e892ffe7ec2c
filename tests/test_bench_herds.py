"""The benchmark of the herds runs and judges."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))


@pytest.mark.slow
def test_the_benchmark_of_the_herds_runs_and_judges() -> None:
    """Its twelve groups equal their twins to the bit, and both times are measured."""
    from bench_herds import GROUPS, measure

    found = measure(chains=2, years=2, rounds=3)

    assert len(GROUPS) == 12
    assert found["differ"] == 0
    assert found["herds_s"] > 0 < found["growth_s"]
    assert 0 < found["least"] <= found["ratio"] <= found["most"]
