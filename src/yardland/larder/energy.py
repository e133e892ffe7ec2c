"""Daily energy of people by the report of FAO/WHO/UNU (2001), Human energy requirements, equation by equation.

Weights in kg, ages in years, energy in kcal a day. Coefficients come from the `energy` table.
"""

from __future__ import annotations

DAYS_IN_YEAR = 365.0
GRAMS_IN_KG = 1000.0


def basal_kcal(weight_kg: float, slope: float, intercept: float) -> float:
    """Basal metabolic rate, kcal a day: slope x weight + intercept.

    FAO/WHO/UNU 2001, Table 5.2 (Schofield 1985), by sex and age band (0-3, 3-10, 10-18, 18-30, 30-60, over 60).
    """
    return slope * weight_kg + intercept


def adult_kcal(basal_kcal_day: float, activity_level: float) -> float:
    """Energy requirement of an adult: basal metabolic rate x physical activity level (FAO/WHO/UNU 2001, 5.3)."""
    return basal_kcal_day * activity_level


def child_expenditure_kcal(weight_kg: float, constant: float, linear: float, quadratic: float) -> float:
    """Total energy expenditure at moderate activity, 1 to 18 years: constant + linear W + quadratic W^2.

    FAO/WHO/UNU 2001, section 4 (boys 310.2 + 63.3 W - 0.263 W^2; girls 263.4 + 65.3 W - 0.454 W^2). The parabolas turn
    down at 120 and 72 kg, beyond the children they were fitted to: from there on the greatest value holds.
    """
    if quadratic < 0.0:
        weight_kg = min(weight_kg, -linear / (2.0 * quadratic))
    return constant + linear * weight_kg + quadratic * weight_kg * weight_kg


def growth_kcal(gain_kg_year: float, kcal_per_g: float) -> float:
    """Energy laid down in growth: gain a day x energy of a gram of new tissue (FAO/WHO/UNU 2001, section 4)."""
    return gain_kg_year * GRAMS_IN_KG / DAYS_IN_YEAR * kcal_per_g


def child_kcal(expenditure_kcal: float, growth_kcal_day: float, activity_factor: float, infancy_factor: float) -> float:
    """Energy requirement of a child: expenditure x factors + growth.

    FAO/WHO/UNU 2001, section 4: from six years on 15 % less at light and 15 % more at heavy activity; between one and
    two years the quadratic overstates by 7 %.
    """
    return expenditure_kcal * activity_factor * infancy_factor + growth_kcal_day


def infant_kcal(weight_kg: float, linear: float, constant: float, growth_kcal_day: float) -> float:
    """Energy requirement under one year: linear W + constant + growth.

    Institute of Medicine (2005), Dietary Reference Intakes for energy: (89 W - 100) + 175, 56 or 22 kcal.
    """
    return linear * weight_kg + constant + growth_kcal_day
