"""A holding's daily weather sheet: the forms that are read, and the faults that are named."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from weather_kit import NORTH, days, rows, sheet

from yardland.errors import InputFaults
from yardland.weather.columns import split_heading, unit_of
from yardland.weather.read import load_weather, read_record


@pytest.fixture
def put(tmp_path):
    """Write a weather sheet and give its path."""

    def write(text, name="weather.csv"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
        return path

    return write


def faults_of(path):
    """All faults of a sheet; the test fails if there are none."""
    with pytest.raises(InputFaults) as caught:
        read_record(path, NORTH)
    return list(caught.value.faults)


def plain(put):
    """The reference reading."""
    return read_record(put(sheet()), NORTH)


def test_a_plain_sheet_is_read_whole(put):
    """Every day and value of a plain sheet arrives; what was not measured is named as estimated."""
    record = plain(put)
    assert len(record.dates) == len(days())
    assert record.tmin_c[0] == pytest.approx(-2.0)
    assert record.rain_mm.sum() == pytest.approx(4.0 * np.ceil(len(days()) / 4))
    assert set(record.estimated) == {"rad_mj_m2", "vap_kpa", "wind_m_s"}
    assert all(any(words in note for note in record.notes) for words in record.estimated.values())


@pytest.mark.parametrize("separator", [";", "\t"])
def test_decimal_commas_and_other_separators_give_the_same_record(put, separator):
    """Semicolons or tabs with decimal commas are read like commas with points."""
    text = sheet([[row[0], *(cell.replace(".", ",") for cell in row[1:])] for row in rows()], separator=separator)
    assert np.array_equal(read_record(put(text), NORTH).tmax_c, plain(put).tmax_c)


@pytest.mark.parametrize(
    "form",
    [
        lambda d: f"{d[8:10]}.{d[5:7]}.{d[:4]}",
        lambda d: d.replace("-", "/"),
        lambda d: d.replace("-", ""),
        lambda d: f"{d}T00:00:00",
    ],
    ids=["DD.MM.YYYY", "YYYY/MM/DD", "YYYYMMDD", "with a time"],
)
def test_published_forms_of_a_date_are_read(put, form):
    """A date may stand as in the published formats."""
    text = sheet([[form(row[0]), *row[1:]] for row in rows()])
    assert np.array_equal(read_record(put(text), NORTH).dates, days())


def test_names_and_a_units_row_of_other_sources_are_read(put):
    """Other column names, a row of units, a comment line and a byte-order mark do no harm."""
    body = sheet([["day", "degC", "°C", "mm/day"], *rows()], header=("Date", "TMIN", "Temp_Max", "Precipitation"))
    record = read_record(put(b"\xef\xbb\xbf# a comment\n" + body.encode()), NORTH)
    assert np.array_equal(record.rain_mm, plain(put).rain_mm)


def test_fahrenheit_and_inches_are_converted_when_said(put):
    """Names or units that say degrees Fahrenheit and inches are converted."""
    made = [
        [row[0], str(float(row[1]) * 1.8 + 32), str(float(row[2]) * 1.8 + 32), str(float(row[3]) / 25.4)]
        for row in rows()
    ]
    by_name = read_record(put(sheet(made, header=("date", "tmin_f", "tmax (°F)", "rain [in]"))), NORTH)
    by_row = read_record(put(sheet([["", "F", "F", "inches"], *made], header=("date", "tmin", "tmax", "rain"))), NORTH)
    for record in (by_name, by_row):
        assert record.tmin_c == pytest.approx(plain(put).tmin_c)
        assert record.rain_mm == pytest.approx(plain(put).rain_mm)


@pytest.mark.parametrize(
    ("heading", "expected"),
    [
        ("tmin", ("tmin", "", None)),
        ("Wind 10 m (km/h)", ("wind", "km_h", 10.0)),
        ("wind_10m", ("wind_10m", "", 10.0)),
        ("wind_2m_m_s", ("wind", "m_s", 2.0)),
        ("rain_in", ("rain", "in", None)),
        ("solar_radiation [W/m²]", ("solar_radiation", "w_m2", None)),
        ("rh_mean_pct", ("rh_mean_pct", "", None)),
    ],
)
def test_a_heading_holds_name_unit_and_height(heading, expected):
    """A heading is taken apart into name, unit and height of the sensor."""
    name, unit, height = split_heading(heading)
    assert (name, unit, height) == expected or (unit, height) == expected[1:]


def test_units_have_many_spellings():
    """Common spellings of a unit are one unit."""
    assert {unit_of(text) for text in ("MJ/m2", "MJ m-2 d-1", "mj_m2_day")} == {"mj_m2"}
    assert unit_of("furlongs") == ""


def test_measured_columns_are_used(put):
    """Radiation, humidity and wind at a said height replace the estimates."""
    made = [[*row, "50", "80", "3.6"] for row in rows()]
    header = ("date", "tmin_c", "tmax_c", "rain_mm", "rad_w_m2", "rh_mean_pct", "wind_10m")
    record = read_record(put(sheet(made, header=header)), NORTH)
    summer = slice(150, 200)
    assert record.rad_mj_m2[summer] == pytest.approx(4.32)
    assert record.wind_m_s == pytest.approx(3.6 * 0.748, abs=0.005)
    assert "rad_mj_m2" not in record.estimated
    assert "eq. 47" in record.estimated["wind_m_s"]


@pytest.mark.parametrize("token", ["", "NA", "nan", "-99", "-999", "-9999", "-9900"])
def test_marks_of_missing_values_are_no_values(put, token):
    """A missing wind takes the default on that day alone, whichever published mark stands for it."""
    made = [[*row, token if index == 9 else "5.0"] for index, row in enumerate(rows())]
    record = read_record(put(sheet(made, header=("date", "tmin_c", "tmax_c", "rain_mm", "wind_2m_m_s"))), NORTH)
    assert record.wind_m_s[9] == 2.0
    assert np.delete(record.wind_m_s, 9) == pytest.approx(5.0)
    assert "1 days" in record.estimated["wind_m_s"]


def test_short_gaps_are_filled_and_named(put):
    """Five missing rows and one missing value are filled in a straight line and named."""
    made = rows()
    made[99][1] = "NA"
    text = sheet(made[:40] + made[45:])
    record = read_record(put(text), NORTH)
    assert len(record.dates) == len(days())
    assert record.tmin_c[99] == pytest.approx((record.tmin_c[98] + record.tmin_c[100]) / 2)
    assert any("2019-02-10 to 2019-02-14" in note for note in record.notes)
    assert any("tmin_c" in note and "2019-04-10" in note for note in record.notes)


def test_a_gap_of_six_days_is_a_fault(put):
    """A longer gap is named with its first and last day, and nothing is invented."""
    (fault,) = faults_of(put(sheet(rows()[:40] + rows()[46:])))
    assert fault.where == "2019-02-10 to 2019-02-15"
    assert "6 days" in fault.found


def change(line, column, value):
    """The sheet with one cell changed (line as counted in the file)."""
    made = rows()
    made[line - 2][column] = value
    return sheet(made)


@pytest.mark.parametrize(
    ("text", "where", "phrase"),
    [
        (change(40, 1, "30.0"), "line 40", "tmin_c 30 over tmax_c"),
        (change(40, 3, "-3"), "line 40, column rain_mm", "rain_mm -3"),
        (change(40, 2, "99.5"), "line 40, column tmax_c", "tmax_c 99.5"),
        (change(40, 2, "warm"), "line 40, column tmax_c", "'warm'"),
        (change(40, 3, "inf"), "line 40, column rain_mm", "'inf'"),
        (change(40, 0, "2019-02-30"), "line 40, column date", "2019-02-30"),
        (change(40, 0, "03/04/2019"), "line 40, column date", "03/04/2019"),
        (change(40, 0, "2019-01-05"), "line 40", "first in line 6"),
        (sheet().replace(",", " "), "line 1", "one column"),
        (sheet(rows(days("2019-01-01", "2019-12-01"))), "whole file", "334 days"),
        ("", "whole file", "no rows"),
        ("date,tmin_c,tmax_c,rain_mm\n", "whole file", "without rows"),
        (sheet(header=("date", "tmin_c", "tmax_c", "wet")), "header", "columns date, tmin_c"),
        (sheet(header=("date", "tmin_c", "tmax_c", "rain (pints)")), "column rain (pints)", "pints"),
        (sheet().encode("utf-16"), "line 1", "UTF-8"),
        (b"date;tmin\n\x00;1\n", "line 2", "NUL"),
        (change(40, 3, "1,5"), "line 40", "5 columns"),
    ],
)
def test_each_fault_is_named_by_place_and_finding(put, text, where, phrase):
    """A faulty sheet gives a fault that says where, what was found, what was expected and what to do."""
    faults = faults_of(put(text))
    hits = [fault for fault in faults if where in fault.where and phrase in fault.found]
    assert hits, [str(fault) for fault in faults]
    assert all(fault.file == "weather.csv" and fault.expected and fault.remedy[-1] in ".?" for fault in faults)


def test_swapped_columns_are_one_fault(put):
    """When every row has its temperatures swapped, the columns are blamed once."""
    (fault,) = faults_of(put(sheet(header=("date", "tmax_c", "tmin_c", "rain_mm"))))
    assert fault.remedy == "Swap the two."


def test_rows_out_of_order_are_named(put):
    """A row that stands too late is named."""
    made = rows()
    made[10], made[11] = made[11], made[10]
    (fault,) = faults_of(put(sheet(made)))
    assert "order" in fault.expected


def test_unsaid_fahrenheit_is_refused_not_guessed(put):
    """A file whose temperatures can only be Fahrenheit is refused with the way to say so."""
    made = [[row[0], str(float(row[1]) * 1.8 + 32), str(float(row[2]) * 1.8 + 32), row[3]] for row in rows()]
    assert any(
        "tmin_f" in fault.remedy for fault in faults_of(put(sheet(made, header=("date", "tmin", "tmax", "rain"))))
    )


def test_unsaid_inches_are_refused_not_guessed(put):
    """A file whose rain can only be inches is refused, unless its unit is said."""
    made = [[*row[:3], str(float(row[3]) / 25.4)] for row in rows()]
    assert any(
        "rain_in" in fault.remedy for fault in faults_of(put(sheet(made, header=("date", "tmin", "tmax", "rain"))))
    )
    assert read_record(put(sheet(made)), NORTH).rain_mm.max() == pytest.approx(4 / 25.4)


def test_radiation_above_the_sun_is_refused(put):
    """W/m2 taken for MJ/m2 is noticed by comparing with the sun outside the air."""
    made = [[*row, "45"] for row in rows()]
    faults = faults_of(put(sheet(made, header=("date", "tmin_c", "tmax_c", "rain_mm", "rad"))))
    assert any("rad_w_m2" in fault.remedy for fault in faults)


def test_humidity_as_a_fraction_is_refused(put):
    """Humidity from 0 to 1 is noticed."""
    made = [[*row, "0.8"] for row in rows()]
    faults = faults_of(put(sheet(made, header=("date", "tmin_c", "tmax_c", "rain_mm", "rh"))))
    assert any("100" in fault.remedy for fault in faults)


def test_all_faults_come_at_once_and_long_lists_are_cut(put):
    """Faults of several kinds come together; the sixth and later of one kind are counted, not lost."""
    made = rows()
    for index in range(20, 40):
        made[index][3] = "-1"
    made[60][2] = "x"
    faults = faults_of(put(sheet(made)))
    assert sum("rain_mm -1" in fault.found for fault in faults) == 6
    assert any(fault.found.startswith("15 more") for fault in faults)
    assert any("'x'" in fault.found for fault in faults)


def test_a_file_over_20_mb_is_not_read(put):
    """A file of 21 MB is refused for its size."""
    (fault,) = faults_of(put(b"x" * 21_000_000))
    assert fault.found == "21 MB"


def test_a_holding_takes_its_record_then_normals_then_borrows(tmp_path):
    """weather.csv comes before normals.csv; without either the nearest normals are borrowed and every result says so."""
    holding = SimpleNamespace(folder=tmp_path, place=NORTH)
    borrowed = load_weather(holding)
    assert any("borrowed" in note and "De Bilt" in note for note in borrowed.notes)
    header = ["month,tmin_c,tmax_c,rain_mm,rain_days"]
    months = [f"{month},{month - 3},{month + 6},60,10" for month in range(1, 13)]
    (tmp_path / "normals.csv").write_text("\n".join(header + months), encoding="utf-8")
    own = load_weather(holding)
    assert any("normals.csv" in note for note in own.notes)
    (tmp_path / "weather.csv").write_text(sheet(), encoding="utf-8")
    assert load_weather(holding).source == "weather.csv"


def test_quoted_cells_may_hold_the_separator(put):
    """A column of words with a comma in quotes does not shift the others."""
    made = [[*row, '"rain, then sun"'] for row in rows()]
    record = read_record(put(sheet(made, header=("date", "tmin_c", "tmax_c", "rain_mm", "words"))), NORTH)
    assert np.array_equal(record.tmin_c, plain(put).tmin_c)


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_of_other_systems_are_read(put, end):
    """Line ends of any system give the same record."""
    assert np.array_equal(read_record(put(sheet().replace("\n", end)), NORTH).tmin_c, plain(put).tmin_c)


TWO_YEARS = sheet()


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.integers(0, len(TWO_YEARS)),
    st.integers(0, 40),
    st.one_of(
        st.binary(max_size=12),
        st.sampled_from([b"-999", b"1e400", b",", b";", b'"', b"\n", b"nan", b"-0,1", b"9" * 30]),
    ),
)
def test_no_damage_to_a_sheet_makes_a_traceback(put, start, length, patch):
    """Whatever stands in a sheet, it gives a finite record or faults with words, never another error."""
    whole = TWO_YEARS.encode("utf-8")
    path = put(whole[:start] + patch + whole[start + length :])
    try:
        record = read_record(path, NORTH)
    except InputFaults as error:
        faults = error.faults
    else:
        faults = ()
        for name in ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm"):
            assert np.isfinite(getattr(record, name)).all(), name
    assert all(fault.found and fault.expected and fault.remedy for fault in faults)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=400))
def test_no_bytes_make_a_traceback(put, data):
    """Any bytes at all are refused in words."""
    with pytest.raises(InputFaults):
        read_record(put(data), NORTH)
