"""What the rules of keeping read again and again: who is kept where, the light, and figures with their grounds."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.findings.context import Context
from yardland.season.droppings import on_round, walked
from yardland.weather.sun import daylength_h

F64 = npt.NDArray[np.float64]
SMALL = frozenset({"sheep", "goat"})
CATTLE = frozenset({"cattle"})
RUMINANTS = SMALL | CATTLE
HOOFED = RUMINANTS | {"pig"}
WATER_BIRDS = frozenset({"duck", "muscovy", "goose"})
POULTRY = WATER_BIRDS | {"chicken", "turkey"}
ROOFED = frozenset({"yard", "house"})
"""Uses of a plot on which a group can be shut in."""
YEAR_DAYS = 365


def classes(context: Context, group: str) -> dict[str, int]:
    """Class -> most heads of it in a group on any day of the year."""
    found = {klass: round(float(heads.max())) for klass, heads in context.result.heads.get(group, {}).items()}
    return {klass: heads for klass, heads in found.items() if heads > 0}


def species_heads(context: Context, group: str) -> dict[str, int]:
    """Species -> most heads, the classes of a group added up."""
    found: dict[str, int] = {}
    for klass, heads in classes(context, group).items():
        name = context.tables.row("stock", klass).text("species")
        found[name] = found.get(name, 0) + heads
    return found


def groups_of(context: Context, species: frozenset[str]) -> list[str]:
    """Groups of the plan with any of these species, in the order of the plan."""
    return [group for group in context.result.holding.group if species & set(species_heads(context, group))]


def kept_species(context: Context) -> set[str]:
    """Every species that is kept."""
    return {name for group in context.result.holding.group for name in species_heads(context, group)}


def has_young(context: Context, group: str) -> bool:
    """Whether young of this year walk with a group."""
    roles = {context.tables.row("stock", klass).text("role") for klass in classes(context, group)}
    return "grower" in roles or "meat" in roles or bool(context.result.holding.group[group].born)


def ground(context: Context, group: str) -> tuple[str, ...]:
    """Plots that a group walks: those of its rounds, else its home."""
    return walked(context.result.holding, group)


def rotates(context: Context, group: str) -> bool:
    """Whether a group goes round."""
    return on_round(context.result.holding, group)


def figure(context: Context, key: str) -> float:
    """A figure of table keeping."""
    return context.tables.row("keeping", key).need("number")


def cited(context: Context, key: str) -> str:
    """Citation and standing of a figure of table keeping, or of the full key of any other."""
    found = context.tables.figure(key if "." in key else f"keeping.{key}.number")
    return f"{found.source} ({found.standing})"


def spelled(names: object) -> str:
    """Names of the plan in words, with commas."""
    return ", ".join(str(name).replace("_", " ") for name in names)  # type: ignore[attr-defined]


def tmean_c(context: Context) -> F64:
    """Mean temperature by larder month, [12]."""
    sky = context.result.weather_months
    return np.asarray((sky["tmin_c"] + sky["tmax_c"]) / 2.0)


def light_h(context: Context) -> F64:
    """Daylength in the middle of each larder month, hours, [12] (FAO-56)."""
    first = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])
    middle = [float(first[month.month - 1]) + month.days / 2.0 for month in context.result.months]
    return daylength_h(context.result.holding.place.latitude_deg, np.array(middle))
