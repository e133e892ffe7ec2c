"""Small weather files in the published layouts, all of the same invented days, and recipes that put a fault in."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import numpy as np

BAD = Path(__file__).parent / "bad_weather"
FIRST, AFTER = "2011-01-01", "2013-01-01"
DATES = np.arange(FIRST, AFTER, dtype="datetime64[D]")
STATION = (52.1, 5.2, 2.0)
"""Latitude, longitude and altitude that the headers carry."""
COLDEST_HOUR, WARMEST_HOUR = 5, 15


def invented(dates=DATES, *, south=False):
    """Daily tmin_c, tmax_c, rain_mm, rad_mj_m2 with weather from day to day, to a tenth of a unit."""
    rng = np.random.default_rng(7)
    day = (dates - dates.astype("datetime64[Y]")).astype(float)
    season = np.cos(2 * np.pi * (day - 20) / 365) * (-1 if south else 1)
    noise = np.zeros(len(dates))
    for index in range(1, len(dates)):
        noise[index] = 0.7 * noise[index - 1] + rng.normal(0, 2)
    mean = 10 - 8 * season + noise
    half = rng.uniform(2, 5, len(dates))
    rain = np.where(rng.random(len(dates)) < 0.4, np.round(rng.gamma(0.8, 6, len(dates)), 1), 0.0)
    rad = np.round((10 - 8 * np.cos(2 * np.pi * (day + 10) / 365)) * rng.uniform(0.2, 1, len(dates)), 2)
    return {
        "tmin_c": np.round(mean - half, 1),
        "tmax_c": np.round(mean + half, 1),
        "rain_mm": rain,
        "rad_mj_m2": rad,
    }


def hourly(dates):
    """(date, hour ending, temperature, Wh/m2, mm) for each hour; extremes at 5 and 15 h, rain in hour 3, sun at noon."""
    days = invented()
    for index, date in enumerate(dates):
        low, high = days["tmin_c"][index], days["tmax_c"][index]
        for hour in range(1, 25):
            near = np.cos(np.pi * (hour - WARMEST_HOUR) / 10) if COLDEST_HOUR <= hour <= 20 else -0.5
            temperature = (low + high) / 2 + (high - low) / 2 * near
            sun = days["rad_mj_m2"][index] / 0.0036 / 4 if 11 <= hour <= 14 else 0.0
            rain = days["rain_mm"][index] if hour == 3 else 0.0
            yield date, hour, temperature, sun, rain


def _parts(date):
    return (int(part) for part in str(date).split("-"))


def epw(*, typical=False, rain=True):
    """An EPW file of 2011, or of months of the years 2001 to 2012."""
    head = [
        "LOCATION,Testum,-,NLD,Made up,000000,52.1,5.2,1.0,2.0", "DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0", "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1,invented", "COMMENTS 2,-",
        "DATA PERIODS,1,1,Data,Saturday, 1/ 1,12/31",
    ]  # fmt: skip
    lines = []
    for date, hour, temperature, sun, mm in hourly(DATES[:365]):
        year, month, day = _parts(date)
        stamp = f"{2000 + month if typical else year},{month},{day},{hour},60"
        wet = f"{mm:.1f}" if rain else "0.0"
        lines.append(
            f"{stamp},?9,{temperature:.4f},{temperature - 3:.4f},80,101300,0,0,300,{sun:.3f},0,0,0,0,0,0,180,3.0,5,5,20,"
            f"2000,9,999999999,10,0.1,0,88,0.2,{wet},1"
        )
    return "\n".join([*head, *lines]) + "\n"


def tmy3():
    """A TMY3 file of months of the years 2001 to 2012."""
    names = "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),GHI source,Dry-bulb (C),Dew-point (C),RHum (%),Wspd (m/s)"
    lines = ['720000,"TESTUM",XX,1.0,52.100,5.200,2', names]
    for date, hour, temperature, sun, _mm in hourly(DATES[:365]):
        _year, month, day = _parts(date)
        stamp = f"{month:02d}/{day:02d}/{2000 + month},{hour:02d}:00"
        lines.append(f"{stamp},{sun:.3f},1,{temperature:.4f},{temperature - 3:.4f},80,3.0")
    return "\n".join(lines) + "\n"


def tmy2():
    """A TMY2 file of months of the years 1961 to 1972: tenths of a degree, whole Wh/m2."""
    lines = [f" 06260 {'TESTUM':<22} XX   1 N 52  6 E   5 12     2"]
    for date, hour, temperature, sun, _mm in hourly(DATES[:365]):
        _year, month, day = _parts(date)
        row = [" "] * 142
        dew = temperature - 3
        for place, words in (
            (1, f"{60 + month:02d}{month:02d}{day:02d}{hour:02d}"),
            (17, f"{sun:04.0f}"),
            (67, f"{temperature * 10:4.0f}"),
            (73, f"{dew * 10:4.0f}"),
            (79, " 80"),
            (95, " 30"),
        ):
            row[place : place + len(words)] = words
        lines.append("".join(row))
    return "\n".join(lines) + "\n"


ELEMENTS = (("TMAX", "tmax_c"), ("TMIN", "tmin_c"), ("PRCP", "rain_mm"))


def dly():
    """A GHCN-Daily `.dly` file: tenths, a trace on 2 January 2011, a value that failed its check on 5 March 2011."""
    days = invented()
    months = DATES.astype("datetime64[M]")
    lines = []
    for month in np.unique(months):
        where = np.flatnonzero(months == month)
        for element, column in ELEMENTS:
            cells = [f"{round(days[column][index] * 10):5d}   " for index in where]
            if str(month) == "2011-01" and element == "PRCP":
                cells[1] = "    0T  "
            if str(month) == "2011-03" and element == "TMAX":
                cells[4] = f"{cells[4][:5]} I "
            cells += ["-9999   "] * (31 - len(cells))
            lines.append(f"NLE00000001{str(month).replace('-', '')}{element}{''.join(cells)}")
    return "\n".join(lines) + "\n"


def long():
    """The same as lines of station, day, element and value."""
    days = invented()
    lines = [
        f"NLE00000001,{str(date).replace('-', '')},{element},{round(days[column][index] * 10)},,,E,"
        for index, date in enumerate(DATES)
        for element, column in ELEMENTS
    ]
    return "\n".join(lines) + "\n"


def wide(unit="metric"):
    """Daily summaries in tenths, metric or US units, which the file does not say."""
    days = invented()
    lines = ['"STATION","NAME","LATITUDE","LONGITUDE","ELEVATION","DATE","PRCP","TMAX","TMIN"']
    for index, date in enumerate(DATES):
        rain, high, low = (days[name][index] for name in ("rain_mm", "tmax_c", "tmin_c"))
        cells = {
            "tenths": (f"{rain * 10:.0f}", f"{high * 10:.0f}", f"{low * 10:.0f}"),
            "metric": (f"{rain:.1f}", f"{high:.1f}", f"{low:.1f}"),
            "us": (f"{rain / 25.4:.4f}", f"{high * 1.8 + 32:.2f}", f"{low * 1.8 + 32:.2f}"),
        }[unit]
        quoted = '","'.join(("NLE00000001", "TESTUM, NL", "52.1", "5.2", "2.0", str(date), *cells))
        lines.append(f'"{quoted}"')
    return "\n".join(lines) + "\n"


def power(unit="MJ/m^2/day"):
    """A NASA POWER daily file; its radiation in the unit named."""
    days = invented()
    factor = {"MJ/m^2/day": 1.0, "kW-hr/m^2/day": 3.6}.get(unit, 1.0)
    head = [
        "-BEGIN HEADER-", "NASA/POWER Source Native Resolution Daily Data ",
        "Dates (month/day/year): 01/01/2011 through 12/31/2012 in LST", "Location: latitude  52.1   longitude 5.2 ",
        "elevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 10.5 meters",
        "The value for missing source data that cannot be computed or is outside of the sources availability range: -999 ",
        "parameter(s): ", "T2M_MAX               MERRA-2 Temperature at 2 Meters Maximum (C) ",
        "T2M_MIN               MERRA-2 Temperature at 2 Meters Minimum (C) ",
        "PRECTOTCORR           MERRA-2 Precipitation Corrected (mm/day) ",
        f"ALLSKY_SFC_SW_DWN     CERES SYN1deg All Sky Surface Shortwave Downward Irradiance ({unit}) ", "-END HEADER-",
        "YEAR,DOY,T2M_MAX,T2M_MIN,PRECTOTCORR,ALLSKY_SFC_SW_DWN",
    ]  # fmt: skip
    years = DATES.astype("datetime64[Y]")
    for index, date in enumerate(DATES):
        day = int((date - years[index]).astype(int)) + 1
        sun = days["rad_mj_m2"][index] / factor
        cells = [days[name][index] for name in ("tmax_c", "tmin_c", "rain_mm")]
        head.append(f"{str(date)[:4]},{day},{cells[0]:.2f},{cells[1]:.2f},{cells[2]:.2f},{sun:.6f}")
    return "\n".join(head) + "\n"


def plain(*, south=False):
    """A plain daily sheet."""
    days = invented(south=south)
    rows = zip(DATES, days["tmin_c"], days["tmax_c"], days["rain_mm"], strict=True)
    return "date,tmin_c,tmax_c,rain_mm\n" + "\n".join(f"{d},{a:.1f},{b:.1f},{c:.1f}" for d, a, b, c in rows) + "\n"


def smooth():
    """A plain sheet of one curve of the year, with a shower every fifth day."""
    mean = 10 - 8 * np.cos(2 * np.pi * np.arange(len(DATES)) / 365)
    days = (f"{d},{m - 4:.2f},{m + 4:.2f},{5 * (i % 5 == 0)}" for i, (d, m) in enumerate(zip(DATES, mean, strict=True)))
    return "date,tmin_c,tmax_c,rain_mm\n" + "\n".join(days) + "\n"


def hours_sheet():
    """A plain sheet of hours."""
    lines = ["date,tmin_c,tmax_c,rain_mm"]
    lines += [f"{date} {hour - 1:02d}:00,{t:.1f},{t:.1f},{mm:.1f}" for date, hour, t, _sun, mm in hourly(DATES[:365])]
    return "\n".join(lines) + "\n"


BASES = {
    "epw": epw,
    "epw without rain": lambda: epw(rain=False),
    "epw typical": lambda: epw(typical=True),
    "tmy3": tmy3,
    "tmy2": tmy2,
    "dly": dly,
    "long": long,
    "wide": wide,
    "wide us": lambda: wide("us"),
    "power": power,
    "plain": plain,
    "plain of the other hemisphere": lambda: plain(south=True),
    "plain hours": hours_sheet,
    "plain smooth": smooth,
}
NORMALS = "month,tmin_c,tmax_c,rain_mm,rain_days\n" + "\n".join(
    f"{m},{m},{m + 9},{50 + m},{8 + m % 3}" for m in range(1, 13)
)


def faulty(recipe):
    """The text that a recipe makes: a base, then the steps that its keys name, in this order."""
    text = BASES[recipe["base"]]()
    for pattern, words in recipe.get("replace", ()):
        text, count = re.subn(pattern, words, text, flags=re.MULTILINE)
        assert count, f"nothing matches {pattern}"
    lines = text.split("\n")
    for one, other in recipe.get("swap", ()):
        lines[one - 1], lines[other - 1] = lines[other - 1], lines[one - 1]
    for line, times in recipe.get("repeat", ()):
        lines[line - 1 : line] = [lines[line - 1]] * times
    if "cut" in recipe:
        first, last = recipe["cut"]
        del lines[first - 1 : last]
    if "keep" in recipe:
        lines = lines[: recipe["keep"]]
    return "\n".join(lines)


def recipes():
    """Every recipe by the name of its fault."""
    return {path.stem: tomllib.loads(path.read_text("utf-8")) for path in sorted(BAD.glob("*.toml"))}
