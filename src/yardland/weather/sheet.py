"""A weather sheet read from disk: bytes, separator, header, rows with their line numbers. Knows nothing of weather."""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from pathlib import Path

from yardland.errors import Fault

LARGEST_BYTES = 20_000_000
DRAWN_MARK = "Years drawn by yardland, not measured"
"""How a sheet of drawn years begins its first remark: read back, it is still told from a record."""
SHOWN_PER_KIND = 5
"""So many faults of one kind are told one by one; the rest are counted."""


@dataclass
class Faults:
    """Collects the faults of one file; the sixth and later of a kind are counted instead of listed."""

    file: str
    listed: list[Fault] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)
    lasts: dict[str, Fault] = field(default_factory=dict)

    def add(self, kind: str, where: str, found: str, expected: str, remedy: str) -> None:
        """Note a fault of a kind."""
        fault = Fault(self.file, where, found, expected, remedy)
        self.counts[kind] = self.counts.get(kind, 0) + 1
        self.lasts[kind] = fault
        if self.counts[kind] <= SHOWN_PER_KIND:
            self.listed.append(fault)

    def all(self) -> list[Fault]:
        """Every fault, with a closing one for each kind that was cut short."""
        rest = []
        for kind, count in self.counts.items():
            if count > SHOWN_PER_KIND:
                last = self.lasts[kind]
                more = f"{count - SHOWN_PER_KIND} more of the same kind, the last at {last.where}: {last.found}"
                rest.append(Fault(self.file, last.where, more, last.expected, last.remedy))
        return [*self.listed, *rest]

    def __bool__(self) -> bool:
        return bool(self.listed)


@dataclass(frozen=True)
class Sheet:
    """Header and rows of text; each row is (line number, cells), all as wide as the header."""

    file: str
    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    separator: str
    remarks: tuple[str, ...] = ()


def read_sheet(path: Path, faults: Faults) -> Sheet | None:
    """The rows of a sheet separated by comma, semicolon or tab; None (and a fault) when it cannot be read at all.

    Lines that start with # and blank lines before the header are skipped; so are blank lines between rows.
    """
    text = read_text(path, faults)
    return None if text is None else sheet_of(text, faults)


def sheet_of(text: str, faults: Faults) -> Sheet | None:
    """The rows of a sheet's text, as `read_sheet` says."""
    ends = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = [(number, line) for number, line in enumerate(ends.split("\n"), 1) if line.strip()]
    remarks: list[str] = []
    while lines and lines[0][1].lstrip().startswith("#"):
        remarks.append(" ".join(lines.pop(0)[1].strip(" #").split()))
    if not lines:
        faults.add("empty", "whole file", "no rows", "a header and one row a day", "Fill the file or remove it.")
        return None
    separator = max(";\t,", key=lines[0][1].count)
    if separator not in lines[0][1]:
        faults.add(
            "separator",
            f"line {lines[0][0]}",
            f"one column ({lines[0][1].strip()[:60]!r})",
            "columns separated by comma, semicolon or tab",
            "Save the sheet as CSV with commas, or with semicolons if numbers have a decimal comma.",
        )
        return None
    header = tuple(_cells(lines[0][1], separator))
    return Sheet(faults.file, header, _rows(lines[1:], header, separator, faults), separator, tuple(remarks))


def read_text(path: Path, faults: Faults) -> str | None:
    """The text of a UTF-8 file (EPW: or Latin-1) of at most 20 MB; None and a fault otherwise."""
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= LARGEST_BYTES else b""
    except OSError as error:
        said = error.strerror or "cannot be read"
        faults.add("file", "whole file", said, "a file that can be read", "Check the file's permissions.")
        return None
    if size > LARGEST_BYTES:
        found, remedy = f"{size / 1e6:.0f} MB", "Keep the daily rows only, and the years you need."
        faults.add("size", "whole file", found, f"at most {LARGEST_BYTES / 1e6:.0f} MB", remedy)
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if data.startswith(b"LOCATION,"):
            # The figures of EPW files are plain ASCII; names of towns are often written in Latin-1.
            return data.decode("latin-1").replace("\0", " ")
        line = data[: error.start].count(b"\n") + 1
        found = f"byte 0x{data[error.start]:02x} that is not UTF-8"
        faults.add("text", f"line {line}", found, "UTF-8 text", "Save the sheet again as CSV UTF-8.")
        return None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        faults.add("text", f"line {line}", "a NUL byte", "UTF-8 text", "Save the sheet again as CSV UTF-8.")
        return None
    return text


def _cells(line: str, separator: str) -> list[str]:
    if '"' not in line:
        return [cell.strip() for cell in line.split(separator)]
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator))]
    except csv.Error:
        return [cell.strip().strip('"') for cell in line.split(separator)]


def _rows(
    lines: list[tuple[int, str]], header: tuple[str, ...], separator: str, faults: Faults
) -> tuple[tuple[int, tuple[str, ...]], ...]:
    rows = []
    for number, line in lines:
        cells = _cells(line, separator)
        while len(cells) > len(header) and not cells[-1]:
            cells.pop()
        if len(cells) == len(header):
            rows.append((number, tuple(cells)))
            continue
        hint = "Use semicolons between columns if numbers have a decimal comma." if separator == "," else ""
        faults.add(
            "width",
            f"line {number}",
            f"{len(cells)} columns",
            f"{len(header)} columns as in the header",
            f"Give every row one cell for each column. {hint}".strip(),
        )
    return tuple(rows)
