"""What a plan may say already and a larder year does not reckon with yet: told, so that nobody takes silence for use."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from yardland.holding.model import Holding, Part

UNHEARD: Mapping[str, tuple[str, ...]] = {
    "start": ("as_",),
    "goal": ("accept_short_years_in_20",),
    "people": ("height_m", "can"),
    "sward": ("sown",),
    "rules": ("last_resort",),
}
"""Part of the plan -> its fields that nothing above this room reads."""
TYPED_AS = {"as_": "as"}
DONE_ANYWAY = ((), None, "", "settled")
"""Values that ask for nothing, or for what closed books do in any case."""


def unheard(holding: Holding) -> tuple[str, ...]:
    """Keys of a plan, as typed, that one larder year does not reckon with; each once, in the order of the plan."""
    keys = [key for kind, where, part in _parts(holding) for key in _said(kind, where, part)]
    if any(plot.slope_deg > 0 for plot in holding.plot.values()):
        keys.append("plot.*.slope_deg (growth is that of level ground)")
    if any(row.use not in ("", "people") for row in holding.plantings):
        keys.append("use in plantings.csv (the larder decides who eats a crop)")
    if holding.calendar:
        keys.append("calendar.csv")
    return tuple(dict.fromkeys(keys))


def unheard_note(holding: Holding) -> tuple[str, ...]:
    """One sentence for the notes of a result; none where everything is heard."""
    keys = unheard(holding)
    return (f"the plan says, and this year does not reckon with: {', '.join(keys)}",) if keys else ()


def _parts(holding: Holding) -> Iterator[tuple[str, str, Part]]:
    """Kind, place in the plan, and part."""
    yield "start", "start", holding.start
    yield "goal", "goal", holding.goal
    for person in holding.people.values():
        yield "people", "people.*", person
    for plot in holding.plot.values():
        if plot.sward is not None:
            yield "sward", "plot.*.sward", plot.sward
    yield "rules", "rules", holding.rules


def _said(kind: str, where: str, part: Part) -> Iterator[str]:
    """Fields of one part that were typed and are not heard."""
    for field in UNHEARD[kind]:
        if field in part.model_fields_set and getattr(part, field) not in DONE_ANYWAY:
            yield f"{where}.{TYPED_AS.get(field, field)}"
