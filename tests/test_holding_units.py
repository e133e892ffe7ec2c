"""Typed sizes, quantities and days: what is taken, what is refused, and with which words."""

import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.holding.misfit import Misfit, nearest, one_of, shown
from yardland.holding.units import parse_number, parse_quantity, parse_size, units
from yardland.holding.when import (
    HoursSpan,
    MonthDay,
    Span,
    parse_day,
    parse_hours,
    parse_month_day,
    parse_rotation_year,
    parse_sow,
    parse_span,
)

STANDINGS = {"published", "common practice", "from memory"}
AREA_UNITS = sorted({name for name, unit in units().items() if unit.dimension == "area"})
LENGTH_UNITS = sorted({name for name, unit in units().items() if unit.dimension == "length"})
positive = st.floats(min_value=0.001, max_value=1e6)


def test_every_unit_has_a_source_and_a_standing():
    """No unit enters without both, and a refused one says why."""
    for unit in units().values():
        assert unit.source
        assert unit.standing in STANDINGS
        assert (unit.dimension == "refused") == math.isnan(unit.si_factor)


@given(positive, st.sampled_from(AREA_UNITS))
def test_a_size_scales_with_its_number(number, unit):
    """Twice the number is twice the area, in every unit of area."""
    once = parse_size(f"{number!r} {unit}").area_m2
    assert parse_size(f"{2 * number!r} {unit}").area_m2 == pytest.approx(2 * once)


@given(positive, positive, st.sampled_from(LENGTH_UNITS), st.sampled_from(LENGTH_UNITS))
def test_a_rectangle_is_the_product_of_its_sides(first, second, unit, other):
    """A size of two sides, each in its own unit, is their product, whichever stands first."""
    size = parse_size(f"{first!r} {unit} x {second!r} {other}")
    turned = parse_size(f"{second!r} {other} by {first!r} {unit}")
    assert size.area_m2 == pytest.approx(size.sides_m[0] * size.sides_m[1])
    assert size.area_m2 == pytest.approx(turned.area_m2)


@pytest.mark.parametrize("text", ["30 m x 60 m", "30m x 60m", "30 x 60 m", "30 m \u00d7 60 m", "3000 cm by 0.06 km"])
def test_a_rectangle_may_be_typed_in_many_ways(text):
    """Spaces, the sign of times and the unit of the first side are free."""
    assert parse_size(text).area_m2 == pytest.approx(1800.0)


def test_a_decimal_comma_is_a_decimal_point():
    """Half of Europe writes 0,4 ha."""
    assert parse_size("0,4 ha").area_m2 == pytest.approx(4000.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("three acres", "Write the number first"),
        ("", "Write the number first"),
        ("12", "Write the unit after the number"),
        ("2 bushels", "what it weighs depends on the crop"),
        ("2 gallons", "differ by a fifth"),
        ("3 bigha", "differs by district"),
        ("2 hectars", 'Did you mean "hectare"?'),
        ("5 kg", "kg measures mass"),
        ("10 m x 5 m x 2 m", "Give an area, or two sides"),
        ("-2 ha", "a size has no sign"),
        ("0 ha", "a size has no sign"),
        ("10 m x -5 m", "a side has no sign"),
        ("1,500 m2", "Leave the comma out"),
        ("1.2.3 ha", "at most one decimal point"),
        ("9e999 ha", "at most one decimal point"),
        ("nan ha", "Write the number first"),
    ],
)
def test_a_size_that_is_none_is_refused_with_its_remedy(text, words):
    """Each wrong size gets the words that put it right."""
    with pytest.raises(Misfit) as caught:
        parse_size(text)
    assert words in caught.value.remedy


@given(st.text(max_size=30))
def test_any_text_is_a_size_or_a_misfit(text):
    """No text makes the reader fail, and no size is anything but a positive number."""
    with suppress(Misfit):
        assert 0 < parse_size(text).area_m2 < math.inf


@pytest.mark.parametrize("text", ["nan", "inf", "-inf", "1_000", "", "1e400", "12,345", "0x10"])
def test_a_number_is_finite_and_plain(text):
    """Words for no number, separators of thousands and overflows are no numbers."""
    with pytest.raises(Misfit):
        parse_number(text)


