"""Which grass and which cleared ground each herd was on, and when: a line for each plot, a bar for each stay."""

from __future__ import annotations

from yardland.larderyear.result import YearResult
from yardland.ledger.months import DAYS_IN_YEAR, month_of_day
from yardland.report.drawing import NARROW, Drawing, Table
from yardland.report.palette import styles, themes
from yardland.report.svg import Canvas
from yardland.report.words import listed, plain, title
from yardland.season.evenings import Walk

ROW, HEAD, BAR = 18, 20, 12
"""Height of a plot's line without its bars, of the months, and of a bar."""
STYLE, CLEARED = "Ly", "Ce"


def drawings(result: YearResult) -> tuple[Drawing, ...]:
    """One drawing for each herd that was out on grass or on what harvests left."""
    return tuple(_drawing(result, name, walk) for name, walk in result.pasture.walks.items() if walk.out)


def herd_words(walk: Walk) -> str:
    """Who goes together."""
    return listed([plain(group) for group in walk.groups])


def day_words(result: YearResult, day: int) -> str:
    """A day of the larder year as 5 Apr."""
    month = result.months[month_of_day(result.months)[day]]
    return f"{day - month.first_day + 1} {month.name}"


def _drawing(result: YearResult, name: str, walk: Walk) -> Drawing:
    heading = f"{title(herd_words(walk))}: where they graze"
    told = "; ".join(
        f"{herd_words(herd)} {herd.grass_d.sum():.0f} evenings in {len(herd.stays)} stays, {herd.yard_d.sum():.0f} evenings "
        "in the yard in months that grow grass"
        + (f", {herd.leavings_d.sum():.0f} evenings on cleared ground" if herd.leavings else "")
        for herd in walk.herds
    )
    alt = f"Stays on grass{', one behind the other' if walk.parts else ''}: {told}."
    rows = tuple(
        (
            f"{title(stay.plot)}, cleared" if stay.strips else title(stay.plot),
            *((title(listed([plain(group) for group in stay.groups])),) if walk.parts else ()),
            day_words(result, stay.first),
            day_words(result, stay.last),
            f"{stay.last - stay.first}",
        )
        for stay in walk.out
    )
    return Drawing(
        f"stays-{name}",
        heading,
        alt,
        lambda theme, width: draw_stays(result, name, theme=theme, width=width, alt=alt),
        Table(("Plot", *(("Who",) if walk.parts else ()), "From", "To", "Evenings"), rows),
        (NARROW,),
    )


def draw_stays(result: YearResult, name: str, *, theme: str, width: int, alt: str = "") -> str:
    """The stays of a round as SVG: plots one below the other, a line of bars for each that goes by itself, the year from left to right."""
    colours, walk = themes()[theme], result.pasture.walks[name]
    head = HEAD + (12 if walk.parts else 0)
    row_height = ROW + BAR * len(walk.herds)
    canvas = Canvas(width, head + row_height * len(walk.plots) + 4, colours, f"stays-{name}")
    scale = width / DAYS_IN_YEAR
    for month in result.months:
        x = month.first_day * scale
        canvas.line(x, 14, x, canvas.height, colours.rule, dash="1 3")
        canvas.text(x + 2, 10, month.name, size=10, fill=colours.muted)
    if walk.parts:
        canvas.text(0, 24, f"Bars from above: {', '.join(herd_words(herd) for herd in walk.parts)}", size=10.5)
    for row, plot in enumerate(walk.plots):
        y = head + row_height * row
        days = sum(stay.last - stay.first for stay in walk.out if stay.plot == plot)
        canvas.text(0, y + 9, f"{title(plot)}, {days} evenings", size=10.5)
        canvas.line(0, y + row_height - 3, width, y + row_height - 3, colours.rule)
        for cleared, style in ((False, STYLE), (True, CLEARED)):
            boxes = [
                (
                    stay.first * scale,
                    float(y + ROW - 4 + BAR * line),
                    max(2.0, (stay.last - stay.first) * scale),
                    float(BAR),
                )
                for line, herd in enumerate(walk.herds)
                for stay in (herd.leavings if cleared else herd.stays)
                if stay.plot == plot
            ]
            canvas.boxes(boxes, styles()[style])
    return canvas.render(f"{title(herd_words(walk))}: where they graze", alt)
