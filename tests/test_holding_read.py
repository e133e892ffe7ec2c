"""Reading a sound holding folder, and never failing on an unsound one."""

import json
import re
import shutil
from datetime import date, timedelta
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from yardland.errors import Fault, InputFaults
from yardland.holding import (
    sense_feeds,
    sense_ground,
    sense_people,
    sense_sheets,
    sense_stock,
    sense_stores,
    sense_table,
)
from yardland.holding.geojson import parse_outlines
from yardland.holding.known import KnownNames, is_male, known_names, sowable_by_season
from yardland.holding.model import (
    Goal,
    Group,
    Holding,
    HoursSpan,
    MonthDay,
    Person,
    Plot,
    Sire,
    Span,
    Start,
    Store,
    Sward,
    WaterSource,
)
from yardland.holding.outline import ring_area_m2
from yardland.holding.plan import TOP_KEYS, parse_toml
from yardland.holding.read import check_holding, read_holding, read_place
from yardland.holding.sense import CHECKS
from yardland.holding.sheets import SHEET_KINDS, parse_sheet
from yardland.reference import load_tables

EXAMPLES = Path(__file__).parents[1] / "examples"
SOUND = Path(__file__).parent / "bad" / "weather-empty"
PLANTINGS = SHEET_KINDS[0]
WORD_FIELDS = [
    (Start, "as_"),
    (Goal, "level"),
    (Person, "activity"),
    (Plot, "use"),
    (Plot, "cover"),
    (Sward, "kind"),
    (WaterSource, "kind"),
    (Sire, "how"),
    (Group, "milk_share"),
    (Store, "kind"),
]
SQUARE = [[1.1, 52.2], [1.101, 52.2], [1.101, 52.2005], [1.1, 52.2005], [1.1, 52.2]]


@pytest.fixture
def folder(tmp_path):
    """A sound holding folder of our own, to be changed."""
    shutil.copytree(SOUND, tmp_path / "sound")
    (tmp_path / "sound" / "weather.csv").unlink()
    return tmp_path / "sound"


def change(folder: Path, old: str, new: str, file: str = "holding.toml") -> None:
    """Replace a piece of one of its files."""
    text = (folder / file).read_text(encoding="utf-8")
    assert old in text
    (folder / file).write_text(text.replace(old, new), encoding="utf-8")


def collection(*features) -> str:
    """A feature collection of (id, kind, ring)."""
    return json.dumps(
        {
            "type": "FeatureCollection",
            "features": [
                {
                    "type": "Feature",
                    "properties": {"id": name, "kind": kind, "colour": "from a mapping tool"},
                    "geometry": {"type": "Polygon", "coordinates": [ring]},
                }
                for name, kind, ring in features
            ],
        }
    )


def test_a_sound_folder_becomes_a_holding(folder):
    """Every part of the folder arrives in the plan in SI units, immutable."""
    holding = read_holding(folder)
    assert isinstance(holding, Holding)
    assert holding.plot["field"].area_m2 == pytest.approx(1500.0)
    assert holding.plot["field"].sides_m == pytest.approx((30.0, 50.0))
    assert holding.plot["meadow"].area_m2 == pytest.approx(3000.0)
    assert holding.plot["meadow"].shut_up_for_hay == Span(MonthDay(4, 20), MonthDay(7, 1))
    assert holding.people["ann"].hours_week == (HoursSpan(4, 9, 28.0), HoursSpan(10, 3, 16.0))
    assert holding.water.source["butt"].fed_by_roof_m2 == 60.0
    assert [row.line for row in holding.plantings] == [2, 3, 4, 5]
    assert holding.plantings[3].sow == "after"
    with pytest.raises(ValueError, match="frozen"):
        holding.plot["field"].area_m2 = 1.0


def test_the_demonstrations_are_read():
    """Each folder under examples is read without a fault of form or of sense between its own names."""
    for example in sorted(path for path in EXAMPLES.iterdir() if (path / "holding.toml").exists()):
        assert check_holding(example) == [], example.name


@pytest.mark.parametrize(
    ("old", "new", "read", "value"),
    [
        ("weight_kg = 63", 'weight_kg = "140 lb"', lambda plan: plan.people["ann"].weight_kg, 63.5029),
        ("altitude_m = 20", 'altitude_m = "65 ft"', lambda plan: plan.place.altitude_m, 19.812),
        ("volume_m3 = 3", 'volume_m3 = "660 imperial gallons"', lambda plan: plan.water.source["butt"].volume_m3, 3.0),
        ("volume_l = 2000", 'volume_l = "2 m3"', lambda plan: plan.store["cellar"].volume_l, 2000.0),
        ('"0.3 ha"', '"0.75 acre"', lambda plan: plan.plot["meadow"].area_m2, 3035.1),
        ('size = "0.3 ha"', "area_m2 = 3000", lambda plan: plan.plot["meadow"].area_m2, 3000.0),
    ],
)
def test_quantities_may_be_typed_with_a_unit(folder, old, new, read, value):
    """A quantity in quotes with a unit is taken in the unit of its key."""
    change(folder, old, new)
    assert read(read_holding(folder)) == pytest.approx(value, rel=2e-3)


