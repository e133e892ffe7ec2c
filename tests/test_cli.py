"""The command line as a user meets it: real processes, exit codes, faults in words, one JSON object."""

from __future__ import annotations

import fcntl
import json
import os
import pty
import re
import shutil
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
TARN = ROOT / "examples" / "tarn-hollow"
RUN = [sys.executable, "-c", "from yardland.cli.main import main; main()"]
NEW = ["--place", "54.4,-2.9", "--name", "Brook", "--country", "GB", "--people", "f38,m40,f7", "--area", "1.2 ha"]


def run(*words: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """A command in a process of its own, with nobody at the keyboard."""
    return subprocess.run(
        [*RUN, *map(str, words)], cwd=cwd, capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL, timeout=120
    )  # fmt: skip


def test_help_names_every_command() -> None:
    """The help names each command in one line."""
    done = run("--help")

    assert done.returncode == 0
    for name in ("demo", "new", "check", "weather", "crop", "why", "year"):
        assert f"\n  {name} " in done.stdout


@pytest.mark.parametrize("name", ["demo", "new", "check", "weather", "crop", "why", "year"])
def test_every_command_shows_an_example_with_its_output(name: str) -> None:
    """The help of a command holds a whole call and what it prints, in 80 columns."""
    done = run(name, "--help")

    assert f"$ yardland {name}" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 90


def test_help_imports_nothing_heavy() -> None:
    """Asking for help loads no numpy, pydantic, Jinja or rich."""
    code = "import sys\nfrom yardland.cli.main import app\ntry:\n    app(['--help'])\nexcept SystemExit:\n    print(sorted(sys.modules), file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stderr.replace("'", "").strip("[]\n").split(", "))

    assert "typer" in loaded
    assert loaded.isdisjoint({"numpy", "pydantic", "jinja2", "rich", "numba", "highspy", "pandas", "shapely", "scipy"})


def test_the_version_is_printed() -> None:
    """--version says which yardland this is."""
    from yardland import __version__

    assert run("--version").stdout == f"yardland {__version__}\n"


def test_an_unknown_command_is_a_fault_of_the_input() -> None:
    """A misspelt command exits with 2 and no traceback."""
    done = run("yaer", "x")

    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_a_new_holding_passes_its_own_check(tmp_path: Path) -> None:
    """What `new` writes, `check` finds no fault in, and says what it understood."""
    made = run("new", "brook", *NEW, cwd=tmp_path)
    checked = run("check", "brook", cwd=tmp_path)

    assert made.returncode == 0, made.stderr
    assert "brook is written" in made.stdout
    assert checked.returncode == 0, checked.stderr
    lines = checked.stdout.splitlines()
    assert lines[0] == "no fault found"
    assert "3 people" in lines[1]
    assert "1.20 ha" in lines[1]
    assert lines[3].startswith("weather: normals of ")


def test_new_names_every_missing_answer_when_nobody_can_be_asked(tmp_path: Path) -> None:
    """Without a terminal each missing answer is a fault, all at once, and nothing is written."""
    done = run("new", "brook", "--name", "Brook", cwd=tmp_path)

    assert done.returncode == 2
    assert done.stderr.startswith("4 faults found")
    assert all(f"--{name}" in done.stderr for name in ("place", "country", "people", "area"))
    assert list(tmp_path.iterdir()) == []


def test_new_leaves_a_folder_with_something_in_it_alone(tmp_path: Path) -> None:
    """A folder that is not empty is refused, and its file keeps its words."""
    (tmp_path / "note.txt").write_text("mine", encoding="utf-8")
    done = run("new", tmp_path, *NEW)

    assert done.returncode == 2
    assert [path.name for path in tmp_path.iterdir()] == ["note.txt"]
    assert (tmp_path / "note.txt").read_text(encoding="utf-8") == "mine"


def test_check_reports_faults_of_plan_and_weather_together(tmp_path: Path) -> None:
    """Faults of several files come in one answer: exit 2, each with what was found and a remedy, as text and as JSON."""
    folder = tmp_path / "faulty"
    shutil.copytree(TARN, folder)
    plan = (folder / "holding.toml").read_text(encoding="utf-8")
    (folder / "holding.toml").write_text(plan.replace('texture = "loam"', 'texture = "laom"'), encoding="utf-8")
    weather = (folder / "weather.csv").read_text(encoding="utf-8").splitlines()
    (folder / "weather.csv").write_text("\n".join(weather[:400] + weather[500:]), encoding="utf-8")
    done, data = run("check", folder), run("check", folder, "--json")

    assert done.returncode == data.returncode == 2
    assert done.stdout == ""
    assert "laom" in done.stderr
    assert "weather.csv" in done.stderr
    assert "Traceback" not in done.stderr
    told = json.loads(data.stdout)
    assert told["schema"] == "yardland.check/1"
    assert {fault["file"] for fault in told["faults"]} == {"holding.toml", "weather.csv"}
    assert all(fault["remedy"] for fault in told["faults"])


def test_check_reports_a_record_without_a_whole_larder_year(tmp_path: Path) -> None:
    """A calendar year of days holds no larder year from October on: `check` says so, as `year` would."""
    folder = tmp_path / "short"
    shutil.copytree(TARN, folder)
    lines = (folder / "weather.csv").read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line[:1].isdigit() or line.startswith("2014")]
    (folder / "weather.csv").write_text("\n".join(kept), encoding="utf-8")
    done = run("check", folder)

    assert done.returncode == 2
    assert "2014-01-01 to 2014-12-31" in done.stderr
    assert "10-01 (place.year_starts)" in done.stderr


