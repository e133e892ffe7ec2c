"""The loader, the rows, the user's own figures over them, and `why`."""

from __future__ import annotations

import csv
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.errors import InputFaults, TableError
from yardland.holding.model import OwnRow
from yardland.reference import STANDINGS, explain, load_tables
from yardland.reference.tables import DATA

TABLES = load_tables()
FIGURE_KEYS = tuple(key for name in TABLES.names for key in TABLES.figure_keys(name))


def own(*lines):
    """Lines of own.csv from (key, value) pairs, numbered from 2."""
    return tuple(
        OwnRow(line=number, key=key, value=value, why="weighed") for number, (key, value) in enumerate(lines, 2)
    )


@pytest.fixture
def copy(tmp_path):
    """A copy of the tables that a test may spoil."""
    folder = tmp_path / "data"
    shutil.copytree(DATA, folder)
    return folder


def spoil(folder: Path, table: str, row_key: str, cells: dict[str, str]):
    """Write other cells into one row of a table."""
    path = folder / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        if row["key"] == row_key:
            row.update(cells)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def test_every_figure_has_a_source_a_standing_a_unit_and_a_meaning():
    """Each figure of each table is explained with a citation and one of the three standings."""
    assert len(FIGURE_KEYS) > 20_000

    for key in FIGURE_KEYS:
        figure = explain(TABLES, key).figure
        assert figure.key == key
        assert figure.source.strip()
        assert figure.standing in STANDINGS
        assert figure.unit
        assert figure.meaning


def test_ranges_hold_their_figure():
    """A figure that has a low and a high lies between them."""
    ranged = 0
    for key in FIGURE_KEYS:
        figure = TABLES.figure(key)
        if figure.low is not None and figure.high is not None:
            ranged += 1
            assert figure.low <= figure.value <= figure.high, key

    assert ranged > 300


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"src_base": ""}, "no known source"),
        ({"src_base": "nobody_wrote_this"}, "no known source"),
        ({"st_base": ""}, "no standing"),
        ({"st_base": "certain"}, "no standing"),
        ({"base_temp_c": "warm"}, "is not a number"),
        ({"base_temp_c": "nan"}, "outside"),
        ({"base_temp_c": "inf"}, "outside"),
        ({"harvest_index": "1.2"}, "outside 0 to 1"),
        ({"key": ""}, "empty or given twice"),
        ({"key": "oats"}, "empty or given twice"),
    ],
)
def test_a_spoilt_row_is_refused_with_its_line(copy, cells, words):
    """A figure without a source or standing, or that is no sensible number, stops the table from loading."""
    spoil(copy, "crops", "potato", cells)

    with pytest.raises(TableError, match=words) as error:
        load_tables(folder=copy).keys("crops")

    assert "crops.csv, line " in str(error.value)


def test_a_table_with_an_undeclared_column_is_refused(copy):
    """A column that columns.csv does not describe stops the table from loading."""
    path = copy / "soils.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(line + (",hue" if not n else ",brown") for n, line in enumerate(lines)), encoding="utf-8")

    with pytest.raises(TableError, match="hue"):
        load_tables(folder=copy).keys("soils")


def test_a_short_row_is_refused(copy):
    """A row with fewer cells than the header stops the table from loading."""
    path = copy / "soils.csv"
    path.write_text(path.read_text(encoding="utf-8") + "peat,Peat\n", encoding="utf-8")

    with pytest.raises(TableError, match="2 cells"):
        load_tables(folder=copy).keys("soils")


def test_a_missing_file_is_refused(copy):
    """A declared table without a file is reported by its name."""
    (copy / "soils.csv").unlink()

    with pytest.raises(TableError, match=r"soils\.csv is missing"):
        load_tables(folder=copy).keys("soils")


@pytest.mark.parametrize("column", ["unit", "meaning", "src", "st"])
def test_a_figure_column_must_be_described(copy, column):
    """A figure column without unit, meaning, source or standing column stops every table from loading."""
    path = copy / "columns.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    next(row for row in rows if row["kind"] == "figure")[column] = ""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)

    with pytest.raises(TableError, match=f"lacks {column}"):
        load_tables(folder=copy).keys("soils")


def test_a_column_of_unknown_kind_is_refused(copy):
    """Columns are figures or text."""
    path = copy / "columns.csv"
    path.write_text(path.read_text(encoding="utf-8").replace(",figure,", ",guess,", 1), encoding="utf-8")

    with pytest.raises(TableError, match="neither figure nor text"):
        load_tables(folder=copy).keys("soils")


def test_a_source_without_a_citation_is_refused(copy):
    """A source key must stand for a citation."""
    (copy / "sources_more.csv").write_text("key,citation,kind\nrumour, ,knowledge\n", encoding="utf-8")

    with pytest.raises(TableError, match="rumour"):
        load_tables(folder=copy).keys("soils")


