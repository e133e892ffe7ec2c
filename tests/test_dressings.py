"""Manure from the roof to the strip: its nitrogen is never lost sight of, and every strip gets its share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from conftest import demo_year
from hypothesis import given
from hypothesis import strategies as st
from stock_kit import TABLES, group, year_of

from yardland.accounts.purse import compost_costs
from yardland.errors import TableError
from yardland.findings import cautions, ground
from yardland.findings.context import Context
from yardland.growth.dressing import Analysis, Dressing, fertiliser, spread
from yardland.growth.layout import ForageStrip, Layout, Planting, Strip
from yardland.holding.dress import KINDS, Dress, parse_dressing
from yardland.holding.misfit import Misfit
from yardland.holding.model import Holding, MonthDay, OwnRow, Place, PlantingRow, Plot, Round
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.season.dressings import HeapYear, dressings, heap_year, kept_share
from yardland.season.droppings import droppings, out_of_doors

MONTHS = larder_months(2001, 1)
CLASSES = ("laying_hen", "ewe", "goat_dairy_doe", "dairy_cow_small", "sow", "rabbit_doe", "goose", "duck_layer")
MILD = {"tmin_c": np.full(12, 4.0), "tmax_c": np.full(12, 12.0), "rain_mm": np.full(12, 80.0), "eto_mm": np.full(12, 40.0)}  # fmt: skip


def plan(asks: list[tuple[str, float]], heads: dict[str, int], *, rounds: bool = False) -> tuple[Holding, Layout]:
    """A holding whose field of a hectare is parted into strips: (dressing cell, share) each; one group of those heads."""
    rows = tuple(
        PlantingRow(line=line, plot="field", crop="potato", share=share, dressing=cell)
        for line, (cell, share) in enumerate(asks, 2)
    )
    strips = tuple(
        Strip(f"field.{row.line}", "field", row.share * 10_000.0, (planting(f"field.potato.{row.line}", row.line),))
        for row in rows
    )
    holding = Holding(
        folder=".",
        place=Place(name="x", latitude_deg=52, longitude_deg=0, country="GB", year_starts=MonthDay(1, 1)),
        people={},
        plot={
            "field": Plot(use="crops", area_m2=10_000.0),
            "mead": Plot(use="grass", area_m2=6_000.0),
            "bank": Plot(use="grass", area_m2=2_000.0),
            "yard": Plot(use="yard", area_m2=500.0),
        },
        group={"herd": group(heads=heads)} if heads else {},
        round={"green": Round(order=("herd",), plots=("mead", "bank"))} if rounds else {},
        plantings=rows,
    )
    return holding, Layout(strips)


def planting(ident: str, line: int) -> Planting:
    """A planting sown from 1 to 21 April."""
    return Planting(ident, "field", "potato", "", line, 90, 110, 300, 301, 1, "by hand")


def year(asks: list[tuple[str, float]], heads: dict[str, int], *, rounds: bool = False) -> HeapYear:
    """The heap of that plan."""
    holding, layout = plan(asks, heads, rounds=rounds)
    return heap_year(holding, TABLES, year_of(holding.group), layout, MONTHS)


@given(
    heads=st.dictionaries(st.sampled_from(CLASSES), st.integers(1, 30), min_size=1, max_size=4),
    asks=st.lists(
        st.tuples(st.sampled_from(["raw manure", "compost", "compost 3 t/ha", "raw manure 60 t/ha", ""]), st.just(0.2)),
        min_size=1,
        max_size=5,
    ),
    rounds=st.booleans(),
)
def test_no_nitrogen_is_lost_sight_of(heads, asks, rounds) -> None:
    """Excreted, bedding and kitchen = dropped + lost in the house + lost in the heap + spread + left, for any herd and plan."""
    got = year(asks, heads, rounds=rounds)
    into = got.excreted_n_kg + got.bedding_n_kg + got.kitchen_n_kg
    terms = (got.dropped_n_kg, got.house_lost_n_kg, got.heap_lost_n_kg, got.spread_n_kg, got.left_n_kg)

    assert sum(terms) == pytest.approx(into, rel=1e-12)
    assert min(terms) >= -1e-9
    assert 0.0 < got.given_share <= 1.0
    excreted = sum(float(need.manure_n_kg.sum()) for need in year_of({"herd": group(heads=heads)}).needs)
    assert got.excreted_n_kg == pytest.approx(excreted, rel=1e-12)


@given(st.floats(1, 1e5), st.floats(1, 1e5), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_the_parts_of_a_dressing_are_the_whole(kg, area, ready, released, kept) -> None:
    """Mineral, fresh, slow and volatilised nitrogen are all there is, and the mass on the hectare is the mass spread."""
    item = spread("p", "f", "compost", Analysis(8.0, 2.0, 6.0, 120.0, ready, released), kg=kg, area_m2=area, kept_share=kept)  # fmt: skip

    assert item.n_total_kg_ha == pytest.approx(kg * 8.0 / 1000.0 / area * 10_000.0)
    assert item.volatilised_n_kg_ha == pytest.approx(item.n_total_kg_ha * ready * (1 - kept), abs=1e-9 * kg)
    assert min(item.mineral_n_kg_ha, item.fresh_n_kg_ha, item.slow_n_kg_ha) >= 0.0


def test_a_small_heap_is_shared_by_area_and_rate() -> None:
    """Two hens cannot dress a hectare: each strip gets the same share of what it asks, and nothing stays behind."""
    got = year([("raw manure 20 t/ha", 0.4), ("raw manure 40 t/ha", 0.1)], {"laying_hen": 2})
    first, second = got.dressings

    assert got.given_share < 0.02
    assert first.kg / second.kg == pytest.approx(2.0)
    assert first.kg == pytest.approx(8000.0 * got.given_share)
    assert (got.left_kg, got.left_n_kg) == (0.0, 0.0)


def test_a_large_heap_gives_what_is_asked_and_keeps_the_rest() -> None:
    """Two cows and a small strip: the strip has its rate, the rest is told."""
    got = year([("raw manure 25 t/ha", 0.05)], {"dairy_cow_small": 2})

    assert got.given_share == 1.0
    assert got.dressings[0].kg == pytest.approx(1250.0)
    assert got.left_kg > 5000.0
    assert got.left_kg == pytest.approx((got.collected_kg - 1250.0 / 0.75) * 0.75)


def test_the_rate_of_the_table_stands_in_for_none() -> None:
    """Manure and compost without a rate are given at the table's: 25 and 15 t/ha (common practice)."""
    got = year([("raw manure", 0.05), ("compost", 0.05), ("bought compost", 0.05)], {"dairy_cow_small": 2})

    assert [item.kg for item in got.dressings] == pytest.approx([1250.0, 750.0, 750.0])


