"""The table of the soil on the report's page."""

from __future__ import annotations

from yardland.accounts.ground_year import PlotSoil, SoilNutrient
from yardland.larderyear.result import YearResult
from yardland.report.drawing import Table
from yardland.report.words import figure, title

HEADER = (
    "Plot",
    "N taken",
    "N leached",
    "C now",
    "C came",
    "C to hold",
    "C in 10 y",
    "P balance",
    "P index",
    "K balance",
    "K index",
    "pH",
    "Lime, kg",
)
NONE = "–"  # noqa: RUF001 (a dash for none)
READING = (
    ("N taken, leached", "Nitrogen that plants took up, and that was washed out, in the year: kg a hectare."),
    (
        "C now, came, to hold, in 10 y",
        "Tonnes of carbon a hectare of topsoil: there now (with a question mark where no test says), come in the year, what would have to come to hold it, there in ten years.",
    ),
    ("P, K balance", "Phosphorus and potassium that came less what was carried off: kg a hectare."),
    ("P, K index; pH", "The soil test now, and in ten years."),
    ("Lime", "Ground limestone for the whole plot, kg."),
    ("Ten years ahead", "This year's doings gone on with, average weather, no lime."),
)
"""How to read the columns."""


def soil_table(result: YearResult) -> Table:
    """A row for each farmed plot, its cells linked to their explanations."""
    return Table(HEADER, tuple(_row(soil) for soil in result.soils), tuple(_keys(soil) for soil in result.soils))


def _row(soil: PlotSoil) -> tuple[str, ...]:
    carbon, acid = soil.carbon, soil.acidity
    return (
        title(soil.plot),
        NONE if soil.nitrogen is None else f"{soil.nitrogen.uptake:.0f}",
        NONE if soil.nitrogen is None else f"{soil.nitrogen.leached:.0f}",
        figure(carbon.stock) + ("?" if "organic matter" in soil.unknown else ""),
        figure(sum(carbon.added.values()), 2),
        figure(carbon.holding, 2),
        figure(carbon.ahead),
        signed(soil.phosphorus.balance),
        course(soil.phosphorus),
        signed(soil.potassium.balance),
        course(soil.potassium),
        "no test" if acid.ph is None or acid.ph_ahead is None else f"{acid.ph:.1f} to {acid.ph_ahead:.1f}",
        figure(acid.lime_kg) if acid.lime_kg > 0 else ("unknown" if acid.ph is None else "none"),
    )


def _keys(soil: PlotSoil) -> tuple[str, ...]:
    """Result key behind each cell."""
    carbon, p, k, lime = (f"soil.{soil.plot}.{part}" for part in ("carbon", "phosphorus", "potassium", "lime"))
    n = f"soil.{soil.plot}.nitrogen" if soil.nitrogen is not None else ""
    return ("", n, n, *[carbon] * 4, *[p] * 2, *[k] * 2, *[lime] * 2)


def signed(kg_ha: float) -> str:
    """A balance with its sign."""
    return f"{kg_ha:+.0f}".replace("-0", "0").replace("+0", "0") if abs(kg_ha) < 0.5 else f"{kg_ha:+.0f}"


def course(one: SoilNutrient) -> str:
    """Index now and in ten years."""
    return "no test" if one.index is None else f"{one.index} to {one.band_ahead}"
