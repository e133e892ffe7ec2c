"""What hazards take of a crop: in an average year, and as they were drawn."""

from __future__ import annotations

from datetime import date

from yardland.ledger.months import MONTH_NAMES
from yardland.report.words import figure, listed, percent
from yardland.season.crop_year import CropPlanting, CropTold

WORTH_TELLING = 0.005
"""Least share of an average year's crop for which a hazard is named."""
MOST_TOLD = 6


def hazard_facts(planting: CropPlanting, told: CropTold) -> list[tuple[str, str]]:
    """Name and words of what hazards take on average, what was drawn, and what lessens the worst."""
    if not planting.expected or not any(one.share > 0 for one in planting.expected):
        return []
    facts = [("Hazards", _expected(planting)), ("Drawn hazards", _drawn(planting, told))]
    worst = planting.expected[0]
    facts.append((f"Against {worst.name[:1].lower()}{worst.name[1:]}", f"{worst.remedy} {worst.caution}".strip()))
    return facts


def _expected(planting: CropPlanting) -> str:
    """The mean loss a year: the shares that are left multiply."""
    left = 1.0
    for one in planting.expected:
        left *= 1.0 - one.share
    named = [
        f"{one.name[:1].lower()}{one.name[1:]} {percent(one.share)} (comes {figure(10 * one.chance, 2)} years in ten, takes {percent(one.loss)})"
        for one in planting.expected[:MOST_TOLD]
        if one.share >= WORTH_TELLING
    ]
    return f"In an average year they take {percent(1.0 - left)} of what grows: {listed(named) or 'none of them much'}."


def _drawn(planting: CropPlanting, told: CropTold) -> str:
    """What fell in which year."""
    if told.hazard_seed is None:
        return "none falls in these yields; --seed N draws them."
    if not planting.strikes:
        return f"with seed {told.hazard_seed} nothing struck in {len(planting.labels)} years."
    struck = {one.lane for _, one in planting.strikes}
    words = [
        f"{_day(day)} {one.hazard.name[:1].lower()}{one.hazard.name[1:]} {percent(one.share_lost)}"
        for day, one in planting.strikes
    ]
    return f"with seed {told.hazard_seed} it is struck in {len(struck)} of {len(planting.labels)} years: {', '.join(words)}."


def _day(iso: str) -> str:
    """A date as Aug 2022."""
    day = date.fromisoformat(iso)
    return f"{MONTH_NAMES[day.month - 1]} {day.year}"