def test_compost_of_the_same_heap_holds_less_nitrogen_and_frees_less() -> None:
    """For each kilogram laid on the heap: less nitrogen and carbon after turning, as much phosphorus, less at once."""
    raw, compost = year([("raw manure 3 t/ha", 0.1), ("compost 2 t/ha", 0.1)], {"dairy_cow_small": 1}).dressings
    laid_raw, laid_compost = raw.kg / 0.75, compost.kg / 0.5

    assert laid_raw == pytest.approx(laid_compost)
    assert compost.n_total_kg_ha / raw.n_total_kg_ha == pytest.approx((1 - 0.33) / (1 - 0.21))
    assert compost.c_kg_ha < raw.c_kg_ha
    assert compost.p_kg_ha == pytest.approx(raw.p_kg_ha)
    assert compost.mineral_n_kg_ha + compost.fresh_n_kg_ha < 0.8 * (raw.mineral_n_kg_ha + raw.fresh_n_kg_ha)


def test_bought_compost_and_fertiliser_need_no_animals() -> None:
    """Both come over the fence in full, the compost in the month of sowing; neither touches the heap's law."""
    got = year([("bought compost 20 t/ha", 0.5), ("fertiliser 60 kg N/ha", 0.5)], {})
    compost, mineral = got.dressings

    assert compost.kg == pytest.approx(10_000.0)
    assert got.bought_kg[3] == pytest.approx(10_000.0)
    assert got.bought_kg.sum() == got.bought_kg[3]
    assert mineral.n_total_kg_ha == 60.0
    assert 50.0 < mineral.mineral_n_kg_ha + mineral.slow_n_kg_ha < 60.0
    assert (mineral.fresh_n_kg_ha, mineral.c_kg_ha) == (0.0, 0.0)
    assert got.spread_n_kg == 0.0
    assert got.asked_kg == 0.0


def test_a_plan_without_animals_has_no_heap() -> None:
    """Manure asked for where nothing is kept: nothing is spread, and the share given is none."""
    got = year([("raw manure", 0.5)], {})

    assert got.dressings == ()
    assert got.given_share == 0.0


