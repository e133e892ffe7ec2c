"""Published formats of weather files: recognised by their content, read to the same days, refused in words."""

from __future__ import annotations

import re
from types import SimpleNamespace

import numpy as np
import pytest
import weather_files as made
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from weather_kit import NORTH

from yardland.errors import InputFaults
from yardland.weather.formats import recognise
from yardland.weather.hours import Hours, days_of
from yardland.weather.read import load_weather
from yardland.weather.sheet import Faults
from yardland.weather.years import larder_years

RECIPES = made.recipes()
REFUSED = [name for name, recipe in RECIPES.items() if "note" not in recipe]
TOLD = [name for name, recipe in RECIPES.items() if "note" in recipe]


@pytest.fixture
def read(tmp_path):
    """Put files into an empty holding folder and load its weather."""

    def load(text, name="weather.csv", place=NORTH, normals=None):
        (tmp_path / name).write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
        if normals:
            (tmp_path / "normals.csv").write_text(normals, encoding="utf-8")
        return load_weather(SimpleNamespace(folder=tmp_path, place=place))

    return load


@pytest.mark.parametrize("name", REFUSED)
def test_each_faulty_file_is_refused_in_words(read, name):
    """A file with one fault gives a fault that names the place, what was found and what to do."""
    recipe = RECIPES[name]
    with pytest.raises(InputFaults) as caught:
        read(made.faulty(recipe), recipe["file"])
    hits = [
        fault
        for fault in caught.value.faults
        if recipe["where"] in fault.where
        and recipe["found"] in fault.found
        and re.search(recipe["remedy"], f"{fault.expected} {fault.remedy}")
    ]
    assert hits, [str(fault) for fault in caught.value.faults]
    assert all(fault.file == recipe["file"] and fault.remedy[-1] in ".?" for fault in hits)


@pytest.mark.parametrize("name", TOLD)
def test_each_doubtful_file_is_read_and_told(read, name):
    """A file with a known oddity gives every day of its span, finite, and one note that names the oddity."""
    recipe = RECIPES[name]
    record = read(made.faulty(recipe), recipe["file"])
    assert sum(recipe["note"] in note for note in record.notes) == 1, record.notes
    assert all(np.isfinite(getattr(record, column)).all() for column in ("tmin_c", "tmax_c", "rain_mm", "eto_mm"))
    assert (np.diff(record.dates).astype(int) == 1).all()


def test_every_oddity_of_the_trade_has_its_recipe():
    """Refused or told: cut files, wrong stations, mixed units, order, midnight, clock changes, leap days, traces, normals."""
    words = (
        "cut-off", "station", "unit", "out-of-order", "midnight", "24-hours", "clock-change", "leap-day", "traces",
        "normals-posing", "hemisphere",
    )  # fmt: skip
    assert [word for word in words if not any(word in name for name in RECIPES)] == []


@pytest.mark.parametrize(
    ("text", "form"),
    [
        (made.epw, recognise.EPW),
        (made.tmy3, recognise.TMY3),
        (made.tmy2, recognise.TMY2),
        (made.dly, recognise.GHCN_FIXED),
        (made.long, recognise.GHCN_LONG),
        (made.wide, recognise.GHCN_WIDE),
        (made.power, recognise.POWER),
        (made.plain, recognise.PLAIN),
    ],
)
def test_a_format_is_recognised_by_its_content(text, form):
    """Each layout is told from the others by its first lines, whatever the line ends."""
    assert recognise.recognise(text()) == form
    assert recognise.recognise(text().replace("\n", "\r\n")) == form


