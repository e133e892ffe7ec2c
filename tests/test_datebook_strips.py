"""From lines of plantings.csv to strips with plantings one behind the other."""

from __future__ import annotations

from itertools import pairwise

import pytest
from growth_kit import grown, holding, laid, row, tables, weather
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.datebook.season import season_climate
from yardland.datebook.windows import Windows
from yardland.growth.traits import STANDING, STATUS_WORDS
from yardland.holding.model import MonthDay


def test_lines_without_after_start_strips() -> None:
    """Two lines of half a plot each are two strips of half its area."""
    layout = laid(holding(row("oats", share=0.5), row("potato", share=0.5)), weather())

    assert [strip.area_m2 for strip in layout.strips] == [500, 500]
    assert [planting.id for planting in layout.plantings] == ["field.oats", "field.potato"]


def test_a_line_with_after_follows_on_the_same_strip() -> None:
    """The follower stands on the strip of what it follows, with a later window."""
    layout = laid(holding(row("oats"), row("turnip", "after", after="oats")), weather("warm"))
    first, second = layout.strips[0].plantings

    assert len(layout.strips) == 1
    assert second.opens > first.opens
    assert "after the crop before it" in second.words


def test_following_what_is_not_there_is_noted() -> None:
    """A line that follows a crop which another year of the rotation holds is left out, and a note says so."""
    layout = laid(holding(row("oats", year=2), row("turnip", "after", after="oats")), weather("warm"))

    assert layout.strips == ()
    assert "field.turnip: oats is not planted in field" in layout.notes[0]


def test_rotation_years_choose_their_lines() -> None:
    """A line with a year of the rotation stands only in that year; "every" stands in all."""
    plan = holding(row("oats", year=1, share=0.5), row("potato", year=2, share=0.5), row("kale", share=0.5))

    assert [p.crop for p in laid(plan, weather(), 1).plantings] == ["oats", "kale"]
    assert [p.crop for p in laid(plan, weather(), 2).plantings] == ["potato", "kale"]


