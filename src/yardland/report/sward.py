"""The page of a kind of grass or forage: its swards year by year, month by month and day by day."""

from __future__ import annotations

import numpy as np

from yardland.growth.io import F64
from yardland.report.crop import crop_name, ground_words, headline, limit_words, nitrogen_words, water_words, when_words
from yardland.report.crop_json import days_json, head_json, limits_json, soil_json
from yardland.report.crop_tables import day_words, glance, month_table, t_ha, ten_table
from yardland.report.drawing import Table
from yardland.report.figures import crop_sward
from yardland.report.html import environment, made_by, recoloured
from yardland.report.words import figure, listed, percent, title
from yardland.season.sward_told import SwardOfYears, SwardTold

FOOT = (
    "Growth by light, warmth, water and nitrogen at the chosen level; what stock leave, and winter kill, are not in it."
)


def render(told: SwardTold) -> str:
    """The page as one HTML document."""
    pages = environment()
    pages.globals["explained"] = frozenset()
    text = pages.get_template("crop.html.j2").render(
        notes=(),
        foot=FOOT,
        head=headline(told),
        lead=lead(told),
        glance=overview(told),
        sections=[
            {
                "id": f"s-{sward.id}-{sward.rotation_year}",
                "name": heading(sward, told),
                "facts": facts(sward),
                "tables": [
                    ("Months of this year", months_table(sward)),
                    ("Ten days by ten days", ten_table(sward.day_by_day)),
                    ("All years", years_table(sward)),
                ],
                "drawings": crop_sward.drawings(sward),
            }
            for sward in told.swards
        ],
        recoloured={name: recoloured(name) for name in ("dark", "print")},
        version=made_by(),
    )
    return text.replace(" %", "\u00a0%")


def overview(told: SwardTold) -> Table:
    """The swards side by side; no rows for a single one."""
    if len(told.swards) < 2:
        return glance(())
    return glance((heading(sward, told), sward.yields_t_ha, sward.lane, sward.year.area_m2) for sward in told.swards)


def lead(told: SwardTold) -> str:
    """What is shown, in a sentence or two."""
    many, years = len(told.swards), len(told.swards[0].labels) if told.swards else 0
    record = f"{years} larder {'year' if years == 1 else 'years'} of {told.source}; months and days are those of {told.label}."
    if told.trial:
        return (
            f"The plan has no {crop_name(told)}. A trial of {figure(told.swards[0].year.area_m2)} m2 on {told.swards[0].plot} stands "
            f"beside all that the plan has, and is mown whenever it is grown; it is given no dressing. {record}"
        )
    return f"{many} {'sward' if many == 1 else 'swards'} in the plan. {record}"


def heading(sward: SwardOfYears, told: SwardTold) -> str:
    """Plot, kind, and year of the rotation where they differ."""
    parts = [title(sward.plot), sward.kind]
    if len({other.rotation_year for other in told.swards}) > 1:
        parts.append(f"year {sward.rotation_year} of the rotation")
    return ", ".join(parts)


def facts(sward: SwardOfYears) -> list[tuple[str, str]]:
    """Name and words of each fact, for the page and the terminal."""
    days = sward.day_by_day
    return [
        ("This year", _shown(sward)),
        ("Yield", _yields(sward)),
        ("Use", _use(sward)),
        ("What limited it", limit_words(days)),
        ("When", when_words(days)),
        ("Ground", ground_words(sward.year.area_m2, sward.watered_by, sward.soil)),
        ("Water", water_words(days)),
        ("Nitrogen", nitrogen_words(days)),
        ("Factors", _factors(sward)),
    ]


def _use(sward: SwardOfYears) -> str:
    first, last = sward.cuts
    if first is None or last is None:
        return f"{sward.use}; not mown this year."
    return f"{sward.use}; mown {' to '.join(dict.fromkeys((day_words(first), day_words(last))))}."


def _yields(sward: SwardOfYears) -> str:
    yields = sward.yields_t_ha
    spread = (
        f"{t_ha(float(yields.min()))} to {t_ha(float(yields.max()))} t/ha of dry matter grazed or mown over {len(yields)} years, "
        f"{t_ha(float(np.median(yields)))} in the middle one"
    )
    return f"{spread if len(yields) > 1 else f'{t_ha(float(yields[0]))} t/ha of dry matter grazed or mown'}."


def _shown(sward: SwardOfYears) -> str:
    stand, lane = sward.stand_t_ha, sward.lane
    sums = {name: float(values.sum()) for name, values in crop_sward.went(sward).items()}
    went = listed([f"{t_ha(value)} {name}" for name, value in sums.items() if value >= 0.005])
    hay = float(sward.year.hay_kg[:, lane].sum())
    stored = f"; {figure(hay)} kg of hay came in" if hay > 0 else ""
    return f"{t_ha(float(stand['grew'][:, lane].sum()))} t/ha grew: {went or 'nothing was used'}{stored}."


def _factors(sward: SwardOfYears) -> str:
    year, lane = sward.year, sward.lane
    return (
        f"Left by water {percent(float(year.water_factor[lane]))} of what warmth and light would have made, by nitrogen "
        f"{percent(float(year.nitrogen_factor[lane]))} of that."
    )


