"""The pages: every page is listed, every link arrives, and what they call by name is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from yardland.findings.collect import RULES

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