def test_a_room_may_bring_tables_of_its_own(copy):
    """columns_ROOM.csv and sources_ROOM.csv beside the shipped ones declare a table more."""
    (copy / "columns_moon.csv").write_text(
        (copy / "columns.csv").read_text(encoding="utf-8").splitlines()[0]
        + "\nmoons,key,text,,Name,,,,,,,\nmoons,days,figure,d,Length of its month,src,st,,,,0,\n"
        + "moons,src,text,,Source,,,,,,,\nmoons,st,text,,Standing,,,,,,,\n",
        encoding="utf-8",
    )
    (copy / "sources_moon.csv").write_text("key,citation,kind\nsky,Seen in the sky,knowledge\n", encoding="utf-8")
    (copy / "moons.csv").write_text("key,days,src,st\nours,29.53,sky,common practice\n", encoding="utf-8")

    assert load_tables(folder=copy).row("moons", "ours").need("days") == pytest.approx(29.53)


def test_a_row_gives_numbers_text_and_nothing_where_empty():
    """Figures are floats, empty cells None; text is what the file holds."""
    row = load_tables().row("crops", "potato")

    assert isinstance(row["gdd_maturity"], float)
    assert row["vernal_days"] is None
    assert row.text("family") == "Solanaceae"
    assert row.text("straw_good") == ""


def test_a_needed_figure_that_is_empty_is_an_error():
    """`need` refuses an empty cell by its full key."""
    with pytest.raises(TableError, match=r"crops\.potato\.vernal_days is empty"):
        load_tables().row("crops", "potato").need("vernal_days")


@pytest.mark.parametrize(
    ("ask", "near"),
    [
        (lambda tables: tables.row("crops", "potatoe"), "potato"),
        (lambda tables: tables.row("crops", "potato")["harvest_indx"], "harvest_index"),
        (lambda tables: tables.row("crops", "potato").text("famly"), "family"),
        (lambda tables: tables.row("crops", "potato")["family"], "no figure column"),
        (lambda tables: tables.figure("crop.potato.base_temp_c"), "crops"),
        (lambda tables: tables.figure("crops.potatoe.base_temp_c"), "crops.potato.base_temp_c"),
        (lambda tables: tables.figure("crops.potato.base_temp"), "crops.potato.base_temp_c"),
        (lambda tables: tables.figure("crops.potato.vernal_days"), "empty"),
        (lambda tables: tables.figure("crops.potato"), "is a row; it has the figures base_temp_c"),
        (lambda tables: tables.figure("crops.potatoe"), "nearest: crops.potato"),
        (lambda tables: tables.figure("potato.base_temp_c"), "nearest: crops.potato, foods.potato"),
        (lambda tables: tables.figure("potato"), "nearest: crops.potato, foods.potato"),
        (lambda tables: tables.source("fao56_t21"), "fao56_t12"),
        (lambda tables: tables.keys("weeds"), "no table"),
    ],
)
def test_what_is_not_there_is_named_with_the_nearest(ask, near):
    """An unknown table, row, column or source is an error that offers what resembles it."""
    with pytest.raises(TableError, match=near):
        ask(load_tables())


def test_reading_is_remembered():
    """Every figure that was read stands in `read_keys`; empty cells and text do not."""
    tables = load_tables()
    row = tables.row("stores", "potato.root_cellar")
    row.need("shelf_life_months")
    row["jar_kg_raw_per_litre"]
    row.text("place")
    tables.figure("soils.loam.field_capacity")

    assert tables.read_keys == {"stores.potato.root_cellar.shelf_life_months", "soils.loam.field_capacity"}


def test_a_figure_answers_to_its_other_name():
    """The yield's middle is the yield, with its range."""
    figure = load_tables().figure("crops.potato.typical_yield_t_ha")

    assert figure.key == "crops.potato.typical_yield_mid_t_ha"
    assert figure.low < figure.value < figure.high


def test_spaces_may_stand_for_underscores():
    """A texture is found as the soil surveyor writes it."""
    tables = load_tables()

    assert tables.has("soils", "sandy clay loam")
    assert tables.row("soils", "sandy clay loam").key == "sandy_clay_loam"


def test_rows_are_found_by_their_text():
    """`where` picks the rows whose text cells are as asked."""
    tables = load_tables()
    bought = tables.where("goods", kind="bought")

    assert "salt" in bought
    assert all(tables.row("goods", key).text("kind") == "bought" for key in bought)


@given(key=st.sampled_from(FIGURE_KEYS), factor=st.floats(0.01, 0.99))
def test_an_own_figure_goes_over_the_tables_and_leaves_it_visible(key, factor):
    """Whatever figure the user gives within its range is in force everywhere, and the table's stays on record."""
    before = TABLES.figure(key)
    tables = load_tables(own=own((key, before.value * factor)))
    table, _, rest = key.partition(".")
    row, _, column = rest.rpartition(".")
    after = tables.figure(key)

    assert tables.row(table, row)[column] == before.value * factor
    assert after.value == before.value * factor
    assert after.table_value == before.value
    assert after.overridden_by.why == "weighed"
    assert after.source == before.source


