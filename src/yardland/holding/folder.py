"""The files of a holding folder: which there are, and their text. Refuses what could hang, swamp or escape."""

from __future__ import annotations

import difflib
from pathlib import Path

from yardland.errors import Fault

PLAN = "holding.toml"
OUTLINES = "land.geojson"
SHEETS = ("plantings.csv", "trades.csv", "own.csv", "stores.csv", "calendar.csv")
WEATHER = ("weather.csv", "normals.csv")
KNOWN_FILES = (PLAN, OUTLINES, *SHEETS, *WEATHER)
LARGEST_BYTES = 20_000_000


class Unreadable(Exception):
    """A file that cannot be read as text; carries the fault."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault
        super().__init__(str(fault))


def read_text(folder: Path, name: str) -> str | None:
    """The text of a file of the folder, without byte order mark; None if there is no such file.

    Raises:
        Unreadable: it lies outside the folder, is no plain file, is over 20 MB, is empty, or is not UTF-8 text.
    """
    path = folder / name
    if not path.exists() and not path.is_symlink():
        return None
    fault = file_fault(folder, name)
    if fault is not None:
        raise Unreadable(fault)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise Unreadable(
            Fault(
                name, "the file", error.strerror or "no access", "a file that may be read", "Correct its permissions."
            )
        ) from None
    return _decode(name, data)


def file_fault(folder: Path, name: str) -> Fault | None:
    """What is wrong with a file of the folder before its content is looked at, or None."""
    path = folder / name
    if not path.resolve().is_relative_to(folder.resolve()):
        return Fault(
            name,
            "the file",
            "a path that climbs out of the folder",
            "a file inside the holding folder",
            "Copy the file into the folder instead of linking to it.",
        )
    if not path.is_file():
        return Fault(name, "the file", "no plain file", "a file", "Put a file of that name there, or take it away.")
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        return Fault(
            name,
            "the file",
            f"{size / 1e6:.0f} MB",
            f"at most {LARGEST_BYTES / 1e6:.0f} MB",
            "Check that this is the right file; cut what is not needed.",
        )
    if size == 0:
        return Fault(name, "the file", "an empty file", "some content", "Fill it in, or take it away.")
    return None


def stray_files(folder: Path) -> list[Fault]:
    """Files whose name is nearly that of a file that yardland reads: they would be passed over in silence."""
    faults = []
    for path in sorted(folder.iterdir()):
        name = path.name
        if name in KNOWN_FILES or path.suffix.lower() not in {".csv", ".toml", ".geojson", ".json", ".txt"}:
            continue
        close = difflib.get_close_matches(name.lower(), KNOWN_FILES, n=1, cutoff=0.85)
        if close and not (folder / close[0]).exists():
            expected = f'the name "{close[0]}"'
            faults.append(Fault(name, "the file name", f'"{name}"', expected, f'Did you mean "{close[0]}"? Rename it.'))
    return faults


def _decode(name: str, data: bytes) -> str:
    """UTF-8 text from bytes, with a fault that names the line of the first byte that is not."""
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        raise Unreadable(_not_utf8(name, 1, "UTF-16 text"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise Unreadable(_not_utf8(name, line, f"the byte 0x{data[error.start]:02x}, which is not UTF-8")) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise Unreadable(_not_utf8(name, line, "a zero byte"))
    if not text.strip():
        raise Unreadable(Fault(name, "the file", "an empty file", "some content", "Fill it in, or take it away."))
    return text


def _not_utf8(name: str, line: int, found: str) -> Fault:
    return Fault(name, f"line {line}", found, "plain text in UTF-8", "Save the file again with the encoding UTF-8.")