def test_ammonia_goes_by_days_and_weather() -> None:
    """Warm and dry loses most; a week uncovered loses more than an hour; the own figure rules."""
    warm_dry = {"tmin_c": np.full(12, 14.0), "tmax_c": np.full(12, 28.0), "rain_mm": np.zeros(12), "eto_mm": np.full(12, 150.0)}  # fmt: skip

    assert kept_share(TABLES, 4, warm_dry) < kept_share(TABLES, 4, None) < kept_share(TABLES, 4, MILD)
    own = load_tables(own=_own("manuring.days_to_cover.value", 6))
    assert kept_share(own, 4, warm_dry) == 0.0
    assert kept_share(load_tables(own=_own("manuring.days_to_cover.value", 0)), 4, warm_dry) == 1.0


def test_a_heap_that_loses_all_of_itself_is_refused() -> None:
    """An own figure of 1 for a share is an error that names it, no division by nothing."""
    holding, layout = plan([("raw manure", 0.5)], {"ewe": 2})
    with pytest.raises(TableError, match=r"manuring\.stored_mass_loss\.value is 1"):
        heap_year(
            holding, load_tables(own=_own("manuring.stored_mass_loss.value", 1)), year_of(holding.group), layout, MONTHS
        )


def _own(key: str, value: float):
    return (OwnRow(line=2, key=key, value=value, why="measured"),)


def test_a_dressed_sward_is_named() -> None:
    """A perennial forage strip takes no dressing of a sowing, and the result says so."""
    holding, layout = plan([("compost", 0.5)], {"ewe": 2})
    sward = replace(layout, strips=(), forage=(ForageStrip("field.potato", "field", "potato", 5000.0),))
    got = heap_year(holding, TABLES, year_of(holding.group), sward, MONTHS)

    assert got.dressings == ()
    assert "field.potato" in got.notes[0]


def test_dressings_are_those_of_the_heap_year() -> None:
    """The short way gives the same tuple."""
    holding, layout = plan([("compost", 0.5)], {"ewe": 2})
    herd = year_of(holding.group)

    found = dressings(holding, TABLES, herd, layout, MONTHS)
    assert found == heap_year(holding, TABLES, herd, layout, MONTHS).dressings
    assert isinstance(found[0], Dressing)


# --- droppings out of doors --------------------------------------------------------------------------------------------


@given(
    manure=st.lists(st.floats(0.0, 50.0), min_size=12, max_size=12),
    housed=st.floats(0.0, 1.0),
    out=st.lists(st.booleans(), min_size=12, max_size=12),
)
def test_out_of_doors_is_the_share_of_the_year(manure, housed, out) -> None:
    """What falls outside adds up to its share of the year, no month gives more than it has, months out come first."""
    n, months = np.array(manure), np.array(out)
    outside = out_of_doors(n, housed, months)

    assert outside.sum() == pytest.approx((1 - housed) * n.sum(), abs=1e-9)
    assert (outside <= n * (1 + 1e-9) + 1e-12).all()
    if outside[~months].sum() > 1e-9:
        assert outside[months].sum() == pytest.approx(n[months].sum())


@pytest.mark.parametrize("rounds", [True, False])
def test_droppings_are_all_that_is_dropped(rounds) -> None:
    """Nitrogen on the plots = excreted less housed; on the round's plots by area, else at home."""
    holding, layout = plan([("", 0.5)], {"ewe": 6, "laying_hen": 10}, rounds=rounds)
    herd = year_of(holding.group)
    found = droppings(holding, TABLES, herd.needs, MILD)
    kg = sum(float(item.n_kg_ha.sum()) * holding.plot[item.plot].area_m2 / 10_000.0 for item in found)

    assert kg == pytest.approx(heap_year(holding, TABLES, herd, layout, MONTHS).dropped_n_kg)
    assert {item.plot for item in found} == ({"mead", "bank"} if rounds else {"yard"})
    for item in found:
        parts = item.mineral_n_kg_ha + item.fresh_n_kg_ha + item.slow_n_kg_ha
        assert (item.ammonia_n_kg_ha > 0).all()
        assert parts + item.ammonia_n_kg_ha == pytest.approx(item.n_kg_ha)


def test_a_herd_on_grass_is_out_when_grass_grows() -> None:
    """With half the year cold, a grazing herd drops on the grass in the warm half alone (half of it is housed)."""
    holding, _ = plan([("", 0.5)], {"ewe": 6}, rounds=True)
    cold = {"tmin_c": np.where(np.arange(12) < 6, -4.0, 8.0), "tmax_c": np.where(np.arange(12) < 6, 2.0, 18.0)}
    mead = droppings(holding, TABLES, year_of(holding.group).needs, cold)[0]

    assert mead.n_kg_ha[6:].sum() > 0.9 * mead.n_kg_ha.sum()


