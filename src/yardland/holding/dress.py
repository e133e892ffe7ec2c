"""What a line of plantings.csv says is spread on its ground: "compost", "raw manure 20 t/ha", "fertiliser 60 kg N/ha"."""

from __future__ import annotations

import re
from typing import NamedTuple

from yardland.holding.misfit import Misfit, nearest, shown
from yardland.holding.units import parse_number, parse_quantity

KINDS = ("raw manure", "compost", "bought compost", "fertiliser")
EXAMPLES = '"compost", "raw manure 25 t/ha", "compost 2 kg/m2", "bought compost 15 t/ha" or "fertiliser 60 kg N/ha"'
MOST_KG_HA = 500_000.0
"""Half a metre of compost: beyond it a unit was mistaken."""
MOST_N_KG_HA = 500.0
"""More nitrogen than any crop takes up: beyond it a unit was mistaken."""
_CELL = re.compile(r"([a-z][a-z ]*?)(?:\s+([+-]?[0-9][0-9.,]*)\s*(.*))?")
_PER = re.compile(r"(\S+?)\s*(\bn\b)?\s*(?:/|\bper\b)\s*(\S+)")


class Dress(NamedTuple):
    """A dressing as the plan asks for it.

    kind : "" for none, else one of KINDS ; kg_ha : fresh material asked for, None where no rate is named
    n_kg_ha : nitrogen asked for, of fertiliser only
    """

    kind: str = ""
    kg_ha: float | None = None
    n_kg_ha: float | None = None

    def __str__(self) -> str:
        if self.n_kg_ha is not None:
            return f"{self.kind} {self.n_kg_ha:g} kg N/ha"
        return self.kind if self.kg_ha is None else f"{self.kind} {self.kg_ha / 1000.0:g} t/ha"


def parse_dressing(value: object) -> object:
    """A `Dress` from its words; a Dress passes as it is.

    Raises:
        Misfit: a material that is not known, a rate without a sense, or fertiliser without one.
    """
    if isinstance(value, Dress) or not isinstance(value, str):
        return value
    words = " ".join(value.lower().split())
    if not words:
        return Dress()
    match = _CELL.fullmatch(words)
    if match is None:
        raise Misfit(f"a dressing, as {EXAMPLES}", "Write the material first, then the rate with its unit.")
    kind = match[1].replace("fertilizer", "fertiliser")
    if kind not in KINDS:
        raise Misfit(f"one of {', '.join(KINDS)}", nearest(kind, KINDS) or f"Write it as {EXAMPLES}.")
    if match[2] is None:
        if kind == "fertiliser":
            raise Misfit("the nitrogen, as fertiliser 60 kg N/ha", "Write how much nitrogen it brings to a hectare.")
        return Dress(kind)
    return _rate(kind, parse_number(match[2]), match[3])


def _rate(kind: str, amount: float, unit: str) -> Dress:
    """A dressing with its rate."""
    if amount <= 0:
        raise Misfit("a rate above zero", "Leave the cell empty where nothing is spread.")
    parts = _PER.fullmatch(unit)
    if parts is None:
        example = "60 kg N/ha" if kind == "fertiliser" else "20 t/ha or 2 kg/m2"
        found = f"the unit {shown(unit)}" if unit else "no unit"
        raise Misfit(f"a mass on an area, as {example}", "Write the unit after the number.", found)
    kg_ha = amount * parse_quantity(f"1 {parts[1]}", "mass") / parse_quantity(f"1 {parts[3]}", "area") * 10_000.0
    if (parts[2] is not None) != (kind == "fertiliser"):
        wanted = "nitrogen, as fertiliser 60 kg N/ha" if kind == "fertiliser" else f"fresh material, as {kind} 20 t/ha"
        raise Misfit(wanted, "Fertiliser is asked for by its nitrogen, manure and compost by their weight.")
    most = MOST_N_KG_HA if kind == "fertiliser" else MOST_KG_HA
    if kg_ha > most:
        raise Misfit(f"at most {most:,.0f} kg/ha", "Check the unit of the rate.", f"{kg_ha:,.0f} kg/ha")
    return Dress(kind, None, kg_ha) if kind == "fertiliser" else Dress(kind, kg_ha)
