"""holding.toml: from its text to the parts of a draft, with every fault of form."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from typing import TypeVar

from yardland.errors import Fault
from yardland.holding.draft import Draft
from yardland.holding.folder import OUTLINES, PLAN
from yardland.holding.form import ABSENT, parse_part, unknown_key
from yardland.holding.misfit import Misfit, shown
from yardland.holding.model import (
    Block,
    Fence,
    Goal,
    Group,
    Guests,
    Kitchen,
    Part,
    Person,
    Place,
    Plot,
    Round,
    Rules,
    Soil,
    Start,
    Store,
    Water,
    WaterSource,
)
from yardland.holding.units import EXAMPLES, parse_size

P = TypeVar("P", bound=Part)
Table = dict[str, object]

SCHEMA = 1
SINGLE: dict[str, type[Part]] = {"place": Place, "start": Start, "goal": Goal, "kitchen": Kitchen, "rules": Rules}
NAMED: dict[str, type[Part]] = {
    "people": Person,
    "guests": Guests,
    "soil": Soil,
    "plot": Plot,
    "block": Block,
    "group": Group,
    "round": Round,
    "store": Store,
    "fence": Fence,
}
TOP_KEYS = ("schema", *SINGLE, "water", *NAMED)
_NAME = re.compile(r"[^\W\d_][\w-]*")
_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
SYNTAX = {
    "cannot overwrite": (
        "a key that stood before",
        "each key once",
        "Take one of the two out, or give it another name.",
    ),
    "cannot declare": ("a table that stood before", "each table once", "Join the two tables, or rename one of them."),
    "invalid date": ("a date that does not exist", "a date that exists, as 2024-06-11", "Correct the date."),
    "invalid value": ("no value", "text in quotes, a number, true, false or a date", "Put text in quotes."),
}
"""What the TOML reader says (its first words): found, expected, remedy in a user's words."""
SOIL_TEST_KEYS = {"on": "tested_on"}


def parse_toml(text: str) -> tuple[Table, list[Fault]]:
    """The table of a TOML text, or the fault that stops its reading (with line and column)."""
    try:
        return tomllib.loads(text), []
    except tomllib.TOMLDecodeError as error:
        return {}, [_syntax_fault(str(error), text)]
    except (RecursionError, ValueError):
        found = "lists nested too deep, or a number too long"
        return {}, [Fault(PLAN, "the file", found, "TOML", "Write it flat, as the starter shows.")]


def _syntax_fault(message: str, text: str) -> Fault:
    """What the TOML reader said, with its line and column, and a remedy."""
    match = _AT.search(message)
    line = text.count("\n") + 1
    where = f"line {line} (the end)" if match is None or match[1] is None else f"line {match[1]}, column {match[2]}"
    said = _AT.sub("", message)
    said = said[:1].lower() + said[1:]
    for start, (found, expected, remedy) in SYNTAX.items():
        if said.startswith(start):
            key = _key_at(text, match)
            return Fault(PLAN, where, f"{found}: {key}" if key else found, expected, remedy)
    remedy = "Look at this line and the one before: a quote, bracket, comma or equals sign may be missing."
    return Fault(PLAN, where, f"a line that cannot be read ({said})", "TOML", remedy)


def _key_at(text: str, match: re.Match[str] | None) -> str:
    """What stands left of the equals sign, or in brackets, on the line of a fault; "" at the end of the file."""
    if match is None or match[1] is None:
        return ""
    line = text.split("\n")[int(match[1]) - 1].partition("=")[0].strip()
    return shown(line).strip('"')


def fill_draft(draft: Draft, table: Table) -> list[Fault]:
    """Put every part of the parsed holding.toml that has the right form into `draft`; give the faults of the rest."""
    faults = _top_faults(table)
    for key, model in SINGLE.items():
        faults += _single(draft, table, key, model)
    faults += _water(draft, table.get("water", {}))
    for key, model in NAMED.items():
        faults += _named(draft, table, key, model)
    return faults


