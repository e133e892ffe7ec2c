"""`yardland crop` as a user meets it: words, a page, one JSON object, faults."""

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
    shutil.copytree(EXAMPLES / "casa-vereda", folder, ignore=shutil.ignore_patterns("out"))
    return folder


def run(*words: object):
    """The command in this process."""
    return CliRunner().invoke(app, [str(word) for word in words])


def test_a_crop_is_shown_and_its_page_written(farm) -> None:
    """The summary fits 80 columns and names window, yield, limits and the page, which is there."""
    done = run("crop", "winter wheat", "--at", farm)

    assert done.exit_code == 0
    for words in (
        "CASA VEREDA: WINTER WHEAT",
        "Sowing window:",
        "Yield:",
        "What limited it:",
        "When:",
        "Nitrogen:",
        "Stood",
    ):
        assert words in done.output
    assert all(len(line) <= 80 for line in done.output.splitlines() if not line.startswith("Page: "))
    assert (farm / "out" / "crop-winter_wheat.html").read_text(encoding="utf-8").startswith("<!doctype html>")


def test_json_is_one_object_of_the_year_asked_for(farm) -> None:
    """--json prints one object; --weather chooses the year of the days; --no-report writes nothing."""
    done = run("crop", "sorghum", "--at", farm, "--weather", 2016, "--json", "--no-report")
    data = json.loads(done.output)

    assert (done.exit_code, data["crop"], data["label"]) == (0, "sorghum", "2016-04 to 2017-03")
    assert data["plantings"][0]["days"]["day"][0] == data["plantings"][0]["sow"]
    assert not (farm / "out").exists()


def test_a_crop_outside_the_plan_is_tried_and_said(farm) -> None:
    """A crop that the plan lacks is tried on its first plot of crops."""
    done = run("crop", "lentil", "--at", farm, "--no-report")

    assert done.exit_code == 0
    assert "The plan has no lentil. A trial of 100 m2 on trigal" in " ".join(done.output.split())


def test_forage_is_told_by_its_months(farm) -> None:
    """Red clover, which the plan lacks, is tried: months in words, a page, one JSON object; lucerne is the plan's own field."""
    done = run("crop", "red clover", "--at", farm)
    data = json.loads(run("crop", "alfalfa", "--at", farm, "--json", "--no-report").output)

    assert done.exit_code == 0
    for words in ("CASA VEREDA: ", "A trial of 100 m2", "Grazed", "Withered", "Nitrogen:"):
        assert words in done.output
    assert (farm / "out" / "crop-red_clover.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert [(one["plot"], one["use"]) for one in data["plantings"]] == [("alfalfal", "grazed and shut up for hay")]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("crop", "potatos", "--at"), "potato"),
        (("crop", "potato", "--weather", "1901", "--at"), "one of 2013"),
    ],
)
def test_faults_are_told_in_words(farm, words, said) -> None:
    """A misspelt crop and a year that the record lacks end with 2 and a remedy."""
    done = run(*words, farm)

    assert done.exit_code == 2
    assert said in done.output
    assert "Traceback" not in done.output