@pytest.mark.parametrize(
    ("text", "name"),
    [
        (made.epw(), "weather.epw"),
        (made.epw(), "weather.csv"),
        (made.dly(), "weather.dly"),
        (made.long(), "weather.csv"),
        ("ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n" + made.long(), "weather.csv"),
        ("# units: metric\n" + made.wide("metric"), "weather.csv"),
        ("# units: us\n" + made.wide("us"), "weather.csv"),
        (made.wide("tenths"), "weather.csv"),
        (made.power(), "weather.csv"),
        (made.power("kW-hr/m^2/day"), "weather.csv"),
        (made.plain(), "weather.csv"),
    ],
    ids=["epw", "epw named csv", "dly", "long", "long with header", "metric", "us", "tenths", "MJ", "kWh", "plain"],
)
def test_every_format_gives_the_same_days(read, text, name):
    """The same invented days come out of every layout; a value that failed its check and a trace come out as such."""
    record = read(text, name)
    truth = made.invented()
    count = len(record.dates)
    assert record.kind == "record"
    assert record.dates[0] == made.DATES[0]
    for column in ("tmin_c", "tmax_c", "rain_mm"):
        expected = truth[column][:count].copy()
        if name == "weather.dly":
            expected[1 if column == "rain_mm" else 0] = 0.0 if column == "rain_mm" else expected[0]
            if column == "tmax_c":
                expected[63] = (expected[62] + expected[64]) / 2
        assert getattr(record, column) == pytest.approx(expected, abs=0.011), column
    if "rad_mj_m2" not in record.estimated:
        assert record.rad_mj_m2 == pytest.approx(truth["rad_mj_m2"][:count], abs=0.001)
    if name != "weather.csv" or "NLE" in text or "POWER" in text:
        assert record.notes[0].startswith("Format: ")


@pytest.mark.parametrize(
    ("text", "name"),
    [(made.epw(typical=True), "weather.epw"), (made.tmy3(), "weather.csv"), (made.tmy2(), "weather.tm2")],
)
def test_months_of_different_years_are_a_typical_year(read, text, name):
    """Such a file is told as a typical year, laid twice so that a larder year fits, and never dated to a real year."""
    record = read(text, name, normals=made.NORMALS)
    assert record.kind == "typical year"
    assert "months of different years; no frost or drought of any real year" in record.notes[1]
    assert "typical year" in record.source
    assert len(record.dates) == 730
    assert np.array_equal(record.tmin_c[:365], record.tmin_c[365:])
    assert record.tmin_c[:365] == pytest.approx(made.invented()["tmin_c"][:365], abs=0.06)
    assert record.rad_mj_m2[:365] == pytest.approx(made.invented()["rad_mj_m2"][:365], abs=0.01)
    assert larder_years(record, 10).start_years == (2001,)


def test_a_file_without_rain_takes_its_months_from_the_normals(read):
    """Rain days are laid in as many and as much as the normals say, on the darkest days, and the notes say so."""
    record = read(made.tmy3(), normals=made.NORMALS)
    month = record.dates[:365].astype("datetime64[M]").astype(int) % 12
    rain = record.rain_mm[:365]
    assert np.bincount(month, weights=rain) == pytest.approx(50 + np.arange(1, 13), abs=0.01)
    assert np.bincount(month, weights=rain >= 1) == pytest.approx(8 + np.arange(1, 13) % 3, abs=1)
    light = made.invented()["rad_mj_m2"][:365]
    june = month == 5
    assert light[june & (rain > 0)].max() <= light[june & (rain == 0)].min() + 0.5
    assert any("normals.csv" in note and "no real day" in note for note in record.notes)


def test_a_year_stamped_all_over_is_told(read):
    """An EPW file whose rows carry one year is taken as that year, and the doubt about it is a note."""
    record = read(made.epw(), "weather.epw")
    assert any("year 2011" in note and "many makers" in note for note in record.notes)
    for source in ("TMYx.2004-2018", "IWEC Data", "CWEC2016"):
        assert read(made.epw().replace("Made up", source), "weather.epw").kind == "typical year"
    for town in ("COVENTRY", "Fort X ARMY AIRFIELD", "Country Town"):
        assert read(made.epw().replace("Testum", town), "weather.epw").kind == "record"


def test_location_with_a_field_more_is_read(read):
    """A LOCATION line with the zone twice gives the same place."""
    text = made.epw().replace("52.1,5.2,1.0,2.0", "52.1,5.2,1.0,1.0,2.0")
    assert any("m below it" in note for note in read(text, "weather.epw").notes)


def test_latin_letters_of_a_town_do_no_harm(read):
    """An EPW file in Latin-1 is read."""
    text = made.epw().replace("Testum", "Córdoba").encode("latin-1")
    assert any("Córdoba" in note for note in read(text, "weather.epw").notes)


@pytest.mark.parametrize(("away", "words"), [(0.2, "km from the place"), (2.0, "That is far")])
def test_a_far_station_is_told(read, away, words):
    """The notes say where the station lies; from 100 km on they call it far."""
    place = NORTH.model_copy(update={"latitude_deg": 52.1 + away})
    assert any(note.startswith("Station:") and words in note for note in read(made.power(), place=place).notes)


