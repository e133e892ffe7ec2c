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


def test_yearly_sums(record):
    """Rain, rain days and frost days of each year are the file's."""
    rain = [round(float(record.rain_mm[of_year(record, year)].sum()), 1) for year in YEARS]
    wet = [int((record.rain_mm[of_year(record, year)] >= 1).sum()) for year in YEARS]
    frost = [int((record.tmin_c[of_year(record, year)] <= 0).sum()) for year in YEARS]
    assert rain == [1226.0, 828.0, 1232.8, 1139.2]
    assert wet == [148, 119, 123, 116]
    assert frost == [21, 30, 22, 15]


def test_frost_dates(record):
    """The last frost of spring and the first of autumn are found for each year."""
    frost = frost_dates(record)
    assert frost.last == {
        2012: date(2012, 3, 19),
        2013: date(2013, 3, 4),
        2014: date(2014, 2, 9),
        2015: date(2015, 3, 4),
    }
    assert frost.first == {
        2012: date(2012, 11, 10),
        2013: date(2013, 11, 21),
        2014: date(2014, 11, 12),
        2015: date(2015, 11, 23),
    }


@pytest.mark.parametrize(("year", "expected_mm"), [(2012, 799.1), (2013, 832.0), (2014, 866.2), (2015, 898.8)])
def test_hargreaves_by_year(record, year, expected_mm):
    """Hargreaves' evapotranspiration of each year agrees within a millimetre."""
    days = (record.dates - record.dates.astype("datetime64[Y]")).astype(np.int64) + 1.0
    ra = extraterrestrial_radiation_mj_m2(PLACE.latitude_deg, days)
    daily = eto.hargreaves_mm(record.tmin_c, record.tmax_c, ra)
    assert daily[of_year(record, year)].sum() == pytest.approx(expected_mm, abs=1)


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


def test_a_failed_sensor_is_flagged(tmp_path):
    """A minimum of -72.04 F among ordinary days (seen in a public daily file) is a fault, not a frost."""
    days = np.arange("2019-01-01", "2020-02-01", dtype="datetime64[D]")
    rows = [f"{day},{'-72.04' if str(day) == '2019-05-17' else '55.0'},78.0,0.10" for day in days]
    file = tmp_path / "weather.csv"
    file.write_text("date,tmin_f,tmax_f,rain_in\n" + "\n".join(rows) + "\n", encoding="utf-8")
    with pytest.raises(InputFaults) as caught:
        read_record(file, PLACE)
    faults = [fault for fault in caught.value.faults if "-57.8" in fault.found]
    assert len(caught.value.faults) == len(faults) == 1
    assert faults[0].where == "line 138, column tmin_f"