def test_a_folder_that_is_not_there_is_a_fault(tmp_path: Path) -> None:
    """`check` and `year` of nothing exit with 2 and say so."""
    for command in ("check", "year"):
        done = run(command, tmp_path / "nowhere")

        assert done.returncode == 2
        assert "1 fault found" in done.stderr
        assert "Traceback" not in done.stderr


def test_why_prints_a_figure_with_source_and_standing() -> None:
    """A figure's key gives value, unit, source and standing, as text and as JSON."""
    done = run("why", "foods.potato.energy_kcal")
    data = json.loads(run("why", "foods.potato.energy_kcal", "--json").stdout)

    assert "foods.potato.energy_kcal = 77 kcal" in done.stdout
    assert "Source: USDA" in done.stdout
    assert "Standing: published" in done.stdout
    assert (data["schema"], data["value"], data["standing"]) == ("yardland.why/1", 77, "published")


def test_why_of_an_unknown_key_names_the_nearest() -> None:
    """A misspelt figure is a fault of the input that names the right one."""
    done = run("why", "foods.potto.energy_kcal")

    assert done.returncode == 2
    assert "foods.potato.energy_kcal" in done.stderr


def test_why_of_a_result_asks_for_the_holding() -> None:
    """A result belongs to a holding; without one the command says how to name it."""
    done = run("why", "harvest.north.potato")

    assert done.returncode == 2
    assert "--at DIR" in done.stderr


def test_why_tells_the_users_own_figure(tmp_path: Path) -> None:
    """With --at, a figure that own.csv overrides is shown with its line and reason."""
    folder = tmp_path / "own"
    shutil.copytree(TARN, folder)
    (folder / "own.csv").write_text("key,value,why\nfoods.potato.energy_kcal,80,our own test\n", encoding="utf-8")
    done = run("why", "foods.potato.energy_kcal", "--at", folder)

    assert "= 80 kcal" in done.stdout
    assert "our own test" in done.stdout


def test_demo_lists_the_shipped_holdings() -> None:
    """--list names each demonstration with its latitude."""
    lines = run("demo", "--list").stdout.splitlines()

    assert [line.split()[0] for line in lines] == ["casa-vereda", "tarn-hollow"]


def test_an_unknown_demo_is_refused(tmp_path: Path) -> None:
    """A name that is no demonstration exits with 2 and names those there are."""
    done = run("demo", "atlantis", cwd=tmp_path)

    assert done.returncode == 2
    assert "tarn-hollow" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_demo_does_not_write_into_somebody_elses_folder(tmp_path: Path) -> None:
    """A folder that holds something else is left alone."""
    (tmp_path / "here").mkdir()
    (tmp_path / "here" / "note.txt").write_text("mine", encoding="utf-8")
    done = run("demo", "--to", tmp_path / "here")

    assert done.returncode == 2
    assert [path.name for path in (tmp_path / "here").iterdir()] == ["note.txt"]


def test_a_reader_that_goes_away_is_no_failure(tmp_path: Path) -> None:
    """When the pipe is closed early (head), nothing is complained of."""
    command = f"{sys.executable} -c 'from yardland.cli.main import main; main()' why foods.potato.energy_kcal | true"
    done = subprocess.run(
        ["/bin/sh", "-c", command], capture_output=True, text=True, check=False, cwd=tmp_path, env={**os.environ}
    )

    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("key", ["fruit.apples.apple", "money.buy.salt", "feed.hens.laying_hen", "hours.weeding"])
def test_each_kind_of_result_asks_for_its_holding(key: str) -> None:
    """A result's key without a holding is not mistaken for a figure."""
    done = run("why", key)

    assert done.returncode == 2
    assert f"yardland why {key} --at DIR" in " ".join(done.stderr.split())


def test_why_of_no_table_names_the_tables() -> None:
    """A key that begins with no table's name is told which there are."""
    done = run("why", "banana")

    assert done.returncode == 2
    assert "no such table" in done.stderr
    assert all(name in done.stderr for name in ("crops", "foods", "harvest"))


def test_a_narrow_terminal_gets_narrow_lines(tmp_path: Path) -> None:
    """At 50 columns no line is broken by the terminal, and the months stand in two rows of six."""
    folder = tmp_path / "demo"
    run("demo", "--to", str(folder))
    lines = on_terminal(["year", str(folder), "--no-report"], columns=50)
    months = [line.split()[1:] for line in lines if line.startswith("Month")]

    assert max(map(len, lines)) <= 50
    assert [len(row) for row in months] == [6, 6]
    assert months[0][0] == "Oct"


def on_terminal(arguments: list[str], *, columns: int) -> list[str]:
    """What the command writes to a terminal of so many columns, without the marks of emphasis."""
    theirs, ours = pty.openpty()
    fcntl.ioctl(ours, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    environment = {name: value for name, value in os.environ.items() if name not in {"COLUMNS", "LINES"}}
    with subprocess.Popen([*RUN, *arguments], stdout=ours, stdin=ours, env={**environment, "TERM": "xterm"}) as running:
        os.close(ours)
        written = b""
        while True:
            try:
                part = os.read(theirs, 65536)
            except OSError:
                break
            if not part:
                break
            written += part
        assert running.wait() == 0
    os.close(theirs)
    return re.sub(r"\x1b\[[0-9;]*m", "", written.decode()).splitlines()
