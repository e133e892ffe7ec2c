"""Rules of trees, poisons, bees and care, and cautions: each speaks when its case is there, and is silent when it is not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from fixtures_result import year_result
from husbandry_kit import TABLES, sound, told, tree, turn

from yardland.findings import bees, cautions, husbandry, kept
from yardland.findings.context import Context
from yardland.growth.dressing import Dressing
from yardland.holding.model import Batch, Fence, Group, MonthDay, Sire
from yardland.larderyear.result import YearResult
from yardland.season.dressings import HeapYear

# husbandry


def test_stock_leave_the_orchard_before_the_harvest() -> None:
    """Geese under apples are told: 90 days by the rule of manure; a round that rests 100 days is silent; a wood is too."""
    geese = {"geese": {"goose": 4}}
    apples = (tree("apple_semidwarf"),)
    long = turn("geese", plots=("orchard", "mead"), rest_days=130)

    assert "0 days away" in sound(husbandry.folded_stock(told(geese, homes={"geese": "orchard"}, trees=apples)))[0].number  # fmt: skip
    assert not list(husbandry.folded_stock(told(geese, turn=long, trees=apples)))
    assert not list(husbandry.folded_stock(told(geese, trees=apples)))


def test_stone_fruit_and_sprayed_rows() -> None:
    """Goats under plums meet prussic acid, sheep under vines copper; geese and cattle under apples neither."""
    goats, ewes, cow = ({"g": {klass: 3}} for klass in ("goat_dairy_doe", "ewe", "dairy_cow_small"))
    home = {"g": "orchard"}
    plums = sound(husbandry.stock_under_trees(told(goats, homes=home, trees=(tree("plum"),))))
    vines = sound(husbandry.stock_under_trees(told(ewes, homes=home, trees=(tree("grapevine"),))))

    assert "prussic acid" in plums[0].what
    assert "Copper" in vines[0].what
    assert not list(husbandry.stock_under_trees(told(cow, homes=home, trees=(tree("apple_semidwarf"),))))


def test_poison_plants_by_what_is_kept() -> None:
    """Soapwort is listed for sheep and not for rabbits; nothing without stock."""
    sheep = sound(husbandry.poison_plants(told({"ewes": {"ewe": 3}})))[0].what
    rabbits = sound(husbandry.poison_plants(told({"rabbits": {"rabbit_doe": 3}})))[0].what

    assert "Soapwort" in sheep
    assert "Soapwort" not in rabbits
    assert "Yew" in rabbits
    assert not list(husbandry.poison_plants(told({})))


@pytest.mark.parametrize(("days", "found"), [(70, 1), (80, 1), (81, 0), (None, 0)])
def test_ages_of_organic_slaughter(days: int | None, found: int) -> None:
    """A chicken is 81 days old at least (Swiss ordinance 910.18, published); the table's slow broiler is."""
    birds = told({"birds": {"broiler_slow": 20}}, more={"birds": {"kill_after_days": days}})

    assert len(sound(husbandry.organic_age(birds))) == found


# bees


def test_own_flowers_against_the_colonies() -> None:
    """The flowers' honey never passes area times the table; more colonies than a site carries are tight; no bees, no word."""
    hives = told({"hives": {"honeybee_colony": 3}}, trees=(tree("apple_semidwarf"),))
    crowd = told({"hives": {"honeybee_colony": 12}})
    own = bees.own_flowers_kg(hives)
    row, wide = TABLES.row("bee_plants", "apple_semidwarf"), TABLES.row("trees", "apple_semidwarf")
    most = row.need("honey_kg_ha") * 10 * wide.need("spacing_in_row_m") * wide.need("spacing_between_rows_m") / 1e4
    apple = next(kg for name, kg in own.items() if "apple" in name)

    assert apple.sum() == pytest.approx(most)
    assert int(np.argmax(apple)) == 7
    assert [one.grade for one in sound(bees.forage(hives))] == ["note"]
    assert [one.grade for one in sound(bees.forage(crowd))] == ["tight"]
    assert not list(bees.forage(told({})))


