"""`yardland weather --draw`: the table, the page, JSON, the sheet, warming, refusals."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from yardland.cli import progress as told
from yardland.cli.main import app

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"


@pytest.fixture
def folder(tmp_path):
    """A copy of a demonstration holding."""
    target = tmp_path / "tarn-hollow"
    shutil.copytree(EXAMPLES / "tarn-hollow", target, ignore=shutil.ignore_patterns("out"))
    return target


def run(*words):
    """The command in this process."""
    return CliRunner().invoke(app, ["weather", *map(str, words)])


def words_of(done):
    """What was said, in one line."""
    return " ".join(done.output.split())


def test_drawn_years_are_told_with_what_they_keep(folder):
    """The terminal has a line for each statistic in 80 columns, and the page its section, drawing and table."""
    done = run(folder, "--draw", 25, "--seed", 3)
    assert done.exit_code == 0, done.output
    assert "25 DRAWN YEARS, SEED 3" in done.output
    lines = [line for line in done.output.splitlines() if not line.startswith("Page:")]
    assert max(map(len, lines)) <= 80
    rows = [line for line in lines if re.search(r" \d+/\d+ +(?:year|[A-Z][a-z]{2}) ", line)]
    assert len(rows) == 34
    for name in (
        "mean rain, mm",
        "spread of yearly temperature, C",
        "length of wet spells",
        "wet less dry days",
        "lag-one",
    ):
        assert any(line.startswith(name) for line in rows), name
    assert "Dependence between years is lost" in words_of(done)
    page = (folder / "out" / "weather.html").read_text(encoding="utf-8")
    assert '<section id="drawn"' in page
    assert "Drawn years against the record" in page
    assert page.count("<svg") == 12
    assert "mean last frost, day" in page


def test_what_is_not_kept_is_named(folder):
    """Statistics that miss a month are named in words; the made record of the demonstration is too tame for some."""
    done = run(folder, "--draw", 5, "--no-report")
    missed = re.search(r"Not kept: (.*?)\. What", words_of(done))
    assert missed
    assert "spread of monthly radiation (12 of 12 months)" in missed[1]
    kept, of = map(int, re.search(r"(\d+) of (\d+) statistics", words_of(done)).groups())
    rows = re.findall(r" (\d+)/(\d+) +(?:year|[A-Z][a-z]{2}) ", done.output)
    assert (sum(a == b for a, b in rows), len(rows)) == (kept, of)


def test_json_holds_every_statistic_of_every_month(folder):
    """The object gains the key `drawn`: its rows carry bounds that decide `inside`; seed and years are those asked for."""
    plain = json.loads(run(folder, "--json", "--no-report").output)
    with_years = json.loads(run(folder, "--json", "--no-report", "--draw", 40, "--seed", 9).output)
    drawn = with_years.pop("drawn")
    assert with_years == plain
    assert (drawn["years"], drawn["seed"], drawn["compared_with"]) == (40, 9, "record")
    assert len(drawn["statistics"]) > 250
    for row in drawn["statistics"]:
        assert row["month"] is None or 1 <= row["month"] <= 12
    rain = [row for row in drawn["statistics"] if row["name"] == "mean rain"]
    np.testing.assert_allclose([row["known"] for row in rain], plain["normals"]["rain_mm"], rtol=0.01)
    assert all(row["inside"] == (row["low"] <= row["drawn"] <= row["high"]) for row in rain)


def test_the_sheet_takes_its_place_in_a_copy_of_the_holding(folder, tmp_path):
    """`--write` makes a sheet that the same command reads as the weather of another holding, seed by seed the same."""
    sheets = []
    for name in ("one.csv", "other.csv"):
        done = run(folder, "--draw", 8, "--seed", 4, "--no-report", "--write", tmp_path / name)
        assert done.exit_code == 0, done.output
        sheets.append((tmp_path / name).read_bytes())
    assert sheets[0] == sheets[1]
    (folder / "weather.csv").write_bytes(sheets[0])
    done = run(folder, "--no-report")
    assert done.exit_code == 0, done.output
    assert "years drawn by the generator, not measured, 1 Jan 2001 to 31 Dec 2008 (8 years)" in words_of(done)
    assert "Nothing was measured: every day was drawn." in words_of(done)


def test_warmer_years_are_warmer_by_what_was_said(folder):
    """`--warmer 2` moves the middle year's mean by 2 C and leaves rain; the comparison stays that of the record's climate."""
    args = ("--json", "--no-report", "--draw", 30)
    plain, warm = (json.loads(run(folder, *args, *more).output)["drawn"] for more in ((), ("--warmer", "2")))
    assert warm["year"]["tmean_c"]["middle"] - plain["year"]["tmean_c"]["middle"] == pytest.approx(2, abs=0.002)
    assert warm["year"]["rain_mm"] == plain["year"]["rain_mm"]
    assert warm["statistics"] == plain["statistics"]
    assert any("Warmed by 2 C" in note for note in warm["notes"])
    twelve = "0,0,0,0,0,0,0,0,0,0,0,12"
    assert run(folder, "--draw", 3, "--no-report", "--warmer", twelve).exit_code == 2
    months = json.loads(run(folder, *args, "--warmer", twelve.replace("12", "6")).output)["drawn"]
    shift = months["year"]["tmean_c"]["middle"] - plain["year"]["tmean_c"]["middle"]
    assert shift == pytest.approx(6 * 31 / 365, abs=0.15)


def test_a_holding_without_a_file_draws_from_normals(folder):
    """Drawn from normals, the notes say whose, and that the spread is a default; the comparison is with the normals."""
    (folder / "weather.csv").unlink()
    done = run(folder, "--draw", 20)
    assert done.exit_code == 0, done.output
    said = words_of(done)
    assert "generator from normals of" in said
    assert "spread between months and between years are invented" in said
    assert "Weather borrowed from the normals of" in said
    assert "Drawn years against the normals" in (folder / "out" / "weather.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--warmer", "2"), "goes with --draw"),
        (("--write", "x.csv"), "goes with --draw"),
        (("--draw", "0"), "greater than or equal to 1"),
        (("--draw", "3", "--warmer", "1,2"), "neither one number of degrees nor twelve"),
        (("--draw", "3", "--warmer", "nan"), "neither one number of degrees nor twelve"),
        (("--draw", "3", "--warmer", "warm"), "neither one number of degrees nor twelve"),
    ],
)
def test_options_that_mean_nothing_are_refused(folder, words, said):
    """A switch without drawn years, no years, and degrees that are none end with code 2 and words; nothing is written."""
    done = run(folder, *words)
    assert done.exit_code == 2
    assert said in " ".join(re.sub(r"[│╭╮╰╯─]", " ", done.output).split())
    assert not (folder / "out").exists()


def test_measured_days_are_never_replaced(folder, tmp_path):
    """A sheet that exists and the holding's own weather are left alone, whatever else was asked."""
    before = (folder / "weather.csv").read_bytes()
    (tmp_path / "there.csv").write_text("mine", encoding="utf-8")
    for path in (folder / "weather.csv", folder / "weather.drawn", tmp_path / "there.csv"):
        done = run(folder, "--draw", 3, "--write", path)
        assert done.exit_code == 2
        assert "measured days are not replaced" in words_of(done)
    assert (folder / "weather.csv").read_bytes() == before
    assert (tmp_path / "there.csv").read_text(encoding="utf-8") == "mine"
    assert sorted(path.name for path in folder.glob("weather.*")) == ["weather.csv"]


