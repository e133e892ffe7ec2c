"""Fixtures that more than one test module needs: each demonstration year is computed once."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import settings
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.findings.collect import judged_year
from yardland.larderyear.result import YearResult
from yardland.larderyears.asked import Asked
from yardland.larderyears.run import Years, run_years
from yardland.reference import load_tables

pytest_plugins = ("outside",)

settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable")

EXAMPLES = Path(__file__).parent.parent / "examples"
DEMOS = ("tarn-hollow", "casa-vereda")
RILL = ["--name", "Rill", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,f7", "--area", "0.3 ha"]
LONGEST = (
    "test_random_holdings",
    "test_growth_kernels",
    "test_cli_years",
    "test_years_start",
    "test_years_places",
    "test_cli_demo",
    "test_growth_crops",
    "test_weather_generator_records",
    "test_weather_generator",
    "test_benchmarks",
    "test_check_table",
    "test_cli",
)
"""Modules that take the longest: they are begun first, else a worker would be left with one of them while the others wait."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest modules first, the others behind them in their order."""
    rank = {f"{name}.py": place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: rank.get(item.path.name, len(rank)))


@lru_cache(maxsize=4)
def demo_year(name: str) -> YearResult:
    """The year of a demonstration holding, with findings."""
    return judged_year(yardland.load(EXAMPLES / name))


@pytest.fixture(params=DEMOS)
def year_result(request: pytest.FixtureRequest) -> YearResult:
    """The year of each demonstration holding in turn."""
    return demo_year(request.param)


@pytest.fixture(scope="session")
def hungry(tmp_path_factory: pytest.TempPathFactory) -> Years:
    """Twelve years, in chains of two, of three people on too little ground, who buy no feed."""
    place = tmp_path_factory.mktemp("hindsight") / "rill"
    assert CliRunner().invoke(app, ["new", str(place), *RILL]).exit_code == 0
    trades = place / "trades.csv"
    lines = trades.read_text(encoding="utf-8").splitlines(keepends=True)
    trades.write_text("".join(line for line in lines if not line.startswith("layer_meal,")), encoding="utf-8")
    holding = yardland.load(Path(place))
    return run_years(holding, load_tables(own=holding.own), Asked(count=12, chain_years=2, quick=True))
