"""Compile what numba compiles once a machine (growth, drawn herds, drawn weather), so that tests find it on the disk.

`start.py test` runs this beside the checks of style and types; else each worker of the tests would compile for itself.
"""

from __future__ import annotations

from pathlib import Path

import yardland
from yardland.reference import load_tables
from yardland.season.season import run_season
from yardland.stock.herds.years import WORTH_COMPILING, herd_years
from yardland.weather.generator.choose import choose
from yardland.weather.generator.draw import draw
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years

EXAMPLE = Path(__file__).parent.parent / "examples" / "tarn-hollow"


def main() -> None:
    """Use each compiled loop once, on a demonstration holding: one year of it, drawn herds, a drawn year of weather."""
    holding = yardland.load(EXAMPLE)
    tables, record = load_tables(holding.own), load_weather(holding)
    draw(choose(holding, record).model, seed=1, years=1)
    season = run_season(holding, tables, larder_years(record, holding.place.year_starts.month), lane=0)
    warmth_c = (season.weather["tmin_c"] + season.weather["tmax_c"]) / 2
    light_h = season.weather["daylength_h"]
    herd_years(holding, tables, season.months, warmth_c, light_h, years=1, chains=WORTH_COMPILING, seed=1)


if __name__ == "__main__":
    main()
