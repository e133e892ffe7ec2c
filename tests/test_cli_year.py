"""`yardland year` from a result to terminal, JSON, report and exit code; the reckoning itself is replaced by a made-up year."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fixtures_result import year_result
from typer.testing import CliRunner

from yardland.cli.main import app
from yardland.cli.output import print_lines
from yardland.cli.summary import summary
from yardland.errors import Fault, InputFaults, YardlandError
from yardland.findings.cautions import CAUTION
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.result import Finding, YearResult
from yardland.reference import load_tables
from yardland.report.lookup import Lookup

TARN = Path(__file__).resolve().parents[1] / "examples" / "tarn-hollow"
KEYS = {"schema", "version", "coverage", "months", "stores_kg", "harvest_kg", "feed_kg", "findings", "weather", "seed"}
"""Keys that other programs may rely on."""


class Reckoning:
    """Stands in for the year's reckoning: gives the made-up result, or raises, and notes how it was asked."""

    def __init__(self) -> None:
        self.asked: dict[str, object] = {}
        self.result: YearResult = year_result()
        self.failure: BaseException | None = None

    def __call__(self, _holding: object, _tables: object, **words: object) -> YearResult:
        """What the command calls."""
        self.asked = words
        if self.failure is not None:
            raise self.failure
        return self.result


@pytest.fixture
def reckoning(monkeypatch: pytest.MonkeyPatch) -> Reckoning:
    """The stand-in, in the place of the real one."""
    stand_in = Reckoning()
    monkeypatch.setattr("yardland.findings.collect.run_year", stand_in)
    monkeypatch.setattr("yardland.findings.collect.with_findings", lambda result, _tables: result)
    return stand_in


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of a demonstration holding, without its weather (which the stand-in does not read)."""
    target = tmp_path / "tarn"
    target.mkdir()
    for path in TARN.iterdir():
        if path.is_file() and path.name != "weather.csv":
            (target / path.name).write_bytes(path.read_bytes())
    return target


def call(*words: str | Path) -> tuple[int, str, str]:
    """Exit code, standard output and standard error of a command in this process."""
    done = CliRunner().invoke(app, [str(word) for word in words], catch_exceptions=False)
    return done.exit_code, done.stdout, done.stderr


@pytest.mark.usefixtures("reckoning")
def test_the_summary_says_the_answer_first_and_fits_a_terminal(folder: Path) -> None:
    """Name, answer, months with marks, shortages, levers, dangers, stores, stock, hours, money; 80 columns."""
    code, out, err = call("year", folder, "--no-report")
    lines = out.splitlines()

    assert (code, err) == (0, "")
    assert lines[0] == "SAMPLE CROFT, 2022-10 to 2023-09"
    assert "does not feed its household" in lines[1]
    assert max(map(len, lines)) <= 80
    places = [
        out.index(word)
        for word in (
            "Month",
            "What falls short",
            "What would mend most",
            "Danger",
            "Rule",
            "Stores",
            "Ground",
            "Stock",
            "Works",
            "Money",
        )
    ]
    assert places == sorted(places)
    assert "\x1b" not in out


@pytest.mark.usefixtures("reckoning")
def test_stores_are_told_in_days_that_plates_can_take(folder: Path) -> None:
    """The fullest and the lowest month in days on plates, days by energy beside them, and what the rest is."""
    _, out, _ = call("year", folder, "--no-report")
    words = " ".join(out[out.index("Stores") :].split())

    assert words.startswith(
        "Stores Food that plates can take for 150 days at the end of Oct (240 by energy alone; the rest is mostly swedes and "
        "potatoes); at the lowest for 10 days at the end of Apr (20 by energy alone; most of it "
    )


def test_short_months_are_marked_under_their_names(reckoning: Reckoning, folder: Path) -> None:
    """Each share stands under its month; short and dire ones carry a mark."""
    _, out, _ = call("year", folder, "--no-report")
    lines = out.splitlines()
    at = next(index for index, line in enumerate(lines) if line.startswith("Month"))

    assert lines[at].split()[1:] == [month.name for month in reckoning.result.months]
    assert lines[at + 1].split()[2:] == [
        "100",
        "100",
        "100",
        "100",
        "100",
        "99-",
        "81v",
        "62V",
        "90v",
        "100",
        "100",
        "100",
    ]
    assert lines[at].index("May") + 2 == lines[at + 1].index("62") + 1


@pytest.mark.usefixtures("reckoning")
def test_the_report_is_written_beside_the_plan(folder: Path) -> None:
    """The report is out/year-<label>.html in the holding folder, and its path is said."""
    code, out, _ = call("year", folder)
    path = folder / "out" / "year-2022-10-to-2023-09.html"

    assert code == 0
    assert str(path) in out
    assert path.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert [found.name for found in path.parent.iterdir()] == [path.name]


def test_json_is_one_object_with_the_promised_keys(reckoning: Reckoning, folder: Path) -> None:
    """--json prints one object, all of standard output, with the keys that others rely on."""
    code, out, _ = call("year", folder, "--json", "--no-report")
    data = json.loads(out)

    assert code == 0
    assert set(data) >= KEYS
    assert data["schema"] == "yardland.year/1"
    assert [month["name"] for month in data["months"]] == [month.name for month in reckoning.result.months]
    assert all(len(values) == 12 for values in data["coverage"].values())
    assert data["coverage"]["energy_kcal"][7] == pytest.approx(0.62)
    assert data["short_months"] == ["Apr", "May", "Jun"]
    assert data["people"][0]["energy_mj_per_day"] == pytest.approx(2350 * 0.004184)


@pytest.mark.parametrize(
    ("grades", "code"), [(("danger",), 1), (("rule",), 1), (("short",), 1), (("tight", "note"), 0), ((), 0)]
)
def test_strict_exits_with_one_for_danger_rule_and_short(
    reckoning: Reckoning, folder: Path, grades: tuple[str, ...], code: int
) -> None:
    """--strict is 1 with a danger, rule or short finding and 0 otherwise; without it the year is done in any case."""
    reckoning.result = replace(
        reckoning.result, findings=tuple(one for one in reckoning.result.findings if one.grade in grades)
    )

    assert call("year", folder, "--strict", "--no-report")[0] == code
    assert call("year", folder, "--no-report")[0] == 0


def test_options_reach_the_reckoning(reckoning: Reckoning, folder: Path) -> None:
    """Weather year, seed and opening stores are handed on; nothing is, unless asked."""
    call("year", folder, "--no-report", "--weather", "2019", "--seed", "7", "--from-stores")

    assert reckoning.asked == {"weather_year": 2019, "seed": 7, "from_stores": True}


def test_faults_of_the_reckoning_are_listed(reckoning: Reckoning, folder: Path) -> None:
    """InputFaults end in exit code 2 and a list on standard error."""
    reckoning.failure = InputFaults(
        [
            Fault("weather.csv", "line 9", "rain -3", "0 or more", "Correct it."),
            Fault("trades.csv", "line 2", "x", "y", "Do z."),
        ]
    )
    code, out, err = call("year", folder)

    assert (code, out) == (2, "")
    assert "2 faults found" in err
    assert "found rain -3; expected 0 or more." in err
    assert "Do z." in err


@pytest.mark.parametrize("failure", [ZeroDivisionError("by\nnothing"), YardlandError("no balance"), RuntimeError()])
def test_a_failure_of_ours_is_one_line(reckoning: Reckoning, folder: Path, failure: Exception) -> None:
    """Anything unexpected is one line to report, exit code 3, no traceback."""
    reckoning.failure = failure
    code, _, err = call("year", folder)

    assert code == 3
    assert len(err.splitlines()) == 1
    assert type(failure).__name__ in err


def test_the_traceback_is_there_for_those_who_ask(
    reckoning: Reckoning, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With YARDLAND_DEBUG=1 the error itself comes through."""
    monkeypatch.setenv("YARDLAND_DEBUG", "1")
    reckoning.failure = ZeroDivisionError("here")

    with pytest.raises(ZeroDivisionError, match="here"):
        call("year", folder)


