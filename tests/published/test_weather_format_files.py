"""Files as they are published, from packages that carry them: what the readers make of them.

Sources: TMY3 of Greensboro NC and Sand Point AK and TMY2 of Miami FL (US National Renewable Energy Laboratory, public
data, in the package pvlib); hourly normals of Seattle and San Francisco dated 2010 (NOAA, in vega_datasets). Sums of the
files were made by an independent reading of the same columns (standing: from memory, that is computed).
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest
import vega_datasets

from yardland.errors import InputFaults
from yardland.holding.model import MonthDay, Place
from yardland.weather.read import read_record

PVLIB = Path(pvlib.__file__).parent / "data"
NORMALS = "month,tmin_c,tmax_c,rain_mm\n" + "\n".join(f"{month},5,15,80" for month in range(1, 13))


def place(latitude_deg, longitude_deg, altitude_m):
    """A place at a station."""
    return Place(
        name="Station", latitude_deg=latitude_deg, longitude_deg=longitude_deg, altitude_m=altitude_m, country="US",
        year_starts=MonthDay(10, 1),
    )  # fmt: skip


STATIONS = {
    "723170TYA.CSV": place(36.10, -79.95, 273),
    "703165TY.csv": place(55.32, -160.52, 7),
    "12839.tm2": place(25.80, -80.27, 2),
}


@pytest.fixture
def normals(tmp_path):
    """Twelve normals, since none of the files has rain."""
    path = tmp_path / "normals.csv"
    path.write_text(NORMALS, encoding="utf-8")
    return path


SUMS = {
    # radiation of the year MJ/m2, mean temperature of the hours C, wind at 10 m m/s
    "723170TYA.CSV": (5638, 14.42, 3.05),
    "703165TY.csv": (2985, 4.4, None),
    "12839.tm2": (6453, None, 4.34),
}
READING = "independent reading of {} (NREL, in pvlib)"


@pytest.mark.parametrize("name", SUMS)
def test_a_published_typical_year_is_read_whole(outside, normals, name):
    """Radiation of the year, mean temperature (of the hours, within what extremes differ from it) and wind are the file's."""
    radiation_mj_m2, mean_c, wind_10m_m_s = SUMS[name]
    record = read_record(PVLIB / name, STATIONS[name], normals)
    assert record.kind == "typical year"
    assert len(record.dates) == 730
    source = READING.format(name)
    got = record.rad_mj_m2[:365].sum()
    outside.check_close("typical year", f"radiation of {name}, MJ/m2", source, "computed", radiation_mj_m2, got, 0.6)
    if mean_c is not None:
        got = ((record.tmin_c + record.tmax_c) / 2).mean()
        outside.check_close("typical year", f"mean temperature of {name}, C", source, "computed", mean_c, got, 0.3)
    if wind_10m_m_s is not None:
        # FAO-56 equation 47 brings 10 m to 2 m by 0.748
        got = record.wind_m_s.mean()
        what = f"wind of {name} at 2 m, m/s"
        outside.check_close("typical year", what, source, "computed", 0.748 * wind_10m_m_s, got, 0.01)
    assert "eq. 47" in record.estimated["wind_m_s"]
    assert "rad_mj_m2" not in record.estimated


@pytest.mark.parametrize("name", STATIONS)
def test_a_typical_year_without_rain_is_refused_with_the_remedy(name):
    """None of the files has rain that can be used: without normals the fault says what to put beside it."""
    with pytest.raises(InputFaults, match=r"normals\.csv"):
        read_record(PVLIB / name, STATIONS[name])


def test_the_days_are_those_of_another_reader(outside, normals):
    """Extremes and radiation of every day of Greensboro are those that pvlib's reader gives, day by day."""
    frame, _ = pvlib.iotools.read_tmy3(PVLIB / "723170TYA.CSV", coerce_year=2001, map_variables=True)
    # pvlib stamps 24:00 as midnight of the next day: an hour back puts each hour into the day that it ends in.
    day = (frame.index.tz_localize(None) - pd.Timedelta(hours=1)).day_of_year
    by_day = frame.groupby(np.asarray(day))
    record = read_record(PVLIB / "723170TYA.CSV", STATIONS["723170TYA.CSV"], normals)
    for what, got, theirs in (
        ("least temperature of each day, C", record.tmin_c, by_day["temp_air"].min()),
        ("greatest temperature of each day, C", record.tmax_c, by_day["temp_air"].max()),
        ("radiation of each day, MJ/m2", record.rad_mj_m2, by_day["ghi"].sum() * 0.0036),
    ):
        source = "package pvlib, read_tmy3"
        outside.check_apart("pvlib", f"Greensboro: {what}", source, "computed", theirs.to_numpy(), got[:365], 1e-9)


def test_the_wrong_station_is_refused(normals):
    """A file of Miami for hills of the far north is refused by its distance."""
    with pytest.raises(InputFaults, match="MIAMI, 6906 km"):
        read_record(PVLIB / "12839.tm2", place(54.0, -2.9, 190), normals)


@pytest.mark.parametrize("name", ["seattle-temps.csv", "sf-temps.csv"])
def test_published_normals_dated_as_a_year_are_found_out(outside, tmp_path, name):
    """Hourly normals that carry the date 2010, made into days, are called normals by their smoothness."""
    hours = pd.read_csv(Path(vega_datasets.__file__).parent / "_data" / name, parse_dates=["date"])
    days = hours.groupby(hours["date"].dt.date)["temp"].agg(["min", "max"])
    rows = [f"{day},{row['min']},{row['max']},{index % 3}" for index, (day, row) in enumerate(days.iterrows())]
    path = tmp_path / "weather.csv"
    path.write_text("date,tmin_f,tmax_f,rain_mm\n" + "\n".join(rows), encoding="utf-8")
    got = read_record(path, place(47.45, -122.31, 130)).kind
    source = "NOAA hourly normals, in vega_datasets"
    outside.check_same("normals", f"what {name}, dated 2010, is", source, "published", "normals as a year", got)


def test_a_real_record_is_not_called_normals(outside):
    """The Seattle record 2012-2015 is weather."""
    path = Path(vega_datasets.__file__).parent / "_data" / "seattle-weather.csv"
    got = read_record(path, place(47.45, -122.31, 130)).kind
    outside.check_same("normals", "what the Seattle record is", "NOAA, in vega_datasets", "published", "record", got)