def test_a_station_higher_up_is_told_with_what_it_means(read):
    """From 300 m of altitude on the notes say how many degrees that is."""
    notes = read(made.epw(), "weather.epw", place=NORTH.model_copy(update={"altitude_m": 502})).notes
    assert any("500 m below it" in note and "-3.2 C against it" in note for note in notes)


def test_missing_hours_are_filled_and_a_doubled_one_is_averaged(read):
    """A clock change leaves out an hour in spring and doubles one in autumn; both are named and change nothing else."""
    lines = made.epw().split("\n")
    spring = next(i for i, line in enumerate(lines) if line.startswith("2011,3,27,3,"))
    autumn = next(i for i, line in enumerate(lines) if line.startswith("2011,10,30,3,"))
    changed = [*lines[:spring], *lines[spring + 1 : autumn], lines[autumn], *lines[autumn:]]
    record = read("\n".join(changed), "weather.epw")
    assert record.tmin_c == pytest.approx(made.invented()["tmin_c"][:365], abs=0.011)
    assert any("2011-10-30 hour 3 comes twice" in note for note in record.notes)
    assert any("Hours without a row: 1," in note and "hour 3 of 2011-03-27" in note for note in record.notes)


def test_midnight_belongs_to_the_day_that_it_ends(read):
    """The coldest hour stamped 24 is the minimum of its own date."""
    text = re.sub(r"^(2011,6,10,24,60,\?9),[^,]*", r"\1,-9.0", made.epw(), flags=re.MULTILINE)
    record = read(text, "weather.epw")
    day = int(np.flatnonzero(record.dates == np.datetime64("2011-06-10"))[0])
    assert record.tmin_c[day] == -9.0
    assert record.tmin_c[day + 1] > -9.0


def test_missing_marks_of_hourly_files_are_no_values(read):
    """The marks 99.9, 999 and 9999 of one hour are filled from its neighbours."""
    text = re.sub(r"^(2011,6,10,9,60,\?9),[^,]*,[^,]*,[^,]*", r"\1,99.9,99.9,999", made.epw(), flags=re.MULTILINE)
    record = read(text, "weather.epw")
    assert record.tmax_c == pytest.approx(made.invented()["tmax_c"][:365], abs=0.011)


def test_flags_of_the_archive_are_heeded(read):
    """A value that failed the archive's check is left out and filled; a trace is nought; both are counted in the notes."""
    record = read(made.dly(), "weather.dly")
    assert ("tmax_c", "2011-03-05", "2011-03-05") in record.gaps
    assert any("1 values that failed" in note for note in record.notes)
    assert any("1 day with a trace" in note for note in record.notes)
    assert any("does not say where" in note for note in record.notes)


def test_a_trace_in_a_plain_sheet_counts_as_dry(read):
    """T for a trace is no word among numbers but nought, and counted."""
    text = made.plain().split("\n")
    text[5] = ",".join([*text[5].split(",")[:3], "T"])
    record = read("\n".join(text))
    assert record.rain_mm[4] == 0
    assert any("1 day with a trace" in note for note in record.notes)


def test_ends_that_are_not_known_are_left_out(read):
    """Days at the end of a grid file that carry its mark of the missing are left out and named."""
    text = re.sub(r"^(2012,36[0-9],[^,]*,[^,]*),[^,]*", r"\1,-999", made.power(), flags=re.MULTILINE)
    record = read(text)
    assert str(record.dates[-1]) == "2012-12-24"
    assert any("Left out: 2012-12-25 to 2012-12-31" in note for note in record.notes)


def test_leap_days_cut_out_are_one_note(tmp_path):
    """A record of several years without any 29 February is read, and said once."""
    dates = np.arange("2008-01-01", "2017-01-01", dtype="datetime64[D]")
    days = made.invented(dates)
    rows = [
        f"{date},{days['tmin_c'][i]},{days['tmax_c'][i]},{days['rain_mm'][i]}"
        for i, date in enumerate(dates)
        if not str(date).endswith("02-29")
    ]
    (tmp_path / "weather.csv").write_text("date,tmin_c,tmax_c,rain_mm\n" + "\n".join(rows), encoding="utf-8")
    notes = load_weather(SimpleNamespace(folder=tmp_path, place=NORTH)).notes
    assert [note for note in notes if "29 February is cut out of 3 leap years" in note]
    assert not any("02-29" in note for note in notes)


