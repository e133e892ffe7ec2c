"""The palette keeps what it promises: text reads on every fill, and no two styles share code or hatch."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.report.palette import animal_marks, contrast, heat, mark_of_class, rows, styles, text_on, themes

READABLE = 4.5
"""WCAG 2.1, level AA, for text of ordinary size."""


def test_white_on_black_has_the_greatest_contrast() -> None:
    """Black and white stand 21 to 1 apart, by the definition of the ratio."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("code", list(styles()))
def test_text_reads_on_each_fill(code: str) -> None:
    """Each style's text keeps 4.5 to 1 on its fill, and its hatch 3 to 1."""
    style = styles()[code]

    assert contrast(style.text, style.fill) >= READABLE
    assert contrast(style.ink, style.fill) >= 3


@pytest.mark.parametrize("name", list(themes()))
def test_ink_reads_on_each_paper(name: str) -> None:
    """Ink, muted ink and accent of each theme keep 4.5 to 1 on its paper."""
    theme = themes()[name]

    assert min(contrast(colour, theme.paper) for colour in (theme.ink, theme.muted, theme.accent)) >= READABLE


@given(st.floats(0, 10))
def test_figures_read_in_every_heat_cell(coverage: float) -> None:
    """Whatever the coverage, its figure keeps 4.5 to 1 on its cell."""
    fill = heat(coverage)

    assert contrast(text_on(fill), fill) >= READABLE


def test_the_heat_scale_has_its_centre_at_the_need() -> None:
    """A need just met is cream; less is browner, more is bluer."""
    assert heat(1.0) == "#f4f1e6"
    assert int(heat(0.5)[1:3], 16) > int(heat(0.5)[5:7], 16)
    assert int(heat(2.0)[5:7], 16) > int(heat(2.0)[1:3], 16)


def test_colour_never_stands_alone() -> None:
    """No two styles share a code, a hatch or a pattern."""
    for part in ("code", "hatch", "path"):
        assert len({getattr(style, part) for style in styles().values()}) == len(styles())


def test_white_reads_on_animal_marks_and_shapes_differ() -> None:
    """White text keeps 4.5 to 1 on each animal's fill, and each animal has a shape of its own."""
    marks = [mark for mark, _ in animal_marks()]

    assert min(contrast("#ffffff", mark.fill) for mark in marks) >= READABLE
    assert len({mark.shape for mark in marks}) == len(marks)


@pytest.mark.parametrize(
    ("klass", "code"),
    [("dairy_cow_small", "CA"), ("beef_steer", "CA"), ("ewe", "SH"), ("goat_dairy_doe", "GO"), ("rabbit_doe", "RA"), ("pig_grower", "PI"), ("laying_hen", "HE"), ("broiler_slow", "HE"), ("turkey_grower", "HE"), ("duck_muscovy", "DU"), ("goose", "DU"), ("honeybee_colony", "BE")],
)  # fmt: skip
def test_a_class_takes_the_mark_of_its_kind(klass: str, code: str) -> None:
    """Classes of stock are drawn with their kind's mark."""
    assert mark_of_class(klass).code == code


def test_food_groups_point_at_styles_that_exist() -> None:
    """Every food group is drawn in a style of the palette."""
    assert {row["style"] for row in rows("food_groups.csv")} <= set(styles())
