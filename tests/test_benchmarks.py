"""Benchmarks run: each measures what it says, once and small, so that none rots."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))


@pytest.mark.slow
def test_the_benchmark_of_commands_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """Every command is timed beside the bare interpreter, and none is faster than it."""
    from bench_commands import main

    seconds = main(rounds=1)

    assert len(seconds) == 6
    assert all(value > 0.8 * seconds["python -c pass"] for value in seconds.values())
    assert "x the bare interpreter" in capsys.readouterr().out


def test_the_benchmark_of_the_generator_runs_and_judges() -> None:
    """Drawn days equal the twin's to 1e-9, and a day of the twin takes longer."""
    from bench_generator import LARGEST_DIFFERENCE, measure

    found = measure(years=20, twin_years=2)

    assert found["difference"] <= LARGEST_DIFFERENCE
    assert found["ratio"] > 1


@pytest.mark.slow
def test_the_benchmark_of_places_runs_and_judges() -> None:
    """Chains of two processes are those of one to the bit, and the busiest process of the three does less than all."""
    from bench_years_places import MOST_MB, measure

    found = measure(count=6, chain_years=1)

    assert found["differ"] == 0
    assert found["ratio"] > 1
    assert found["most_mb"] < MOST_MB


@pytest.mark.slow
def test_the_benchmark_of_growth_runs_and_judges(tmp_path: Path) -> None:
    """Growing the years of a starter holding takes less than walking them, and chains grown together less than one by one."""
    from bench_growth import measure
    from bench_years_places import ARGS
    from typer.testing import CliRunner

    from yardland.cli.main import app

    assert CliRunner().invoke(app, ["new", str(tmp_path / "brook"), *ARGS]).exit_code == 0
    found = measure(tmp_path / "brook", chains=6, walked=1, chain_years=2)

    assert 0.0 < found.share < 1.0
    assert found.growth < found.one_by_one


@pytest.mark.slow
def test_the_benchmark_of_policies_runs_and_judges(tmp_path: Path) -> None:
    """Four policies are walked over the same two years, none costs less than perfect information, and plain rolling pays the most for not knowing."""
    from bench_policies import measure, table
    from bench_years_places import ARGS
    from typer.testing import CliRunner

    import yardland
    from yardland.cli.main import app

    assert CliRunner().invoke(app, ["new", str(tmp_path / "brook"), *ARGS]).exit_code == 0
    found = measure(yardland.load(tmp_path / "brook"), count=2, chain_years=2, two_years=True)
    ratios = found.ratios()

    assert set(found.costs) == {"plain", "two_years", "shipped", "quick"}
    assert all(gap > 0.0 for name in found.costs for gap in found.gaps(name))
    assert 0.0 < ratios["shipped gap / plain gap"][0] < 1.0
    assert "stored" in table(found)