def test_stopping_is_clean(reckoning: Reckoning, folder: Path) -> None:
    """Control-C ends in one line and exit code 130."""
    reckoning.failure = KeyboardInterrupt()
    code, _, err = call("year", folder)

    assert code == 130
    assert err.startswith("Stopped")


@pytest.mark.usefixtures("reckoning")
def test_why_of_a_result_gives_its_sentence(folder: Path) -> None:
    """A result's key prints the sentence that leads to its figures; an unknown one names the nearest."""
    code, out, _ = call("why", "harvest.north.potato", "--at", folder)
    lost, _, err = call("why", "harvest.north.potto", "--at", folder)

    assert code == 0
    assert " ".join(out.split()).startswith("harvest.north.potato: 1,400 kg: 800 m² at 17.5 t/ha")
    assert lost == 2
    assert "harvest.north.potato" in err


@pytest.mark.usefixtures("reckoning")
def test_why_does_not_mind_capitals_and_asks_strikes_for_their_seed(folder: Path) -> None:
    """A key in small letters is found; a strike of a year without strikes is told how to get one."""
    code, out, _ = call("why", "HARVEST.north.Potato", "--at", folder)
    lost, _, err = call("why", "strike.north.potato.late_blight", "--at", folder)

    assert code == 0
    assert out.startswith("harvest.north.potato:")
    assert lost == 2
    assert "--seed 1" in " ".join(err.split())


