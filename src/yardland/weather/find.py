"""Which file of a holding folder holds its weather: one file named weather.*, whatever its ending."""

from __future__ import annotations

from pathlib import Path

from yardland.errors import Fault, InputFaults
from yardland.holding.folder import file_fault

STEM = "weather"
COPIES = (".bak", ".orig", ".tmp", ".swp")


def weather_file(folder: Path) -> Path | None:
    """The one file named weather.* in a folder, or None.

    Raises:
        InputFaults: several files of that name, or one that is no plain file inside the folder.
    """
    found = sorted(path for path in folder.iterdir() if path.stem.lower() == STEM and _counts(path))
    if not found:
        return None
    if len(found) > 1:
        names = ", ".join(path.name for path in found)
        remedy = "Keep one; rename the others (weather-old.csv is not read)."
        raise InputFaults([Fault(found[0].name, "the file name", names, "one file named weather.*", remedy)])
    fault = file_fault(folder, found[0].name)
    if fault is not None:
        raise InputFaults([fault])
    return found[0]


def _counts(path: Path) -> bool:
    """A file with an ending that is no editor's copy."""
    ending = path.suffix.lower()
    return bool(ending) and ending not in COPIES and not ending.endswith("~") and not path.is_dir()
