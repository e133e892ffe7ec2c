"""Faults in what a user gave us, as data: every reader collects them, the command line prints them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong in a holding folder, with the way to put it right.

    `where` is a key path ("people.one.born") or "line 12, column sow"; `remedy` is an imperative sentence.
    """

    file: str
    where: str
    found: str
    expected: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.file}: {self.where}: found {self.found}; expected {self.expected}. {self.remedy}"

    def as_dict(self) -> dict[str, str]:
        """The fault as plain text fields, for --json."""
        return {
            "file": self.file,
            "where": self.where,
            "found": self.found,
            "expected": self.expected,
            "remedy": self.remedy,
        }


class YardlandError(Exception):
    """Root of every error that yardland raises on purpose."""


class InputFaults(YardlandError):
    """The input is at fault; carries every `Fault` found, never just the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        if not self.faults:
            message = "InputFaults needs at least one fault"
            raise ValueError(message)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class TableError(YardlandError):
    """A shipped table is not what it must be (a figure without a source, an unknown key): our fault, not the user's."""
