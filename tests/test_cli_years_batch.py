"""`yardland years` over several holdings: a row for each, one that fails stops no other, what cannot be asked is refused."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.cli import years_batch, years_run
from yardland.cli.main import app
from yardland.errors import Fault, InputFaults
from yardland.larderyears.asked import BURN_IN, MOST_COUNT, Asked
from yardland.larderyears.places import PlaceGone
from yardland.larderyears.result import Odds, odds_of
from yardland.larderyears.row import COLUMNS, fault_row
from yardland.larderyears.run import run_years
from yardland.larderyears.terms import terms_of
from yardland.reference import load_tables
from yardland.report.rows_file import check_rows_file, write_rows
from yardland.report.years_lines import years_lines

ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40", "--area", "0.4 ha"]
SMALL = ["--count", "2", "--chain", "1", "--jobs", "1", "--quick", "--no-standard", "--no-causes"]


def call(*words: str) -> tuple[int, str, str]:
    """Run the command: exit code, standard output, standard error."""
    answer = CliRunner().invoke(app, ["years", *words])
    return answer.exit_code, answer.stdout, answer.stderr


@pytest.fixture(scope="module")
def brook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `yardland new` writes for two people on 0.4 ha."""
    place = tmp_path_factory.mktemp("batch") / "brook"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    return place


@pytest.fixture(scope="module")
def odds(brook: Path) -> Odds:
    """Two years of it."""
    holding = yardland.load(brook)
    asked = Asked(count=2, chain_years=1, quick=True)
    return odds_of(run_years(holding, load_tables(own=holding.own), asked))


def test_one_that_fails_stops_no_other(brook: Path, odds: Odds, tmp_path: Path) -> None:
    """The missing holding has its fault in its row and on standard error; the other its numbers; the exit code is 2."""
    table = tmp_path / "rows.csv"
    code, out, err = call(str(tmp_path / "nowhere"), str(brook), *SMALL, "--table", str(table))
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))

    assert code == 2
    assert "nowhere" in err
    assert len(out.splitlines()) == 2
    assert [row["folder"] for row in rows] == [str(tmp_path / "nowhere"), str(brook)]
    assert "nowhere" in rows[0]["fault"]
    assert rows[0]["reliability"] == ""
    assert rows[1]["fault"] == ""
    assert float(rows[1]["reliability"]) == odds.reliability.value
    assert float(rows[1]["reliability_interval_low"]) == odds.reliability.low
    assert [float(rows[1][f"short_probability_{month.name.lower()}"]) for month in odds.months] == [
        one.value for one in odds.short_probability
    ]
    assert float(rows[1]["store_days_jan"]) == pytest.approx(
        odds.stock_days[1, [month.name for month in odds.months].index("Jan")]
    )


def test_what_an_earlier_run_kept_is_taken_up_unless_asked_anew(brook: Path) -> None:
    """The same question again takes up every chain, and gives the same numbers; `--anew` takes up none."""
    told = [json.loads(call(str(brook), *SMALL, "--json", *more)[1]) for more in ([], [], ["--anew"])]
    taken = [one.pop("chains_taken_up") for one in told]
    for one in told:
        del one["wall_s"]

    assert taken[1] > 2
    assert taken[2] == 0
    assert told[0] == told[1] == told[2]


class Broken:
    """A runner whose cluster goes away with the first holding."""

    gone = False

    def answer(self, folder: Path, of: str = "") -> Any:
        """No answer."""
        raise PlaceGone([Fault("--scheduler x", "the cluster", f"none for {folder}{of}", "one", "Start it.")])

    def reopen(self) -> None:
        """There is none."""
        self.gone = True


def test_a_cluster_that_is_gone_ends_a_batch_with_a_row_for_each(tmp_path: Path) -> None:
    """The holding at which it went has the fault; the others say that they were not run; nothing waits."""
    table = tmp_path / "rows.csv"
    folders = [tmp_path / name for name in ("a", "b", "c")]
    code = years_batch.batch(Broken(), folders, table, as_json=False)  # type: ignore[arg-type]
    with table.open(encoding="utf-8", newline="") as file:
        faults = [row["fault"] for row in csv.DictReader(file)]

    assert code == 2
    assert "the cluster" in faults[0]
    assert faults[1:] == [years_batch.NOT_RUN] * 2