# --- bedding, kitchen leavings, the mix --------------------------------------------------------------------------------


def test_the_heap_and_the_yard_bed_on_the_same_straw() -> None:
    """Both count table bedding by heads and days under a roof: the yard by the month's share, the heap by the year's."""
    result = demo_year("tarn-hollow")
    yard = sum(float(one.straw_kg_week.sum()) for one in result.yard.values())

    assert result.heap.bedding_kg == pytest.approx(yard, rel=0.06)


def with_people(heads: dict[str, int], people: int, **rules: object) -> Holding:
    """A holding with so many people and one group, its field asking for compost."""
    holding, _ = plan([("compost 1 t/ha", 1.0)], heads)
    person = next(iter(demo_year("tarn-hollow").holding.people.values()))
    return holding.model_copy(
        update={
            "people": {f"p{number}": person for number in range(people)},
            "rules": holding.rules.model_copy(update=rules),
        }
    )


def heap_of(holding: Holding) -> HeapYear:
    """The heap of that holding."""
    _, layout = plan([("compost 1 t/ha", 1.0)], {})
    return heap_year(holding, TABLES, year_of(holding.group), layout, MONTHS)


def test_the_kitchens_leavings_go_on_the_heap() -> None:
    """Four people without stock: 280 kg, 28 % dry, 2.4 % N of it; half the mass and two thirds of the nitrogen are spread."""
    got = heap_of(with_people({}, 4))

    assert got.kitchen_kg == pytest.approx(280.0)
    assert got.kitchen_n_kg == pytest.approx(280.0 * 0.28 * 0.024)
    assert got.cn == pytest.approx(15.0)
    assert got.moisture == pytest.approx(0.72)
    assert got.spread_kg.sum() == pytest.approx(140.0)
    assert np.flatnonzero(got.spread_kg).tolist() == [3]
    assert got.spread_n_kg == pytest.approx(got.kitchen_n_kg * 0.67)
    assert got.manure_n_share == 0.0


def test_what_animals_may_have_is_not_on_the_heap() -> None:
    """Scraps are barred for stock and lie on the heap; a household that feeds them has none there."""
    barred = heap_of(with_people({"laying_hen": 6}, 4))
    fed = heap_of(with_people({"laying_hen": 6}, 4, feeds_allowed=("kitchen_scraps",)))

    assert barred.kitchen_kg == pytest.approx(280.0)
    assert 0.0 < barred.manure_n_share < 1.0
    assert (fed.kitchen_kg, fed.manure_n_share) == (0.0, 1.0)
    assert barred.collected_kg == pytest.approx(fed.collected_kg + 280.0)


def test_a_heap_too_rich_or_too_wet_is_told_with_the_straw_it_lacks() -> None:
    """C:N under 20 or over 40, or over 65 % water (Cooperband 2002), where compost is asked for; else silence."""
    result, tables = demo_year("tarn-hollow"), load_tables()
    item = Dressing("high.potato", "high", "compost", *[1.0] * 8)

    def told(cn: float, moisture: float, kind: str = "compost") -> list[str]:
        heap = HeapYear(dressings=(replace(item, kind=kind),), cn=cn, moisture=moisture, balance_straw_kg=123.0)
        return [finding.remedy for finding in ground.heap_mix(Context(replace(result, heap=heap), tables))]

    assert told(30.0, 0.6) == []
    assert told(15.0, 0.6, "raw manure") == []
    assert "123 kg of straw" in told(15.0, 0.6)[0]
    assert len(told(30.0, 0.7)) == 1
    assert "droppings" in told(50.0, 0.6)[0]


# --- the cell ----------------------------------------------------------------------------------------------------------


@given(st.sampled_from(KINDS[:3]), st.floats(0.01, 400.0))
def test_a_rate_reads_as_it_is_written(kind, t_ha) -> None:
    """Tonnes a hectare, and kilograms a square metre, are the same rate; what a Dress prints reads back."""
    dress = parse_dressing(f"{kind} {t_ha:.4f} t/ha")
    assert isinstance(dress, Dress)
    by_m2 = parse_dressing(f"{kind} {t_ha / 10:.5f} kg/m2")

    assert dress.kg_ha == pytest.approx(t_ha * 1000.0, abs=0.06)
    assert isinstance(by_m2, Dress)
    assert by_m2.kg_ha == pytest.approx(dress.kg_ha, abs=0.2)
    assert parse_dressing(str(dress))[1] == pytest.approx(dress.kg_ha, rel=1e-4)  # type: ignore[index]


