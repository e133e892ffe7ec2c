"""Every folder under tests/bad is refused with the faults of its expected.txt, and no other."""

import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from yardland.cli.main import app
from yardland.errors import Fault, InputFaults
from yardland.holding.known import known_names
from yardland.holding.read import check_holding, read_holding
from yardland.reference import load_tables
from yardland.weather.read import load_weather

BAD = Path(__file__).parent / "bad"
FOLDERS = sorted(path for path in BAD.iterdir() if path.is_dir())
SOUND = BAD / "weather-empty"


@pytest.fixture(scope="module")
def known():
    """Names of the shipped tables."""
    return known_names(load_tables)


def faults_of(folder: Path, known) -> list[Fault]:
    """Faults of the plan; of the weather when the plan has none."""
    faults = check_holding(folder, known)
    if not faults:
        try:
            load_weather(read_holding(folder, known))
        except InputFaults as error:
            return list(error.faults)
    return faults


def expected_of(folder: Path) -> list[list[str]]:
    """Lines of expected.txt: file, part of the place, part of the message."""
    lines = (folder / "expected.txt").read_text(encoding="utf-8").splitlines()
    return [line.split(" | ") for line in lines if line and not line.startswith("#")]


@pytest.fixture
def sound(tmp_path):
    """A copy of the plan that the bad folders are made from, without its fault."""
    folder = tmp_path / "sound"
    shutil.copytree(SOUND, folder)
    (folder / "weather.csv").unlink()
    return folder


def test_there_are_folders_enough():
    """At least forty faults have a folder of their own."""
    assert len(FOLDERS) >= 40


def test_the_plan_without_its_fault_is_sound(sound, known):
    """The plan that the folders share passes, so each fault found is the one put in."""
    assert check_holding(sound, known) == []


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_each_fault_is_told(folder, known):
    """A bad folder gives the faults that it is named for: file, place, message; none is missing, none is added."""
    faults = faults_of(folder, known)
    expected = expected_of(folder)
    assert expected
    assert len(faults) == len(expected), [str(fault) for fault in faults]
    for file, where, phrase in expected:
        assert any(fault.file == file and where in fault.where and phrase in str(fault) for fault in faults), (
            f"{file} | {where} | {phrase} not in {[str(fault) for fault in faults]}"
        )


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_each_fault_has_a_remedy(folder, known):
    """Every fault says what was found, what was expected, and what to do, on one line without a traceback."""
    for fault in faults_of(folder, known):
        assert all((fault.file, fault.where, fault.found, fault.expected, fault.remedy))
        assert fault.remedy.endswith((".", "?"))
        assert "\n" not in str(fault)
        assert "Traceback" not in str(fault)
        assert len(str(fault)) < 600


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_the_command_refuses_it(folder):
    """`yardland check` ends with code 2 and tells each fault on standard error, without a traceback."""
    result = CliRunner().invoke(app, ["check", str(folder)])
    assert result.exit_code == 2
    assert "found:" in result.stderr
    assert "Traceback" not in result.output
    assert all(file in result.stderr for file, _, _ in expected_of(folder))


@pytest.mark.parametrize("name", ["holding.toml", "plantings.csv", "land.geojson", "weather.csv"])
def test_a_file_of_fifty_megabytes_is_refused_unread(sound, known, name):
    """A file over 20 MB is refused by its size, before anything is read of it."""
    with (sound / name).open("wb") as file:
        file.truncate(50_000_000)
    [fault] = check_holding(sound, known)
    assert (fault.file, fault.found, fault.expected) == (name, "50 MB", "at most 20 MB")


@pytest.mark.parametrize("name", ["holding.toml", "own.csv", "land.geojson", "normals.csv", "weather.csv"])
def test_a_link_that_climbs_out_is_refused(sound, known, name, tmp_path):
    """A file that is a link to somewhere outside the folder is refused, whether its target is there or not."""
    outside = tmp_path / "outside.txt"
    outside.write_text("secret\n", encoding="utf-8")
    for target in (outside, tmp_path / "nothing"):
        (sound / name).unlink(missing_ok=True)
        (sound / name).symlink_to(target)
        [fault] = check_holding(sound, known)
        assert fault.file == name
        assert fault.found == "a path that climbs out of the folder"
        assert "secret" not in str(fault)


def test_a_folder_in_the_place_of_a_file_is_refused(sound, known):
    """A folder called trades.csv is not read as a sheet."""
    (sound / "trades.csv").mkdir()
    [fault] = check_holding(sound, known)
    assert (fault.file, fault.found) == ("trades.csv", "no plain file")


@pytest.mark.parametrize("make", [str, lambda path: path.write_text("x", encoding="utf-8")])
def test_a_folder_that_is_none_is_refused(tmp_path, known, make):
    """A path that leads nowhere, or to a file, is a fault and not an error."""
    path = tmp_path / "nowhere"
    make(path)
    [fault] = check_holding(path, known)
    assert fault.expected == "a holding folder"
    with pytest.raises(InputFaults, match="a holding folder"):
        read_holding(path, known)


def test_thousands_of_faults_are_counted_not_listed(sound, known):
    """A sheet with a fault in each of its many lines gives the first two hundred, and the number of the rest."""
    header = "plot,crop,share\n"
    (sound / "plantings.csv").write_text(header + "field,oats,nan\n" * 900, encoding="utf-8")
    faults = check_holding(sound, known)
    assert len(faults) == 201
    assert faults[-1].found == "700 faults more"


def test_a_sheet_of_endless_rows_is_cut(sound, known):
    """A sheet over two thousand rows is refused."""
    (sound / "stores.csv").write_text("good,kg\n" + "potato,1\n" * 2_001, encoding="utf-8")
    [fault] = check_holding(sound, known)
    assert (fault.where, fault.found, fault.expected) == ("line 2002", "2001 rows", "at most 2000")