def test_a_failure_of_ours_is_a_row_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of the program in one holding is told in its row, and the exit code is 3."""

    def fails(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr(years_run.Runner, "answer", fails)
    code, out, err = call(str(tmp_path / "a"), str(tmp_path / "b"), *SMALL)

    assert code == 3
    assert err.count("ZeroDivisionError") == 2
    assert len(out.splitlines()) == 2


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["{here}", "{here}/."], "twice"),
        (["{here}", "{here}/a", "--against", "{here}/b"], "one holding to compare"),
        (["{here}", "--table", "{here}/none/rows.csv"], "no folder"),
        (["{here}", "--table", "{here}/rows.xlsx"], ".parquet"),
        (["{here}", "--table", "{here}/rows"], "no ending"),
        (["{here}", "--scheduler", "banana"], "tcp://"),
        (["{here}", "--scheduler", "tcp://127.0.0.1:1", "--jobs", "2"], "one of them"),
        (["{here}", "--count", "0"], "found 0 years; expected 2 to 100,000. Ask for more"),
        (["{here}", "--count", "1"], "found 1 year; expected 2 to 100,000. Ask for more"),
        (["{here}", "--count", "10000000"], "found 10,000,000 years; expected 2 to 100,000. Ask for fewer"),
    ],
)
def test_what_cannot_be_asked_is_refused(words: list[str], told: str, tmp_path: Path) -> None:
    """Folders twice, two comparisons, tables that cannot be, nonsense addresses and counts end in words and exit code 2."""
    code, out, err = call(*[word.format(here=tmp_path) for word in words])

    assert code == 2
    assert out == ""
    assert told in " ".join(err.split())


def test_chains_of_one_year_count_the_year_between_their_beginning_and_their_last(odds: Odds) -> None:
    """Three years burn in and the last never counts, also of a chain of one; the heading does not say that they follow one another."""
    lines = [text for text, _ in years_lines(odds, terms_of(odds), None, None, 80)]
    run = odds.years

    assert lines[0] == "BROOK: 2 YEARS, EACH IN A CHAIN OF ITS OWN"
    assert (run.counted.start, run.counted.stop) == (BURN_IN, BURN_IN + 1)
    assert [len(one.coverage) for one in run.chains] == [BURN_IN + 2] * 2
    assert odds.reliability.trials == odds.reliability.chains == 2
    assert run.stacked("shortfall").ravel().tolist() == [float(one.shortfall[BURN_IN]) for one in run.chains]


def test_python_refuses_counts_that_cannot_be(brook: Path) -> None:
    """No year, and over the most, are errors that name both."""
    holding = yardland.load(brook)
    for count in (0, MOST_COUNT + 1):
        with pytest.raises(ValueError, match="expected 1 to 100,000"):
            yardland.years(holding, count=count)


def test_parquet_has_a_type_for_every_column(tmp_path: Path) -> None:
    """A table of faults alone has numbers where others have numbers, so that tables of many batches can be joined."""
    from pyarrow import parquet

    path = tmp_path / "rows.parquet"
    write_rows(path, [fault_row("a", "none")], COLUMNS, {"schema": "one"})
    read = parquet.read_table(path)

    assert read.column_names == list(COLUMNS)
    assert str(read.schema.field("reliability").type) == "double"
    assert str(read.schema.field("count").type) == "int64"
    assert read.to_pylist()[0]["reliability"] is None
    assert read.schema.metadata[b"schema"] == b"one"


def test_without_the_library_parquet_is_refused_before_any_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where pyarrow is missing the fault names the extra and the other ending."""
    monkeypatch.setitem(__import__("sys").modules, "pyarrow", None)
    with pytest.raises(InputFaults, match=r"yardland\[tables\].*\.csv"):
        check_rows_file(tmp_path / "rows.parquet")


def test_results_are_arrays_and_tables_with_units(odds: Odds, tmp_path: Path) -> None:
    """The dataset and the table say what the run says, survive their files, and carry units and seed."""
    import pandas as pd
    import xarray as xr

    data, table = odds.dataset(), odds.frame()
    odds.to_netcdf(tmp_path / "years.nc")
    odds.to_parquet(tmp_path / "years.parquet")
    with xr.open_dataset(tmp_path / "years.nc", engine="scipy") as read:
        assert np.array_equal(read["coverage"], odds.years.stacked("coverage"))
        assert read.attrs["seed"] == 1
    back = pd.read_parquet(tmp_path / "years.parquet")

    assert all("units" in variable.attrs for variable in data.data_vars.values())
    assert data["store_days"].dims == ("chain", "year", "month")
    assert len(table) == odds.reliability.trials
    assert (back == table).all(axis=None)
    assert (table["short_months"] == 0).mean() == pytest.approx(odds.reliability.value)
