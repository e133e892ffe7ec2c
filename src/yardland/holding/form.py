"""The first gate: does a part of the plan have the right keys and types? Misfits become faults in the user's words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from yardland.errors import Fault
from yardland.holding.misfit import Misfit, nearest, shown
from yardland.holding.model import Part

P = TypeVar("P", bound=Part)
Detail = Mapping[str, Any]

ABSENT = "nothing"


def parse_part(
    model: type[P], raw: Mapping[str, object], file: str, where: Callable[[str], str]
) -> tuple[P | None, list[Fault]]:
    """A part of the plan from plain values, or every fault in it.

    Args:
        model: the part's type.
        raw: keys and values as TOML, JSON or a sheet gave them (lists as tuples).
        file: the file's name, for the faults.
        where: makes the place of a fault from the key path inside the part ("" for the part itself).

    Returns:
        The part and no fault, or None and at least one.
    """
    try:
        return model.model_validate(raw, strict=True), []
    except ValidationError as error:
        return None, [_fault(model, detail, file, where) for detail in error.errors(include_url=False)]


def key_path(loc: tuple[object, ...]) -> str:
    """A place inside a part, as "trees[2].species" (lists count from 1)."""
    path = ""
    for step in loc:
        path += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if path else str(step)
    return path


def _fault(model: type[Part], detail: Detail, file: str, where: Callable[[str], str]) -> Fault:
    """One validation error as a fault."""
    loc = tuple(detail["loc"])
    found = ABSENT if detail["type"] == "missing" else shown(detail["input"])
    if detail["type"] == "extra_forbidden":
        keys = known_keys(model, loc[:-1])
        return unknown_key(str(loc[-1]), keys, file, where(key_path(loc)))
    misfit = detail.get("ctx", {}).get("error")
    if isinstance(misfit, Misfit):
        return Fault(file, where(key_path(loc)), misfit.found or found, misfit.expected, misfit.remedy)
    expected, remedy = _words(detail, str(loc[-1]) if loc else "")
    return Fault(file, where(key_path(loc)), found, expected, remedy)


def unknown_key(key: str, keys: tuple[str, ...], file: str, place: str) -> Fault:
    """The fault of a key that nothing reads, with the nearest one that something does."""
    remedy = nearest(key, keys) or "Take it out, or use one of these keys."
    return Fault(file, place, f"the unknown key {shown(key)}", "one of " + ", ".join(keys), remedy)


def known_keys(model: type[BaseModel], loc: tuple[object, ...] = ()) -> tuple[str, ...]:
    """The keys that a user may write in `model`, or in the part nested at `loc` inside it."""
    for step in loc:
        if isinstance(step, str) and (inner := _inner_model(model, step)) is not None:
            model = inner
    return tuple(field.alias or name for name, field in model.model_fields.items())


def _inner_model(model: type[BaseModel], key: str) -> type[BaseModel] | None:
    """The model that the field `key` (name or alias) of `model` holds, alone or in a tuple."""
    for name, field in model.model_fields.items():
        if key in {name, field.alias}:
            return _model_in(field.annotation)
    return None


def _model_in(annotation: object) -> type[BaseModel] | None:
    """The first model inside a type."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for argument in getattr(annotation, "__args__", ()):
        if (model := _model_in(argument)) is not None:
            return model
    return None


BEYOND_THE_CIRCLE = (
    "Correct the latitude; beyond the polar circles, where the sun stays up or down for days, nothing is reckoned."
)
TWO_HOMES = "A group has one home: choose one, or part the animals into two groups."
ONE_ALONE = "Write one alone, in quotes."
NO_HEADS = "Write how many are kept, or take the class out; what is to come later stands under target."

_TYPES = {
    "int_type": ("a whole number", "Write it without quotes and without a decimal point."),
    "int_from_float": ("a whole number", "Write it without a decimal point."),
    "float_type": ("a number", "Write it without quotes."),
    "finite_number": ("a finite number", "Write a real figure; nan and inf are not figures."),
    "string_type": ("text", 'Put it in quotes, as "text".'),
    "bool_type": ("true or false", "Write true or false without quotes."),
    "tuple_type": ("a list", 'Put it in square brackets, as ["one", "two"].'),
    "dict_type": ("a table", "Write it as { key = value }."),
    "model_type": ("a table", "Write it as { key = value }."),
    "model_attributes_type": ("a table", "Write it as { key = value }."),
}


def _words(detail: Detail, key: str) -> tuple[str, str]:
    """What was expected, and the remedy, for one validation error."""
    kind, context = detail["type"], detail.get("ctx", {})
    if kind in _TYPES:
        several = kind == "string_type" and isinstance(detail["input"], list | tuple)
        return (_TYPES[kind][0], TWO_HOMES if key == "home" else ONE_ALONE) if several else _TYPES[kind]
    if kind == "missing":
        return f"the key {key}", f"Add {key}."
    if kind == "literal_error":
        choices = [choice.strip(" '") for choice in context["expected"].replace(" or ", ", ").split(",")]
        choices = [choice for choice in choices if choice]
        return "one of " + ", ".join(choices), nearest(str(detail["input"]), choices) or "Use one of these words."
    if kind == "string_pattern_mismatch":
        letters = "two" if "{2}" in context["pattern"] else "three"
        standard = "ISO 3166 country code" if letters == "two" else "ISO 4217 currency code"
        return f"{letters} capital letters ({standard})", "Write the code in capitals."
    if "heads" in detail["loc"] and kind == "greater_than_equal":
        key = "heads"
    return _bound_words(kind, context, key, detail["msg"])


def _bound_words(kind: str, context: Mapping[str, Any], key: str, message: str) -> tuple[str, str]:
    """Words for a number or a list outside its bounds."""
    bounds = {
        "greater_than": ("a number above {gt:g}", "Correct the number"),
        "greater_than_equal": ("a number of at least {ge:g}", "Correct the number"),
        "less_than_equal": ("a number of at most {le:g}", "Correct the number"),
        "too_short": ("a list with at least {min_length} entry", "Add an entry"),
    }
    if kind not in bounds:
        return message[:1].lower() + message[1:], "Correct the value."
    expected, remedy = bounds[kind]
    if key == "heads":
        return expected.format(**context), NO_HEADS
    if key == "latitude_deg":
        return expected.format(**context), BEYOND_THE_CIRCLE
    unit = key.rsplit("_", 1)[-1] if key.endswith(("_m", "_m2", "_m3", "_l", "_kg", "_deg", "_day", "_days")) else ""
    return expected.format(**context), f"{remedy}; the key's unit is {unit}." if unit else f"{remedy}."
