"""The table of herds beside the handbook says what it does, and leaves no figure outside without a reason."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[1]


def script() -> ModuleType:
    """scripts/herd_table.py as a module."""
    spec = importlib.util.spec_from_file_location("herd_table", ROOT / "scripts" / "herd_table.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["herd_table"] = module
    spec.loader.exec_module(module)
    return module


def test_a_figure_is_inside_its_range_or_has_its_reason() -> None:
    """Without a range of its own a figure may lie 30 % off; one outside is explained by its class and word, else marked."""
    table = script()
    near, far = (
        table.banded("ewe: energy eaten", "MJ", 129.0, 100.0),
        table.banded("ewe: energy eaten", "MJ", 60.0, 100.0),
    )

    assert (near.inside, far.inside, round(far.ratio, 2)) == (True, False, 0.6)
    assert "full milk" in table.why(far)
    assert table.why(table.banded("goose: water", "l", 9.0, 1.0)) == "?"


@pytest.mark.slow  # it tells every group of both demonstrations
def test_no_figure_lies_outside_without_a_reason() -> None:
    """Each group of both demonstrations has feed, products and droppings beside the handbook's, and what is outside is explained."""
    table = script()
    found = [(told.name, line) for told, tables in table.groups() for line in table.lines(told, tables)]
    outside = [(group, line.what, line.ratio) for group, line in found if not line.inside and table.why(line) == "?"]

    assert len({group for group, _ in found}) == 9
    assert outside == []