def test_a_quantity_needs_a_unit_of_its_dimension():
    """A mass is not typed in litres."""
    with pytest.raises(Misfit, match="a unit of mass"):
        parse_quantity("20 l", "mass")


@given(st.integers(-3, 15), st.integers(-3, 40))
def test_a_day_of_the_year_exists_or_is_refused(month, day):
    """A month-day is taken exactly when a leap year has it, and is written back as it was read."""
    text = f"{month:02d}-{day:02d}"
    longest = {2: 29, 4: 30, 6: 30, 9: 30, 11: 30}.get(month, 31)
    if 1 <= month <= 12 and 1 <= day <= longest:
        assert str(parse_month_day(text)) == text
    else:
        with pytest.raises(Misfit):
            parse_month_day(text)


@given(st.integers(2001, 2099))
def test_the_leap_day_falls_back_in_common_years(year):
    """29 February is the 28th in a year that has none."""
    day = MonthDay(2, 29).in_year(year)
    assert (day.month, day.day) == (2, 29 if year % 4 == 0 else 28)


@pytest.mark.parametrize(
    ("parse", "value"),
    [
        (parse_span, "04-20"),
        (parse_span, "04-20/04-20"),
        (parse_span, "04-20/07-32"),
        (parse_span, 7),
        (parse_month_day, 4.2),
        (parse_month_day, "2027-04-20"),
        (parse_sow, "spring"),
        (parse_day, "11.06.2024"),
        (parse_day, "2023-02-29"),
        (parse_day, 2023),
        (parse_hours, True),
        (parse_hours, "12"),
        (parse_hours, {"apr-sept-oct": 3}),
        (parse_hours, {"summer": 3}),
        (parse_hours, {"apr-sep": 3, "sep": 4}),
        (parse_hours, {"jan-dec": float("nan")}),
        (parse_rotation_year, 0),
        (parse_rotation_year, True),
        (parse_rotation_year, "first"),
    ],
)
def test_a_wrong_time_is_refused(parse, value):
    """What is no day, span, year or number of hours is a misfit with a remedy."""
    with pytest.raises(Misfit) as caught:
        parse(value)
    assert caught.value.remedy


def test_sowing_times_are_words_days_or_windows():
    """`sow` holds auto, after, a day or a window."""
    assert parse_sow("auto") == "auto"
    assert parse_sow("03-20") == MonthDay(3, 20)
    assert parse_sow("11-20/02-10") == Span(MonthDay(11, 20), MonthDay(2, 10))


def test_hours_over_the_new_year():
    """Hours from October to March hold in six months, the year's end inside."""
    spans = parse_hours({"apr-sep": 30, "oct-mar": 18})
    assert spans == (HoursSpan(4, 9, 30.0), HoursSpan(10, 3, 18.0))
    assert spans[1].months() == (10, 11, 12, 1, 2, 3)
    assert parse_hours(12) == (HoursSpan(1, 12, 12.0),)


@pytest.mark.parametrize(
    ("typed", "right"),
    [("Potatos", "potato"), ("winter wheat", "winter_wheat"), ("oat", "oats"), ("wheat", "spring_wheat")],
)
def test_the_nearest_name_forgives_plurals_and_spaces(typed, right):
    """A name typed as people say it finds the name that is known."""
    assert nearest(typed, ["potato", "winter_wheat", "spring_wheat", "oats", "leek"]) in {
        f'Did you mean "{right}"?',
        'Did you mean "winter_wheat"?' if typed == "wheat" else "",
    }


def test_an_unlike_name_gets_the_list():
    """Where nothing is near, the known names are shown."""
    assert one_of("xyzzy", ["leek", "oats"], "crop") == "Use a known crop: leek, oats."
    assert one_of("xyzzy", [], "crop") == "There is no crop yet: add one first."


def test_long_and_strange_values_are_shown_short():
    """A message never carries a whole file or a control character."""
    assert len(shown("x" * 5000)) == 60
    assert "\x1b" not in shown("\x1b[31m")
