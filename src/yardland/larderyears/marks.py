"""Marks by which results are told apart: versions of what computes, and what a chain hangs on."""

from __future__ import annotations

import hashlib
import json
import platform
from functools import lru_cache
from importlib.metadata import version
from pathlib import Path

from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.larderyears.asked import Asked
from yardland.version import __version__
from yardland.weather.find import weather_file
from yardland.weather.read import NORMALS_FILE

COMPUTES = ("numpy", "numba", "highspy")
"""Packages whose version may change the last bits."""
CODE = (".py", ".csv")
"""Files of the package that results hang on: source and tables."""


@lru_cache(maxsize=1)
def versions() -> str:
    """Versions of yardland (with a digest of its source and tables), of Python and of what computes, and the processor."""
    others = [f"{name} {version(name)}" for name in COMPUTES]
    python = f"Python {platform.python_version()}"
    return ", ".join([f"yardland {__version__} ({package_digest()})", python, *others, platform.machine()])


def package_digest() -> str:
    """Digest of every source file and table of the package."""
    root = Path(__file__).parent.parent
    digest = hashlib.sha256()
    for file in sorted(path for path in root.rglob("*") if path.suffix in CODE):
        digest.update(file.relative_to(root).as_posix().encode())
        digest.update(hashlib.sha256(file.read_bytes()).digest())
    return digest.hexdigest()[:12]


def chain_mark(holding: Holding, asked: Asked) -> str:
    """Digest of all that the chains of a run hang on: the plan and its year, its weather files, what is asked, versions.

    The place of the folder and the names of its other files do not count.

    Raises:
        InputFaults: several weather files.
        OSError: one cannot be read.
    """
    weather = [weather_file(holding.folder), holding.folder / NORMALS_FILE]
    files = {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in weather
        if path is not None and path.is_file()
    }
    plan = holding.model_dump(mode="json", exclude={"folder"})
    words = json.dumps([plan, plan_year(holding), files, asked.of_a_chain(), versions()], sort_keys=True)
    return hashlib.sha256(words.encode()).hexdigest()[:24]
