"""The page of the rules of keeping names what is there: findings, notes, cautions, rows of tables, and tests."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

from husbandry_kit import TABLES

from yardland.findings import bees, cautions, housing, husbandry, rests
from yardland.findings.collect import RULES
from yardland.stock import notes

ROOT = Path(__file__).parents[1]
SECTIONS = {1: 12, 2: 15, 3: 8, 4: 9, 5: 13, 6: 13, 7: 12, 8: 7, 9: 15, 10: 4}
"""Rules of each part of the notes on husbandry that the page lists."""
PAGE = ROOT / "docs" / "husbandry-rules.md"


def page_rows() -> list[tuple[str, str, str, str]]:
    """Rule, what it says, where it speaks, and its tests, of each row of the page."""
    cells = re.findall(
        r"^\| (\d+\.\d+) \| ([^|]+) \| ([^|]+) \| ([^|]*) \|$", PAGE.read_text(encoding="utf-8"), re.MULTILINE
    )
    return [tuple(cell.strip() for cell in row) for row in cells]


@cache
def functions_in(file: str) -> frozenset[str]:
    """Names of the functions of a module of tests."""
    tree = ast.parse((ROOT / "tests" / file).read_text(encoding="utf-8"))
    return frozenset(node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


def test_the_page_lists_each_rule_once() -> None:
    """Every numbered rule has one row, and none stands twice."""
    wanted = [f"{part}.{number}" for part, count in SECTIONS.items() for number in range(1, count + 1)]

    assert [row[0] for row in page_rows()] == wanted


def test_what_the_page_names_is_there() -> None:
    """Findings are walked, notes and cautions exist, tables hold the rows, and each test is written."""
    walked = {f"{rule.__module__.rpartition('.')[2]}.{rule.__name__}" for rule in RULES}
    noticed = {f"notes.{check.__name__}" for check in notes.CHECKS}
    cautioned = {rule for caution in cautions.TABLE for rule in caution.rules}
    for rule, _, where, tests in page_rows():
        keys = re.findall(r"`([\w.:]+)`", where)
        if where.startswith("not covered: "):
            assert len(where) > len("not covered: ") + 10, rule
            continue
        assert keys, rule
        for key in keys:
            kind, _, name = key.rpartition(":")
            there = {
                "": key in walked | noticed,
                "caution": name in cautioned,
                "table": name in TABLES.names
                or name in {f"{one}.{row}" for one in TABLES.names for row in TABLES.keys(one)},
            }
            assert there[kind], (rule, key)
        named = re.findall(r"`([\w/]+\.py)::(\w+)`", tests)
        assert named, rule
        for file, name in named:
            assert name in functions_in(file), (rule, name)


def test_every_finding_of_keeping_stands_on_the_page() -> None:
    """No finding of these modules is without its rule."""
    text = PAGE.read_text(encoding="utf-8")
    for module in (rests, housing, husbandry, bees):
        for rule in module.RULES:
            assert f"`{module.__name__.rpartition('.')[2]}.{rule.__name__}`" in text, rule.__name__