def test_normals_posing_as_a_year_are_told_with_the_number(read):
    """Days that follow one another too smoothly are called normals, with the change measured."""
    dates = made.DATES
    mean = 10 - 8 * np.cos(2 * np.pi * np.arange(len(dates)) / 365)
    rows = [f"{date},{mean[i] - 4:.2f},{mean[i] + 4:.2f},{(i % 3) * 2}" for i, date in enumerate(dates)]
    record = read("date,tmin_c,tmax_c,rain_mm\n" + "\n".join(rows))
    assert record.kind == "normals as a year"
    assert any("normals posing as a year" in note and "0.1" in note for note in record.notes)


def test_several_weather_files_are_a_fault_and_copies_are_none(read, tmp_path):
    """Two files named weather.* are named together; an editor's copy is not counted."""
    (tmp_path / "weather.csv.bak").write_text("x", encoding="utf-8")
    (tmp_path / "weather.bak").write_text("x", encoding="utf-8")
    assert read(made.plain()).kind == "record"
    with pytest.raises(InputFaults, match=r"weather\.csv, weather\.epw"):
        read(made.epw(), "weather.epw")


EVERY = {name: text() for name, text in made.BASES.items()}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.sampled_from(sorted(EVERY)),
    st.floats(0, 1),
    st.integers(0, 300),
    st.one_of(
        st.binary(max_size=12),
        st.sampled_from(
            [b"-9999", b"1e400", b",", b"nan", b"\n", b'"', b"99999999999999999999", b"inf", b"24:00", b"0"]
        ),
    ),
)
def test_no_damage_to_any_format_makes_a_traceback(tmp_path, base, place, length, patch):
    """Whatever stands in a file, it gives a finite record or faults with words, never another error."""
    whole = EVERY[base].encode("utf-8")
    # Half of the damage falls into the first 2000 bytes, where the headers are.
    start = int(place * 2 * 2000) if place < 0.5 else int((place * 2 - 1) * len(whole))
    (tmp_path / "weather.csv").write_bytes(whole[:start] + patch + whole[start + length :])
    (tmp_path / "normals.csv").write_text(made.NORMALS, encoding="utf-8")
    faults = ()
    try:
        record = load_weather(SimpleNamespace(folder=tmp_path, place=NORTH))
    except InputFaults as error:
        faults = error.faults
    else:
        for name in ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm"):
            assert np.isfinite(getattr(record, name)).all(), name
    assert all(fault.found and fault.expected and fault.remedy for fault in faults)


@settings(max_examples=50, deadline=None)
@given(st.integers(2, 6), st.integers(0, 2**31), st.sets(st.integers(0, 143), max_size=10))
def test_days_of_hours_keep_extremes_and_sums(count, seed, gone):
    """Extremes lie within the hours', radiation and rain add up, and no missing hour widens a day."""
    rng = np.random.default_rng(seed)
    size = count * 24
    kept = np.array([hour for hour in range(size) if hour not in gone])
    dates = np.datetime64("2019-05-01") + kept // 24
    columns = {
        name: rng.uniform(1, 20, len(kept))
        for name in ("temperature_c", "dew_c", "rh_pct", "wind_m_s", "rad_wh_m2", "rain_mm")
    }
    hours = Hours(dates, kept % 24 + 1, np.arange(len(kept)) + 1, **columns)
    faults = Faults("x")
    parsed, _notes = days_of(hours, faults)
    assert not faults
    for index, date in enumerate(parsed.dates):
        here = dates == date
        low, high = parsed.values["tmin_c"][index], parsed.values["tmax_c"][index]
        if not np.isfinite(low):
            assert here.sum() < 24
            continue
        assert low <= columns["temperature_c"][here].min() + 1e-9 or here.sum() < 24
        assert columns["temperature_c"].min() - 1e-9 <= low <= high <= columns["temperature_c"].max() + 1e-9
        if here.sum() == 24:
            assert parsed.values["rad_mj_m2"][index] == pytest.approx(columns["rad_wh_m2"][here].sum() * 0.0036)
            assert parsed.values["rain_mm"][index] == pytest.approx(columns["rain_mm"][here].sum())
            assert parsed.values["wind_m_s"][index] == pytest.approx(columns["wind_m_s"][here].mean())
