"""The tables fit each other: goods to foods and feeds, crops and stock to goods, makings in balance."""

from __future__ import annotations

import pytest

from yardland.larder.catalogue import feed_for
from yardland.reference import load_tables
from yardland.reference.table import schema_of
from yardland.reference.tables import DATA

TABLES = load_tables()


def texts(table, column):
    """Row key -> cell of a text column."""
    return {key: TABLES.row(table, key).text(column) for key in TABLES.keys(table)}


def taken():
    """Goods that some process takes."""
    return set(texts("makings", "takes").values())


def test_a_good_is_food_feed_or_material():
    """Each crop's and tree's good can be eaten by people or stock, or is made into something."""
    for table in ("crops", "trees"):
        for key, good in texts(table, "good").items():
            row = TABLES.row("goods", good)
            assert row.text("food") or row.text("feed") or good in taken(), key
            assert key in row.text("comes_from").split(), key


def test_every_link_of_a_good_leads_somewhere():
    """Food, feed and origin of a good are rows of their tables."""
    places = {"sward", "hedge", "garden", "wood", "outside", "stock"}
    for key in TABLES.keys("goods"):
        row = TABLES.row("goods", key)
        assert not row.text("food") or TABLES.has("foods", row.text("food")), key
        assert not row.text("feed") or TABLES.has("feeds", row.text("feed")), key
        for origin in row.text("comes_from").split():
            kind, _, name = origin.rpartition(":")
            known = {
                "": lambda name: name in places or TABLES.has("crops", name) or TABLES.has("trees", name),
                "stock": lambda name: TABLES.has("stock", name),
                "making": lambda name: name in texts("makings", "gives").values(),
            }
            assert known[kind](name), (key, origin)


def test_foods_are_eaten_in_part_or_whole():
    """A good that is food has an edible fraction; one that is not has none."""
    for key in TABLES.keys("goods"):
        row = TABLES.row("goods", key)
        assert (row["edible_fraction"] is not None) == bool(row.text("food")), key


def test_straw_is_a_good_with_an_amount():
    """A crop with rakeable straw names the good and how much there is."""
    for key, good in texts("crops", "straw_good").items():
        amount = TABLES.row("crops", key)["straw_kg_per_kg"]
        assert (amount is not None) == bool(good), key
        assert not good or TABLES.has("goods", good), key


@pytest.mark.parametrize("column", ["egg_good", "milk_good", "meat_good", "offal_good", "fat_good", "other_good"])
def test_stock_products_are_goods(column):
    """Eggs, milk, carcass, offal, fat and honey of each class are goods that name the class as origin."""
    for key, good in texts("stock", column).items():
        assert not good or f"stock:{key}" in TABLES.row("goods", good).text("comes_from").split(), key


def test_stock_names_its_energy_and_its_ceiling():
    """Each class but bees names the columns of the feeds table that count for it."""
    energies = {"me_ruminant", "me_pig", "amen_poultry", "de_rabbit"}
    for key in TABLES.keys("stock"):
        row = TABLES.row("stock", key)
        if row.text("species") == "honeybee":
            assert row.text("energy_system") == ""
            continue
        assert row.text("energy_system") in energies, key
        barley = TABLES.row("feeds", "barley")
        assert barley.need(row.text("energy_column")) > 10, key
        assert 0 < feed_for(TABLES, "barley").max_share[row.text("ceiling_column")] <= 1, key


def test_young_are_classes_of_their_own():
    """The class of the young exists."""
    for key, young in texts("stock", "young_class").items():
        assert not young or TABLES.has("stock", young), key


def test_makings_do_not_create_matter():
    """What a process gives weighs no more, fresh or dry, than what it takes."""
    given = {}
    for key in TABLES.keys("makings"):
        row = TABLES.row("makings", key)
        given.setdefault((row.text("process"), row.text("takes")), []).append(
            (row.text("gives"), row.need("kg_per_kg"))
        )
    for (process, takes), gives in given.items():
        dry = sum(kg * TABLES.row("goods", good).need("dm_fraction") for good, kg in gives)
        assert sum(kg for _, kg in gives) <= 1, process
        assert dry <= TABLES.row("goods", takes).need("dm_fraction") * 1.001, process


