"""Many years of one holding as a flat row, for a table of many holdings: units in the names, the same columns in each row."""

from __future__ import annotations

from typing import Any

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
SCHEMA = "yardland.holdings/1"
Cell = str | int | float | bool | None
PLAIN: dict[str, type] = {
    "holding": str,
    "count": int,
    "chains": int,
    "chain_years": int,
    "seed": int,
    "policy": str,
    "start": str,
    "stopped": str,
    "reliability": float,
    "reliability_range_seen": bool,
    "reliability_standard_terms": float,
    "short_month_in_ten_years": float,
    "person_days_short_per_year": float,
    "person_days_dire_per_year": float,
    "bought_energy_share": float,
    "years_with_hungry_stock": float,
    "seed_got_kg_per_year": float,
    "opening_store_days": float,
    "opening_days_on_plates": float,
    "version": str,
    "wall_s": float,
}
"""Keys of the JSON object that are a column of the same name."""
ENDS = ("reliability_interval", "reliability_range", "reliability_standard_terms_interval")
SPELLS: dict[str, type] = {"count": int, "median_months": float, "longest_months": int, "greatest_depth": float}
COLUMNS: dict[str, type] = {
    "folder": str,
    "fault": str,
    **PLAIN,
    **{f"{name}_{end}": float for name in ENDS for end in ("low", "high")},
    **{f"spells_{name}": kind for name, kind in SPELLS.items()},
    **{f"short_probability_{month}": float for month in MONTHS},
    **{f"store_days_{month}": float for month in MONTHS},
    **{f"days_on_plates_{month}": float for month in MONTHS},
}
"""Column -> kind of its cells; any may be empty. `store_days_*`, `days_on_plates_*` : the middle of the food in store at the month's end, by energy and as plates can take it."""
MIDDLE = 1


def years_row(folder: str, told: dict[str, Any]) -> dict[str, Cell]:
    """The row of a holding.

    Args:
        folder: as it was given.
        told: what `years_json` gives.
    """
    row: dict[str, Cell] = dict.fromkeys(COLUMNS)
    row |= {"folder": folder, "fault": "", **{name: told[name] for name in PLAIN}}
    for name in ENDS:
        row[f"{name}_low"], row[f"{name}_high"] = told[name] or (None, None)
    row |= {f"spells_{name}": told["spells"][name] for name in SPELLS}
    for at, month in enumerate(told["months"]):
        row[f"short_probability_{month.lower()}"] = told["short_probability"][at]
        row[f"store_days_{month.lower()}"] = told["store_days_bands"][MIDDLE][at]
        row[f"days_on_plates_{month.lower()}"] = told["days_on_plates_bands"][MIDDLE][at]
    return row


def fault_row(folder: str, fault: str) -> dict[str, Cell]:
    """The row of a holding that could not be run: every other cell is empty."""
    return dict.fromkeys(COLUMNS) | {"folder": folder, "fault": fault}