def months_table(sward: SwardOfYears) -> Table:
    """The twelve months: dry matter, water and nitrogen."""
    stand, lane, year = sward.stand_t_ha, sward.lane, sward.year
    parts = [stand["grew"][:, lane], *crop_sward.went(sward).values(), stand["end"][:, lane]]
    wet = [year.water_mm[term][:, lane] for term in ("rain_mm", "irrigation_mm", "et_mm", "drainage_mm")]
    n = [year.nitrogen_kg_ha[term][:, lane] for term in ("uptake_kg_ha", "leached_kg_ha")]
    rows = [
        (
            name,
            *(f"{values[month]:.2f}" for values in parts),
            *(f"{values[month]:.0f}" for values in wet),
            *(f"{values[month]:.1f}" for values in n),
        )
        for month, name in enumerate(sward.months)
    ]
    header = (
        "t/ha", "Grew", "Grazed", "Mown", "Trodden", "Withered", "Stands", "Rain mm", "Given", "To the air", "Drained",
        "N taken", "N leached",
    )  # fmt: skip
    return Table(header, tuple(rows))


def years_table(sward: SwardOfYears) -> Table:
    """Every larder year of the record."""
    year = sward.year
    used, cut, grew = sward.stand_t_ha["grazed"].sum(axis=0), sward.cut_t_ha.sum(axis=0), sward.stand_t_ha["grew"]
    rows = [
        (
            label,
            t_ha(float(grew[:, lane].sum())),
            t_ha(float(used[lane])),
            t_ha(float(cut[lane])),
            f"{year.water_factor[lane]:.2f}",
            f"{year.nitrogen_factor[lane]:.2f}",
            f"{year.taken_n_kg_ha[lane]:.0f}",
            f"{year.fixed_n_kg_ha[lane]:.0f}",
            f"{year.nitrogen_kg_ha['leached_kg_ha'][:, lane].sum():.0f}",
        )
        for lane, label in enumerate(sward.labels)
    ]
    header = ("Larder year", "Grew", "Grazed", "Mown", "Water", "Nitr.", "N taken", "Fixed", "Leached")
    return Table(header, tuple(rows))


def short_months(sward: SwardOfYears) -> tuple[Table, ...]:
    """The tables of the terminal: months by use, months by limit, years."""
    whole = months_table(sward)
    few = Table(whole.header[:9], tuple(row[:9] for row in whole.rows))
    return few, month_table(sward.day_by_day), years_table(sward)


def sward_json(told: SwardTold) -> dict[str, object]:
    """Plain data with the keys of the crop's object; a sward is a planting that is never sown."""
    return {
        **head_json(told),
        "plantings": [_planting(sward) for sward in told.swards],
        "notes": [],
    }


def _planting(sward: SwardOfYears) -> dict[str, object]:
    year, lane = sward.year, sward.lane
    return {
        "planting": sward.id,
        "plot": sward.plot,
        "kind": sward.kind,
        "use": sward.use,
        "rotation_year": sward.rotation_year,
        "area_m2": round(year.area_m2, 2),
        "soil": soil_json(sward.soil),
        "sow": None,
        "harvest": list(sward.cuts),
        "yield_t_ha": _by_year(sward, sward.yields_t_ha),
        "years": {
            label: {
                "grown_t_ha": round(float(sward.stand_t_ha["grew"][:, index].sum()), 4),
                "grazed_t_ha": round(float(sward.stand_t_ha["grazed"][:, index].sum()), 4),
                "mown_t_ha": round(float(sward.cut_t_ha[:, index].sum()), 4),
                "hay_kg": round(float(year.hay_kg[:, index].sum()), 2),
                "factors": {
                    "water": round(float(year.water_factor[index]), 4),
                    "nitrogen": round(float(year.nitrogen_factor[index]), 4),
                },
                "nitrogen_kg_ha": {
                    "from_soil": round(float(year.taken_n_kg_ha[index]), 2),
                    "from_air": round(float(year.fixed_n_kg_ha[index]), 2),
                    "leached": round(float(year.nitrogen_kg_ha["leached_kg_ha"][:, index].sum()), 2),
                },
            }
            for index, label in enumerate(sward.labels)
        },
        "months": {
            "names": list(sward.months),
            **{f"{term}_t_ha": _twelve(values[:, lane]) for term, values in sward.stand_t_ha.items()},
            **{term: _twelve(values[:, lane]) for term, values in year.water_mm.items()},
            **{f"n_{term}": _twelve(values[:, lane]) for term, values in year.nitrogen_kg_ha.items()},
        },
        "limits": limits_json(sward.day_by_day),
        "days": days_json(sward.day_by_day),
    }


def _by_year(sward: SwardOfYears, values: F64) -> dict[str, float]:
    return {label: round(float(value), 4) for label, value in zip(sward.labels, values, strict=True)}


def _twelve(values: F64) -> list[float]:
    return [round(float(value), 4) for value in values]
