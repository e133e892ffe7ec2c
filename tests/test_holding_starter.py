"""The starter: from a few answers to a folder that passes its own check."""

from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from yardland.errors import InputFaults
from yardland.holding.known import known_names
from yardland.holding.read import check_holding, read_holding
from yardland.holding.starter import StarterAnswers, parse_answers, starter_texts, write_starter
from yardland.holding.starter_ground import divide
from yardland.reference import load_tables

KNOWN = known_names(load_tables)
names = st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), min_size=1, max_size=40).filter(str.strip)
people = st.lists(st.tuples(st.sampled_from("fm"), st.integers(0, 100).map(float)), min_size=1, max_size=9).map(tuple)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(
    name=names,
    latitude_deg=st.floats(-66, 66),
    longitude_deg=st.floats(-180, 180),
    area_m2=st.floats(20, 1_000_000),
    people=people,
    today=st.dates(date(2024, 1, 1), date(2026, 11, 1)),
)
def test_every_starter_passes_the_check(tmp_path_factory, name, latitude_deg, longitude_deg, area_m2, people, today):
    """Whatever the answers, the folder written is sound, keeps the area, and holds everybody at the age given."""
    folder = tmp_path_factory.mktemp("starter") / "new"
    answers = StarterAnswers(name.strip(), latitude_deg, longitude_deg, "GB", area_m2, people)
    written = write_starter(folder, answers, today=today)
    assert check_holding(folder, KNOWN, today=today) == []
    holding = read_holding(folder, KNOWN, today=today)
    assert holding.place.name == name.strip()
    assert holding.place.latitude_deg == pytest.approx(latitude_deg, abs=1e-6)
    assert sum(plot.area_m2 for plot in holding.plot.values()) == pytest.approx(area_m2, rel=0.01, abs=4.0)
    ages = [(today - person.born).days / 365.25 for person in holding.people.values()]
    assert [int(age) for age in ages] == [int(age) for _, age in people]
    assert {path.name for path in written} == {"holding.toml", "plantings.csv", "trades.csv", "own.csv"}


@given(st.floats(20, 1_000_000), st.integers(1, 30), st.sampled_from(["cool", "warm", "hot"]))
def test_the_ground_is_divided_without_rest(area_m2, count, climate):
    """Yard, beds, fields, orchard and grass add up to the whole, and none is negative."""
    ground = divide(area_m2, count, climate)
    parts = (ground.yard_m2, ground.beds_m2, 3 * ground.field_m2, ground.orchard_m2, ground.grass_m2)
    assert min(parts) >= 0
    assert sum(parts) == pytest.approx(area_m2)
    assert (ground.ewes > 0) == (ground.grass_m2 > 0)


@pytest.mark.parametrize(("latitude", "starts", "lambs"), [(54.0, "10-01", "04-10"), (-41.0, "04-01", "10-10")])
def test_hemispheres_are_half_a_year_apart(tmp_path, latitude, starts, lambs):
    """The larder year starts, and lambs are born, half a year apart north and south."""
    write_starter(tmp_path / "new", StarterAnswers("Low End", latitude, 0.0, "GB", 20_000.0, (("f", 30.0),)))
    holding = read_holding(tmp_path / "new")
    assert str(holding.place.year_starts) == starts
    assert [str(day) for day in holding.group["ewes"].born] == [lambs]


def test_a_starter_explains_itself():
    """The plan written is commented, and says that its figures are guesses."""
    answers = StarterAnswers("Low End", 54.0, 0.0, "GB", 20_000.0, (("f", 30.0),))
    plan = starter_texts(answers, date(2026, 3, 1))["holding.toml"]
    assert plan.count("\n#") >= 8
    assert "guess" in plan
    assert "$" not in plan


def test_three_fields_take_turns():
    """In three years each crop of the fields stands on each field once."""
    answers = StarterAnswers("Low End", 54.0, 0.0, "GB", 20_000.0, (("f", 30.0),))
    rows = [line.split(",") for line in starter_texts(answers, date(2026, 3, 1))["plantings.csv"].splitlines()[1:]]
    turns = {(row[0], row[3]) for row in rows if row[1] == "potato"}
    assert turns in ({("east", "1"), ("middle", "2"), ("west", "3")}, {("east", "1"), ("west", "2"), ("middle", "3")})


@pytest.mark.parametrize("make", [Path.mkdir, str])
def test_a_new_or_empty_folder_is_filled(tmp_path, make):
    """A folder that is not there is made; an empty one is used."""
    target = tmp_path / "new"
    make(target)
    write_starter(target, StarterAnswers("Low End", 54.0, 0.0, "GB", 900.0, (("f", 30.0),)))
    assert (target / "holding.toml").exists()


@pytest.mark.parametrize("name", ["holding.toml", "letter.txt", "as-a-file"])
def test_nothing_is_overwritten(tmp_path, name):
    """A folder with anything in it, or a file of that name, is refused and left as it was."""
    target = tmp_path / "taken"
    if name == "as-a-file":
        kept = target
    else:
        target.mkdir()
        kept = target / name
    kept.write_text("mine", encoding="utf-8")
    with pytest.raises(InputFaults, match="a new or empty folder"):
        write_starter(target, StarterAnswers("Low End", 54.0, 0.0, "GB", 900.0, (("f", 30.0),)))
    assert kept.read_text(encoding="utf-8") == "mine"
    assert list(tmp_path.rglob("*.part")) == []


def test_answers_are_read_from_words():
    """Place, people and area are typed as people type them."""
    answers = parse_answers(" Low End ", "54.4, -2.9", "gb", "f38, M40,f0.5", "3 acre", currency="gbp")
    assert answers == StarterAnswers(
        "Low End", 54.4, -2.9, "GB", pytest.approx(12140.57), (("f", 38.0), ("m", 40.0), ("f", 0.5)), 0.0, "GBP"
    )


def test_wrong_answers_are_told_all_at_once():
    """Each answer that cannot be read has a fault of its own, with the remedy."""
    with pytest.raises(InputFaults) as caught:
        parse_answers("", "pole", "Britain", "38f,f130", "12", altitude_m=float("nan"), currency="pounds")
    assert sorted(fault.where for fault in caught.value.faults) == [
        "altitude_m",
        "area",
        "country",
        "currency",
        "name",
        "people",
        "people",
        "place",
    ]


@pytest.mark.parametrize("place", ["68.3,14.5", "-78,166"])
def test_beyond_the_polar_circles_is_refused_with_the_reason(place):
    """A place on the globe where the sun stays up or down for days is told so, not taken for a slip."""
    with pytest.raises(InputFaults) as caught:
        parse_answers("High End", place, "NO", "f38", "1 ha")
    assert "the sun stays up or down for days" in caught.value.faults[0].remedy


@pytest.mark.parametrize("text", ["", ",", "f38," * 50])
def test_somebody_must_live_there(text):
    """No people, or a village of them, is refused."""
    with pytest.raises(InputFaults, match="1 to 40 people"):
        parse_answers("Low End", "54,-2", "GB", text, "1 ha")


def test_a_disk_that_fills_up_leaves_no_holding(tmp_path, monkeypatch):
    """A failure half-way leaves no holding.toml, so that the folder is not taken for a plan."""
    real = Path.replace

    def fail_on_plan(self, target):
        if Path(target).name == "holding.toml":
            raise OSError(28, "No space left on device")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", fail_on_plan)
    with pytest.raises(OSError, match="No space left"):
        write_starter(tmp_path / "new", StarterAnswers("Low End", 54.0, 0.0, "GB", 900.0, (("f", 30.0),)))
    assert not (tmp_path / "new" / "holding.toml").exists()
