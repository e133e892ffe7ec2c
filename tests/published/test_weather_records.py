"""The daily Seattle record 2012-2015 (NOAA, in the vega_datasets package): sums, frost dates and Hargreaves by year.

Expected figures were computed by an independent run on the same file (standing: from memory, i.e. computed).
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest
import vega_datasets

from yardland.errors import InputFaults
from yardland.holding.model import MonthDay, Place
from yardland.weather import eto
from yardland.weather.climate import climate, frost_dates
from yardland.weather.read import read_record
from yardland.weather.sun import extraterrestrial_radiation_mj_m2

PLACE = Place(
    name="Seattle",
    latitude_deg=47.45,
    longitude_deg=-122.31,
    altitude_m=130,
    country="US",
    year_starts=MonthDay(9, 1),
)
YEARS = (2012, 2013, 2014, 2015)


@pytest.fixture(scope="module")
def record():
    """The packaged file read as it is: YYYY/MM/DD, its own column names, no units."""
    return read_record(Path(vega_datasets.__file__).parent / "_data" / "seattle-weather.csv", PLACE)


def of_year(record, year):
    """Mask of a calendar year."""
    return record.dates.astype("datetime64[Y]") == np.datetime64(str(year), "Y")


SOURCE = "independent run on the Seattle file (NOAA, in vega_datasets)"


def test_yearly_sums(outside, record):
    """Rain, rain days and frost days of each year are the file's."""
    rain = [float(record.rain_mm[of_year(record, year)].sum()) for year in YEARS]
    wet = [int((record.rain_mm[of_year(record, year)] >= 1).sum()) for year in YEARS]
    frost = [int((record.tmin_c[of_year(record, year)] <= 0).sum()) for year in YEARS]
    outside.check_close("K88", "rain of 2012-2015, mm", SOURCE, "computed", [1226.0, 828.0, 1232.8, 1139.2], rain, 0.05)
    outside.check_same("K88", "days of 1 mm and over", SOURCE, "computed", [148, 119, 123, 116], wet)
    outside.check_same("K88", "days at or under 0 C", SOURCE, "computed", [21, 30, 22, 15], frost)


def test_frost_dates(outside, record):
    """The last frost of spring and the first of autumn are found for each year."""
    frost = frost_dates(record)
    last = [date(2012, 3, 19), date(2013, 3, 4), date(2014, 2, 9), date(2015, 3, 4)]
    first = [date(2012, 11, 10), date(2013, 11, 21), date(2014, 11, 12), date(2015, 11, 23)]
    outside.check_same("K78", "last frost of spring", SOURCE, "computed", last, [frost.last[year] for year in YEARS])
    outside.check_same("K78", "first frost of autumn", SOURCE, "computed", first, [frost.first[year] for year in YEARS])


def test_hargreaves_by_year(outside, record):
    """Hargreaves' evapotranspiration of each year agrees within a millimetre."""
    days = (record.dates - record.dates.astype("datetime64[Y]")).astype(np.int64) + 1.0
    ra = extraterrestrial_radiation_mj_m2(PLACE.latitude_deg, days)
    daily = eto.hargreaves_mm(record.tmin_c, record.tmax_c, ra)
    got = [daily[of_year(record, year)].sum() for year in YEARS]
    what = "evapotranspiration of 2012-2015 by Hargreaves, mm"
    outside.check_close("K33", what, SOURCE, "computed", [799.1, 832.0, 866.2, 898.8], got, 1)


def test_penman_monteith_lies_near_hargreaves(record):
    """Penman-Monteith with estimated inputs lies within 15 % of Hargreaves at a place Hargreaves was fitted for (common practice)."""
    days = (record.dates - record.dates.astype("datetime64[Y]")).astype(np.int64) + 1.0
    ra = extraterrestrial_radiation_mj_m2(PLACE.latitude_deg, days)
    assert record.eto_mm.sum() == pytest.approx(eto.hargreaves_mm(record.tmin_c, record.tmax_c, ra).sum(), rel=0.15)


def test_climate_of_the_record(record):
    """The wettest months are in the winter half, July and August are the warmest."""
    means = climate(record, 9)
    assert set(np.argsort(means.tmean_month_c)[-2:]) == {6, 7}
    assert means.rain_month_mm.sum() == pytest.approx(np.mean([1226.0, 828.0, 1232.8, 1139.2]), abs=0.1)
    assert np.argmin(means.rain_month_mm) == 6


def test_a_failed_sensor_is_flagged(outside, tmp_path):
    """A minimum of -72.04 F among ordinary days (seen in a public daily file) is a fault, not a frost."""
    days = np.arange("2019-01-01", "2020-02-01", dtype="datetime64[D]")
    rows = [f"{day},{'-72.04' if str(day) == '2019-05-17' else '55.0'},78.0,0.10" for day in days]
    file = tmp_path / "weather.csv"
    file.write_text("date,tmin_f,tmax_f,rain_in\n" + "\n".join(rows) + "\n", encoding="utf-8")
    with pytest.raises(InputFaults) as caught:
        read_record(file, PLACE)
    told = [f"{fault.where}: {fault.found}" for fault in caught.value.faults]
    assert ["-57.8" in words for words in told] == [True]
    got = [fault.where for fault in caught.value.faults]
    what = "minimum of -72.04 F among ordinary days refused, at its line"
    outside.check_same(
        "K80", what, "seen in a public daily file (Clemson)", "published", ["line 138, column tmin_f"], got
    )
