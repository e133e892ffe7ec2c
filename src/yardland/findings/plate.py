"""Findings about what the household eats: short months, thin nutrients, what no holding can make."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.findings import table
from yardland.findings.context import Context, Rule, upper_first
from yardland.larderyear.result import Finding
from yardland.ledger.units import MJ_PER_KCAL

PLAIN_NAMES = {
    "energy_kcal": "energy",
    "protein_g": "protein",
    "fat_g": "fat",
    "fibre_g": "fibre",
    "calcium_mg": "calcium",
    "iron_mg": "iron",
    "zinc_mg": "zinc",
    "magnesium_mg": "magnesium",
    "potassium_mg": "potassium",
    "vitamin_a_rae_ug": "vitamin A",
    "vitamin_c_mg": "vitamin C",
    "vitamin_d_ug": "vitamin D",
    "vitamin_e_mg": "vitamin E",
    "thiamin_mg": "thiamin",
    "riboflavin_mg": "riboflavin",
    "niacin_mg": "niacin",
    "vitamin_b6_mg": "vitamin B6",
    "folate_dfe_ug": "folate",
    "vitamin_b12_ug": "vitamin B12",
    "iodine_ug": "iodine",
    "selenium_ug": "selenium",
    "sodium_mg": "salt (sodium)",
}
SURVIVAL = ("energy_kcal", "protein_g")
UNMAKEABLE = ("iodine_ug", "sodium_mg", "vitamin_b12_ug", "vitamin_d_ug")
"""What ground and beasts may not give at all; each has its own finding below."""
THIN = 0.7
"""Below this share of the recommended intake a nutrient is short, up to 0.95 tight (our bands)."""


def plain(nutrient: str) -> str:
    """The nutrient in everyday words."""
    return PLAIN_NAMES.get(nutrient, nutrient)


def short_months(context: Context) -> Iterator[Finding]:
    """Months in which energy or protein does not reach the user's threshold."""
    result = context.result
    for nutrient in SURVIVAL:
        cover = result.coverage[nutrient]
        threshold = result.holding.goal.short_below
        months = [index for index in range(12) if cover[index] < threshold - 1e-6]
        if not months:
            continue
        worst = min(months, key=lambda index: cover[index])
        missing = sum(
            (1 - cover[index]) * result.need_day[nutrient][index] * result.months[index].days for index in months
        )
        unit = f"{missing * MJ_PER_KCAL:,.0f} MJ" if nutrient == "energy_kcal" else f"{missing / 1000:,.1f} kg"
        lever = result.causes[0].words if result.causes else "No single link, a tenth wider, mends it."
        yield Finding(
            grade="short",
            title=f"{upper_first(plain(nutrient))} runs short in {context.month_names(months)}",
            what=f"The plate holds {100 * cover[worst]:.0f} % of the need in {result.months[worst].name}, the worst month.",
            number=f"{unit} missing over {len(months)} month{'s' if len(months) > 1 else ''}",
            cause=lever,
            remedy="Widen the first links named under causes, declare a purchase in trades.csv, or lower the number of mouths.",
            source="coverage = eaten / needed; threshold goal.short_below of the plan",
            subject=f"coverage.{nutrient}",
        )


def thin_nutrients(context: Context) -> Iterator[Finding]:
    """Nutrients under the recommended intake, other than energy, protein and those no holding can make."""
    result = context.result
    for nutrient, cover in result.coverage.items():
        if nutrient in SURVIVAL or nutrient in UNMAKEABLE:
            continue
        low = [index for index in range(12) if cover[index] < 0.95]
        if not low:
            continue
        worst = int(np.argmin(cover))
        mean = float(np.mean(cover))
        yield Finding(
            grade="short" if mean < THIN else "tight",
            title=f"{upper_first(plain(nutrient))} is under the recommended intake in {len(low)} of 12 months",
            what=f"Lowest in {result.months[worst].name}: {100 * cover[worst]:.0f} %; mean of the year {100 * mean:.0f} %.",
            number=f"{100 * mean:.0f} % of the recommended intake over the year",
            cause="The foods on the plate in those months hold too little of it.",
            remedy=f"Grow, keep or buy foods rich in {plain(nutrient)}; the tables show which: yardland why foods.FOOD.{nutrient}",
            source="Dietary Reference Intakes (recommended or adequate intake), needs table",
            subject=f"coverage.{nutrient}",
        )


def unmakeable(context: Context) -> Iterator[Finding]:
    """Iodine, salt, vitamin B12 without animals and vitamin D in winter: what the ground cannot be asked for."""
    result = context.result
    words = {
        "iodine_ug": (
            "Iodine cannot be relied on from the ground",
            "The iodine in plants, milk and eggs follows the soil and the feed, and inland soils are often poor in it.",
            "Use iodised salt, sea fish or a supplement; ask a doctor in pregnancy or with thyroid disease.",
        ),
        "sodium_mg": (
            "Salt must come from outside",
            "No crop gives the salt that the kitchen and the curing crock need.",
            "Declare salt in trades.csv and keep a year's stock dry.",
        ),
        "vitamin_b12_ug": (
            "Vitamin B12 comes from animals only",
            "Plants give none; milk, eggs, meat and liver do.",
            "Keep milk, eggs or meat on the plate in each month, or take a supplement.",
        ),
        "vitamin_d_ug": (
            "Vitamin D comes from summer sun, not from this plate",
            "Foods hold little; skin makes it from summer sun, hardly at all in the winter half-year beyond about 35 degrees of latitude.",
            "Follow the local health service's advice on a winter supplement, above all for children and the old.",
        ),
    }
    for nutrient, (title, cause, remedy) in words.items():
        cover = result.coverage.get(nutrient)
        if cover is None or float(np.min(cover)) >= 0.95:
            continue
        low = [index for index in range(12) if cover[index] < 0.95]
        yield Finding(
            grade="tight",
            title=title,
            what=f"Under the recommended intake in {len(low)} of 12 months as counted from the food tables.",
            number=f"{100 * (float(np.mean(cover))):.0f} % of the need over the year",
            cause=cause,
            remedy=remedy,
            source="Dietary Reference Intakes, needs table; common practice",
            subject=f"coverage.{nutrient}",
        )


def emergency(context: Context) -> Iterator[Finding]:
    """What had to come from nowhere to fill the plate."""
    result = context.result
    for item, kg in result.emergency_kg.items():
        total = float(np.sum(kg))
        if total > 0.5:
            yield Finding(
                grade="short",
                title="Food that the plan does not have",
                what=f"{total:,.0f} kg of {context.name(item)} would have to be found to close the gap.",
                number=f"{total:,.0f} kg in the year, most in {result.months[int(np.argmax(kg))].name}",
                cause="Harvest, stores and declared purchases end before the need does.",
                remedy="Plan it, buy it, or feed fewer.",
                source="shortfall of the larder's program, as a staple",
                subject=f"emergency.{item}",
            )


RULES: tuple[Rule, ...] = (short_months, emergency, thin_nutrients, unmakeable, *table.RULES)
