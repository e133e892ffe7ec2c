"""Colours, hatches and marks of the drawings, read from data/*.csv. Colour never stands alone: each style has a code and a hatch.

The fills keep text at 4.5:1 and hatch ink at 3:1 or better; `contrast` is the WCAG 2.1 ratio (relative luminance of sRGB).
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

WHITE = "#ffffff"
BLACK = "#000000"
BROWN, CREAM, BLUE = "#8a3a1c", "#f4f1e6", "#20567a"
OUTLINED_BELOW = 3.0
"""Contrast of a fill with the paper under which a theme's light outline goes round it."""
LUMINANCE_OF_WHITE_TEXT = 0.18
"""Below this luminance of a cell its figures are white, above it black: both then keep 4.5:1."""


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours of paper and ink. `outline` empty: each style draws its own outline."""

    name: str
    paper: str
    ink: str
    muted: str
    rule: str
    accent: str
    outline: str


@dataclass(frozen=True, slots=True)
class Style:
    """How one family, food group or series is drawn."""

    code: str
    name: str
    fill: str
    text: str
    ink: str
    outline: str
    hatch: str
    path: str


@dataclass(frozen=True, slots=True)
class AnimalMark:
    """Shape and code of one kind of animal (white text on the fill)."""

    code: str
    name: str
    fill: str
    shape: str


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one of the report's own data files."""
    text = files("yardland.report").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def themes() -> dict[str, Theme]:
    """light, dark and print."""
    return {row["name"]: Theme(**row) for row in rows("themes.csv")}


@cache
def styles() -> dict[str, Style]:
    """Style by two-letter family code, in the order of the palette."""
    return {
        row["code"]: Style(**{key: value for key, value in row.items() if key != "botanical"})
        for row in rows("families.csv")
    }


@cache
def code_of_botanical() -> dict[str, str]:
    """Botanical family -> two-letter code."""
    return {row["botanical"]: row["code"] for row in rows("families.csv") if row["botanical"]}


@cache
def animal_marks() -> tuple[tuple[AnimalMark, frozenset[str]], ...]:
    """Each mark with the words that a class name of that kind contains."""
    return tuple(
        (AnimalMark(row["code"], row["name"], row["fill"], row["shape"]), frozenset(row["words"].split()))
        for row in rows("animals.csv")
    )


def mark_of_class(klass: str) -> AnimalMark:
    """The mark of a class of stock by the words of its key ("dairy_cow" -> cattle); working animals' cross where none fits."""
    parts = set(klass.split("_"))
    for mark, words in animal_marks():
        if parts & words:
            return mark
    return animal_marks()[-1][0]


def rgb(colour: str) -> tuple[float, float, float]:
    """Red, green, blue in 0-1 from "#rrggbb"."""
    return (int(colour[1:3], 16) / 255, int(colour[3:5], 16) / 255, int(colour[5:7], 16) / 255)


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.1)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in rgb(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.1), 1 to 21."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def text_on(fill: str) -> str:
    """White or black, whichever reads on `fill` (near-black would fall to 4.0:1 in the middle)."""
    return WHITE if luminance(fill) < LUMINANCE_OF_WHITE_TEXT else BLACK


def mix(one: str, other: str, share: float) -> str:
    """`share` of the way from one colour to the other, in sRGB."""
    parts = [round(255 * (a + (b - a) * share)) for a, b in zip(rgb(one), rgb(other), strict=True)]
    return "#" + "".join(f"{part:02x}" for part in parts)


def heat(coverage: float) -> str:
    """Colour of a coverage: brown where little is met, cream where the need is just met, blue above it."""
    if coverage <= 1:
        return mix(BROWN, CREAM, max(0.0, coverage - 0.2) / 0.8)
    return mix(CREAM, BLUE, min(1.0, (coverage - 1) / 1.5))


def recolouring(name: str) -> list[tuple[str, str, str]]:
    """What turns a drawing of the light theme into one of the theme `name`: attribute, its light value, its new one.

    Style sheets apply it, so that a page holds each drawing once. The last entry that fits an element wins; marks of
    animals are edged by their fill, hence the attribute "edge of".
    """
    light, other = themes()["light"], themes()[name]
    parts = ("paper", "ink", "muted", "rule", "accent")
    found = [
        (attribute, getattr(light, part), getattr(other, part))
        for part in parts
        for attribute in ("fill", "stroke")
        if getattr(light, part) != getattr(other, part)
    ]
    if other.outline:
        sunk = [style for style in styles().values() if contrast(style.fill, other.paper) < OUTLINED_BELOW]
        found += [("stroke", style.outline, other.outline) for style in sunk]
        found += [("edge of", mark.fill, other.outline) for mark, _ in animal_marks()]
    return found