@settings(max_examples=20, deadline=None)
@given(every=st.integers(7, 60), length=st.integers(0, 150))
def test_repeated_sowings_each_have_a_strip(every: int, length: int) -> None:
    """Sowing every n days over some days makes 1 + days // n strips of the line's share, n days apart."""
    first, last = MonthDay(4, 1), MonthDay(4 + length // 30, 1 + length % 30 if length % 30 < 28 else 28)
    days = (last.in_year(2001) - first.in_year(2001)).days
    layout = laid(holding(row("lettuce", first, until=last, every_days=every, share=0.02)), weather())
    opens = [planting.opens for planting in layout.plantings]

    assert len(layout.strips) == 1 + days // every
    assert [b - a for a, b in pairwise(opens)] == [every] * (len(opens) - 1)
    assert all(strip.area_m2 == pytest.approx(20) for strip in layout.strips)


def test_sowings_of_one_crop_have_ids_of_their_own() -> None:
    """The second and third planting of a crop in a plot are numbered."""
    plan = holding(
        row("lettuce", MonthDay(4, 1), until=MonthDay(6, 1), every_days=30, share=0.1), row("lettuce", share=0.1)
    )
    ids = [planting.id for planting in laid(plan, weather()).plantings]

    assert ids == ["field.lettuce", "field.lettuce.2", "field.lettuce.3", "field.lettuce.4"]


def test_perennial_forage_is_laid_out_as_a_sward() -> None:
    """Lucerne on a crop plot is no strip of the kernel."""
    layout = laid(holding(row("alfalfa", share=0.4)), weather())

    assert layout.strips == ()
    assert [(strip.id, strip.area_m2) for strip in layout.forage] == [("field.alfalfa", 400)]


def test_a_crop_that_cannot_ripen_before_the_next_is_noted() -> None:
    """Winter wheat behind potatoes that must be planted again in spring is told."""
    layout = laid(holding(row("potato"), row("winter_wheat", "after", after="potato")), weather("cool"))

    assert any("winter_wheat: not expected to be ripe before field.potato" in note for note in layout.notes)


@pytest.mark.parametrize("start_month", range(1, 13))
@pytest.mark.parametrize("crop", ["winter_wheat", "potato", "oats", "garlic", "turnip"])
def test_a_planting_gives_one_harvest_a_year_whenever_the_year_starts(crop: str, start_month: int) -> None:
    """Whatever month the larder year starts, a crop that ripens gives its harvest once, never none or two."""
    result = grown(holding(row(crop)), weather("warm", start_month=start_month))
    kept = result.harvest_kg[0, :, 0].sum()
    per_ha = result.pick(result.yield_kg_ha)[0, 0]

    assert kept > 0
    assert kept == pytest.approx(per_ha * 0.1)


def test_kale_is_picked_on_through_winter_and_chard_is_not() -> None:
    """Kale stands through frost: it is picked on after growth has stopped, at most for the days the table says it stands."""
    forcing = weather("cool")
    crops = ("kale", "chard")
    kale, chard = laid(holding(*(row(crop, MonthDay(6, 1), share=0.2) for crop in crops)), forcing).plantings
    windows = Windows(tables(), season_climate(forcing))
    stops = {crop: windows.season_ends(crop, kale.opens) for crop in crops}
    result = grown(holding(row("kale", MonthDay(6, 1))), forcing)

    assert kale.clear_by == stops["kale"] + tables().row("crops", "kale").need("stands_days")
    assert chard.clear_by == stops["chard"]
    assert (result.harvest_kg[0, [0, 1, 10, 11], 0] > 0).all()


def test_a_full_season_of_picking_ends_with_growth() -> None:
    """Outdoor tomatoes of a cool place are picked till autumn ends them: no more is planned, so none of it is missed."""
    forcing = weather("cool")
    cool, hot = (laid(holding(row("tomato")), weather(climate)).plantings[0] for climate in ("cool", "hot"))
    windows = Windows(tables(), season_climate(forcing))
    ends = windows.season_ends("tomato", cool.opens)
    ripe = cool.opens + windows.days("tomato", cool.opens)
    table = tables().row("crops", "tomato").need("picking_days")

    assert cool.picking_days == max(ends - ripe, table)
    assert cool.picking_days < windows.picking_days("tomato", ripe)
    assert table <= hot.picking_days < 100


def test_a_crop_that_follows_is_sown_for_half_a_season() -> None:
    """Behind another crop turnips are sown later than the window of a crop of their own closes; grain is not."""
    forcing = weather("cool")
    windows = Windows(tables(), season_climate(forcing))
    free = windows.climate.warmest

    assert windows.after("turnip", free).closes > windows.auto("turnip").closes + 7
    assert "50 %" in windows.after("turnip", free).words
    assert "75 %" in windows.auto("turnip").words
    assert windows.after("buckwheat", free - 60).closes == windows.auto("buckwheat").closes


def test_turnips_after_grain_are_off_the_land_before_winter() -> None:
    """Sown in August behind oats, turnips are gathered as growth stops in that autumn, not in the next summer."""
    forcing = weather("cool")
    plan = holding(row("oats"), row("turnip", "after", after="oats", line=3))
    oats, turnip = laid(plan, forcing).plantings

    assert oats.opens < turnip.opens < turnip.clear_by < 365


def test_status_words_name_every_code() -> None:
    """Each outcome of a sowing has words."""
    assert len(STATUS_WORDS) == STANDING + 1
    assert len(set(STATUS_WORDS)) == len(STATUS_WORDS)


def test_a_tunnel_has_windows_of_its_own() -> None:
    """Under a tunnel tomatoes are planted out earlier than in the open of the same place."""
    open_, tunnel = (
        laid(holding(row("tomato"), use="garden", cover=cover), weather("cool")).plantings[0]
        for cover in ("open", "tunnel")
    )

    assert tunnel.opens < open_.opens
    assert tunnel.closes - tunnel.opens > open_.closes - open_.opens