def test_a_desert_without_rain_is_drawn(folder):
    """Six years without a drop: what rain would have told is left out of the table, and the rest stands."""
    path = folder / "weather.csv"
    head, *days = path.read_text(encoding="utf-8").split("\n", 2)[1:]
    rows = [line.split(",") for line in days[0].splitlines()]
    at = head.split(",").index("rain_mm")
    dry = [",".join([*row[:at], "0.0", *row[at + 1 :]]) for row in rows if row[0] < "2019"]
    path.write_text("\n".join([head, *dry]) + "\n", encoding="utf-8")
    done = run(folder, "--draw", 8, "--json", "--no-report")
    assert done.exit_code == 0
    rain = [one for one in json.loads(done.stdout)["drawn"]["statistics"] if one["name"] == "mean rain"]
    assert len(rain) == 12
    assert all(one["drawn"] == 0.0 for one in rain)


def test_a_short_record_is_refused_with_the_way_out(folder):
    """Three years are too few to fit to: code 2, and the remedy names normals.csv."""
    lines = (folder / "weather.csv").read_text(encoding="utf-8").splitlines()
    (folder / "weather.csv").write_text("\n".join(lines[:1100]) + "\n", encoding="utf-8")
    done = run(folder, "--draw", 3)
    assert done.exit_code == 2
    assert "at least 4 whole years" in words_of(done)
    assert "normals.csv" in words_of(done)


def test_progress_is_for_eyes_only(capsys, monkeypatch):
    """A line of progress goes to a terminal's standard error and away again; a pipe sees nothing."""
    monkeypatch.setattr(told, "AFTER_S", -1.0)
    with told.progress("years drawn", 4000) as tell:
        tell(200)
    assert capsys.readouterr().err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    with told.progress("years drawn", 4000) as tell:
        tell(200)
    assert "200 of 4,000 years drawn (Ctrl-C stops)" in capsys.readouterr().err