def test_an_own_figure_may_fill_an_empty_cell():
    """Where the table has nothing the user's figure stands alone, and says so."""
    tables = load_tables(own=own(("crops.leek.gdd_maturity_early", 900.0)))
    why = explain(tables, "crops.leek.gdd_maturity_early")

    assert tables.row("crops", "leek").need("gdd_maturity_early") == 900.0
    assert why.figure.table_value is None
    assert why.figure.standing == "none"
    assert any("the table has none" in line for line in why.lines)


def test_every_fault_of_own_figures_is_reported_at_once():
    """Unknown keys, impossible values and doubles are named by line, with the nearest key."""
    lines = own(
        ("crops.potatoe.base_temp_c", 5.0),
        ("crops.potato.harvest_index", 7.0),
        ("crops.carrot.base_temp_c", 3.0),
        ("crops.carrot.base_temp_c", 2.0),
        ("crops.potato.family", 2.0),
    )

    with pytest.raises(InputFaults) as caught:
        load_tables(own=lines)

    faults = caught.value.faults
    assert [fault.where for fault in faults] == [
        "line 2, column key",
        "line 3, column value",
        "line 5, column key",
        "line 6, column key",
    ]
    assert {fault.file for fault in faults} == {"own.csv"}
    assert "crops.potato.base_temp_c" in faults[0].remedy
    assert faults[1].expected == "0 to 1 -"
    assert "Keep one line" in faults[2].remedy


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ("manuring.composted_n_loss.value", 3.3, "0 to 1 share"),
        ("growth.hay_field_loss.number", -0.1, "0 to 1 share"),
        ("fertility.organic_matter_c_share.number", 58.0, "0 to 1 share"),
        ("stock.goat_dairy_doe.milk_fat_pct", 400.0, "0 to 100 %"),
        ("fertility.best_ph_arable.number", 65.0, "0 to 14 pH"),
        ("crops.potato.base_temp_c", 300.0, "-90 to 150 C"),
        ("herd_odds.female_share.number", 1.1, "0 to 1 share"),
        ("crops.potato.rooting_depth_max_m", -1.0, "0 to any m"),
    ],
)
def test_a_figure_is_held_to_what_its_unit_can_be(key, value, expected):
    """A share is 0 to 1, a per cent 0 to 100 and so on, also in tables whose rows each bring a unit of their own."""
    with pytest.raises(InputFaults) as caught:
        load_tables(own=own((key, value)))

    (fault,) = caught.value.faults
    assert fault.where == "line 2, column value"
    assert fault.expected == expected
    assert fault.remedy.endswith(f"in {expected.rpartition(' ')[2]}.")


def test_every_share_has_a_range():
    """No figure told as a share can be typed under nothing or over the whole."""
    shares = [key for key in FIGURE_KEYS if TABLES.figure(key).unit == "share"]
    assert len(shares) > 200
    for key in shares:
        for value in (-0.01, 1.01):
            with pytest.raises(InputFaults):
                load_tables(own=own((key, value)))


def test_why_tells_value_range_source_standing_and_the_users_own():
    """The lines of `why` hold what a reader needs to judge a figure."""
    key = "crops.potato.typical_yield_mid_t_ha"
    why = explain(load_tables(own=own((key, 31.0))), key)
    text = "\n".join(why.lines)

    assert why.lines[0] == f"{key} = 31 t/ha"
    assert "line 2 of own.csv (the table has 25): weighed" in text
    assert "Range: 12 to 45 t/ha" in text
    assert "Source: " in text
    assert f"Standing: {why.figure.standing}" in text


def test_why_as_plain_fields():
    """For programs, `why` is one flat object."""
    fields = explain(load_tables(own=own(("soils.loam.wilting_point", 0.12))), "soils.loam.wilting_point").as_dict()

    assert fields["value"] == 0.12
    assert fields["overridden_by"] == {"line": 2, "value": 0.12, "why": "weighed"}
    assert explain(TABLES, "soils.loam.wilting_point").as_dict()["overridden_by"] is None


def test_why_of_an_unknown_key_is_the_users_fault_and_names_the_nearest():
    """A mistyped key is answered with what resembles it, not with a traceback."""
    with pytest.raises(InputFaults, match=r"crops\.potato\.base_temp_c"):
        explain(TABLES, "crops.potato.base_tmp_c")


def test_the_unit_may_stand_in_the_row():
    """Tasks, prices and needs carry their unit row by row."""
    assert TABLES.figure("tasks.hay.mow_two_wheel.typical").unit == "h/ha"
    assert TABLES.figure("needs.male_31_50.iron_mg.rda").unit == "mg/d"
    assert TABLES.figure("prices.buy.salt.eur_mid").unit == "EUR/kg"


def test_importing_the_room_is_cheap():
    """The tables come without any of the heavy libraries."""
    heavy = "{'pandas', 'numba', 'scipy', 'shapely', 'highspy', 'xarray', 'pydantic'}"
    code = (
        f"import sys, yardland.reference as r; r.load_tables().keys('crops'); print(sorted({heavy} & set(sys.modules)))"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert answer.stdout.strip() == "[]"