@pytest.mark.parametrize(("coldest_c", "kg"), [(12.0, 18.0), (6.0, 27.0), (-4.0, 40.0)])
def test_winter_stores_follow_the_cold(coldest_c: float, kg: float) -> None:
    """18, 27 and 40 kg by the coldest month's afternoons (Ecrotek, published), and 1.25 kg of stores to a kilogram of sugar."""
    sky = dict(year_result().weather_months) | {"tmax_c": np.linspace(coldest_c, 20.0, 12)}
    found = sound(bees.winter(told({"hives": {"honeybee_colony": 2}}, weather_months=sky)))

    assert f"Leave {kg:g} kg" in found[0].title
    assert f"{2 * kg / 1.25:,.0f} kg of sugar" in found[0].number


def test_losses_of_winter() -> None:
    """One colony is gone in every fourth winter: tight; four together hardly ever: a note."""
    grades = [
        [one.grade for one in sound(bees.losses(told({"hives": {"honeybee_colony": count}})))] for count in (1, 4)
    ]

    assert grades == [["tight"], ["note"]]
    assert not list(bees.losses(told({})))


def test_the_bees_year_follows_the_sun() -> None:
    """Honey is taken in the month after the longest days in both hemispheres; near the equator no month is named."""
    hives = {"hives": {"honeybee_colony": 2}}
    sky = year_result().weather_months
    south = {name: np.roll(values, 6) for name, values in sky.items()}
    north_words = sound(bees.work_of_year(told(hives)))[0].what
    south_words = sound(bees.work_of_year(told(hives, latitude_deg=-55.0, weather_months=south)))[0].what

    assert "Jul: take honey" in north_words
    assert "Jan: take honey" in south_words
    assert not list(bees.work_of_year(told(hives, latitude_deg=3.0)))


# cautions


def heap(*kinds: str) -> HeapYear:
    """A heap that was spread on the north field."""
    return HeapYear(dressings=tuple(Dressing("north.potato", "north", kind, *[1.0] * 8) for kind in kinds))


def case(name: str) -> Context:
    """A plan that makes the caution apply whose first row is `name`."""
    ewes, hens = {"ewes": {"ewe": 3, "lamb": 4}}, {"hens": {"laying_hen": 9}}
    grain = {"ewes": {"oats": np.ones(12), "kale": np.ones(12)}}
    plans: dict[str, Callable[[], Context]] = {
        "hot_compost_temp": lambda: told(hens, heap=heap("compost")),
        "raw_manure_ready_to_eat_months": lambda: told(hens, heap=heap("raw manure")),
        "manure_no_touch": lambda: told(hens, heap=heap("raw manure"), country="US"),
        "rest_after_slurry_weeks": lambda: told(ewes, heap=heap("compost")),
        "copper_manure": lambda: told(ewes | hens, heap=heap("compost")),
        "dog_dung": lambda: told(ewes),
        "legume_bloat_share": lambda: told(ewes, homes={"ewes": "lea"}),
        "grain_gorging": lambda: told(ewes, feed_kg=grain),
        "brassica_share": lambda: told(ewes, feed_kg=grain),
        "fodder_beet_share": lambda: told({"c": {"dairy_cow_small": 1}}, feed_kg={"c": {"fodder_beet": np.ones(12)}}),
        "raw_beans_stock": lambda: told(hens),
        "mould_none": lambda: told(ewes),
        "birth_feeding_weeks": lambda: told(ewes, more={"ewes": {"born": ["04-10"]}}),
        "salt_water": lambda: told(hens),
        "lamps_h": lambda: told(hens),
        "withdrawal_eggs_d": lambda: told(hens, products_kg={"hens": {"egg_hen": np.ones(12)}}),
        "zoonoses_birth": lambda: told(ewes, more={"ewes": {"born": ["04-10"]}}),
        "zoonoses_poultry": lambda: told(hens),
        "zoonoses_pig": lambda: told({"pigs": {"pig_grower": 2}}),
        "zoonoses_rabbit": lambda: told({"rabbits": {"rabbit_doe": 2}}),
        "meat_temp_poultry": lambda: told(hens, eaten_kg={"meat_hen": np.ones(12)}),
        "notifiable": lambda: told(ewes),
        "quarantine_d": lambda: told(ewes, more={"ewes": {"sire": Sire.model_validate({"how": "hired"})}}),
        "larva_foods": lambda: told(hens),
        "bee_medicine": lambda: told({"hives": {"honeybee_colony": 2}}),
        "electric_fence_pulse_j": lambda: fenced(told(ewes)),
    }
    return plans[name]()


