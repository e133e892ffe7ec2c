"""Generator against record: for each month how the years spread, drawn years as bands, recorded ones as dots."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from yardland.report.drawing import Drawing, Table
from yardland.report.figures.weather_months import MONTHS, drawing, small
from yardland.report.palette import styles
from yardland.report.svg import Canvas, num
from yardland.report.words import percent
from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.generator.model import MONTH_OF_DAY, RAIN_DAY_MM
from yardland.weather.generator.stats import Years
from yardland.weather.types import F64

SHARES = (0.05, 0.25, 0.5, 0.75, 0.95)
PANEL, GAP, HEAD = 118, 42, 46
FEW = 20
"""Up to so many recorded years are drawn as a dot each; of more, the five quantiles are."""


@dataclass(frozen=True)
class Panel:
    """A quantity of every month of every year, [years, 12], recorded and drawn."""

    name: str
    unit: str
    recorded: F64
    drawn: F64
    from_zero: bool
    style: str


def generator_drawing(record: Years, generated: Years, *, normals: bool = False) -> Drawing:
    """Monthly temperature, rain and rain days of drawn years behind those of the record.

    Args:
        record: whole years of the record, or one year with the months of the normals.
        generated: some hundred drawn years or more.
        normals: whether it is the normals.
    """
    panels = _panels(record, generated)
    first = 6 if record.latitude_deg < 0 else 0
    order = np.roll(np.arange(12), -first)
    years, many = len(record.rain_mm), len(generated.rain_mm)
    whose = "the twelve normals" if normals else _whose(years)
    alt = f"Bands hold nine in ten and half of the months of {many:,} drawn years. " + (
        "Dots are the normals they were fitted to; how years spread about them is a default."
        if normals
        else f"{percent(_inside(panels))} of the recorded months of {years} years lie in the wide bands (90 % would, if both "
        "were the same)."
    )

    def draw(canvas: Canvas) -> None:
        _legend(canvas, whose, many)
        for index, panel in enumerate(panels):
            _panel(canvas, panel, order, HEAD + index * (PANEL + GAP))

    height = HEAD + len(panels) * (PANEL + GAP)
    name = f"Drawn years against the {'normals' if normals else 'record'}"
    return drawing("generator", name, alt, draw, height, _table(panels, order))


def _panels(record: Years, generated: Years) -> tuple[Panel, ...]:
    def both(count: Callable[[Years], F64]) -> tuple[F64, F64]:
        return _by_month(count(record)), _by_month(count(generated))

    recorded, drawn = both(lambda years: years.tmean_c / MONTH_LENGTHS[MONTH_OF_DAY])
    # Against the month's own mean: the seasons would hide the years.
    usual = recorded.mean(axis=0)
    return (
        Panel("Month warmer than its mean", "°C", recorded - usual, drawn - usual, from_zero=False, style="Ce"),
        Panel("Rain", "mm", *both(lambda years: years.rain_mm), from_zero=True, style="Br"),
        Panel(
            "Rain days",
            "days",
            *both(lambda years: (years.rain_mm >= RAIN_DAY_MM).astype(np.float64)),
            from_zero=True,
            style="Br",
        ),
    )


def _by_month(values: F64) -> F64:
    return np.stack([values[:, m == MONTH_OF_DAY].sum(axis=1) for m in range(12)], axis=1)


def _inside(panels: tuple[Panel, ...]) -> float:
    """Share of recorded months between the outer quantiles of the drawn ones."""
    found = []
    for panel in panels:
        low, high = np.quantile(panel.drawn, [SHARES[0], SHARES[-1]], axis=0)
        found.append(((panel.recorded >= low) & (panel.recorded <= high)).mean())
    return float(np.mean(found))


def _table(panels: tuple[Panel, ...], order: np.ndarray[tuple[int], np.dtype[np.int64]]) -> Table:
    rows = []
    for panel in panels:
        for whose, values in (("record", panel.recorded), ("drawn", panel.drawn)):
            for share in (0.05, 0.5, 0.95):
                cells = np.quantile(values, share, axis=0)[order]
                name = f"{panel.name}, {panel.unit}: {whose}, {share:.0%}"
                rows.append((name, *(_signed(float(value)) for value in cells)))
    return Table(("Month", *(MONTHS[m] for m in order)), tuple(rows))


def _signed(value: float) -> str:
    return f"{value:.1f}".replace("-", "−")  # noqa: RUF001 (a minus sign)


def _whose(years: int) -> str:
    return f"a month of the {years} recorded years" if years <= FEW else f"5 to 95 % of the {years} recorded years"


def _legend(canvas: Canvas, whose: str, many: int) -> None:
    size = small(canvas)
    style = styles()["Br"]
    _band(canvas, 0, 4, 18, 6, style.fill, 0.35)
    _band(canvas, 20, 4, 18, 6, style.fill, 0.8)
    canvas.text(44, 12, f"nine in ten, half and the middle of {many:,} drawn years", size=size)
    _dot(canvas, 5, 25)
    canvas.text(44, 29, whose, size=size)


def _panel(canvas: Canvas, panel: Panel, order: np.ndarray[tuple[int], np.dtype[np.int64]], top: float) -> None:
    left, size = 34.0, small(canvas)
    low, high = _bounds(panel)
    step = _step(high - low)
    bottom = np.floor(low / step) * step
    ceiling = np.ceil(high / step) * step

    def level(value: float) -> float:
        return float(top + 12 + (PANEL - 12) * (1 - (value - bottom) / (ceiling - bottom)))

    canvas.text(0, top + 2, f"{panel.name}, {panel.unit}", size=size, bold=True)
    for mark in np.arange(bottom, ceiling + step / 2, step):
        y = level(float(mark))
        canvas.line(left, y, canvas.width, y, canvas.theme.rule)
        words = f"{mark:.0f}".replace("-", "−")  # noqa: RUF001 (a minus sign)
        canvas.text(left - 5, y + 3.5, words, size=size, fill=canvas.theme.muted, anchor="end")
    pitch = (canvas.width - left) / 12
    for place, m in enumerate(order):
        middle = left + pitch * (place + 0.5)
        _month(canvas, panel, int(m), middle, pitch, level)
        canvas.text(
            middle, top + PANEL + 15, MONTHS[m] if canvas.width > 400 else MONTHS[m][0], size=size, anchor="middle"
        )


def _month(canvas: Canvas, panel: Panel, m: int, middle: float, pitch: float, level: Callable[[float], float]) -> None:
    drawn = [level(float(value)) for value in np.quantile(panel.drawn[:, m], SHARES)]
    fill, half = styles()[panel.style].fill, pitch * 0.34
    _band(canvas, middle - half, drawn[4], 2 * half, drawn[0] - drawn[4], fill, 0.35)
    _band(canvas, middle - half, drawn[3], 2 * half, drawn[1] - drawn[3], fill, 0.8)
    canvas.line(middle - half, drawn[2], middle + half, drawn[2], canvas.theme.ink, width=1.6)
    own = panel.recorded[:, m]
    shown = own if len(own) <= FEW else np.quantile(own, SHARES)
    for index, value in enumerate(shown):
        aside = ((index % 3) - 1) * pitch * 0.12 if len(shown) > 1 else 0.0
        _dot(canvas, middle + aside, level(float(value)))
    said = ", ".join(_signed(float(value)) for value in np.sort(shown))
    canvas.tell(middle - pitch / 2, level(_bounds(panel)[1]), pitch, PANEL - 12, f"{panel.name}, {MONTHS[m]}: {said}")


def _bounds(panel: Panel) -> tuple[float, float]:
    drawn = np.quantile(panel.drawn, [0.05, 0.95], axis=0)
    low = min(float(drawn.min()), float(panel.recorded.min()))
    high = max(float(drawn.max()), float(panel.recorded.max()))
    return (0.0 if panel.from_zero else low), max(high, low + 1.0)


def _step(span: float) -> float:
    return float(next((size for size in (1, 2, 5, 10, 20, 50, 100, 200) if span / size <= 5), 500))


def _band(canvas: Canvas, x: float, y: float, w: float, h: float, fill: str, share: float) -> None:
    canvas.raw(
        f'<rect x="{num(x)}" y="{num(y)}" width="{num(w)}" height="{num(max(h, 0.5))}" fill="{fill}" fill-opacity="{share}"/>'
    )


def _dot(canvas: Canvas, x: float, y: float) -> None:
    r = 2.2
    ink, paper = canvas.theme.ink, canvas.theme.paper
    canvas.path(f"M{num(x - r)} {num(y)}a{r} {r} 0 1 0 {2 * r} 0a{r} {r} 0 1 0 {-2 * r} 0Z", fill=ink, stroke=paper)
