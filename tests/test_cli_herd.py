"""`yardland herd` as a user meets it: words, a page, one JSON object, faults."""

from __future__ import annotations

import json
import shutil

import pytest
from conftest import EXAMPLES
from typer.testing import CliRunner

from yardland.cli.main import app


@pytest.fixture
def farm(tmp_path):
    """A copy of a demonstration holding without what was written before."""
    folder = tmp_path / "farm"
    shutil.copytree(EXAMPLES / "tarn-hollow", folder, ignore=shutil.ignore_patterns("out"))
    return folder


def run(*words: object):
    """The command in this process."""
    return CliRunner().invoke(app, [str(word) for word in words])


def test_a_group_is_shown_and_its_page_written(farm) -> None:
    """The summary fits 80 columns, names plan, heads, dates, feed, products, manure and money, and the page is there."""
    done = run("herd", "Hens", "--at", farm, "--years", 3, "--chains", 5)
    said = " ".join(done.output.split())

    assert done.exit_code == 0
    for words in (
        "TARN HOLLOW: HENS",
        "a preview: every year alike",
        "3 years in 5 chains",
        "Keeps: 18 dual-purpose hens and 2 breeding cockerels.",
        "18 wanted;",
        "hatched",
        "Wheat grain",
        "Eggs:",
        "under a roof",
        "eggs laid a bird and year",
        "Findings",
    ):
        assert words in said
    assert all(len(line) <= 80 for line in done.output.splitlines() if not line.startswith("Page: "))
    assert (farm / "out" / "herd-hens.html").read_text(encoding="utf-8").startswith("<!doctype html>")


def test_json_is_one_object_with_the_years_asked_for(farm) -> None:
    """--json prints one object of the year and the drawn years that were asked for; --no-page writes nothing."""
    words = ("herd", "hives", "--at", farm, "--years", 2, "--chains", 3, "--weather", 2016, "--json", "--no-page")
    first = run(*words)
    data = json.loads(first.output)
    other = json.loads(run(*words, "--seed", 9).output)

    assert (first.exit_code, data["schema"], data["label"]) == (0, "yardland.herd/1", "2016-10 to 2017-09")
    assert (data["years"]["count"], data["years"]["chains"]) == (2, 3)
    assert len(data["heads"]["honeybee_colony"]) == 52
    assert data["feed_kg"] == {}
    assert json.loads(run(*words).output) == data
    assert (data["heads"], other["years"]["seed"]) == (other["heads"], 9)
    assert not (farm / "out").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("herd", "hen", "--at"), "hens"),
        (("herd", "unicorns", "--at"), "Use a known group: cow, ewes, geese, hens, hives."),
        (("herd", "hens", "--weather", "1901", "--at"), "one of 2"),
        (("herd", "hens", "--years", "0", "--at"), "--years"),
    ],
)
def test_faults_are_told_in_words(farm, words, said) -> None:
    """A misspelt group, one that is not there, a year that the record lacks and no years end with 2 and words."""
    done = run(*words, farm)

    assert done.exit_code == 2
    assert said in " ".join(done.output.split())
    assert "Traceback" not in done.output
