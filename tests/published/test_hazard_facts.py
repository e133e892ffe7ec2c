"""Chances and losses of hazards beside published figures of what pests, disease, hail and birds take."""

from __future__ import annotations

from functools import lru_cache

import pytest

from yardland.growth.hazards.table import hazards_on_crop
from yardland.reference import load_tables
from yardland.reference.tables import Tables

OERKE = "Oerke 2006, Journal of Agricultural Science 144:31-43, summary"
BICHEL = "Danish EPA, Bichel Committee, Sub-committee on Agriculture, Table 5.8"
COPPER = "Gianessi and Williams 2011, International Pesticide Benefits Case Study 27"
INSURED = "National Crop Insurance Services data, United States 2019"
CHERRIES = "Lindell, Michigan State University, in Good Fruit Grower: Michigan 2012"


@lru_cache(maxsize=1)
def tables() -> Tables:
    """The shipped tables."""
    return load_tables()


def expected(*hazards: str, end: str = "") -> float:
    """Sum of chance x loss a year; `end` low or high takes the ends of both ranges."""
    chance, loss = ("chance_per_year", "loss_share") if not end else (f"chance_{end}", f"loss_{end}")
    return sum(tables().row("hazards", key).need(chance) * tables().row("hazards", key).need(loss) for key in hazards)


@pytest.mark.parametrize(
    ("crop", "most"),
    [("winter_wheat", 0.29), ("soybean", 0.29), ("maize_grain", 0.31), ("potato", 0.40)],
)
def test_field_crops_lose_less_than_with_weeds(outside, crop: str, most: float) -> None:
    """Pests and disease take less than the actual losses to pests, disease and weeds together.

    Source: Oerke 2006, Journal of Agricultural Science 144:31-43, summary: 26-29 % soybean and wheat, 31 % maize, 40 %
    potatoes, world, 2001-03. Standing: published.
    """
    keys = [one.key for one in hazards_on_crop(tables(), crop) if one.kind in ("pest", "disease")]

    outside.check_between(
        "Oerke",
        f"share of {crop} lost to pests and disease: less than with weeds",
        OERKE,
        "published",
        0.02,
        most,
        expected(*keys),
    )


@pytest.mark.parametrize(
    ("crop", "percent"),
    [
        ("winter_wheat", 9 + 4),
        ("spring_barley", 6 + 6),
        ("winter_barley", 10 + 0),
        ("oats", 5 + 3),
        ("rye", 4 + 3),
        ("pea_dry", 2 + 9),
        ("oilseed_rape", 2 + 5),
        ("fodder_beet", 2 + 12),
        ("potato", 38 + 6),
        ("maize_grain", 0 + 5),
    ],
)
def test_losses_without_pesticides_lie_in_the_range(outside, crop: str, percent: float) -> None:
    """Mean losses to disease and pests on Danish farms without pesticides lie between our low and our high.

    Source: Danish Environmental Protection Agency, Bichel Committee, Report from the Sub-committee on Agriculture, Table 5.8
    (0-scenario: disease attack + pest attack; clayey soil for wheat and spring barley, mangolds for fodder beet).
    Standing: published.
    """
    keys = [one.key for one in hazards_on_crop(tables(), crop) if one.kind in ("pest", "disease")]

    outside.check_between(
        "Bichel Table 5.8",
        f"printed share of {crop} lost without pesticides, in our range",
        BICHEL,
        "published",
        expected(*keys, end="low"),
        expected(*keys, end="high"),
        percent / 100,
    )


def test_blight_takes_what_copper_saves(outside) -> None:
    """Copper raises organic potato yields by 25 %: without it a fifth is lacking, as chance x loss has it.

    Source: Gianessi and Williams 2011, International Pesticide Benefits Case Study 27 (of crops in Europe).
    Standing: published.
    """
    outside.check_close(
        "blight", "share of unsprayed potatoes lost", COPPER, "published", 1 - 1 / 1.25, expected("late_blight"), 0.01
    )


def test_hail_costs_about_what_insurers_pay(outside) -> None:
    """The loss cost of insured crops in the United States in 2019 was 2.8 %; our mean is of that size, our range holds it.

    Source: National Crop Insurance Services data in a report of 2020 (a year of much hail; states 3.5 and 5.7 %).
    Standing: published.
    """
    low, high = expected("hail", end="low"), expected("hail", end="high")

    outside.check_between("hail", "loss cost of insured crops, in our range", INSURED, "published", low, high, 0.028)
    assert 0.5 * 0.028 < expected("hail") < 0.028


def test_birds_take_cherries_as_surveyed(outside) -> None:
    """Sweet cherries lost to birds in 2012: over a quarter in New York, over 12 % in Michigan, 3 % in the Pacific Northwest.

    Source: Lindell, Michigan State University, in Good Fruit Grower. Standing: published.
    """
    outside.check_close(
        "birds", "share of sweet cherries lost to birds", CHERRIES, "published", 0.12, expected("fruit_birds"), 0.01
    )
    assert expected("fruit_birds", end="low") < 0.03
    assert expected("fruit_birds", end="high") > 0.25


@pytest.mark.parametrize(
    ("hazard", "source", "high"),
    [
        ("yellow_dwarf", "University of Nebraska CropWatch 2007: up to 25 % wheat, 40 % barley, 33 % oats", 0.40),
        (
            "clubroot",
            "Botero-Ramirez, University of Alberta (Canola Council of Canada): 54-62 % where all is clubbed",
            0.62,
        ),
        ("codling_moth", "a trade page: up to 90 % of the fruit by one generation", 0.90),
    ],
)
def test_the_worst_losses_are_the_published_ones(outside, hazard: str, source: str, high: float) -> None:
    """The high loss of these is what has been published, to its rounding. Standing: published."""
    got = tables().row("hazards", hazard).need("loss_high")

    outside.check_close("worst losses", f"share lost at worst, {hazard}", source, "published", high, got, 0.03)
