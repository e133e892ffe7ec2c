"""A sward's year: where its growth went month by month, how much stood day by day, its years."""

from __future__ import annotations

import numpy as np

from yardland.growth.io import F64
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures.bars import Chart, Series, draw_bars
from yardland.report.figures.crop_days import water
from yardland.report.figures.crop_frame import HEIGHT, LIGHT_ROWS, TOP, Frame, by_month, day_words
from yardland.report.figures.crop_wants import limits, nitrogen
from yardland.report.figures.weather_months import drawing
from yardland.report.palette import styles
from yardland.report.svg import Canvas
from yardland.report.words import figure
from yardland.season.crop_limits import DayByDay
from yardland.season.sward_told import SwardOfYears

SERIES = (("grazed", "Gr", "Ly"), ("mown", "Mo", "Ce"), ("trodden", "Tr", "Ni"), ("withered", "Wi", "Um"))
"""Where growth goes: name, code, style."""


def drawings(sward: SwardOfYears) -> list[Drawing]:
    """The drawings of the year that is shown."""
    uid, told = f"{sward.id}-{sward.rotation_year}", sward.day_by_day
    return [
        _months(sward, uid),
        _standing(told, uid),
        limits(told, uid),
        water(told, uid),
        nitrogen(told, uid),
    ]


def went(sward: SwardOfYears) -> dict[str, F64]:
    """Dry matter by where it went, t/ha in each month of the year that is shown."""
    stand, lane = sward.stand_t_ha, sward.lane
    return {
        "grazed": stand["grazed"][:, lane],
        "mown": sward.cut_t_ha[:, lane],
        "trodden": stand["trampled"][:, lane],
        "withered": stand["withered"][:, lane],
    }


def _months(sward: SwardOfYears, uid: str) -> Drawing:
    gone, grew = went(sward), sward.stand_t_ha["grew"][:, sward.lane]
    best = int(grew.argmax())
    alt = (
        f"Tonnes of dry matter a hectare: the columns are where it went, the broken line what grew. {figure(float(grew.sum()), 2)} t/ha grew, "
        f"most in {sward.months[best]} ({figure(float(grew[best]), 2)}); "
        f"{', '.join(f'{figure(float(values.sum()), 2)} {name}' for name, values in gone.items() if values.sum() > 0)}."
    )
    series = tuple(
        Series(name, gone[name], styles()[style], code) for name, code, style in SERIES if gone[name].sum() > 0
    )
    title = "Growth, and where it went"
    chart = Chart(f"went-{uid}", title, alt, "t/ha", series, sward.months, grew, "grew")
    rows = (("grew", grew), *gone.items(), ("standing at the end", sward.stand_t_ha["end"][:, sward.lane]))
    table = Table(
        ("t/ha dry", *sward.months),
        tuple((name, *(f"{value:.2f}" for value in values.tolist())) for name, values in rows),
    )

    def draw(theme: str, width: int) -> str:
        return draw_bars(chart, theme, width)

    return Drawing(f"went-{uid}", title, alt, draw, table, (NARROW, WIDE))


def _standing(told: DayByDay, uid: str) -> Drawing:
    days = told.trace.days
    mass = days["mass_t_ha"]
    most = int(mass.argmax())
    falls = int((np.diff(mass) < -0.3).sum())
    alt = (
        f"Standing dry matter in the morning, t/ha; most on {day_words(told, most)} with {figure(float(mass[most]), 2)}. It was grazed "
        f"or mown {falls} times."
    )
    table = by_month(
        told,
        (
            *LIGHT_ROWS,
            ("Rain, mm", lambda m: f"{m.rain_mm:.0f}"),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = Frame(canvas, told)
        frame.filled(mass, "t/ha", 0.2)
        frame.months()
        frame.tell(lambda i: f"{mass[i]:.1f} t/ha stand, leaves catch {100 * days['cover'][i]:.0f} % of the light")

    return drawing(f"standing-{uid}", "What stood", alt, draw, round(TOP + HEIGHT) + 22, table)
