"""Stores against printed figures: lives in store, the earth's warmth, Q10, the freezer without power; keys S + number.

Standing: published where the figure was seen in the publication or a stored copy of it, computed where the printed equation was
seen and the arithmetic is ours.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from yardland.larder.power import holds_h, thaw_loss
from yardland.larder.warmth import ground_c, spoiling
from yardland.reference import load_tables

if TYPE_CHECKING:
    from outside import Outside

TABLES = load_tables()
SHEET = "Fact sheet: optimal storage conditions for common farm-fresh vegetables"
RAIN = "Ochsner, Rain or Shine, ch. 13.4"
HB66 = "USDA Agriculture Handbook 66 (2002 draft), Saltveit, tables of Q10 as quoted"
FSIS = "USDA FSIS / FoodSafety.gov on power outages, as reported"
WEEK = 7.0 / 30.4
MONTHLY_OF_YEAR = 2.0 * np.pi * np.arange(12) / 12.0


def test_lives_in_store(outside: Outside) -> None:
    """The life of each way of keeping as it is lies in the printed span of home stores, months."""
    for number, (store, least, most) in enumerate(
        (
            ("apple.root_cellar", 2, 6),
            ("brussels_sprout.root_cellar", 3 * WEEK, 5 * WEEK),
            ("cabbage.root_cellar", 4, 6),
            ("carrot.root_cellar", 2, 6),
            ("cauliflower.fridge", 2 * WEEK, 4 * WEEK),
            ("dry_bean.dry_ambient", 12, 60),
            ("garlic.dry_cool", 6, 8),
            ("kale.fridge", 10 / 30.4, 14 / 30.4),
            ("leek.root_cellar", 1, 3),
            ("onion.dry_cool", 5, 8),
            ("parsnip.root_cellar", 2, 6),
            ("potato.root_cellar", 5, 8),
            ("swede.root_cellar", 2, 4),
            ("sweet_potato.root_cellar", 4, 6),
            ("tomato.fridge", 2 * WEEK, 6 * WEEK),
            ("turnip.root_cellar", 4, 5),
            ("winter_squash.dry_cool", 3, 6),
        ),
        start=1,
    ):
        got = TABLES.row("stores", store).need("shelf_life_months")
        outside.check_between(f"S {number}", f"{store}, months", SHEET, "published", least, most, got)
    outside.tell(
        "Stores",
        "beetroot.root_cellar keeps 5 months in the tables: a later handbook table says 4 to 6 at 0 C, the fact sheet 1 to 3.",
    )
    outside.tell(
        "Stores",
        "wheat.dry_ambient loses 0.4 % a month, 4.7 % in a year; Kumar and Kalita 2017 say 1 to 2 % in all with good storage.",
    )


def test_meat_and_eggs_in_the_cold(outside: Outside) -> None:
    """Frozen and cooled meat and eggs lie in the chart's spans, months."""
    chart = "USDA FSIS / FoodSafety.gov cold food storage chart"
    for number, (store, least, most) in enumerate(
        (
            ("meat_pork.frozen", 4, 12),
            ("meat_lamb.frozen", 4, 12),
            ("meat_goat.frozen", 4, 12),
            ("offal_pork.frozen", 3, 4),
            ("meat_pork.fridge", 3 / 30.4, 5 / 30.4),
            ("meat_chicken.fridge", 1 / 30.4, 2 / 30.4),
            ("egg_hen.frozen", 12, 12),
        ),
        start=20,
    ):
        got = TABLES.row("stores", store).need("shelf_life_months")
        outside.check_between(f"S {number}", f"{store}, months", chart, "published", least, most, got)


def test_warmth_shortens_life_as_printed(outside: Outside) -> None:
    """Relative life at 0 to 40 C by ten degrees; carrots of a cold store at 0 C carried to a cellar at 4 C."""
    life = 100.0 / spoiling(TABLES, [0.0, 10.0, 20.0, 30.0, 40.0])
    outside.check_close(
        "S 30", "relative shelf life at 0, 10, 20, 30, 40 C", HB66, "published", [100, 33, 13, 7, 4], life, 0.5
    )
    for number, (key, least, most) in enumerate(
        (("q10_to_10_c", 2.5, 4), ("q10_to_20_c", 2, 2.5), ("q10_to_30_c", 1.5, 2), ("q10_over_30_c", 1, 1.5)), start=31
    ):
        got = TABLES.row("storing", key).need("number")
        outside.check_between(f"S {number}", f"{key}", HB66, "published", least, most, got)
    row, source = (
        TABLES.row("stores", "carrot.root_cellar"),
        "storage table: mature carrots 7 to 9 months at 0 C; Q10 of HB66",
    )
    slower = float(spoiling(TABLES, row.need("keeps_to_c")) / spoiling(TABLES, 0.0))
    outside.check_between(
        "S 35", "carrots at 4 C, months", source, "computed", 7 / slower, 9 / slower, row.need("shelf_life_months")
    )


def first_harmonic(values: np.ndarray) -> float:
    """Size of the one wave a year that is in twelve values."""
    return float(np.abs(np.fft.rfft(values)[1]) / 6.0)


def test_the_earth_damps_as_printed(outside: Outside) -> None:
    """Damping depth of a day and a year, and the swing left at a printed depth."""
    diffusivity = TABLES.row("storing", "ground_diffusivity").need("number")
    day_cm = 100.0 * np.sqrt(diffusivity * 86400.0 / np.pi)
    outside.check_close(
        "S 40", "damping depth of a day, cm", f"{RAIN}, eq. 13-5", "published", 11.7, float(day_cm), 0.05
    )
    year_m = day_cm / 100.0 * np.sqrt(365.0)
    wave = np.sin(MONTHLY_OF_YEAR)
    deep = first_harmonic(ground_c(wave, year_m, diffusivity)) / first_harmonic(wave)
    outside.check_close("S 41", "swing left at the damping depth", f"{RAIN}: 37 %", "published", 0.37, deep, 0.005)
    size = first_harmonic(ground_c(7.0 * wave, 10.0 / 11.7 * year_m, diffusivity))
    outside.check_close(
        "S 42", "swing of 7 C where the printed example has 10 cm of a day's wave, C", RAIN, "published", 3.0, size, 0.1
    )


def test_a_freezer_without_power(outside: Outside) -> None:
    """Hours that a closed freezer holds, full and half full; a full one loses nothing in two days."""
    outside.check_close("S 50", "full freezer holds, h", FSIS, "published", 48, holds_h(TABLES, 1.0), 0)
    outside.check_close("S 51", "half-full freezer holds, h", FSIS, "published", 24, holds_h(TABLES, 0.5), 0)
    outside.check_close(
        "S 52", "loss of a full freezer in two days", FSIS, "published", 0, thaw_loss(TABLES, 2.0, 1.0), 0
    )
