"""What a rule of the findings room is given, and how it makes a finding."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from yardland.larderyear.result import Finding, YearResult
from yardland.reference import Tables

GRADES = ("danger", "rule", "short", "tight", "note")
"""Grades in the order they are shown: can hurt somebody; law or standard; short; tight; worth knowing."""


@dataclass(frozen=True)
class Context:
    """A year's result and the tables that the rules read their limits and cautions from."""

    result: YearResult
    tables: Tables

    def rule_text(self, key: str) -> str:
        """The words of a row of the rules table."""
        return self.tables.row("rules", key).text("text")

    def rule_source(self, key: str, column: str = "number") -> str:
        """Citation and standing behind a row of the rules table."""
        figure = self.tables.figure(f"rules.{key}.{column}")
        return f"{figure.source} ({figure.standing})"

    def name(self, good: str) -> str:
        """A good in everyday words, small letters first, without what follows its comma."""
        if not self.tables.has("goods", good):
            return good.replace("_", " ").replace(".", ", ")
        words = self.tables.row("goods", good).text("name").partition(",")[0]
        return words[:1].lower() + words[1:]

    def crop(self, crop: str) -> str:
        """A crop in everyday words, small letters first."""
        words = self.tables.row("crops", crop).text("common_name") if self.tables.has("crops", crop) else crop
        words = re.sub(r" ?\([^)]*\)", "", words)
        return words[:1].lower() + words[1:]

    def month_names(self, months: Iterable[int]) -> str:
        """Larder months by index as runs: Oct, Jan to Mar; "every month" where none is left out."""
        chosen = sorted(months)
        if len(chosen) == len(self.result.months):
            return "every month"
        starts = [index for index in chosen if index - 1 not in chosen]
        ends = [index for index in chosen if index + 1 not in chosen]
        name = [month.name for month in self.result.months]
        return ", ".join(
            name[first] if first == last else f"{name[first]} to {name[last]}"
            for first, last in zip(starts, ends, strict=True)
        )


def upper_first(words: str) -> str:
    """The words with a capital first letter, the rest as they are."""
    return words[:1].upper() + words[1:]


def many(number: float, one: str) -> str:
    """A whole number with its noun, in the plural where it is not one."""
    return f"{number:,.0f} {one}" if round(number) == 1 else f"{number:,.0f} {one}s"


Rule = Callable[[Context], Iterable[Finding]]


def ordered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings by grade, the gravest first; within a grade in the order found."""
    return tuple(sorted(findings, key=lambda finding: GRADES.index(finding.grade)))
