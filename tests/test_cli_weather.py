"""`yardland weather`: terminal, JSON, page and refusals, on the demonstrations and on made files."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
import weather_files as made
from typer.testing import CliRunner
from weather_kit import record

from yardland.cli.main import app
from yardland.report.figures import weather_years
from yardland.weather.overview import overview

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
KEYS = {
    "schema", "version", "span", "gaps", "suspects", "normals", "frost", "season", "years", "extremes", "estimated", "notes",
}  # fmt: skip


@pytest.fixture(params=["tarn-hollow", "casa-vereda"])
def folder(tmp_path, request):
    """A copy of a demonstration holding."""
    target = tmp_path / request.param
    shutil.copytree(EXAMPLES / request.param, target, ignore=shutil.ignore_patterns("out"))
    return target


def run(*words):
    """The command in this process."""
    return CliRunner().invoke(app, ["weather", *map(str, words)])


def test_the_summary_fits_80_columns_and_names_the_page(folder):
    """Months, frost, season, rain, gaps and suspects stand in 80 columns; the page is written and named."""
    done = run(folder)
    assert done.exit_code == 0, done.output
    # The page's path may be any length.
    lines = [line for line in done.output.splitlines() if not line.startswith("Page:")]
    assert max(map(len, lines)) <= 80
    for word in (
        "Month ",
        "Rain mm",
        "Frost:",
        "Growing season:",
        "driest year",
        "Gaps: None.",
        "Suspect:",
        "Worked out:",
    ):
        assert word in done.output, word
    assert "not a record" in done.output
    assert (folder / "out" / "weather.html").is_file()


def test_json_holds_the_sums_of_the_file(folder):
    """The object has its keys, and its numbers are those of the rows of the file."""
    done = run(folder, "--json", "--no-report")
    told = json.loads(done.output)
    assert set(told) == KEYS
    assert told["schema"] == "yardland.weather/1"
    lines = (folder / "weather.csv").read_text(encoding="utf-8").splitlines()[2:]
    rain = np.array([float(line.split(",")[3]) for line in lines])
    assert sum(told["years"]["rain_mm"].values()) == pytest.approx(rain.sum(), abs=0.5)
    assert sum(told["normals"]["rain_mm"]) == pytest.approx(rain.sum() / 11, abs=0.5)
    assert all(len(values) == 12 for key, values in told["normals"].items() if key != "degree_days_c")
    assert told["span"]["days"] == len(lines)
    assert not (folder / "out").exists()


def test_the_page_stands_alone_and_its_drawings_are_whole(folder):
    """The page asks nothing of a network; each drawing is sound XML with a name, words and a table beside it."""
    run(folder)
    page = (folder / "out" / "weather.html").read_text(encoding="utf-8")
    assert not re.findall(r'(?:src|href)="(?!#)[^"]*"|@import|url\((?!#)', page)
    drawings = re.findall(r"<svg.*?</svg>", page, re.DOTALL)
    assert len(drawings) == 10
    for drawing in drawings:
        tree = ET.fromstring(drawing)  # noqa: S314 (our own page)
        assert [child.tag.split("}")[1] for child in tree][:2] == ["title", "desc"]
        assert "nan" not in drawing
    assert page.count("The same as a table") == 5
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_a_typical_year_tells_no_years(folder):
    """From a typical year there is no driest year and no drawing of years, and the page says what it is."""
    (folder / "weather.csv").unlink()
    text = made.epw(typical=True)
    plan = (folder / "holding.toml").read_text(encoding="utf-8")
    latitude, longitude = re.search(r"latitude_deg = ([-\d.]+), longitude_deg = ([-\d.]+)", plan).groups()
    (folder / "weather.epw").write_text(text.replace("52.1,5.2,", f"{latitude},{longitude},"), encoding="utf-8")
    done = run(folder)
    if latitude.startswith("-"):
        # The months of the file are those of the north.
        assert done.exit_code == 2
        assert "colder than the other" in " ".join(done.output.split())
        return
    assert done.exit_code == 0, done.output
    assert "typical year" in done.output
    assert "Nothing is known of dry and wet years" in " ".join(done.output.split())
    page = (folder / "out" / "weather.html").read_text(encoding="utf-8")
    assert "Year by year" not in page


def test_a_holding_without_a_file_shows_the_normals_it_borrows(folder):
    """Without a weather file the days are invented, and the summary says from what."""
    (folder / "weather.csv").unlink()
    done = run(folder, "--no-report")
    assert done.exit_code == 0, done.output
    words = " ".join(done.output.split())
    assert "days invented from twelve normals" in words
    assert "borrowed from the normals of" in words
    assert "No page was written." in done.output


@pytest.mark.parametrize("degrees", ["10.0", "0.0", "-20.0"])
def test_a_record_of_one_temperature_and_no_rain_is_told_and_suspected(folder, degrees):
    """Six years of the same dry day: the page has its drawings, no number is lost, and the stuck sensor is named."""
    days = np.arange("2010-01-01", "2016-01-01", dtype="datetime64[D]")
    rows = [f"{day},{degrees},{degrees},0.0" for day in days]
    (folder / "weather.csv").write_text("\n".join(["date,tmin_c,tmax_c,rain_mm", *rows]) + "\n", encoding="utf-8")

    done = run(folder, "--json")
    page = (folder / "out" / "weather.html").read_text(encoding="utf-8")
    told = json.loads(done.output, parse_constant=pytest.fail)

    assert done.exit_code == 0, done.output
    assert told["normals"]["tmin_c"] == told["normals"]["tmax_c"] == [float(degrees)] * 12
    assert any(f"the same temperatures for {len(days)} days" in one["what"] for one in told["suspects"])
    assert page.count(">Every day of the years</title>") == 2
    assert "nan" not in "".join(re.findall(r"<svg.*?</svg>", page, re.DOTALL))


def test_a_faulty_file_is_refused_with_exit_code_2(folder):
    """A file that cannot be read ends in words and code 2, without a page."""
    (folder / "weather.csv").write_text(made.faulty(made.recipes()["dly-cut-off"]), encoding="utf-8")
    done = run(folder)
    assert done.exit_code == 2
    assert "cut off" in " ".join(done.output.split())
    assert not (folder / "out").exists()


def test_a_long_record_shows_its_latest_years_and_says_so():
    """Of more than sixty years the latest sixty are drawn, and the words beside the drawing say it."""
    told = overview(record("1940-01-01", "2012-01-01"))
    for drawing in (weather_years.frost(told), weather_years.rain(told)):
        assert "The latest 60 of 72 years are shown." in drawing.alt
        assert [row[0] for row in drawing.table.rows] == [str(year) for year in range(1952, 2012)]
