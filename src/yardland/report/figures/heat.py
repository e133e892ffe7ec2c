"""Months x nutrients: what share of the need is eaten. Brown is short, cream just met, blue more than needed."""

from __future__ import annotations

from yardland.larderyear.result import YearResult
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.palette import BLACK, heat, text_on, themes
from yardland.report.svg import Canvas, num
from yardland.report.words import nutrient, nutrient_order, percent

MARK_BELOW = 0.70
"""Cells under this share are set in bold with a mark."""
ROW = 21


def drawings(result: YearResult) -> tuple[Drawing, ...]:
    """The one heat table of the year."""
    names = [month.name for month in result.months]
    order = nutrient_order(result.coverage)
    low = [nutrient(key) for key in order if float(result.coverage[key].min()) < MARK_BELOW]
    alt = "Share of each month's need that is eaten, by nutrient. " + (
        f"Under 70 % in some month: {', '.join(low)}." if low else "No nutrient falls under 70 % in any month."
    )
    table = Table(
        ("Nutrient", *names),
        tuple((nutrient(key), *(percent(float(value)) for value in result.coverage[key])) for key in order),
        tuple(("", *(f"coverage.{key}.{name}" for name in names)) for key in order),
    )
    return (
        Drawing("coverage", "What the table gives, month by month", alt, _Draw(result, alt), table, (NARROW, WIDE)),
    )


class _Draw:
    def __init__(self, result: YearResult, alt: str) -> None:
        self.result = result
        self.alt = alt

    def __call__(self, theme_name: str, width: int) -> str:
        return draw_heat(self.result, theme_name, width, self.alt)


def draw_heat(result: YearResult, theme_name: str, width: int, alt: str = "") -> str:
    """The heat table as SVG; figures are per cent of the need."""
    theme = themes()[theme_name]
    order = nutrient_order(result.coverage)
    size = 9.5 if width < WIDE else 12
    left = 102.0 if width < WIDE else 150.0
    cell = (width - left) / 12
    canvas = Canvas(width, ROW * len(order) + 50, theme, "heat")
    for index, month in enumerate(result.months):
        canvas.text(
            left + cell * (index + 0.5), 13, month.name, size=size - 0.5 if width < WIDE else 12, anchor="middle"
        )
    for row, key in enumerate(order):
        y = 20 + ROW * row
        bold = key in {"energy_kcal", "protein_g"}
        canvas.text(left - 6, y + 14.5, nutrient(key), size=10.5 if width < WIDE else 12, anchor="end", bold=bold)
        with canvas.lettering(size, "middle", BLACK):
            for index, month in enumerate(result.months):
                name = f"{nutrient(key)}, {month.name}"
                _cell(canvas, left + cell * index, y, cell, share=float(result.coverage[key][index]), name=name)
    _legend(canvas, left, 20 + ROW * len(order) + 12)
    return canvas.render("What the table gives, month by month (% of need)", alt)


def _cell(canvas: Canvas, x: float, y: float, width: float, *, share: float, name: str) -> None:
    fill = heat(share)
    told = f"{name}: {percent(share)} of need" if canvas.width >= WIDE else ""
    canvas.rect(x + 0.5, y + 0.5, width - 1, ROW - 1, fill, title=told)
    low = share < MARK_BELOW
    ink = text_on(fill)
    middle, foot = x + width / 2, y + (12.5 if low else 14.5)
    canvas.text(middle, foot, f"{100 * share:.0f}", size=0, fill="" if ink == BLACK else ink, anchor="", bold=low)
    if low:
        canvas.path(f"M{num(middle - 3)} {num(y + 14.8)}h6l-3 4Z", fill=ink)


def _legend(canvas: Canvas, left: float, y: float) -> None:
    samples = ((0.3, "30"), (0.7, "70"), (1.0, "100"), (1.6, "160"), (2.5, "250"))
    canvas.text(left - 6, y + 10.5, "% of need", size=10.5, fill=canvas.theme.muted, anchor="end")
    for index, (share, words) in enumerate(samples):
        fill = heat(share)
        canvas.rect(left + 30 * index, y, 29, 15, fill)
        canvas.text(left + 30 * index + 14.5, y + 11, words, size=9.5, fill=text_on(fill), anchor="middle")
    if canvas.width >= WIDE:
        canvas.text(left + 160, y + 11, "bold with a mark: under 70 %", size=10.5, fill=canvas.theme.muted)