def energy_per_kg(good):
    """Food energy of a kilogram of a good, kcal; 0 where it is no food."""
    row = TABLES.row("goods", good)
    food = row.text("food")
    return row.need("edible_fraction") * TABLES.row("foods", food).need("energy_kcal") * 10 if food else 0.0


def test_makings_do_not_create_food_energy():
    """All that a process gives holds no more food energy than what it takes (1 % for the tables' rounding)."""
    given = {}
    for key in TABLES.keys("makings"):
        row = TABLES.row("makings", key)
        energy = row.need("kg_per_kg") * energy_per_kg(row.text("gives"))
        given[row.text("process"), row.text("takes")] = (
            given.get((row.text("process"), row.text("takes")), 0.0) + energy
        )
    eaten = {names: energy for names, energy in given.items() if TABLES.row("goods", names[1]).text("food")}

    assert len(eaten) > 15
    for (process, takes), energy in eaten.items():
        assert energy <= 1.01 * energy_per_kg(takes), process


def test_products_put_by_do_not_create_food_energy():
    """Where a product has a food row of its own, it holds no more energy than the good (5 % between lots)."""
    for key in TABLES.keys("stores"):
        row = TABLES.row("stores", key)
        if row.text("product_food"):
            product = (
                row.need("yield_kg_per_kg") * TABLES.row("foods", row.text("product_food")).need("energy_kcal") * 10
            )
            assert product <= 1.05 * energy_per_kg(row.text("good")), key


def test_putting_by_does_not_create_matter():
    """No way of keeping gives more than it takes."""
    for key in TABLES.keys("stores"):
        assert TABLES.row("stores", key).need("yield_kg_per_kg") <= 1, key


def test_stores_lead_to_goods_foods_and_tasks():
    """Each way of keeping is of a good, by a known task, with a known composition."""
    places = {"cellar", "pantry", "clamp", "freezer", "loft", "barn", "fridge", "jars", "in the ground"}
    for key in TABLES.keys("stores"):
        row = TABLES.row("stores", key)
        good, food = row.text("good"), row.text("food")
        assert key == f"{good}.{row.text('method')}"
        assert food == TABLES.row("goods", good).text("food"), key
        assert not row.text("task") or TABLES.has("tasks", row.text("task")), key
        assert not row.text("product_food") or TABLES.has("foods", row.text("product_food")), key
        assert row.text("place") in places, key
        assert row.text("work") in {"keep", "put by"}, key
        assert row.need("shelf_life_months") > 0, key
        row.need("litres_per_kg")


def test_what_is_gathered_once_a_year_keeps():
    """Every grain, pulse, root, hay and straw has a way of keeping for four months or more."""
    storable = {"Poaceae", "Fabaceae", "Solanaceae"}
    lasting = {
        row.text("good")
        for row in (TABLES.row("stores", key) for key in TABLES.keys("stores"))
        if row.need("shelf_life_months") >= 4
    }
    for key in TABLES.keys("crops"):
        row = TABLES.row("crops", key)
        if row.text("canopy_group") in {"cereal", "root"} or row.text("family") in storable - {"Solanaceae"}:
            assert row.text("good") in lasting, key
            assert row.text("straw_good") in lasting | {""}, key


def test_every_food_group_has_a_plate_ceiling():
    """Each group of foods has a ceiling, and ceilings name foods that exist."""
    groups = set(texts("foods", "group").values())
    members = {
        (row.text("scope"), row.text("member")) for row in (TABLES.row("plates", k) for k in TABLES.keys("plates"))
    }

    assert groups <= {member for scope, member in members if scope == "group"}
    assert all(TABLES.has("foods", member) for scope, member in members if scope == "food")


def test_prices_of_goods_name_the_good():
    """buy.GOOD and sell.GOOD are prices per kg of a good of the goods table."""
    for key in TABLES.keys("prices"):
        way, _, good = key.partition(".")
        if way in {"buy", "sell"}:
            row = TABLES.row("prices", key)
            assert TABLES.has("goods", good)
            assert (row.text("good"), row.text("unit")) == (good, "kg")


