"""Set everything up in a private environment, then run the demonstration or the tests.

    python3 start.py demo     builds the demonstration year and shows its result
    python3 start.py test     runs the checks: style, types, room contract, tests   (add --slow for all of them,
                              -n 0 for one test after the other)

Needs Python 3.11 or newer and pip; nothing else. The environment is the folder .venv beside this file; packages come
pinned, with their hashes, from requirements/.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")


def run(*command: str | Path, **options: object) -> int:
    """Run a command in the repository and return its exit code."""
    return subprocess.run([str(part) for part in command], cwd=HERE, check=False, **options).returncode


def must(*command: str | Path) -> None:
    """Run a command; stop here if it fails."""
    code = run(*command)
    if code:
        print(
            f"start.py: this failed with exit code {code}: {' '.join(str(part) for part in command)}", file=sys.stderr
        )
        sys.exit(code)


def locks(*, dev: bool) -> list[Path]:
    """The pinned lists to install from."""
    return [HERE / "requirements" / ("dev.txt" if dev else "run.txt")]


def stamp(files: list[Path]) -> str:
    """A name for the state of the pinned lists and the build file."""
    digest = hashlib.sha256()
    for file in [*files, HERE / "pyproject.toml"]:
        digest.update(file.read_bytes())
    return digest.hexdigest()


def set_up(*, dev: bool) -> None:
    """Make the environment and install the pinned packages, unless that was done for these very lists."""
    files = locks(dev=dev)
    mark = VENV / f"installed-{'dev' if dev else 'run'}"
    if PYTHON.exists() and mark.exists() and mark.read_text(encoding="ascii") == stamp(files):
        return
    print("Setting up the environment in .venv (once; a few minutes) ...", flush=True)
    if not PYTHON.exists():
        must(sys.executable, "-m", "venv", "--without-pip", VENV)
    # pip of the outside interpreter installs into .venv, so ensurepip (absent on some systems) is not needed
    pip = (sys.executable, "-m", "pip", "--python", PYTHON, "install", "--quiet", "--disable-pip-version-check")
    for file in files:
        must(*pip, "--require-hashes", "-r", file)
    must(*pip, "--no-deps", "--no-build-isolation", "--editable", HERE)
    mark.write_text(stamp(files), encoding="ascii")


def demo(arguments: list[str]) -> int:
    """Build the demonstration year, in out/tarn-hollow unless told otherwise, and show its result."""
    set_up(dev=False)
    return run(BIN / "yardland", "demo", *(arguments or ["--to", "out/tarn-hollow"]))


def parallel() -> list[str]:
    """Pytest's words for a worker on each core, four at most; a module's tests stay together, for they share what is dear.

    Modules are begun in the order of tests/conftest.py, the longest first.
    """
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return ["-n", str(min(cores, 4)), "--dist", "loadfile", "--no-loadscope-reorder"] if cores > 1 else []


def test(arguments: list[str]) -> int:
    """Run style, types, the contract between the rooms, and the tests; report every failure, not just the first."""
    set_up(dev=True)
    slow = "--slow" in arguments
    rest = [argument for argument in arguments if argument != "--slow"]
    checks: list[tuple[str | Path, ...]] = [
        (BIN / "ruff", "check", "."),
        (BIN / "ruff", "format", "--check", "."),
        (BIN / "mypy",),
        (BIN / "lint-imports",),
    ]
    # What numba compiles is compiled beside the checks, which take one core: else each worker would do it for itself.
    kernels = subprocess.Popen([PYTHON, HERE / "scripts" / "compile_kernels.py"], cwd=HERE)
    codes = [*(run(*check) for check in checks), kernels.wait()]
    # Workers fill the cores: threads of the libraries of linear algebra would only wait for each other.
    one_thread = {"OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1", **os.environ}
    words = ["-m", "pytest", "-q", *parallel(), *(["-m", ""] if slow else []), *rest]
    return max(*codes, run(PYTHON, *words, env=one_thread))


def main() -> int:
    """Pick the verb."""
    verbs = {"demo": demo, "test": test}
    if len(sys.argv) < 2 or sys.argv[1] not in verbs:
        print(__doc__)
        return 2
    return verbs[sys.argv[1]](sys.argv[2:])


if __name__ == "__main__":
    sys.exit(main())