def test_a_tested_soil_may_be_written_as_a_table(folder):
    """What a laboratory said may stand in a table of its own."""
    change(
        folder, 'texture = "loam"', 'texture = "loam"\ntested = { on = 2024-03-01, ph = 6.1, organic_matter_pct = 4.2 }'
    )
    soil = read_holding(folder).soil["ground"]
    assert (soil.tested_on, soil.ph, soil.organic_matter_pct) == (date(2024, 3, 1), 6.1, 4.2)


def test_an_outline_gives_the_area(folder):
    """A plot drawn in land.geojson needs no size; what a mapping tool adds is let be."""
    change(folder, ' size = "30 m x 50 m"', "")
    change(folder, 'soil = "ground", }', 'soil = "ground" }')
    (folder / "land.geojson").write_text(
        collection(("field", "plot", SQUARE), ("edge", "boundary", SQUARE)), encoding="utf-8"
    )
    holding = read_holding(folder)
    assert holding.plot["field"].area_from == "outline"
    assert holding.plot["field"].area_m2 == pytest.approx(ring_area_m2([tuple(corner) for corner in SQUARE]))
    assert holding.outlines["field"] == {"type": "Polygon", "coordinates": [SQUARE]}


@pytest.mark.parametrize("gap", [-0.0000003, 0.0, 0.0000003])
def test_neighbours_that_share_an_edge_do_not_overlap(folder, gap):
    """Corners that miss each other by centimetres are one edge drawn twice."""
    beside = [[lon + 0.001 + gap, lat] for lon, lat in SQUARE]
    (folder / "land.geojson").write_text(
        collection(("field", "plot", SQUARE), ("meadow", "plot", beside)), encoding="utf-8"
    )
    assert [fault.file for fault in check_holding(folder) if fault.file == "land.geojson"] == []


def test_two_boundaries_hold_two_grounds(folder):
    """A second field down the road has a boundary of its own."""
    away = [[lon + 0.01, lat] for lon, lat in SQUARE]
    text = collection(("home", "boundary", SQUARE), ("road", "boundary", away), ("field", "plot", away))
    (folder / "land.geojson").write_text(text, encoding="utf-8")
    assert [str(fault) for fault in check_holding(folder) if fault.file == "land.geojson"] == []


def test_the_place_is_read_beside_other_faults(folder):
    """The place is known while other parts are at fault, and None when it is itself."""
    change(folder, "weight_kg = 63", "weight_kg = nan")
    place = read_place(folder)
    assert place is not None
    assert place.name == "Reed End"
    change(folder, "latitude_deg = 52.2", "latitude_deg = nan")
    assert read_place(folder) is None
    assert read_place(folder / "nowhere") is None


def test_a_broken_plan_does_not_hide_the_faults_of_the_sheets(folder):
    """Each file is looked at, whatever is wrong with the others; names are not doubted when the plan is unread."""
    change(folder, "[people]", "[people")
    change(folder, "0.5,", "nan,", "plantings.csv")
    assert {fault.file for fault in check_holding(folder)} == {"holding.toml", "plantings.csv"}


def test_a_part_with_a_fault_is_not_missed_elsewhere(folder):
    """A plot with a misspelt key is told once, not again by each planting on it."""
    change(folder, 'field = { use = "crops", soil', 'field = { use = "crops", soli')
    [fault] = check_holding(folder)
    assert fault.where == "plot.field.soli"


@pytest.mark.parametrize("days", [0, 1])
def test_a_person_is_born_today_but_not_tomorrow(folder, days):
    """The day of the check itself is the last birthday allowed."""
    today = date(2026, 5, 1)
    change(folder, "2015-09-02", str(today + timedelta(days=days)))
    change(folder, "weight_kg = 33", "weight_kg = 3.5")
    assert len(check_holding(folder, today=today)) == days


def test_trees_may_be_planted_until_the_plan_starts(folder):
    """Trees of next winter stand when a plan starts the year after."""
    change(folder, "2016-11-20", "2027-02-01")
    assert len(check_holding(folder, today=date(2026, 5, 1))) == 1
    change(folder, "[people]", "[start]\non = 2027-10-01\n\n[people]")
    assert check_holding(folder, today=date(2026, 5, 1)) == []


