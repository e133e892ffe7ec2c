"""The house's own rules, read off the source: sizes, lazy imports, figures with a ground, plain words."""

from __future__ import annotations

import ast
import csv
import re
from pathlib import Path

import pytest
from conftest import LONGEST

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "yardland"
MODULES = sorted(SOURCE.rglob("*.py"))
HEAVY = {
    "numba",
    "highspy",
    "pandas",
    "xarray",
    "shapely",
    "scipy",
    "jinja2",
    "rich",
    "dask",
    "distributed",
    "pyarrow",
}
NUMBA_AT_THE_DOOR = {
    "kernel.py",
    "kernel_crop.py",
    "kernel_draws.py",
    "kernel_ground.py",
    "kernel_rounds.py",
    "kernel_seldom.py",
    "counted.py",
    "day_loops.py",
    "numba_path.py",
}
"""They are imported by the function that needs the compiled path, never before."""
MOST_LINES = 500
UNFINISHED = re.compile(r"\b(TODO|FIXME|XXX|NotImplementedError)\b")
ADDRESS = re.compile(r"https?://(?!www\.w3\.org/)")


def name_of(module: Path) -> str:
    """A module's path inside the package."""
    return module.relative_to(SOURCE).as_posix()


def imports_on_opening(tree: ast.Module) -> set[str]:
    """First names of what a module imports as it is opened; what only type checkers see does not count."""
    names: set[str] = set()
    for node in tree.body:
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module.partition(".")[0])
    return names


def test_modules_are_short() -> None:
    """No module has over 500 lines."""
    long = {name_of(module): module.read_text(encoding="utf-8").count("\n") for module in MODULES}

    assert len(MODULES) > 150
    assert {name: lines for name, lines in long.items() if lines > MOST_LINES} == {}


def test_the_longest_modules_of_tests_are_there() -> None:
    """What is begun first is a module of tests, each named once; the modules of tests are short too."""
    tests = {module.stem: module for module in (ROOT / "tests").rglob("test_*.py")}

    assert len(set(LONGEST)) == len(LONGEST)
    assert set(LONGEST) <= set(tests)
    assert [name for name, module in tests.items() if module.read_text(encoding="utf-8").count("\n") > MOST_LINES] == []


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_heavy_libraries_are_imported_where_they_are_needed(module: Path) -> None:
    """Opening a module loads no heavy library."""
    heavy = imports_on_opening(ast.parse(module.read_text(encoding="utf-8"))) & HEAVY

    assert heavy == ({"numba"} & heavy if module.name in NUMBA_AT_THE_DOOR else set())


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_modules_say_what_they_are_for_and_leave_nothing_undone(module: Path) -> None:
    """Each module has a docstring (an empty one of a package apart), no mark of unfinished work, no address of the network."""
    text = module.read_text(encoding="utf-8")

    assert not text.strip() or ast.get_docstring(ast.parse(text))
    assert not UNFINISHED.search(text)
    assert not ADDRESS.search(text)


def test_every_source_is_cited_by_a_figure() -> None:
    """No citation lies about unused."""
    data = SOURCE / "reference" / "data"
    cited: set[str] = set()
    for file in SOURCE.rglob("data/*.csv"):
        if not file.name.startswith("sources"):
            with file.open(encoding="utf-8", newline="") as rows:
                cited |= {cell for row in csv.reader(rows) for cell in row}
    for file in data.glob("sources*.csv"):
        with file.open(encoding="utf-8", newline="") as rows:
            keys = {row["key"] for row in csv.DictReader(rows)}

        assert keys - cited == set(), file.name


TESTS = sorted((ROOT / "tests").rglob("test_*.py"))
OF_THE_TOOLS = {"pytest", "np", "math", "abs", "float", "int", "len", "round", "sum", "min", "max"}


@pytest.mark.parametrize("file", TESTS, ids=lambda file: file.stem)
def test_every_test_says_what_it_shows_and_can_fail(file: Path) -> None:
    """Each test has a docstring and asserts, refuses, or calls a check; no assertion is arithmetic of bare numbers."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            words = ast.unparse(node)

            assert ast.get_docstring(node), node.name
            assert re.search(r"\bassert|pytest\.raises|\bcheck_", words), node.name
        if isinstance(node, ast.Assert):
            named = {part.id for part in ast.walk(node.test) if isinstance(part, ast.Name)} - OF_THE_TOOLS

            assert named, f"line {node.lineno} can never fail"
