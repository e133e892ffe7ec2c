"""Writes the tables of docs/checks.md anew: every check against figures from outside, run now. From the repository's root.

`python scripts/check_table.py` renews the page; it ends with 1 and writes nothing if a check fails.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "checks.md"
START, END = "<!-- checks: begin -->\n", "<!-- checks: end -->\n"
USES = "outside.check_"
HEAD = "| check | what | source | standing | expected | got | within |\n| --- | --- | --- | --- | --- | --- | --- |\n"


class ChecksFailed(RuntimeError):
    """A check against an outside figure fails; holds what pytest printed."""


def main() -> int:
    """Run the checks and put their rows between the marks of the page."""
    try:
        text = page(PAGE.read_text("utf-8"), *gather())
    except ChecksFailed as failed:
        print(failed, file=sys.stderr)
        return 1
    PAGE.write_text(text, "utf-8")
    return 0


def gather() -> tuple[list[list[str]], list[list[str]]]:
    """Rows (key, what, source, standing, expected, got, within) and told lines (heading, line) of a run of the checks.

    Raises:
        ChecksFailed: a check did not hold, or a test could not run.
    """
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "checks.json"
        options = ("-q", "-p", "no:cacheprovider", "-m", "", "--outside-checks", str(file))
        command = [sys.executable, "-m", "pytest", *options, *map(str, modules())]
        run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        if run.returncode:
            raise ChecksFailed(run.stdout + run.stderr)
        found = json.loads(file.read_text("utf-8"))
    return found["rows"], found["told"]


def modules() -> list[Path]:
    """Test modules that check against outside figures."""
    return [file for file in sorted((ROOT / "tests").rglob("test_*.py")) if USES in file.read_text("utf-8")]


def page(text: str, rows: list[list[str]], told: list[list[str]]) -> str:
    """The page with these rows between its marks."""
    before, _, rest = text.partition(START)
    _, _, after = rest.partition(END)
    return before + START + tables(rows, told) + END + after


def tables(rows: list[list[str]], told: list[list[str]]) -> str:
    """One table of all checks by their keys, of one key as they ran, then what they leave out, by heading."""
    ordered = sorted(rows, key=lambda row: _natural(row[0]))
    counted = {standing: sum(row[3] == standing for row in rows) for standing in sorted({row[3] for row in rows})}
    shares = ", ".join(f"{count} {standing}" for standing, count in counted.items())
    out = f"{len(rows)} checks: {shares}.\n\n{HEAD}"
    out += "".join("| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |\n" for row in ordered)
    for heading in sorted({heading for heading, _ in told}):
        lines = sorted({line for at, line in told if at == heading}, key=_natural)
        out += f"\n### {heading}\n\n" + "".join(f"- {line}\n" for line in lines)
    return out


def _natural(text: str) -> list[tuple[int, int, str]]:
    """Sorts K9 before K10, and a key of letters and a number before words."""
    return [
        (0, int(part), "") if part.isdigit() else (1, 0, part) for part in re.split(r"(\d+)", text.casefold()) if part
    ]


if __name__ == "__main__":
    sys.exit(main())
