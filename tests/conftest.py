"""Fixtures that more than one test module needs: each demonstration year is computed once."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import settings

import yardland
from yardland.findings.collect import judged_year
from yardland.larderyear.result import YearResult

pytest_plugins = ("outside",)

settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable")

EXAMPLES = Path(__file__).parent.parent / "examples"
DEMOS = ("tarn-hollow", "casa-vereda")


@lru_cache(maxsize=4)
def demo_year(name: str) -> YearResult:
    """The year of a demonstration holding, with findings."""
    return judged_year(yardland.load(EXAMPLES / name))


@pytest.fixture(params=DEMOS)
def year_result(request: pytest.FixtureRequest) -> YearResult:
    """The year of each demonstration holding in turn."""
    return demo_year(request.param)