def _top_faults(table: Table) -> list[Fault]:
    """Unknown keys at the top, the schema's number, and parts that no plan can do without."""
    faults = [unknown_key(key, TOP_KEYS, PLAN, key) for key in table if key not in TOP_KEYS]
    schema = table.get("schema")
    if schema is None:
        faults.append(Fault(PLAN, "schema", "nothing", "the key schema", "Write schema = 1 at the top of the file."))
    elif schema != SCHEMA or isinstance(schema, bool):
        remedy = "Write schema = 1; a higher number needs a newer yardland."
        faults.append(Fault(PLAN, "schema", shown(schema), f"schema = {SCHEMA}", remedy))
    needed = {"place": "place = { name = ... }", "people": "[people]", "plot": "[plot]"}
    faults += [
        Fault(PLAN, key, "nothing", f"the table {form}", f"Add {form} with at least one entry.")
        for key, form in needed.items()
        if key not in table or table[key] == {}
    ]
    return faults


def _single(draft: Draft, table: Table, key: str, model: type[Part]) -> list[Fault]:
    """A table that stands once: place, start, goal, kitchen, rules."""
    raw = table.get(key)
    if raw is None or raw == {}:
        return []
    if not isinstance(raw, dict):
        return [_no_table(key, raw)]
    part, faults = parse_part(model, _tuples(raw), PLAN, _at(key))
    if part is not None:
        setattr(draft, key, part)
    return faults


def _named(draft: Draft, table: Table, key: str, model: type[Part]) -> list[Fault]:
    """A table of named parts: people, guests, soils, plots, blocks, groups, rounds, stores, fences."""
    faults: list[Fault] = []
    into: dict[str, Part] = getattr(draft, key)
    for name, raw, place in _entries(draft, table.get(key, {}), key, faults):
        prepared, found = _prepared(draft, key, name, raw, place)
        faults += found
        part, found = parse_part(model, prepared, PLAN, _at(place))
        faults += [
            fault for fault in found if not (_already_told(fault, faults) or _told_by_outline(fault, name, draft))
        ]
        if part is not None and not any(fault.where.startswith(place + ".") for fault in faults):
            into[name] = part
    return faults


def _already_told(fault: Fault, faults: list[Fault]) -> bool:
    """A missing area_m2 of a plot is told by its size; no key is told twice."""
    size = fault.where.removesuffix(".area_m2") + ".size"
    return any(told.where in {fault.where, size} for told in faults)


def _told_by_outline(fault: Fault, name: str, draft: Draft) -> bool:
    """Whether a plot lacks an area only because its outline has a fault, which is told already."""
    drawn = not draft.outlines_read or name in draft.names("outline")
    return drawn and fault.where.startswith("plot.") and fault.where.endswith(".area_m2") and fault.found == ABSENT


def _entries(draft: Draft, raw: object, key: str, faults: list[Fault]) -> list[tuple[str, Table, str]]:
    """The named tables under `key`, with their place; names are declared even if the table has faults."""
    if not isinstance(raw, dict):
        faults.append(_no_table(key, raw))
        return []
    declared = draft.declared.setdefault(key, set())
    entries = []
    for name, value in raw.items():
        place = f"{key}.{name[:40]}"
        declared.add(name)
        if (fault := name_fault(name, place)) is not None:
            faults.append(fault)
        if isinstance(value, dict):
            entries.append((name, _tuples(value), place))
        else:
            faults.append(_no_table(place, value))
    return entries


def name_fault(name: str, place: str) -> Fault | None:
    """What is wrong with the name of a part: names go into result keys and file names."""
    if _NAME.fullmatch(name) and len(name) <= 40:
        return None
    climbs = "/" in name or "\\" in name or ".." in name
    found = f"the name {shown(name)}" + (", a path that climbs out of the folder" if climbs else "")
    return Fault(
        PLAN, place, found, "a name of letters, digits, - and _, at most 40, a letter first", "Give it another name."
    )