def fenced(context: Context) -> Context:
    """The same with an electric netting."""
    fence = {"net": Fence(kind="electric netting", around=("mead",))}
    holding = context.result.holding.model_copy(update={"fence": fence})
    return Context(replace(context.result, holding=holding), context.tables)


@pytest.mark.parametrize(
    "name",
    [
        "hot_compost_temp", "raw_manure_ready_to_eat_months", "manure_no_touch", "rest_after_slurry_weeks", "copper_manure", "dog_dung",
        "legume_bloat_share", "grain_gorging", "brassica_share", "fodder_beet_share", "raw_beans_stock", "mould_none", "birth_feeding_weeks",
        "salt_water", "lamps_h", "withdrawal_eggs_d", "zoonoses_birth", "zoonoses_poultry", "zoonoses_pig", "zoonoses_rabbit",
        "meat_temp_poultry", "notifiable", "quarantine_d", "larva_foods", "bee_medicine", "electric_fence_pulse_j",
    ],
)  # fmt: skip
def test_each_caution_of_keeping_has_its_plan(name: str) -> None:
    """The plan that makes it apply brings the caution; a plan without stock, heap and harvest does not."""
    bare = told({}, plantings=(), eaten_kg={}, heap=HeapYear())

    assert name in {one.subject.removeprefix("caution.") for one in cautions.cautions(case(name))}
    assert name not in {one.subject.removeprefix("caution.") for one in cautions.cautions(bare)}


# a real year


def test_the_year_of_a_demonstration_brings_its_ground_and_yard() -> None:
    """A real year: worms hatch in summer, wet ground in winter, straw for each group, and no rule of keeping falls over."""
    from conftest import demo_year

    result: YearResult = demo_year("tarn-hollow")

    assert result.pasture.hatch_days["barber"].sum() > 0.0
    assert result.pasture.hatch_days["barber"][[2, 3, 4]].sum() == 0.0
    assert result.pasture.soft_days["bank"][3] > result.pasture.soft_days["bank"][8]
    assert result.yard["cow"].straw_kg_week.sum() > 300.0
    assert kept.kept_species(Context(result, TABLES)) == {"chicken", "goose", "sheep", "cattle", "honeybee"}


# notes of the plan


def test_daughters_and_fathers_and_single_weaners() -> None:
    """A kept cock meets his daughters; an own sire changed yearly by the plan's culling age does not; a lone weaner pines."""
    from stock_kit import BORROWED, group, year_of

    def words(plan: Group) -> str:
        return " ".join(note.words for note in year_of({"g": plan}).events.notes)

    flock = {"heads": {"laying_hen": 12, "cockerel": 2}, "born": [MonthDay(4, 20)], "keep_young": 4}
    weaner = Batch.model_validate({"class": "pig_grower", "count": 1, "on": ["04-10"]})
    lambs = {"heads": {"ewe": 8}, "born": [MonthDay(4, 5)], "sire": BORROWED, "keep_young": 2}

    assert "meet their father" in words(group(**flock))
    assert "meet their father" not in words(group(**(flock | {"cull_after_years": 0.4})))
    assert "meet their father" not in words(group(**(flock | {"keep_young": 0})))
    assert "Bought alone" in words(group(batch=[weaner]))
    assert "Bought alone" not in words(group(batch=[weaner.model_copy(update={"count": 2})]))
    assert "wait for the next service" not in words(group(**lambs))


def test_daughters_too_young_for_the_first_service_wait() -> None:
    """A heifer is 447 days old at the second service after her birth, three short of 450: she waits a year."""
    from stock_kit import BORROWED, group, year_of

    row = TABLES.row("stock", "dairy_cow_small")
    age = row.need("age_first_breeding_d")
    served = 2 * 365 - row.need("gestation_or_incubation_d")
    cows = group(heads={"dairy_cow_small": 2}, born=[MonthDay(4, 5)], sire=BORROWED, keep_young=1)
    found = [note for note in year_of({"g": cows}).events.notes if "wait for the next service" in note.words]

    assert age - served == 3
    assert [note.number for note in found] == [f"{served + 365:.0f} days"]
    assert "3 days short of 450" in found[0].words