def test_fertiliser_is_read_by_its_nitrogen() -> None:
    """Both spellings, both units; the empty cell is no dressing."""
    assert parse_dressing("Fertilizer 60 kg N/ha") == Dress("fertiliser", None, 60.0)
    assert parse_dressing("fertiliser 6 g N per m2") == Dress("fertiliser", None, pytest.approx(60.0))
    assert parse_dressing(" ") == Dress()
    assert str(parse_dressing("fertiliser 60 kg N/ha")) == "fertiliser 60 kg N/ha"


@pytest.mark.parametrize(
    "cell", ["dung", "compost 0 t/ha", "compost -2 t/ha", "compost 2", "compost 2 kg", "compost 1,200 kg/ha", "compost 2 m/ha"]
)  # fmt: skip
def test_a_cell_without_a_sense_is_a_misfit(cell) -> None:
    """Each is refused with a remedy."""
    with pytest.raises(Misfit) as caught:
        parse_dressing(cell)
    assert caught.value.remedy


# --- findings and money ------------------------------------------------------------------------------------------------


def test_the_limit_of_the_nitrates_directive_is_told_over_it_and_not_under_it() -> None:
    """170 kg N/ha of the farmed land, of manure dropped, spread and left; the limit itself passes."""
    result = demo_year("tarn-hollow")
    tables = load_tables()
    farmed_ha = sum(plot.area_m2 for plot in result.holding.plot.values() if plot.use in ground.FARMED) / 10_000
    at = replace(result, droppings=(), heap=HeapYear(excreted_n_kg=1.0, dropped_n_kg=169.9 * farmed_ha))
    over = replace(result, droppings=(), heap=HeapYear(excreted_n_kg=1.0, dropped_n_kg=100.2 * farmed_ha, left_n_kg=70.0 * farmed_ha))  # fmt: skip

    assert not list(ground.nitrogen_from_manure(Context(at, tables)))
    [found] = ground.nitrogen_from_manure(Context(over, tables))
    assert found.grade == "rule"
    assert "170" in found.number
    assert "91/676/EEC" in found.source


def test_a_plot_over_the_limit_is_told() -> None:
    """Grazing counts with what is spread, by the whole plot; the house's plot is no farmed land."""
    result = demo_year("tarn-hollow")
    heavy = tuple(replace(item, n_kg_ha=item.n_kg_ha + 20.0) for item in result.droppings)
    found = list(ground.nitrogen_from_manure(Context(replace(result, droppings=heavy), load_tables())))
    plots = {finding.subject for finding in found} - {"manure"}

    assert plots == {"lea", "bank", "fell"}
    given_high = ground.manure_n_kg_ha(Context(result, load_tables()))["high"]
    assert 50.0 < given_high < 170.0


def test_a_heap_too_small_or_left_is_told() -> None:
    """Under nine tenths of what is asked; more left than asked; in between there is silence."""
    result, tables = demo_year("tarn-hollow"), load_tables()

    def told(**fields: float) -> list[str]:
        heap = HeapYear(collected_kg=9000.0, asked_kg=2000.0, **fields)
        return [finding.grade for finding in ground.the_heap(Context(replace(result, heap=heap), tables))]

    assert told(given_share=0.5) == ["tight"]
    assert told(left_kg=3000.0) == ["note"]
    assert told(left_kg=1000.0) == []


def test_the_distance_from_wells_is_a_caution_where_manure_is_spread() -> None:
    """50 m from wells and 10 m from water (England; published), only where something is spread."""
    result, tables = demo_year("casa-vereda"), load_tables()
    title = "Manure away from wells and water"
    [found] = [item for item in cautions.cautions(Context(result, tables)) if item.title == title]

    assert "at least 50 m" in found.what
    assert "at least 10 m" in found.what
    bare = replace(result, heap=HeapYear())
    assert not [item for item in cautions.cautions(Context(bare, tables)) if item.title == title]


def test_bought_compost_costs_its_load() -> None:
    """600 kg is a cubic metre at the table's price; no compost, no line."""
    kg = np.zeros(12)
    assert compost_costs(TABLES, kg) == {}
    kg[3] = 1200.0
    assert compost_costs(TABLES, kg)["buy compost"][3] == pytest.approx(2 * 37.5)


def test_fertiliser_keeps_its_nitrogen_but_for_ammonia() -> None:
    """Of the part kept four fifths are at hand and one joins the humus; nothing else is in it."""
    item = fertiliser("p", "f", 80.0, kept_share=0.9, held_share=0.2)
    assert (item.mineral_n_kg_ha, item.slow_n_kg_ha, item.volatilised_n_kg_ha) == pytest.approx((57.6, 14.4, 8.0))
