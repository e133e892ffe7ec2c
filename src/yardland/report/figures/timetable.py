"""The calendar of the plots: each planting as a bar from sowing to gathering, in its family's hatch and code."""

from __future__ import annotations

from yardland.larderyear.result import PlantingYear, YearResult
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.lookup import Lookup
from yardland.report.palette import Style, themes
from yardland.report.svg import Canvas, num, text_width
from yardland.report.words import FACTOR_WORDS, figure, percent, plain, title

ROW = 22


def drawings(result: YearResult, lookup: Lookup) -> tuple[Drawing, ...]:
    """The one calendar of the year, empty when nothing is planted."""
    if not result.plantings:
        return ()
    alt = f"{len(result.plantings)} plantings in {len({one.plot for one in result.plantings})} plots over the larder year; a bar is hatched while the crop grows and plain while it is gathered."
    header = ("Plot", "Crop", "Area m²", "Sown", "Gathered", "t/ha", "kg", "Held back by (share left)")
    table = Table(header, tuple(_row(one, lookup) for one in result.plantings))

    def draw(theme: str, width: int) -> str:
        return draw_timetable(result, lookup, theme, width, alt)

    return (Drawing("timetable", "What stands where, and when", alt, draw, table, (NARROW, WIDE)),)


def draw_timetable(result: YearResult, lookup: Lookup, theme_name: str, width: int, alt: str = "") -> str:
    """The calendar as SVG: one line per planting, plots one below the other."""
    theme = themes()[theme_name]
    plots = list(dict.fromkeys(one.plot for one in result.plantings))
    canvas = Canvas(width, 24 + ROW * len(result.plantings) + 22 * len(plots) + 6, theme, "timetable")
    scale = width / 365
    for month in result.months:
        x = month.first_day * scale
        canvas.line(x, 16, x, canvas.height, theme.rule, dash="1 3")
        canvas.text(x + 2, 11, month.name, size=10 if width < WIDE else 11.5, fill=theme.muted)
    y = 20.0
    for plot in plots:
        canvas.text(0, y + 14, title(plot), size=11.5 if width < WIDE else 13, bold=True)
        y += 22
        for one in (each for each in result.plantings if each.plot == plot):
            _bar(canvas, one, lookup, y=y, scale=scale)
            y += ROW
    return canvas.render("What stands where, and when", alt)


def _bar(canvas: Canvas, one: PlantingYear, lookup: Lookup, *, y: float, scale: float) -> None:
    style = lookup.family(one.crop)
    name = lookup.crop(one.crop)
    if one.days is None:
        canvas.text(4, y + 14, f"{style.code} {name}: {one.status}", size=10.5, fill=canvas.theme.muted)
        return
    start, end = max(0, one.days[0]), min(364, max(one.days[1], one.days[0]))
    x, width = start * scale, max(3.0, (end - start + 1) * scale)
    told = f"{name} in {plain(one.plot)}: {one.status}, sown {one.sown or '-'}, gathered {one.first_gathered or '-'}, {figure(one.harvest_kg)} kg"
    canvas.styled(x, y + 2, width, ROW - 5, style, title=told)
    if one.gather_day is not None:
        mark = min(max(one.gather_day, start), end) * scale
        outline = canvas.outline(style)
        canvas.rect(mark, y + 2, max(3.0, x + width - mark), ROW - 5, style.fill, stroke=outline)
        canvas.line(mark, y + 1, mark, y + ROW - 2, outline, width=3)
    if one.days[0] < 0:
        canvas.path(f"M{num(x + 1)} {num(y + 10.5)}l7 -5v10Z", fill=style.text)
    _label(canvas, f"{style.code} {name}", x, width, y, style=style, left_of_mark=one.days[0] < 0)


def _label(canvas: Canvas, words: str, x: float, width: float, y: float, *, style: Style, left_of_mark: bool) -> None:
    size = 10.0 if canvas.width < WIDE else 12.0
    wanted = text_width(words, size) + 4
    if wanted + 14 < width:
        at = x + (12 if left_of_mark else 5)
        canvas.rect(at - 2, y + 3, wanted, ROW - 7, style.fill)
        canvas.text(at, y + 14, words, size=size, fill=style.text, bold=False)
    elif x + width + wanted < canvas.width:
        canvas.text(x + width + 3, y + 14, words, size=size)
    else:
        canvas.text(x - 3, y + 14, words, size=size, anchor="end")


def _row(one: PlantingYear, lookup: Lookup) -> tuple[str, ...]:
    held = sorted((share, name) for name, share in one.factors.items() if share < 0.8)
    return (
        title(one.plot),
        lookup.crop(one.crop),
        figure(one.area_m2),
        one.sown or one.status,
        " to ".join(dict.fromkeys(day for day in (one.first_gathered, one.last_gathered) if day)) or one.status,
        f"{figure(one.yield_t_ha, 2)} (usual {figure(one.table_low_t_ha)}-{figure(one.table_high_t_ha)})",
        figure(one.harvest_kg),
        ", ".join(f"{FACTOR_WORDS.get(name, name)} {percent(share)}" for share, name in held) or "nothing much",
    )
