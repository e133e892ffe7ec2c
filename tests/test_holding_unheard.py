"""What a plan says and a year does not reckon with is told."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from conftest import EXAMPLES

import yardland
from yardland.holding import model
from yardland.holding.model import Holding, Part
from yardland.holding.unheard import UNHEARD, unheard, unheard_note

HOUSE = Path(yardland.__file__).parent
KINDS = {
    "start": model.Start,
    "goal": model.Goal,
    "people": model.Person,
    "soil": model.Soil,
    "sward": model.Sward,
    "round": model.Round,
    "rules": model.Rules,
}
TOLD_OTHERWISE = {("Holding", "calendar"), ("Plot", "area_from"), ("Plot", "sides_m")}
"""The calendar has its own line; how an area was typed is the reader's affair."""


def fields() -> list[tuple[str, str]]:
    """Every field of every part of a plan."""
    parts = [part for part in vars(model).values() if isinstance(part, type) and issubclass(part, Part)]
    return [(part.__name__, field) for part in parts for field in part.model_fields]


def test_every_key_of_a_plan_is_read_above_the_room_or_told() -> None:
    """A field that no other room reads stands in the list of what is not heard."""
    above = "\n".join(
        file.read_text(encoding="utf-8") for file in HOUSE.rglob("*.py") if file.parent.name != "holding"
    ) + (HOUSE / "holding" / "era.py").read_text(encoding="utf-8")
    listed = {(KINDS[kind].__name__, field) for kind, names in UNHEARD.items() for field in names}
    silent = {(part, field) for part, field in fields() if not re.search(rf"\.{field}\b", above)}

    assert len(fields()) > 90
    assert silent <= listed | TOLD_OTHERWISE


def test_fields_that_are_said_not_to_be_heard_exist() -> None:
    """The list names fields that the plan has."""
    for kind, names in UNHEARD.items():
        assert set(names) <= set(KINDS[kind].model_fields)


@pytest.mark.parametrize("name", ["tarn-hollow", "casa-vereda"])
def test_a_note_names_what_was_typed_and_no_more(name: str) -> None:
    """The demonstrations' keys that are not heard are in the note; a bare plan has no note."""
    plan = yardland.load(EXAMPLES / name)
    text = (EXAMPLES / name / "holding.toml").read_text(encoding="utf-8")
    bare = Holding(folder=plan.folder, place=plan.place, people={}, plot={})

    for key in unheard(plan):
        last = key.partition(" ")[0].rpartition(".")[2]
        assert last == "use" or re.search(rf"\b{last}\b", text), key
    assert len(unheard_note(plan)) == bool(unheard(plan))
    assert unheard_note(bare) == ()


def test_a_said_start_is_told() -> None:
    """A start that one year cannot take is named with the key as typed; a reserve and power cuts are reckoned with."""
    plan = yardland.load(EXAMPLES / "tarn-hollow")
    plan = plan.model_copy(
        update={"goal": model.Goal(reserve_days=60), "start": model.Start.model_validate({"as": "it stands"})}
    )

    assert "start.as" in unheard(plan)
    assert not {"goal.reserve_days", "store.*.power_cut_days_per_year"} & set(unheard(plan))
