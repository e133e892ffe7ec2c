"""Exact factors between units that more than one room needs."""

from __future__ import annotations

M2_PER_HA = 10_000.0
"""Square metres in a hectare (BIPM, SI Brochure, 9th edition 2019, Table 8)."""
MJ_PER_KCAL = 0.004184
"""Megajoules in a kilocalorie, thermochemical (FAO 2003, Food energy: methods of analysis)."""
