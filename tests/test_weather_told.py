"""What the year says of weather that is no record, and the limits by which files are judged."""

from __future__ import annotations

import csv
from dataclasses import replace
from importlib.resources import files
from types import SimpleNamespace

import pytest
import weather_files as made
from fixtures_result import year_result
from weather_kit import NORTH

from yardland.errors import InputFaults
from yardland.findings.context import Context
from yardland.findings.upkeep import weather_rests_on
from yardland.reference import load_tables
from yardland.weather.limits import limits
from yardland.weather.read import load_weather

SMOOTH = "These days are no weather but normals posing as a year: the daily mean changes by 0.05 C."


@pytest.mark.parametrize(
    ("note", "notes", "grade", "title"),
    [
        ("weather.epw (typical year), larder year 2001-10 to 2002-09", (), "note", "typical year"),
        ("weather.csv, larder year 2010-10 to 2011-09", (SMOOTH,), "tight", "normals, not weather"),
        ("normals of Brook, days invented (seed 1)", (), "note", "not a record"),
        (
            "Brook",
            ("Weather borrowed from Brook. Over 250 km away the climate may be another one.",),
            "tight",
            "far away",
        ),
    ],
)
def test_weather_that_is_no_record_is_a_finding(note, notes, grade, title):
    """A typical year, normals in a year's clothes, invented days and a far station each have their finding."""
    result = replace(year_result(), weather_note=note, notes=notes)
    (found,) = weather_rests_on(Context(result, load_tables()))
    assert found.grade == grade
    assert title in found.title
    assert found.remedy.endswith(".")


def test_a_record_of_the_place_is_no_finding():
    """A daily record says nothing."""
    result = replace(year_result(), weather_note="weather.csv, larder year 2010-10 to 2011-09", notes=())
    assert list(weather_rests_on(Context(result, load_tables()))) == []


def test_every_limit_has_unit_meaning_source_and_standing():
    """Each row of the limits says all of it, once."""
    text = (files("yardland.weather") / "data" / "limits.csv").read_text("utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert len(rows) == len(limits())
    for row in rows:
        assert all(row[name] for name in ("unit", "meaning", "source")), row
        assert row["standing"] in {"published", "common practice", "from memory"}, row


def test_a_link_that_leads_out_of_the_folder_is_refused(tmp_path):
    """A weather file of any ending must lie in the folder."""
    (tmp_path / "elsewhere.epw").write_text(made.epw(), encoding="utf-8")
    folder = tmp_path / "holding"
    folder.mkdir()
    (folder / "weather.epw").symlink_to(tmp_path / "elsewhere.epw")
    with pytest.raises(InputFaults, match="climbs out"):
        load_weather(SimpleNamespace(folder=folder, place=NORTH))


def test_smooth_months_of_different_years_stay_a_typical_year(tmp_path):
    """A typical year whose days are smooth keeps its kind and is told as both."""
    text = made.epw(typical=True)
    lines = []
    for line in text.split("\n"):
        cells = line.split(",")
        if len(cells) > 30:
            month, day, hour = (int(cell) for cell in cells[1:4])
            cells[6] = f"{(month * 30 + day) * 0.02 + hour * 0.1:.2f}"
        lines.append(",".join(cells))
    (tmp_path / "weather.epw").write_text("\n".join(lines), encoding="utf-8")
    record = load_weather(SimpleNamespace(folder=tmp_path, place=NORTH.model_copy(update={"latitude_deg": 52.0})))
    assert record.kind == "typical year"
    assert any("normals posing as a year" in note for note in record.notes)