def test_semicolons_and_decimal_commas(folder):
    """A sheet from a spreadsheet of half of Europe is read like the others, byte order mark and all."""
    text = (folder / "plantings.csv").read_text(encoding="utf-8")
    rows = read_holding(folder).plantings
    european = "\ufeff" + text.replace(",", ";").replace("0.", "0,").replace("\n", "\r\n")
    (folder / "plantings.csv").write_text(european, encoding="utf-8", newline="")
    assert read_holding(folder).plantings == rows


def test_a_line_is_counted_through_quoted_line_breaks():
    """Line numbers are those of the file, also behind a cell that holds a line break; notes are let be."""
    text = 'plot,crop,note,share\na,potato,"two\nlines",0.5\n\nb,oats,,0.25\n'
    rows, unsound, faults = parse_sheet(PLANTINGS, text)
    assert [(row.line, row.share) for row in rows] == [(2, 0.5), (5, 0.25)]
    assert unsound == []
    assert faults == []


@given(st.lists(st.floats(0.01, 1.0), min_size=1, max_size=6), st.booleans())
def test_shares_over_one_at_one_time_are_a_fault(shares, follows):
    """Plantings sown on one day may fill their plot and no more; a follower takes no ground of its own."""
    lines = [f"field,oats{number},03-20,{share!r}," for number, share in enumerate(shares)]
    if follows:
        lines.append("field,late,after,1,oats0")
    rows, _, _ = parse_sheet(PLANTINGS, "plot,crop,sow,share,after\n" + "\n".join(lines) + "\n")
    draft = sense_sheets.Draft(plantings=rows)
    faults = list(sense_sheets.shares(draft, KnownNames(), date(2026, 1, 1)))
    assert bool(faults) == (sum(shares) > 1.0 + sense_sheets.ROUNDING)


@given(st.permutations(range(6)), st.integers(0, 5))
def test_a_ring_of_followers_is_told_once(order, length):
    """A chain of followers is sound; closed to a ring it is one fault, however long it is and wherever it begins."""
    chain = [f"c{number}" for number in order]
    follows = list(zip(chain[1:], chain, strict=False))
    if length:
        follows.append((chain[0], chain[length]))
    text = "plot,crop,sow,after\n" + "".join(f"p,{crop},after,{before}\n" for crop, before in follows)
    rows, _, _ = parse_sheet(PLANTINGS, text)
    faults = list(sense_sheets.rings(sense_sheets.Draft(plantings=rows), KnownNames(), date(2026, 1, 1)))
    assert len(faults) == (1 if length else 0)


@given(st.integers(1, 12), st.integers(1, 28), st.sampled_from(["spring", "autumn", "both"]), st.floats(35, 66))
def test_the_south_sows_half_a_year_later(month, day, season, latitude_deg):
    """What holds at a northern latitude holds at the southern one six months on; near the equator all months do."""
    shifted = MonthDay((month + 5) % 12 + 1, day)
    north = sowable_by_season(season, MonthDay(month, day), latitude_deg)
    assert sowable_by_season(season, shifted, -latitude_deg) == north
    assert sowable_by_season(season, MonthDay(month, day), latitude_deg / 4)


def test_no_check_is_left_out():
    """Every check of the modules of sense is walked, none twice."""
    modules = (sense_people, sense_table, sense_ground, sense_stock, sense_stores, sense_sheets, sense_feeds)
    public = [
        value
        for module in modules
        for name, value in vars(module).items()
        if callable(value) and getattr(value, "__module__", "") == module.__name__ and not name.startswith("_")
    ]
    assert set(public) == set(CHECKS)
    assert len(CHECKS) == len(set(CHECKS))


def test_names_come_from_the_tables():
    """Crops, trees, stock, goods, foods and ways of storing are known by the tables' own keys."""
    known = known_names(load_tables)
    assert {"potato", "oats"} <= known.crops
    assert "plum" in known.trees
    assert {"ewe", "laying_hen"} <= known.stock
    assert {"potato", "egg_hen"} <= known.goods
    assert "loam" in known.soils
    assert known.methods
    assert known.seasons["potato"] == "spring"
    assert {klass for klass in known.stock if is_male(klass)} >= {"cockerel", "ram", "boar", "rabbit_buck", "goat_buck"}
    assert not any(is_male(klass) for klass in ("ewe", "laying_hen", "rabbit_doe", "sow", "goose"))


