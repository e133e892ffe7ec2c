"""Water limits from sand and clay, and texture classes, against their publications.

Water: Saxton & Rawls 2006, Soil Science Society of America Journal 70:1569, Table 3 (organic matter 2.5 %; a two-digit
table with the same sand and clay seen, conductivity exact). Classes: Soil survey manual (USDA Handbook 18), chapter 3.
"""

from __future__ import annotations

import pytest
import soiltexture

from yardland.growth.pedotransfer import water_limits
from yardland.holding.texture import CLASSES, texture_class
from yardland.reference import load_tables

TABLE_3 = [
    # class, sand, clay, wilting point, field capacity, saturation (% by volume), conductivity mm/h; published
    ("sand", 88, 5, 5.0, 10.3, 46.2, 108.1),
    ("loamy_sand", 80, 5, 5.1, 12.0, 46.0, 96.7),
    ("sandy_loam", 65, 10, 8.1, 17.9, 45.0, 50.3),
    ("loam", 40, 20, 13.7, 28.0, 45.9, 15.5),
    ("silt_loam", 20, 15, 11.0, 30.5, 47.9, 16.1),
    ("silt", 10, 5, 5.7, 30.5, 47.9, 22.0),
    ("sandy_clay_loam", 60, 25, 16.6, 26.7, 43.4, 11.3),
    ("clay_loam", 30, 35, 21.8, 35.8, 47.7, 4.3),
    ("silty_clay_loam", 10, 35, 21.5, 38.2, 51.1, 5.7),
    ("silty_clay", 10, 45, 26.8, 40.9, 52.3, 3.7),
    ("sandy_clay", 50, 40, 24.9, 36.1, 44.4, 1.4),
    ("clay", 25, 50, 29.8, 42.1, 49.8, 1.1),
]
CENTRES = [
    # sand, silt, clay, class; bounds of sand, loamy sand, loam, clay loam, clay seen, the others from memory
    (92, 5, 3, "sand"),
    (82, 12, 6, "loamy_sand"),
    (65, 25, 10, "sandy_loam"),
    (40, 40, 20, "loam"),
    (20, 65, 15, "silt_loam"),
    (6, 88, 6, "silt"),
    (60, 13, 27, "sandy_clay_loam"),
    (33, 34, 33, "clay_loam"),
    (10, 56, 34, "silty_clay_loam"),
    (52, 6, 42, "sandy_clay"),
    (6, 47, 47, "silty_clay"),
    (20, 20, 60, "clay"),
]
NAMES = {"silty_loam": "silt_loam", "silty_clay": "silty_clay", "silty_clay_loam": "silty_clay_loam"}
"""What the outside package calls some classes."""


SAXTON = "Saxton and Rawls 2006, Table 3"
HALVES = (("K55", TABLE_3[:6]), ("K56", TABLE_3[6:]))


@pytest.mark.parametrize(("key", "rows"), HALVES)
def test_water_limits_of_table_3(outside, key, rows) -> None:
    """The equations give the paper's Table 3 to its rounding (conductivity to 0.2 mm/h). Standing: published."""
    for name, sand, clay, *printed, ksat in rows:
        limits = water_limits(sand, clay)
        words = name.replace("_", " ")
        what = f"{words}: wilting point, field capacity, saturation, % by volume"
        outside.check_close(key, what, SAXTON, "published", printed, [100 * value for value in limits[:3]], 0.1)
        what = f"{words}: saturated conductivity, mm/h"
        outside.check_close(key, what, SAXTON, "published", ksat, limits.ksat_mm_h, 0.2)


@pytest.mark.parametrize(("name", "sand", "clay", "dry", "full", "saturated", "ksat"), TABLE_3)
def test_the_soils_table_is_table_3(name, sand, clay, dry, full, saturated, ksat) -> None:
    """The shipped table of soils holds the paper's figures. Standing: published."""
    row = load_tables().row("soils", name)

    assert (row["sand_pct"], row["clay_pct"], row["ksat_mm_h"]) == (sand, clay, ksat)
    assert [100 * row.need(key) for key in ("wilting_point", "field_capacity", "saturation")] == pytest.approx(
        [dry, full, saturated], abs=1e-9
    )


SURVEY = "USDA Soil Survey Manual, chapter 3"
SEEN = {"sand", "loamy_sand", "loam", "clay_loam", "clay"}


@pytest.mark.parametrize(("sand", "silt", "clay", "name"), CENTRES)
def test_centres_of_the_triangle(outside, sand, silt, clay, name) -> None:
    """A soil in the middle of a class has its name. Standing: published (five classes), from memory (the others)."""
    assert sand + silt + clay == 100
    standing = "published" if name in SEEN else "from memory"
    outside.check_same("K58", f"class of {sand}/{silt}/{clay}", SURVEY, standing, name, texture_class(sand, clay))


def test_every_point_of_the_triangle_has_one_class(outside) -> None:
    """The bounds of the twelve classes part the triangle: every whole percentage lies in exactly one. Identity."""
    seen = set()
    alone = 0
    for sand in range(101):
        for clay in range(101 - sand):
            inside = [name for name, holds in CLASSES.items() if holds(sand, 100 - sand - clay, clay)]
            alone += inside == [texture_class(sand, clay)]
            seen.update(inside)

    outside.check_same("K60", "of 5151 whole triples, in one class alone", SURVEY, "identity", 5151, alone)
    outside.check_same("K60", "classes met", SURVEY, "identity", 12, len(seen))
    assert seen == set(CLASSES) == set(load_tables().keys("soils"))


def test_classes_agree_with_an_outside_package(outside) -> None:
    """Away from the edges of the triangle the package soiltexture names every class alike (points on an edge are left out)."""
    differ = {}
    compared = 0
    for tenth_sand in range(5, 1000, 10):
        for tenth_clay in range(5, 1000 - tenth_sand, 10):
            sand, clay = tenth_sand / 10 + 0.03, tenth_clay / 10 + 0.04
            theirs = soiltexture.getTexture(sand, clay)
            if theirs is None or sand + clay > 99:
                continue
            compared += 1
            words = theirs.replace(" ", "_")
            if NAMES.get(words, words) != texture_class(sand, clay):
                differ[sand, clay] = (theirs, texture_class(sand, clay))

    assert compared > 4000
    assert differ == {}
    what = f"classes that differ in {compared} points off the edges"
    outside.check_same("soiltexture", what, "package soiltexture", "computed", 0, len(differ))