def _water(draft: Draft, raw: object) -> list[Fault]:
    """[water]: `order`, and every other key a source."""
    if not isinstance(raw, dict):
        return [_no_table("water", raw)]
    order = {key: value for key, value in raw.items() if key == "order"}
    part, faults = parse_part(Water, _tuples(order), PLAN, _at("water"))
    sources = {key: value for key, value in raw.items() if key != "order"}
    for name, source, place in _entries(draft, sources, "water", faults):
        parsed, found = parse_part(WaterSource, source, PLAN, _at(place))
        faults += found
        if parsed is not None:
            draft.sources[name] = parsed
    if part is not None:
        draft.water = part.model_copy(update={"source": draft.sources})
    return faults


def _prepared(draft: Draft, key: str, name: str, raw: Table, place: str) -> tuple[Table, list[Fault]]:
    """A part's table as its model wants it: typed sizes and outlines to areas, a soil's test to its keys."""
    if key == "plot":
        return _with_area(draft, name, raw, place)
    if key == "soil" and isinstance(raw.get("tested"), dict):
        tested: Mapping[str, object] = raw["tested"]  # type: ignore[assignment]
        rest = {inner: value for inner, value in raw.items() if inner != "tested"}
        return rest | {SOIL_TEST_KEYS.get(inner, inner): value for inner, value in tested.items()}, []
    return raw, []


def _with_area(draft: Draft, name: str, raw: Table, place: str) -> tuple[Table, list[Fault]]:
    """A plot's table with `area_m2` from its outline, its typed size, or as given."""
    inner = ("area_from", "sides_m")
    faults = [_unknown_plot_key(key, place) for key in inner if key in raw]
    rest = {key: value for key, value in raw.items() if key not in {"size", *inner}}
    if "size" in raw and "area_m2" in raw:
        faults.append(Fault(PLAN, f"{place}.size", "a size and an area_m2", "one of the two", "Take one of them out."))
        return rest, faults
    if "size" in raw:
        try:
            size = parse_size(_size_text(raw["size"]))
        except Misfit as misfit:
            return rest, [*faults, Fault(PLAN, f"{place}.size", shown(raw["size"]), misfit.expected, misfit.remedy)]
        rest |= {"area_m2": size.area_m2, "sides_m": size.sides_m}
    outline = draft.outlines.get(name)
    if outline is not None and outline.polygons:
        typed = rest.get("area_m2")
        if isinstance(typed, float | int):
            draft.sizes_m2[name] = float(typed)
        rest |= {"area_m2": outline.area_m2(), "area_from": "outline", "sides_m": None}
    elif "area_m2" not in rest and draft.outlines_read and name not in draft.names("outline"):
        remedy = f'Add size = "30 m x 60 m" with its own figures, or draw it in {OUTLINES}.'
        faults.append(Fault(PLAN, f"{place}.size", "no size and no outline", f"a size, as {EXAMPLES['area']}", remedy))
    return rest, faults


def _size_text(value: object) -> str:
    """The text of a size; a bare number has no unit in its key and is refused."""
    if isinstance(value, str):
        return value
    raise Misfit(f"a size with its unit, in quotes, as {EXAMPLES['area']}", "Write the unit after the number.")


def _unknown_plot_key(key: str, place: str) -> Fault:
    return Fault(PLAN, f"{place}.{key}", f'the key "{key}"', "size or area_m2", "Take it out: it is worked out.")


def _no_table(place: str, value: object) -> Fault:
    return Fault(PLAN, place, shown(value), "a table", f"Write it as {place} = {{ key = value }}.")


def _tuples(value: Mapping[str, object]) -> Table:
    """The same table with lists as tuples, all the way down (the plan is immutable)."""
    return {key: _tuple(inner) for key, inner in value.items()}


def _tuple(value: object) -> object:
    if isinstance(value, list):
        return tuple(_tuple(inner) for inner in value)
    return _tuples(value) if isinstance(value, dict) else value


def _at(place: str) -> Callable[[str], str]:
    """Makes the place of a fault from the key path inside the part at `place`."""
    return lambda path: f"{place}.{path}" if path else place
