"""The pages: every page is listed, every link arrives, and what they call by name is there."""

from __future__ import annotations

import re
from dataclasses import asdict
from pathlib import Path

import pytest

from yardland.findings.collect import RULES
from yardland.larder.weights import WEIGHTS
from yardland.reference import load_tables

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = sorted(page.name for page in DOCS.glob("*.md"))
FENCED = re.compile(r"```.*?```", re.DOTALL)


def test_the_index_lists_every_page_once() -> None:
    """docs/README.md links each page beside it, once."""
    listed = re.findall(r"\]\(([\w-]+\.md)\)", (DOCS / "README.md").read_text(encoding="utf-8"))

    assert sorted([*listed, "README.md"]) == PAGES


@pytest.mark.parametrize("page", PAGES)
def test_pages_that_a_page_names_exist(page: str) -> None:
    """A page that is named is there."""
    text = (DOCS / page).read_text(encoding="utf-8")

    for name in re.findall(r"(?:docs/|\()([\w-]+\.md)", text):
        assert (DOCS / name).is_file(), name


@pytest.mark.parametrize("page", PAGES)
def test_functions_that_a_page_calls_by_their_room_exist(page: str) -> None:
    """Every `yardland.room.module.name` of a page can be found in the code."""
    text = FENCED.sub("", (DOCS / page).read_text(encoding="utf-8"))

    for dotted in re.findall(r"yardland((?:\.\w+){2,})", text):
        parts = dotted.strip(".").split(".")
        file = ROOT / "src" / "yardland" / parts[0] / f"{parts[1]}.py"
        assert file.is_file() or (file.parent / parts[1]).is_dir(), dotted
        if len(parts) > 2:
            assert re.search(rf"\b{parts[2]}\b", file.read_text(encoding="utf-8")), dotted


def test_the_page_of_findings_lists_every_rule() -> None:
    """docs/findings.md has a row for each rule that is walked, and no other."""
    listed = re.findall(r"^\| `(\w+\.\w+)` \|", (DOCS / "findings.md").read_text(encoding="utf-8"), re.MULTILINE)

    assert sorted(listed) == sorted(f"{rule.__module__.rpartition('.')[2]}.{rule.__name__}" for rule in RULES)


def test_the_page_of_the_program_prints_its_weights() -> None:
    """docs/larder-program.md gives each weight of the aims its value, and no other."""
    section = (DOCS / "larder-program.md").read_text(encoding="utf-8").partition("## Aims")[2].partition("\n## ")[0]
    printed = {name: float(value) for name, value in re.findall(r"^\| (\w+) \| ([\d.]+) \|", section, re.MULTILINE)}

    assert printed == asdict(WEIGHTS)


def test_the_page_of_anchors_prints_the_low_ones() -> None:
    """docs/growth-anchors.md names every anchor under 0.3, to its rounding."""
    tables, page = load_tables(), (DOCS / "growth-anchors.md").read_text(encoding="utf-8")
    low = {
        tables.row("crops", key).text("common_name").lower(): tables.row("anchors", key).need("anchor")
        for key in tables.keys("anchors")
        if tables.row("anchors", key).need("anchor") < 0.3
    }
    listed = re.search(r"picking season: ([^.]+(?:\.\d+[^.]*)+)\.", page)
    assert listed
    printed = {name.strip().lower(): float(value) for name, value in re.findall(r"([A-Za-z ]+) (0\.\d+)", listed[1])}

    assert printed == pytest.approx(low, abs=0.0051)


def test_growth_figures_that_a_page_prints_are_the_tables() -> None:
    """The windows' page prints the thresholds of the table growth."""
    tables, page = load_tables(), (DOCS / "datebook-windows.md").read_text(encoding="utf-8")
    for key, words in {
        "winter_sowing_opens_c": "falls to {:g} C",
        "winter_sowing_closes_c": "it falls to {:g} C",
        "kill_nights_allowed": "at most {:g} killing nights",
        "days_stretch": "within {:g} times",
        "explicit_wait_days": "up to {:g} days for fit ground",
        "ripe_slack_days": "until {:g} days past",
    }.items():
        assert words.format(tables.row("growth", key).need("number")) in page, key
