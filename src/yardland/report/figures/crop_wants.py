"""What held a crop or a sward back, by ten days; and its nitrogen, day by day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby

import numpy as np

from yardland.report.drawing import Drawing
from yardland.report.figures.bars import scale_top
from yardland.report.figures.crop_frame import HEIGHT, LEFT, TOP, Frame, by_month, day_words
from yardland.report.figures.weather_months import drawing, small
from yardland.report.palette import Style, styles
from yardland.report.svg import Canvas, text_width
from yardland.season.crop_limits import LIMITS, DayByDay, Spell, ten_key

LOOKS = {"": "Ly", "cold": "Br", "heat": "Ni", "water": "Ce", "nitrogen": "Al"}
"""Limit -> style; "" is what was made. They differ in lightness and in hatch, and each has its letter."""
LETTERS = {"": "", "cold": "C", "heat": "H", "water": "W", "nitrogen": "N"}
NAMES = {"": "made", "cold": "C cold", "heat": "H heat", "water": "W water", "nitrogen": "N nitrogen"}
WORDS = {"cold": "cold", "heat": "heat", "water": "want of water", "nitrogen": "want of nitrogen"}
BAND, GAP = 15.0, 5.0
MONTH_ROW = 20
LEAST_PX = 0.4


def limits(told: DayByDay, uid: str) -> Drawing:
    """The light that was caught in each ten days: what was made of it, and what each limit took."""
    named = [(name, share) for name, share in told.lost.items() if share >= 0.005]
    took = "; ".join(f"{WORDS[name]} {100 * share:.0f} %" for name, share in sorted(named, key=lambda one: -one[1]))
    alt = (
        "A column is the light that the leaves caught in ten days; its lowest part was made into growth, the parts above were "
        "lost to what was least that day. The letters under it name what took most. "
        f"Of the whole were lost: {took or 'next to nothing'}."
    )
    table = by_month(
        told,
        (
            ("Light caught, MJ/m²", lambda m: f"{m.light_mj:.0f}"),
            *((f"Lost to {WORDS[name]}, %", _share_of(name)) for name in LIMITS),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = Frame(canvas, told)
        top, step = scale_top(max(1.0, *(ten.light_mj for ten in told.tens)))
        level = frame.marks(top, step, "MJ/m²")
        edges = _edges(frame)
        floor = np.zeros(len(told.tens))
        for name in ("", *LIMITS):
            parts = np.array([_part(ten, name) for ten in told.tens])
            boxes = [
                (x, level(low + part), wide, level(low) - level(low + part))
                for (x, wide), low, part in zip(edges, floor.tolist(), parts.tolist(), strict=True)
                if level(low) - level(low + part) > LEAST_PX
            ]
            canvas.boxes(boxes, styles()[LOOKS[name]])
            floor += parts
        _letters(frame, edges)
        _key(canvas, ["", *(name for name in LIMITS if told.lost[name] >= 0.005)])
        canvas.raw(f'<g transform="translate(0 {BAND + GAP:.0f})">')
        frame.months()
        canvas.raw("</g>")
        for (x, wide), ten in zip(edges, told.tens, strict=True):
            canvas.tell(x, TOP, wide, HEIGHT + BAND + GAP, _told(ten))

    height = round(TOP + HEIGHT + BAND + GAP) + MONTH_ROW
    return drawing(f"limits-{uid}", "What held it back, by ten days", alt, draw, height, table)


def _share_of(name: str) -> Callable[[Spell], str]:
    return lambda spell: f"{100 * spell.lost[name]:.0f}"


def _part(ten: Spell, name: str) -> float:
    """Light of ten days that was made into growth ("") or lost to a limit."""
    return ten.light_mj * (ten.lost[name] if name else 1.0 - sum(ten.lost.values()))


def _edges(frame: Frame) -> list[tuple[float, float]]:
    """Left edge and width of each ten-day spell, a hair apart."""
    edges, first = [], 0
    for _, group in groupby(frame.told.dates, key=ten_key):
        count = len(list(group))
        edges.append((LEFT + frame.per_day * first + 0.5, max(frame.per_day * count - 1.0, 0.5)))
        first += count
    return edges


def _letters(frame: Frame, edges: Sequence[tuple[float, float]]) -> None:
    """A band under the columns: from which to which ten days what took most, by hatch and letter."""
    canvas, y = frame.canvas, TOP + HEIGHT + GAP
    for limit, first, last in frame.told.runs():
        if not limit:
            continue
        style = styles()[LOOKS[limit]]
        x, wide = edges[first][0], edges[last][0] + edges[last][1] - edges[first][0]
        canvas.styled(x, y, wide, BAND - 2, style)
        size = small(canvas)
        if wide > text_width(LETTERS[limit], size) + 4:
            canvas.chip(x + wide / 2, y + (BAND - 2) / 2, style, LETTERS[limit], size=size)


def _key(canvas: Canvas, names: Sequence[str]) -> None:
    """Boxes with the styles, from the right."""
    size, x = small(canvas), canvas.width
    for name in reversed(names):
        x -= text_width(NAMES[name], size)
        canvas.text(x, 12, NAMES[name], size=size)
        x -= 16
        style: Style = styles()[LOOKS[name]]
        canvas.styled(x, 3, 12, 10, style)
        x -= 11


def _told(ten: Spell) -> str:
    parts = [f"{WORDS[name]} {100 * ten.lost[name]:.0f} %" for name in LIMITS if ten.lost[name] >= 0.005]
    lost = f"lost to {', '.join(parts)}" if parts else "next to nothing lost"
    return f"ten days from {ten.key}: {ten.light_mj:.0f} MJ/m² caught, {lost}"


def nitrogen(told: DayByDay, uid: str) -> Drawing:
    """Nitrogen in the crop against what it needs for full pace, and mineral nitrogen in its ground."""
    days = told.trace.days
    crop, critical, soil = days["crop_n_kg_ha"], days["critical_n_kg_ha"], days["soil_n_kg_ha"]
    hungry = (days["n_index"] < 1.0 - 1e-9) & (days["light_mj"] > 0)
    worst = int(np.where(hungry, days["n_index"], 2.0).argmin())
    stress = (
        f"On {int(hungry.sum())} {'day' if hungry.sum() == 1 else 'days'} it lacked nitrogen; worst on {day_words(told, worst)}, when it held {100 * days['n_index'][worst]:.0f} % of what it needs."
        if hungry.any()
        else "It never lacked nitrogen."
    )
    fixed = float(days["fixed_n_kg_ha"].sum())
    air = f", {fixed:.0f} from the air" if fixed >= 0.5 else ""
    alt = (
        "The area is the nitrogen in it, the broken line what it needs to grow at full pace, the thin line the mineral "
        f"nitrogen in its ground. {stress} It took {days['taken_n_kg_ha'].sum():.0f} kg/ha from the soil{air}; "
        f"{days['leached_n_kg_ha'].sum():.0f} leached meanwhile."
    )
    table = by_month(
        told,
        (
            ("From the soil, kg/ha", lambda m: f"{m.n_taken_kg_ha:.0f}"),
            ("From the air, kg/ha", lambda m: f"{m.n_fixed_kg_ha:.0f}"),
            ("Leached, kg/ha", lambda m: f"{m.n_leached_kg_ha:.1f}"),
            ("Mineral in the ground at the end, kg/ha", lambda m: f"{m.soil_n_kg_ha:.0f}"),
            ("Held of what it needs, mean %", lambda m: f"{100 * m.nitrogen:.0f}"),
            ("Growth lost to want of nitrogen, %", _share_of("nitrogen")),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = Frame(canvas, told)
        top, step = scale_top(max(float(max(crop.max(), critical.max(), soil.max())), 1.0))
        level = frame.marks(top, step, "kg/ha")
        frame.area(crop, level, 0.3)
        frame.curve(crop, level, width=1.2, accent=True)
        frame.curve(critical, level, dash="5 4", width=1.8)
        frame.curve(soil, level, width=0.9)
        frame.key((("in it", "area"), ("needed", "5 4"), ("in the soil", "")))
        frame.months()
        frame.tell(
            lambda i: f"{crop[i]:.0f} kg/ha in it of {critical[i]:.0f} needed, {soil[i]:.0f} mineral in the ground"
        )

    return drawing(f"nitrogen-{uid}", "Nitrogen", alt, draw, round(TOP + HEIGHT) + 22, table)
