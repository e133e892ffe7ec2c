"""A small canvas that writes SVG: shapes, text, hatches, titles. No `var()`, no outside font, no outside file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from xml.sax.saxutils import escape, quoteattr

from yardland.report.palette import OUTLINED_BELOW, AnimalMark, Style, Theme, contrast
from yardland.report.words import slug

FONT = "'Helvetica Neue', Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"
EM_WIDTH = 0.56
"""Mean width of a letter over the font size: good enough to ask whether a label fits."""


def text_width(text: str, size: float) -> float:
    """Estimated width of `text` in the same unit as `size`."""
    return EM_WIDTH * size * len(text)


def num(value: float) -> str:
    """A coordinate with at most one decimal."""
    return f"{value:.1f}".removesuffix(".0")


FILLED = "f"
"""What the name of a hatch ends in that has its style's fill under it."""
LETTERS = 11
"""Size of letters, px, where nothing else is said."""


class Canvas:
    """One drawing of `width` x `height` px; `uid` keeps its ids apart from those of other drawings in a page."""

    def __init__(self, width: float, height: float, theme: Theme, uid: str) -> None:
        self.width = width
        self.height = height
        self.theme = theme
        self.uid = slug(f"{uid}-{theme.name}-{round(width)}")
        self._parts: list[str] = []
        self._patterns: dict[str, Style] = {}
        self._grounds: dict[str, Style] = {}
        self._clips: list[str] = []

    def raw(self, markup: str) -> None:
        """Add markup made elsewhere in this package."""
        self._parts.append(markup)

    def rect(
        self, x: float, y: float, w: float, h: float, fill: str, *, stroke: str = "", title: str = "", radius: float = 0
    ) -> None:
        """A rectangle; `title` is what a pointer or a screen reader is told."""
        edge = f' stroke="{stroke}"' if stroke else ""
        corner = f' rx="{num(radius)}"' if radius else ""
        self._shape(
            f'rect x="{num(x)}" y="{num(y)}" width="{num(max(w, 0))}" height="{num(max(h, 0))}"{corner} fill="{fill}"{edge}',
            title,
        )

    def styled(self, x: float, y: float, w: float, h: float, style: Style, *, title: str = "") -> None:
        """A rectangle in a style: fill, hatch and outline."""
        self.rect(x, y, w, h, style.fill, stroke=self.outline(style), title=title)
        self.raw(
            f'<rect x="{num(x)}" y="{num(y)}" width="{num(max(w, 0))}" height="{num(max(h, 0))}" fill="{self.hatch(style)}" pointer-events="none"/>'
        )

    def boxes(self, boxes: list[tuple[float, float, float, float]], style: Style) -> None:
        """Many boxes (x, y, width, height) in one style: fill, hatch and outline in one path."""
        d = _box_path(boxes)
        if d:
            self._grounds[style.code] = style
            self.path(d, fill=f"url(#{self.uid}-{style.code}{FILLED})", stroke=self.outline(style))

    def tell(self, x: float, y: float, w: float, h: float, title: str) -> None:
        """An area that is not seen and tells a pointer its title."""
        self.raw(
            f'<rect x="{num(x)}" y="{num(y)}" width="{num(w)}" height="{num(h)}" fill="none" pointer-events="all"><title>{escape(title)}</title></rect>'
        )

    def hatched(self, boxes: list[tuple[float, float, float, float]], style: Style) -> None:
        """One hatch over many boxes (x, y, width, height): lighter than a hatch each, on screen and in print."""
        d = _box_path(boxes)
        if d:
            self.raw(f'<path d="{d}" fill="{self.hatch(style)}"/>')

    def outline(self, style: Style) -> str:
        """A style's own outline; on dark paper the light one round fills that would sink into it (under 3:1)."""
        if self.theme.outline and contrast(style.fill, self.theme.paper) < OUTLINED_BELOW:
            return self.theme.outline
        return style.outline

    def path(
        self, d: str, *, fill: str = "none", stroke: str = "", width: float = 1, title: str = "", dash: str = ""
    ) -> None:
        """A path."""
        edge = f' stroke="{stroke}" stroke-width="{num(width)}"' if stroke else ""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self._shape(f'path d="{d}" fill="{fill}"{edge}{dashes}', title)

    def line(
        self, x1: float, y1: float, x2: float, y2: float, stroke: str, *, width: float = 1, dash: str = ""
    ) -> None:
        """A straight line."""
        self.path(f"M{num(x1)} {num(y1)}L{num(x2)} {num(y2)}", stroke=stroke, width=width, dash=dash)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = LETTERS,
        fill: str = "",
        anchor: str = "start",
        bold: bool = False,
    ) -> None:
        """Text whose baseline starts, ends or centres at x, y; size 0 and an empty anchor are those of `lettering`.

        Without a fill it has that of what stands round it: of `lettering`, or the theme's ink, said once on the drawing.
        """
        weight = ' font-weight="700"' if bold else ""
        place = "" if anchor in {"start", ""} else f' text-anchor="{anchor}"'
        large = f' font-size="{num(size)}"' if size not in {0, LETTERS} else ""
        ink = f' fill="{fill}"' if fill else ""
        self._parts.append(f'<text x="{num(x)}" y="{num(y)}"{large}{ink}{place}{weight}>{escape(words)}</text>')

    @contextmanager
    def lettering(self, size: float, anchor: str, fill: str = "") -> Iterator[None]:
        """Many texts of one size, anchor and colour: said once around them."""
        ink = f' fill="{fill}"' if fill else ""
        self.raw(f'<g font-size="{num(size)}" text-anchor="{anchor}"{ink}>')
        yield
        self.raw("</g>")

    def chip(self, x: float, y: float, style: Style, code: str, *, size: float = 10) -> None:
        """A code on a plain patch of the style's fill, centred at x, y, so that the hatch does not run through the letters."""
        width = text_width(code, size) + 4
        self.rect(x - width / 2, y - size * 0.7, width, size * 1.3, style.fill)
        self.text(x, y + size * 0.3, code, size=size, fill=style.text, anchor="middle", bold=True)

    def chips(self, places: list[tuple[float, float]], style: Style, code: str, *, size: float) -> None:
        """The same chip at many places: patches in one path, what the letters share said once."""
        if not places:
            return
        width = text_width(code, size) + 4
        self.path(_box_path([(x - width / 2, y - size * 0.7, width, size * 1.3) for x, y in places]), fill=style.fill)
        letters = "".join(f'<text x="{num(x)}" y="{num(y + size * 0.3)}">{escape(code)}</text>' for x, y in places)
        self.raw(f'<g font-size="{num(size)}" text-anchor="middle" font-weight="700" fill="{style.text}">{letters}</g>')

    def animal(self, x: float, y: float, mark: AnimalMark, *, size: float = 16, title: str = "") -> None:
        """An animal's shape with its code beside it."""
        half = size / 2
        outline = self.theme.outline or self.theme.paper
        self.path(_shape_path(mark.shape, x, y, half), fill=mark.fill, stroke=outline, title=title or mark.name)
        self.text(x + half + 3, y + 4, mark.code, size=11, bold=True)

    def hatch(self, style: Style) -> str:
        """Reference to the hatch pattern of a style; drawn once per canvas."""
        self._patterns[style.code] = style
        return f"url(#{self.uid}-{style.code})"

    def clip(self, d: str) -> str:
        """Attribute that clips a group to a path."""
        name = f"{self.uid}-clip{len(self._clips)}"
        self._clips.append(f'<clipPath id="{name}"><path d="{d}"/></clipPath>')
        return f'clip-path="url(#{name})"'

    def render(self, title: str, alt: str) -> str:
        """The whole SVG with its name and description."""
        patterns = [self._pattern(style) for style in self._patterns.values()]
        patterns += [self._pattern(style, filled=True) for style in self._grounds.values()]
        defs = "".join((*self._clips, *patterns))
        size = (
            f'viewBox="0 0 {num(self.width)} {num(self.height)}" width="{num(self.width)}" height="{num(self.height)}"'
        )
        names = f'role="img" aria-labelledby="{self.uid}-t {self.uid}-d"'
        head = f'<title id="{self.uid}-t">{escape(title)}</title><desc id="{self.uid}-d">{escape(alt)}</desc>'
        body = "".join(self._parts)
        letters = f'fill="{self.theme.ink}" font-size="{LETTERS}" font-family={quoteattr(FONT)}'
        return f'<svg xmlns="http://www.w3.org/2000/svg" {size} {names} {letters}>{head}<defs>{defs}</defs>{body}</svg>'

    def _shape(self, tag: str, title: str) -> None:
        name = tag.split(" ", 1)[0]
        self._parts.append(f"<{tag}><title>{escape(title)}</title></{name}>" if title else f"<{tag}/>")

    def _pattern(self, style: Style, *, filled: bool = False) -> str:
        ground = f'<rect x="0" width="8" height="8" fill="{style.fill}"/>' if filled else ""
        name = f"{self.uid}-{style.code}{FILLED if filled else ''}"
        return (
            f'<pattern id="{name}" width="8" height="8" patternUnits="userSpaceOnUse">{ground}'
            f'<path d="{style.path}" fill="none" stroke="{style.ink}" stroke-width="1"/></pattern>'
        )