def test_faults_are_data_and_words(folder):
    """The exception carries every fault as data, and reads as one line for each."""
    change(folder, 'sex = "f"', 'sex = "x"')
    change(folder, "volume_l = 2000", "volume_l = 0")
    with pytest.raises(InputFaults) as caught:
        read_holding(folder)
    assert all(isinstance(fault, Fault) for fault in caught.value.faults)
    assert str(caught.value).count("\n") == len(caught.value.faults) - 1 == 1


PLAN_TEXT = (SOUND / "holding.toml").read_text(encoding="utf-8")
SHEET_TEXT = (SOUND / "plantings.csv").read_text(encoding="utf-8")
LAND_TEXT = collection(("field", "plot", SQUARE), ("edge", "boundary", SQUARE))
PIECES = [
    "nan",
    "-1",
    "inf",
    '"',
    "{",
    "}",
    "[",
    "]",
    "\n",
    ",",
    ";",
    "=",
    "true",
    "9" * 400,
    "\u2028",
    "[[]]",
    "1979-05-27T07:32:00",
]


@st.composite
def damaged(draw, text):
    """A text with up to three pieces cut out, doubled, or replaced by something that does not belong there."""
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, len(text)))
        length = draw(st.integers(0, 30))
        piece = draw(st.one_of(st.sampled_from(PIECES), st.just(text[start : start + length] * 2), st.text(max_size=5)))
        text = text[:start] + piece + text[start + length :]
    return text


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=300, deadline=None)
@given(plan=damaged(PLAN_TEXT), sheet=damaged(SHEET_TEXT), land=damaged(LAND_TEXT))
def test_no_damage_makes_the_reader_fail(folder, plan, sheet, land):
    """Whatever happens to its files, a folder is read or refused with faults; nothing else is raised."""
    for name, text in (("holding.toml", plan), ("plantings.csv", sheet), ("land.geojson", land)):
        (folder / name).write_bytes(text.encode("utf-8", errors="surrogatepass"))
    known = known_names(load_tables)
    for fault in check_holding(folder, known):
        assert fault.found
        assert fault.expected
        assert fault.remedy


@settings(max_examples=200, deadline=None)
@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=4) | st.integers(),
        lambda inner: (
            st.lists(inner, max_size=4)
            | st.dictionaries(
                st.sampled_from(["type", "features", "geometry", "coordinates", "properties", "id", "kind"]), inner
            )
        ),
        max_leaves=25,
    )
)
def test_any_json_is_outlines_or_faults(value):
    """Any JSON value at all is refused in words or gives sound outlines."""
    outlines, named, faults = parse_outlines(json.dumps({"type": "FeatureCollection", "features": [value]}))
    assert faults or outlines or named == set()
    assert parse_outlines(json.dumps(value))[2] or value == {"type": "FeatureCollection", "features": []}


@pytest.mark.parametrize("text", ["[" * 50_000, '{"type":' * 50_000, '{"a": ' + "9" * 5_000 + "}"])
def test_nesting_and_numbers_without_end(text):
    """JSON made to exhaust the reader is refused in words."""
    [fault] = parse_outlines(text)[2]
    assert fault.file == "land.geojson"


def test_toml_faults_give_line_and_column():
    """A fault of syntax stands at its line and column; the file's end is named when it comes too soon."""
    assert parse_toml("a = 1\nb = = 2\n")[1][0].where == "line 2, column 5"
    assert parse_toml('a = """x\n')[1][0].where == "line 2 (the end)"


def test_the_manual_shows_a_folder_that_passes(tmp_path):
    """The plan and the sheets printed in docs/holding-folder.md are a sound folder."""
    text = (EXAMPLES.parent / "docs" / "holding-folder.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```(?:toml|csv (\S+))\n(.*?)```", text, flags=re.DOTALL)
    assert len(blocks) == 6
    for name, block in blocks:
        (tmp_path / (name or "holding.toml")).write_text(block, encoding="utf-8")
    assert [str(fault) for fault in check_holding(tmp_path, known_names(load_tables), today=date(2026, 5, 1))] == []


def test_the_manual_lists_every_word():
    """Each table of the plan, each word that a key takes and each column of a sheet stands in the manual."""
    text = (EXAMPLES.parent / "docs" / "holding-folder.md").read_text(encoding="utf-8")
    for key in TOP_KEYS:
        assert re.search(rf"^(\[{key}[].]|{key} = )", text, flags=re.MULTILINE), key
    for sheet in SHEET_KINDS:
        shown = re.search(rf"```csv {re.escape(sheet.file)}\n(.*?)\n", text)
        assert shown is not None
        assert set(sheet.columns) <= set(shown[1].split(",")), sheet.file
    for model, field in WORD_FIELDS:
        for word in get_args(model.model_fields[field].annotation):
            assert f"`{word}`" in text, word