def test_dry_matter_of_fresh_goods_is_that_of_the_food_table():
    """The same kilogram weighs the same dry in the crop, goods and foods tables."""
    compared = 0
    for key in TABLES.keys("goods"):
        row = TABLES.row("goods", key)
        if row.text("kind") not in {"crop", "fruit"} or not row.text("food"):
            continue
        water = TABLES.row("foods", row.text("food"))["water_g"]
        if water is None or water < 60 or key == "sweet_corn":
            continue
        compared += 1
        assert row.need("dm_fraction") == pytest.approx(1 - water / 100, abs=0.002), key
        for origin in row.text("comes_from").split():
            table, column = (
                ("crops", "dry_matter_fraction") if TABLES.has("crops", origin) else ("trees", "dry_matter_fraction")
            )
            assert TABLES.row(table, origin).need(column) == row.need("dm_fraction"), key

    assert compared > 35


def test_grain_is_eaten_at_the_moisture_of_the_food_table():
    """A kilogram of grain as gathered counts as food by its dry matter, so that moisture never adds energy."""
    for key in ("wheat", "rye", "maize", "dry_bean", "lentil", "chickpea", "soybean"):
        row = TABLES.row("goods", key)
        food = TABLES.row("foods", row.text("food"))
        dry_food = 1 - food.need("water_g") / 100

        assert row.need("edible_fraction") * dry_food == pytest.approx(
            food.need("edible_fraction") * row.need("dm_fraction"), rel=0.005
        )


def test_crop_words_are_of_the_known_sets():
    """Text columns that rooms branch on hold only the words they know."""
    known = {
        "canopy_group": {"cereal", "legume", "root", "leaf", "fruit", "allium"},
        "kill_kind": {"night minimum", "three-day mean"},
        "kill_loses": {"all", "growth"},
        "sown_season": {"autumn", "spring", "both"},
        "in_ground": {"yes", "no"},
        "touches_soil": {"yes", "no"},
        "fixes_n": {"yes", "no"},
    }
    for column, words in known.items():
        assert set(texts("crops", column).values()) <= words


def test_winter_crops_are_slowed_by_cold_and_daylength_or_not_at_all():
    """Release, cold days and both daylengths are given together; release comes no later than ripeness."""
    for key in TABLES.keys("crops"):
        row = TABLES.row("crops", key)
        given = [row[c] is not None for c in ("gdd_to_release", "vernal_days", "daylength_base_h", "daylength_full_h")]
        assert all(given) or not any(given), key
        if all(given):
            assert row.need("gdd_to_release") <= row.need("gdd_maturity"), key
            assert row.need("daylength_base_h") < row.need("daylength_full_h"), key
            assert row.text("sown_season") == "autumn", key


def test_temperatures_of_crops_are_in_order():
    """Base lies below the plateau of development, and that no higher than the limit of growth."""
    for key in TABLES.keys("crops"):
        row = TABLES.row("crops", key)
        assert row.need("base_temp_c") < row.need("upper_temp_c") <= row.need("growth_upper_temp_c"), key
        assert row.need("frost_kill_c") < row.need("base_temp_c"), key


def test_transplants_have_a_nursery():
    """A crop that is always transplanted has nursery days, and one that is always sown has none."""
    for key in TABLES.keys("crops"):
        row = TABLES.row("crops", key)
        way, days = row.text("sow_or_transplant"), row.need("nursery_days")
        if way == "transplant":
            assert days > 0, key
        if way == "sow":
            assert days == 0, key


def test_soil_water_limits_are_in_order():
    """Wilting point, field capacity and saturation rise in each of the twelve textures."""
    assert len(TABLES.keys("soils")) == 12
    for key in TABLES.keys("soils"):
        row = TABLES.row("soils", key)
        assert 0 < row.need("wilting_point") < row.need("field_capacity") < row.need("saturation") < 0.6, key
        assert row.need("sand_pct") + row.need("clay_pct") <= 100, key


def test_published_figures_do_not_rest_on_general_knowledge():
    """No figure called published cites a source that is only what the trade remembers."""
    columns, checked = schema_of(DATA).columns, 0
    for table in TABLES.names:
        pairs = {(column.src, column.st) for column in columns[table].values() if column.kind == "figure"}
        for key in TABLES.keys(table):
            row = TABLES.row(table, key)
            for src, st in pairs:
                if row.text(st) == "published" and row.text(src):
                    checked += 1
                    assert TABLES.source(row.text(src)).kind != "knowledge", (table, key, src)

    assert checked > 1000