def test_a_sentence_that_names_a_figure_brings_the_figure(reckoning: Reckoning, folder: Path) -> None:
    """Figures named in a result's sentence are printed below it with source and standing."""
    reckoning.result = replace(
        reckoning.result, why={"store.potato": "kept by stores and worth foods.potato.energy_kcal each."}
    )
    _, out, _ = call("why", "store.potato", "--at", folder)

    assert "foods.potato.energy_kcal = 77 kcal" in out
    assert "Standing: published" in out


@pytest.mark.usefixtures("reckoning")
def test_demo_copies_reckons_and_keeps_changes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first run copies the demonstration; a second one uses the folder with the user's changes in it."""
    monkeypatch.chdir(tmp_path)
    first = call("demo")
    plan = tmp_path / "tarn-hollow" / "holding.toml"
    plan.write_text(plan.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    second = call("demo")

    assert (first[0], second[0]) == (0, 0)
    assert "copied to tarn-hollow" in first[1]
    assert "already in tarn-hollow" in second[1]
    assert plan.read_text(encoding="utf-8").endswith("# mine\n")
    assert (tmp_path / "tarn-hollow" / "out").is_dir()


def test_numbers_that_json_cannot_hold_are_refused() -> None:
    """NaN in a result is an error of ours, never printed."""
    one = year_result()
    broken = replace(one, harvest_kg={"north.potato": float("nan")})

    with pytest.raises(YardlandError, match="nan"):
        year_json(broken)


def test_json_has_no_negative_zero_and_keeps_sums() -> None:
    """Series keep their sums to rounding, and a zero is a plain zero."""
    one = year_result()
    data = year_json(replace(one, money={"buy salt": np.array([-1e-9] + [0.0] * 11)}))

    assert str(data["money"]["buy salt"][0]) == "0.0"  # type: ignore[index]
    assert sum(data["stores_kg"]["oats, dry"]) == pytest.approx(float(one.stores_kg["oats, dry"].sum()), abs=1e-4)  # type: ignore[index]


def test_a_summary_of_an_empty_holding_is_short(capsys: pytest.CaptureFixture[str]) -> None:
    """Rooms with nothing in them are left out of the summary."""
    bare = replace(
        year_result(),
        stores_kg={},
        harvest_kg={},
        plantings=(),
        heads={},
        hours_week={},
        money={},
        findings=(),
        causes=(),
    )
    print_lines(summary(bare, Lookup(load_tables())))
    out = capsys.readouterr().out

    assert "does not feed" in out
    assert not any(word in out for word in ("Stores", "Ground", "Stock", "Works", "Money", "Danger"))


def test_a_place_that_cannot_be_written_to_is_a_fault_of_the_input(reckoning: Reckoning, folder: Path) -> None:
    """When out is a file, the report cannot be written: exit 2, the path and the reason, no traceback."""
    (folder / "out").write_text("in the way", encoding="utf-8")
    code, _, err = call("year", folder)

    assert reckoning.asked
    assert code == 2
    assert "1 fault found" in err
    assert "out" in err


def test_usual_cautions_are_named_in_one_line(reckoning: Reckoning, folder: Path) -> None:
    """What holds for all such work is named in the summary, after the findings of this holding, and told in the report."""
    usual = Finding("note", "Raw milk", "Heat it.", "63 C", "milk", "Ask.", "a code", f"{CAUTION}.raw_milk_heat")
    own = Finding(
        "danger",
        "Geese without enough feed",
        "They go hungry.",
        "65 %",
        "hay ends",
        "Make more hay.",
        "feed table",
        "geese",
    )
    reckoning.result = replace(reckoning.result, findings=(usual, own))
    _, out, _ = call("year", folder)
    report = next((folder / "out").iterdir()).read_text(encoding="utf-8")

    assert "The usual cautions apply: raw milk." in out
    assert out.index("Geese without enough feed") < out.index("usual cautions")
    assert "Heat it." not in out
    assert "Heat it." in report


@pytest.mark.parametrize(
    ("asked", "there", "weeks", "words"),
    [
        (0.17, 0.0, 0, "0.17 of 0 hours."),
        (0.6, 0.0, 52, "0.6 of 0 hours; 52 weeks ask for more than there is."),
        (40.0, 39.0, 52, "40 of 39 hours; 52 weeks ask for more than there is."),
    ],
)
def test_a_week_is_too_full_from_half_an_hour_over(asked: float, there: float, weeks: int, words: str) -> None:
    """The summary counts the weeks that the finding counts, and tells a tiny holding's hours as they are."""
    full = {"hours_week": {"garden": np.full(52, asked)}, "hours_available_week": np.full(52, there)}
    result = replace(year_result(), **full)  # type: ignore[arg-type]

    told = " ".join(line.words.strip() for line in summary(result, Lookup(load_tables())))
    assert result.overfull_weeks() == weeks
    assert words in told
