"""What a reader says when a value does not fit: the need and the remedy, in the user's words; and the nearest name."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from functools import lru_cache

LONGEST_SHOWN = 60


class Misfit(ValueError):
    """A value that does not fit; the caller knows where it stood and makes an `errors.Fault` of it."""

    def __init__(self, expected: str, remedy: str, found: str = "") -> None:
        self.expected = expected
        self.remedy = remedy
        self.found = found
        super().__init__(expected)


def nearest(name: str, known: Iterable[str]) -> str:
    """The sentence 'Did you mean ...?' with the nearest of the known names, or "" when none is near."""
    names = tuple(sorted(set(known)))
    close = _close(name.strip().lower(), names)
    return f'Did you mean "{close}"?' if close else ""


def one_of(name: str, known: Iterable[str], what: str) -> str:
    """A remedy for an unknown name: the nearest one, else the first dozen that exist."""
    names = sorted(set(known))
    if not names:
        return f"There is no {what} yet: add one first."
    shown = ", ".join(names[:12]) + (", ..." if len(names) > 12 else "")
    return nearest(name, names) or f"Use a known {what}: {shown}."


@lru_cache(maxsize=4096)
def _close(name: str, names: tuple[str, ...]) -> str | None:
    """The nearest name by spelling; spaces, hyphens and underscores count as the same, and so does a plural."""
    plain: dict[str, str] = {}
    for known in names:
        plain.setdefault(_plain(known), known)
    wanted = _plain(name[:LONGEST_SHOWN])
    if wanted in plain:
        return plain[wanted]
    within = [known for short, known in plain.items() if wanted and wanted in short.split("_")]
    if within:
        return min(within, key=len)
    close = difflib.get_close_matches(wanted, plain, n=1, cutoff=0.6)
    return plain[close[0]] if close else None


def _plain(name: str) -> str:
    """A name with its case, hyphens, spaces and plural taken off."""
    lowered = "_".join(name.lower().replace("-", " ").replace("_", " ").split())
    for plural, singular in (("ies", "y"), ("oes", "o"), ("s", "")):
        if lowered.endswith(plural) and len(lowered) > len(plural) + 2 and not lowered.endswith("ss"):
            return lowered[: -len(plural)] + singular
    return lowered


def shown(value: object) -> str:
    """A value as a message shows it: quoted if it is text, cut if it is long."""
    if value is None:
        return "nothing"
    text = f'"{value}"' if isinstance(value, str) else _plain_words(value)
    text = "".join(char if char.isprintable() else "?" for char in text)
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."


def _plain_words(value: object) -> str:
    """A parsed TOML or JSON value in TOML's own spelling."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table" if value else "an empty table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}" if value else "an empty list"
    return str(value)
