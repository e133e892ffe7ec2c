"""What is told of stays on cleared ground: whose droppings are counted on it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conftest import demo_year

from yardland.findings.cleared import and_others
from yardland.findings.context import Context
from yardland.reference import load_tables


@pytest.mark.parametrize(("home", "told"), [("casa", ""), ("trigal", ", that of table birds with it")])
def test_nitrogen_of_those_who_live_on_the_plot_is_told_to_be_theirs_too(home: str, told: str) -> None:
    """Droppings are summed by plot: where other stock have their home on it, the finding says that theirs are among them."""
    result = demo_year("casa-vereda")
    birds = result.holding.group["table_birds"].model_copy(update={"home": home})
    plan = result.holding.model_copy(update={"group": result.holding.group | {"table_birds": birds}})
    context = Context(replace(result, holding=plan), load_tables())
    assert and_others(context, ("goats",), ["trigal"]) == told
