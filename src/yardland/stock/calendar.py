"""Dates of breeding: when to serve or set, when to expect, how often a year."""

from __future__ import annotations

from datetime import date, timedelta

OESTROUS_CYCLE_D = {"cattle": 21, "sheep": 17, "goat": 21, "pig": 21}
"""Days between heats (Merck Veterinary Manual, table "Features of the Reproductive Cycle")."""


def expected_on(served_or_set: date, gestation_or_incubation_d: float) -> date:
    """Day of birth or hatching."""
    return served_or_set + timedelta(days=round(gestation_or_incubation_d))


def serve_or_set_on(expected: date, gestation_or_incubation_d: float) -> date:
    """Day of service or of setting the eggs for a birth or hatch on `expected`."""
    return expected - timedelta(days=round(gestation_or_incubation_d))


def litters_per_year(gestation_d: float, open_d: float, success: float = 1.0) -> float:
    """Litters a year when each service follows the last birth by `open_d` days and succeeds with `success`."""
    return 365.0 / (gestation_d + open_d) * success
