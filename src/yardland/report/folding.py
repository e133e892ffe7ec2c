"""Explanations folded for a page: what several share is said once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass
class Explained:
    """Result keys that share their words; `shared` ends each of the `lines`.

    `lines` pairs the keys that have the same words with what is their own of them.
    """

    shared: str
    lines: list[tuple[tuple[str, ...], str]] = field(default_factory=list)


def fold(why: Mapping[str, str]) -> list[Explained]:
    """The sentences of a year, none lost: equal ones once, and under one end those that differ before a semicolon."""
    ends: dict[tuple[str, str], dict[str, list[str]]] = {}
    for key, words in why.items():
        own, semicolon, end = words.partition("; ")
        family = key.rpartition(".")[0] if key.startswith("coverage.") else key
        place = (family, end) if key.startswith("coverage.") else (words, "")
        text = own + ("" if key.startswith("coverage.") else semicolon + end)
        ends.setdefault(place, {}).setdefault(text, []).append(key)
    return [Explained(end, [(tuple(keys), text) for text, keys in texts.items()]) for (_, end), texts in ends.items()]
