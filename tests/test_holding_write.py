"""Writing: whatever fails on the way, a reader finds the old file or the new one, whole."""

import os
import subprocess
import sys
import textwrap

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.holding import write
from yardland.holding.write import write_text

STEPS = ("tempfile.mkstemp", "os.fdopen", "os.fsync", "Path.chmod", "Path.replace", "_sync_folder")
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=200)


class PowerCut(BaseException):
    """Nobody catches this one on purpose."""


def fail(*_args, **_kwargs):
    """Stands for a step at which the machine stops."""
    raise PowerCut


def cut_at(monkeypatch, step):
    """Make one step of the writing fail."""
    owner, _, name = step.rpartition(".")
    target = {"tempfile": write.tempfile, "os": write.os, "Path": write.Path, "": write}[owner]
    monkeypatch.setattr(target, name, fail)


@given(old=texts, new=texts)
def test_what_is_written_is_read_back(tmp_path_factory, old, new):
    """The new text replaces the old, byte for byte, and nothing is left beside it."""
    path = tmp_path_factory.mktemp("write") / "own.csv"
    write_text(path, old)
    write_text(path, new)
    assert path.read_bytes() == new.encode("utf-8")
    assert [file.name for file in path.parent.iterdir()] == ["own.csv"]


@pytest.mark.parametrize("step", STEPS)
@given(old=texts, new=texts)
def test_a_failure_at_any_step_leaves_one_of_the_two_whole(tmp_path_factory, step, old, new):
    """Where a step fails the file is the old or the new one, and no part of another file stays behind."""
    path = tmp_path_factory.mktemp("write") / "own.csv"
    write_text(path, old)
    with pytest.MonkeyPatch.context() as monkeypatch:
        cut_at(monkeypatch, step)
        with pytest.raises(PowerCut):
            write_text(path, new)
    expected = new if step == "_sync_folder" else old
    assert path.read_bytes() == expected.encode("utf-8")
    assert [file.name for file in path.parent.iterdir()] == ["own.csv"]


@pytest.mark.parametrize("step", ["os.fsync", "Path.chmod", "Path.replace"])
def test_a_process_that_dies_at_a_step_leaves_the_old_file(tmp_path, step):
    """A process killed in the middle, with no time to tidy up, leaves the old file whole."""
    path = tmp_path / "own.csv"
    write_text(path, "old\n")
    code = textwrap.dedent(f"""
        import os, pathlib
        from yardland.holding import write
        owner, _, name = {step!r}.rpartition(".")
        target = {{"os": write.os, "Path": pathlib.Path}}[owner]
        setattr(target, name, lambda *args, **kwargs: os._exit(7))
        write.write_text(pathlib.Path({str(path)!r}), "new" * 100000)
    """)
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 7
    assert path.read_text(encoding="utf-8") == "old\n"
    write_text(path, "later\n")
    assert path.read_text(encoding="utf-8") == "later\n"


@pytest.mark.skipif(os.name != "posix", reason="file modes are POSIX")
def test_the_mode_of_the_old_file_is_kept(tmp_path):
    """A file that only its owner may read stays so; a new file may be read by others."""
    path = tmp_path / "own.csv"
    write_text(path, "a")
    assert path.stat().st_mode & 0o777 == 0o644
    path.chmod(0o600)
    write_text(path, "b")
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_folder_that_is_not_there_is_an_error(tmp_path):
    """Nothing is written where no folder is, and the folder is named, not the file that was to stand beside."""
    with pytest.raises(FileNotFoundError) as told:
        write_text(tmp_path / "no" / "own.csv", "x")
    assert told.value.filename == str(tmp_path / "no")
