"""Wall-clock time of the commands a person waits for, beside the bare interpreter, in one run.

    python benchmarks/bench_commands.py [--rounds 5]

Prints seconds (the least of the rounds, after one to warm the caches) and the ratio to `python -c pass`. Aims: `--help`
under 0.3 s, `yardland year` of a demonstration under 3 s with its report, on two cores.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EXAMPLES = Path(__file__).parent.parent / "examples"
COMMAND = "import sys; from yardland.cli.main import main; sys.argv = ['yardland', *sys.argv[1:]]; main()"


def least_s(words: list[str], rounds: int) -> float:
    """The least wall-clock time of some rounds, after one that is not counted."""
    times = []
    for turn in range(rounds + 1):
        start = time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, capture_output=True)
        if turn:
            times.append(time.perf_counter() - start)
    return min(times)


def cases(folder: Path) -> dict[str, list[str]]:
    """Command lines by name; the demonstration holdings are copied to `folder`."""
    found = {"python -c pass": ["-c", "pass"], "yardland --help": ["-c", COMMAND, "--help"]}
    for name in ("tarn-hollow", "casa-vereda"):
        shutil.copytree(EXAMPLES / name, folder / name)
        found[f"yardland check {name}"] = ["-c", COMMAND, "check", str(folder / name)]
        found[f"yardland year {name}"] = ["-c", COMMAND, "year", str(folder / name)]
    return found


def main(rounds: int | None = None) -> dict[str, float]:
    """Time every command and print the table; returns seconds by command."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    rounds = parser.parse_args().rounds if rounds is None else rounds
    with tempfile.TemporaryDirectory() as folder:
        seconds = {name: least_s(words, rounds) for name, words in cases(Path(folder)).items()}
    bare = seconds["python -c pass"]
    for name, value in seconds.items():
        print(f"{name:28} {value:6.3f} s  {value / bare:7.1f} x the bare interpreter")
    return seconds


if __name__ == "__main__":
    main()