def _box_path(boxes: list[tuple[float, float, float, float]]) -> str:
    return "".join(f"M{num(x)} {num(y)}h{num(w)}v{num(h)}h{num(-w)}Z" for x, y, w, h in boxes)


def _shape_path(shape: str, x: float, y: float, r: float) -> str:
    corners: dict[str, list[tuple[float, float]]] = {
        "square": [(-1, -1), (1, -1), (1, 1), (-1, 1)],
        "triangle up": [(0, -1), (1, 1), (-1, 1)],
        "triangle down": [(-1, -1), (1, -1), (0, 1)],
        "diamond": [(0, -1.15), (1.15, 0), (0, 1.15), (-1.15, 0)],
        "hexagon": [(-0.5, -0.9), (0.5, -0.9), (1, 0), (0.5, 0.9), (-0.5, 0.9), (-1, 0)],
        "house": [(0, -1), (1, -0.2), (1, 1), (-1, 1), (-1, -0.2)],
        "cross": [
            (-0.4, -1),
            (0.4, -1),
            (0.4, -0.4),
            (1, -0.4),
            (1, 0.4),
            (0.4, 0.4),
            (0.4, 1),
            (-0.4, 1),
            (-0.4, 0.4),
            (-1, 0.4),
            (-1, -0.4),
            (-0.4, -0.4),
        ],
    }
    if shape in corners:
        points = [f"{num(x + r * dx)} {num(y + r * dy)}" for dx, dy in corners[shape]]
        return "M" + "L".join(points) + "Z"
    flat = 0.6 if shape == "flat oval" else 1.0
    return f"M{num(x - r)} {num(y)}a{num(r)} {num(r * flat)} 0 1 0 {num(2 * r)} 0a{num(r)} {num(r * flat)} 0 1 0 {num(-2 * r)} 0Z"
