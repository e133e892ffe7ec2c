"""The numbers of a planting as the three kernels take them: one row per trait, one column per sowing.

The names below are row numbers. `NAMES` lists them in order for people and tests.
"""

from __future__ import annotations

BASE_C = 0
PLATEAU_C = 1
GERMINATION_C = 2
GATE_FROST_C = 3
KILL_C = 4
KILL_BY_MEAN = 5
HEAT_AT_START = 6
HEAT_EMERGE = 7
TARGET = 8
RELEASE = 9
VERNAL_DAYS = 10
DAYLENGTH_BASE_H = 11
DAYLENGTH_FULL_H = 12
BULB_UNITS = 13
BULB_DAYLENGTH_H = 14
HALF = 15
STEEP = 16
TOP = 17
SENESCE_FROM = 18
SENESCE_LEFT = 19
COVER_CAP = 20
RUE = 21
GROW_FULL_C = 22
KCB_INI = 23
KCB_MID = 24
KCB_END = 25
KC_A = 26
KC_B = 27
KC_C = 28
DEPLETION_P = 29
ROOT_M = 30
PICK_DAYS = 31
STAND_DAYS = 32
WAIT_DAYS = 33
LEAST_RIPE = 34
FIT_SOIL = 35
OPENS = 36
CLOSES = 37
CLEAR_BY = 38
FREE_BY = 39
VERNAL_IDLE = 40
GROW_FALL_C = 41
YOUNG_KILL_C = 42
YOUNG_UNTIL = 43
FLOWER_FROM = 44
FLOWER_UNTIL = 45
FLOWER_KILL10_C = 46
FLOWER_SLOPE = 47
FLOWERS_NEEDED = 48
N_CRITICAL_PCT = 49
N_DILUTION = 50
N_FIXED = 51
N_REMOVED = 52
N_RESIDUE_FRESH = 53
TONNES = 54
DRESS_MINERAL = 55
DRESS_FRESH = 56
HEAT10_C = 57
HEAT_SLOPE = 58
PICK_COVER = 59
SWARD = 60
LIGHT_PER_MASS = 61
SENESCENCE = 62
ENTRY_MASS = 63
RESIDUAL_MASS = 64
STUBBLE_MASS = 65
CUT_MASS = 66
GRAZED_SHARE = 67
DUNG_MINERAL = 68
DUNG_FRESH = 69
SHUT_FROM = 70
HAY_FROM = 71
HAY_UNTIL = 72
N_ASKS_UNTIL = 73

NAMES = (
    "base_c",
    "plateau_c",
    "germination_c",
    "gate_frost_c",
    "kill_c",
    "kill_by_mean",
    "heat_at_start",
    "heat_emerge",
    "target",
    "release",
    "vernal_days",
    "daylength_base_h",
    "daylength_full_h",
    "bulb_units",
    "bulb_daylength_h",
    "half",
    "steep",
    "top",
    "senesce_from",
    "senesce_left",
    "cover_cap",
    "rue",
    "grow_full_c",
    "kcb_ini",
    "kcb_mid",
    "kcb_end",
    "kc_a",
    "kc_b",
    "kc_c",
    "depletion_p",
    "root_m",
    "pick_days",
    "stand_days",
    "wait_days",
    "least_ripe",
    "fit_soil",
    "opens",
    "closes",
    "clear_by",
    "free_by",
    "vernal_idle",
    "grow_fall_c",
    "young_kill_c",
    "young_until",
    "flower_from",
    "flower_until",
    "flower_kill10_c",
    "flower_slope",
    "flowers_needed",
    "n_critical_pct",
    "n_dilution",
    "n_fixed",
    "n_removed",
    "n_residue_fresh",
    "tonnes",
    "dress_mineral",
    "dress_fresh",
    "heat10_c",
    "heat_slope",
    "pick_cover",
    "sward",
    "light_per_mass",
    "senescence",
    "entry_mass",
    "residual_mass",
    "stubble_mass",
    "cut_mass",
    "grazed_share",
    "dung_mineral",
    "dung_fresh",
    "shut_from",
    "hay_from",
    "hay_until",
    "n_asks_until",
)
COUNT = len(NAMES)

# What became of a sowing.
WAITING, GATHERED, FROSTED, CLEARED, KILLED, UNRIPE, NOT_SOWN, STANDING = range(8)
STATUS_WORDS = (
    "not yet due",
    "gathered",
    "gathered as it stood after frost",
    "gathered unripe at the end of its season",
    "lost to frost",
    "lost unripe",
    "not sown",
    "standing",
)

# Rows of the monthly water account of a strip. Evaporation is part of et.
RAIN, RUNOFF, DRAINAGE, ET, EVAPORATION, IRRIGATION, START, END = range(8)
WATER_TERMS = (
    "rain_mm",
    "runoff_mm",
    "drainage_mm",
    "et_mm",
    "evaporation_mm",
    "irrigation_mm",
    "start_mm",
    "end_mm",
)

# Rows of the monthly account of a strip's mineral nitrogen and of what comes free of fresh matter within the year.
N_SOIL, N_SKY, N_MINERAL_IN, N_FRESH_IN, N_UPTAKE, N_LEACHED, N_START, N_END = range(8)
NITROGEN_TERMS = (
    "from_soil_kg_ha",
    "from_sky_kg_ha",
    "mineral_in_kg_ha",
    "fresh_in_kg_ha",
    "uptake_kg_ha",
    "leached_kg_ha",
    "start_kg_ha",
    "end_kg_ha",
)

# Rows of the monthly account of a sward's standing dry matter, g/m2.
GREW, GRAZED, TRAMPLED, HAY, WET_HAY, WITHERED, S_START, S_END = range(8)
SWARD_TERMS = ("grew", "grazed", "trampled", "hay", "wet_hay", "withered", "start", "end")

LAYERS = 4
EDGES_M = (0.0, 0.10, 0.25, 0.60)
"""Upper edges of the layers; the lowest goes down to the strip's depth. The first is the one that evaporation dries
(FAO-56: 0.10-0.15 m), the first two are the worked top soil (`SHALLOW_M`)."""
TOP_SHARE = (0.4, 0.6)
"""How what is mixed into the top soil is shared between its two layers: by their thickness."""
SHALLOW_M = 0.25
"""Depth of the top soil, and of roots at sowing (0.15-0.30 m is usual for seedlings)."""
HEAT_SPAN_C = 10.0
"""Growth falls to nothing this far above the temperature from which it falls (from memory)."""
BED_WORK_DAYS = 7
"""Days between the end of one planting and the earliest sowing of the next on the same strip (common practice)."""
YEAR = 365
AXIS = 730
