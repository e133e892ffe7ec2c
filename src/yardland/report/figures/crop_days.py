"""A sowing day by day: leaves and dry matter, water in the root zone, cold against what kills, degree-days."""

from __future__ import annotations

import numpy as np

from yardland.report.drawing import Drawing
from yardland.report.figures.bars import scale_top
from yardland.report.figures.crop_frame import (
    ACCENT,
    FOOT,
    G_M2_PER_T_HA,
    HEIGHT,
    LEFT,
    LESS_STAGES,
    LIGHT_ROWS,
    TOP,
    Frame,
    by_month,
    day_words,
    stages,
)
from yardland.report.figures.crop_wants import limits, nitrogen
from yardland.report.figures.weather_months import degree_axis, drawing, small
from yardland.report.svg import Canvas
from yardland.report.words import figure
from yardland.season.crop_limits import DayByDay, month_key
from yardland.season.crop_year import CropPlanting


def drawings(planting: CropPlanting) -> list[Drawing]:
    """The drawings of the year that is shown; none where it was not sown."""
    told = planting.day_by_day
    if told is None:
        return []
    uid = f"{planting.id}-{planting.rotation_year}"
    return [
        _growth(told, uid),
        limits(told, uid),
        water(told, uid),
        nitrogen(told, uid),
        _cold(told, uid),
        _heat(told, uid),
    ]


def _growth(told: DayByDay, uid: str) -> Drawing:
    days = told.trace.days
    made = np.cumsum(days["dm_g_m2"]) / G_M2_PER_T_HA
    light = np.cumsum(days["light_mj"])
    reached = float(days["ripeness"].max())
    widest = int(days["cover"].argmax())
    alt = (
        f"The area is the share of the light that green leaves catch, widest on {day_words(told, widest)} with "
        f"{100 * days['cover'][widest]:.0f} %; the line is the dry matter made since sowing, {figure(float(made[-1]))} t/ha at the "
        f"end (straw, leaves and all, before harvest index and level). The crop got {100 * reached:.0f} % of its development."
    )
    table = by_month(
        told,
        (
            *LIGHT_ROWS,
            ("Dry matter made, t/ha", lambda m: f"{m.made_g_m2 / G_M2_PER_T_HA:.2f}"),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = Frame(canvas, told)
        level = frame.marks(1.0, 0.25, "% of light", percent=True)
        frame.area(days["cover"], level, 0.3)
        top, step = scale_top(max(float(made[-1]), 0.1))

        def right(value: float) -> float:
            return TOP + HEIGHT * (1 - value / top)

        for mark in np.arange(0.0, top + step / 2, step):
            canvas.text(
                frame.end + 5,
                right(float(mark)) + 3.5,
                figure(float(mark)),
                size=small(canvas),
                fill=canvas.theme.muted,
            )
        canvas.text(canvas.width, 12, "t/ha", size=small(canvas), fill=canvas.theme.muted, anchor="end")
        frame.curve(made, right)
        frame.key((("leaves", "area"), ("dry matter", "")))
        frame.months()
        stages(frame)
        frame.tell(
            lambda i: f"leaves {100 * days['cover'][i]:.0f} %, {made[i]:.1f} t/ha made, {light[i]:.0f} MJ/m² caught"
        )

    return drawing(f"growth-{uid}", "Leaves and dry matter", alt, draw, round(TOP + HEIGHT) + FOOT + 4, table)


def water(told: DayByDay, uid: str) -> Drawing:
    """What the root zone lacks against what may be drawn freely."""
    days = told.trace.days
    thirsty = int((days["ks"] < 1.0).sum())
    worst = int(days["ks"].argmin())
    stress = (
        f"On {thirsty} {'day' if thirsty == 1 else 'days'} it lacked water; worst on {day_words(told, worst)}, when its growth was held to {100 * days['ks'][worst]:.0f} %."
        if thirsty
        else "It never lacked water."
    )
    alt = (
        "The area is the water that the root zone lacks, the broken line what the crop can draw freely, the thin line all that "
        f"the roots can reach. {stress} {days['rain_mm'].sum():.0f} mm of rain fell on it and {days['irrigation_mm'].sum():.0f} mm were given."
    )
    table = by_month(
        told,
        (
            ("Rain, mm", lambda m: f"{m.rain_mm:.0f}"),
            ("Given, mm", lambda m: f"{m.irrigation_mm:.0f}"),
            ("Growth lost to want of water, %", lambda m: f"{100 * m.lost['water']:.0f}"),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = Frame(canvas, told)
        highest = float(days["available_mm"].max())
        level = frame.filled(days["depletion_mm"], "mm", 0.3, highest=highest, least=0.0)
        frame.curve(days["readily_mm"], level, dash="5 4", width=1.2)
        frame.curve(days["available_mm"], level, width=0.7)
        frame.key((("lacking", "area"), ("free to draw", "5 4")))
        frame.months()
        frame.tell(
            lambda i: (
                f"{days['depletion_mm'][i]:.0f} mm lacking of {days['available_mm'][i]:.0f}, growth at {100 * days['ks'][i]:.0f} % for water"
            )
        )

    return drawing(f"water-{uid}", "Water in the root zone", alt, draw, round(TOP + HEIGHT) + 22, table)


def _cold(told: DayByDay, uid: str) -> Drawing:
    days = told.trace.days
    by_mean = not np.array_equal(days["cold_c"], days["tmin_c"])
    what = "the mean of three days" if by_mean else "the night's lowest"
    nearest = told.nearest_frost
    near = (
        f" At the nearest the two are {nearest[0]:.1f} °C apart."
        if nearest and nearest[0] >= 0
        else " It froze."
        if nearest
        else ""
    )
    set_share = float(days["set_share"].min())
    flowers = f" Frosts at flowering left {100 * set_share:.0f} % of a full crop." if set_share < 1 else ""
    alt = f"The line is {what}, the broken line the temperature under which the crop dies at that stage.{near}{flowers}"
    keys = [month_key(day) for day in told.dates]
    picks = {month.key: np.array([month.key == key for key in keys]) for month in told.months}
    table = by_month(
        told,
        (
            (f"Lowest, {what}, °C", lambda m: f"{days['cold_c'][picks[m.key]].min():.1f}".replace("-", "−")),  # noqa: RUF001 (a minus sign)
            ("Kills at, °C", lambda m: f"{days['kill_c'][picks[m.key]].max():.1f}".replace("-", "−")),  # noqa: RUF001
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = Frame(canvas, told)
        low = min(float(days["cold_c"].min()), float(days["kill_c"].min()) - 2.0, 0.0)
        level = degree_axis(canvas, low, max(float(days["cold_c"].max()), 5.0), LEFT, TOP + HEIGHT)
        frame.curve(days["cold_c"], level, width=1.2)
        frame.curve(days["kill_c"], level, dash="5 4", width=2.2, accent=True)
        frame.key((("three-day mean" if by_mean else "night", ""), ("dies under", "5 4" + ACCENT)))
        frame.months()
        frame.tell(lambda i: f"{days['cold_c'][i]:.1f} °C, dies under {days['kill_c'][i]:.1f} °C")

    return drawing(f"cold-{uid}", "Cold, and what would kill it", alt, draw, round(TOP + HEIGHT) + 22, table)


def _heat(told: DayByDay, uid: str) -> Drawing:
    days = told.trace.days
    summed = np.cumsum(days["degree_days"])
    at = [
        f"{name} at {summed[min(day - told.trace.sow_day, len(summed) - 1)]:.0f}"
        for name, day in told.trace.stages.items()
        if name not in LESS_STAGES
    ]
    alt = f"Degree-days since sowing: {', '.join([*at, f'{summed[-1]:.0f} at the end'])}."
    table = by_month(
        told,
        (
            ("Degree-days", lambda m: f"{m.degree_days:.0f}"),
            ("Growth lost to cold, %", lambda m: f"{100 * m.lost['cold']:.0f}"),
            ("Growth lost to heat, %", lambda m: f"{100 * m.lost['heat']:.0f}"),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = Frame(canvas, told)
        frame.filled(summed, "°C d", 0.15)
        frame.months()
        stages(frame)
        frame.tell(lambda i: f"{summed[i]:.0f} degree-days, {100 * days['ripeness'][i]:.0f} % of the way")

    return drawing(f"heat-{uid}", "Warmth summed", alt, draw, round(TOP + HEIGHT) + FOOT + 4, table)
