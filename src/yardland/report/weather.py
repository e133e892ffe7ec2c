"""The weather page: what a holding's record holds, as one self-contained HTML file in the look of the year's report."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from yardland.holding.model import Place
from yardland.report import weather_drawn
from yardland.report.drawing import Drawing, Table
from yardland.report.figures import weather_months, weather_years
from yardland.report.html import environment, made_by, recoloured
from yardland.report.weather_drawn import DrawnTold
from yardland.report.words import date_words, listed
from yardland.weather.hardiness import hardiness_zone
from yardland.weather.overview import Overview
from yardland.weather.types import INVENTED_YEARS

KINDS: Mapping[str, str] = {
    "record": "daily values",
    "typical year": "a typical year joined from months of different years",
    "normals": "days invented from twelve normals",
    "normals as a year": "normals posing as a year, not weather",
    INVENTED_YEARS: "years drawn by the generator, not measured",
}


IN_SHORT = 6
"""So many facts are of the place and stand first; the others are of the file."""


def render(told: Overview, place: Place, drawn: DrawnTold | None = None) -> str:
    """The page as one HTML document; with a section on drawn years if there are any."""
    pages = environment()
    pages.globals["explained"] = frozenset()
    text = pages.get_template("weather.html.j2").render(
        told=told,
        place=place,
        lead=lead(told),
        short=facts(told)[:IN_SHORT],
        held=facts(told)[IN_SHORT:],
        drawings=_drawings(told),
        degree_days=weather_months.degree_days(told),
        drawn=None if drawn is None else _drawn(drawn),
        recoloured={name: recoloured(name) for name in ("dark", "print")},
        version=made_by(),
    )
    return text.replace(" %", "\u00a0%").replace(" °C", "\u00a0°C")


def _drawn(drawn: DrawnTold) -> dict[str, object]:
    """What the template writes of drawn years."""
    return {
        "heading": weather_drawn.heading(drawn),
        "source": drawn.drawn.source,
        "facts": weather_drawn.facts(drawn),
        "drawing": weather_drawn.drawing(drawn),
        "words": f"{weather_drawn.verdict_words(drawn)} {weather_drawn.not_kept(drawn)}".strip(),
        "table": weather_drawn.table(drawn),
        "notes": drawn.drawn.notes,
    }


def lead(told: Overview) -> str:
    """What the record is, in a sentence."""
    record = told.record
    days = len(record.dates)
    years = f"{days / 365.25:.0f} years" if days > 550 else "one year"
    span = "" if record.kind == "typical year" else f", {_day(str(record.dates[0]))} to {_day(str(record.dates[-1]))}"
    return f"{record.source}: {KINDS[record.kind]}{span} ({years})."


def facts(told: Overview) -> list[tuple[str, str]]:
    """Name and words of each fact, for the page and the terminal."""
    past, season = told.climate, told.season
    return [
        ("Frost", _frost(told)),
        ("Growing season", _season(told)),
        (
            "Warmth",
            f"{season.warm_days} days of the year have a mean of 5 °C or more; degree-days in a year: {_degrees(told)}.",
        ),
        ("Rain", _rain(told)),
        ("Thirst", f"Short grass would drink {past.eto_month_mm.sum():,.0f} mm a year (reference evapotranspiration)."),
        ("Extremes", _extremes(told)),
        *_winters(told),
        ("Gaps", _gaps(told)),
        ("Suspect", _suspects(told)),
        ("Worked out", _worked_out(told)),
    ]


def _extremes(told: Overview) -> str:
    return (
        f"Coldest {_signed(told.coldest.value)} °C{_on(told, told.coldest.day)}, hottest {_signed(told.hottest.value)} °C"
        f"{_on(told, told.hottest.day)}, wettest day {told.wettest_day.value:.1f} mm{_on(told, told.wettest_day.day)}; "
        f"longest run without a rain day {told.longest_dry_days} days."
    )


def _winters(told: Overview) -> list[tuple[str, str]]:
    """The hardiness zone on nurseries' labels, where enough winters are known."""
    low = told.winter_lowest_c
    if low is None or not told.tells_years:
        return []
    return [("Winters", f"Lowest {_signed(low)} °C in a mean winter: hardiness zone {hardiness_zone(low)} (USDA map).")]


def _on(told: Overview, day: str) -> str:
    return f" on {_day(day)}" if told.tells_years else ""


def _day(iso: str) -> str:
    """A date as 5 Apr 2022."""
    return date_words(date.fromisoformat(iso))


def _signed(value: float) -> str:
    """A temperature with a minus sign."""
    return f"{value:.1f}".replace("-", "−")  # noqa: RUF001 (a minus sign)


def _frost(told: Overview) -> str:
    past = told.climate.frost
    if past.last_p90 is None and past.first_p10 is None:
        return "None in nine years of ten."
    day = weather_years.day_words
    cold = f"{past.frost_days_year:.0f} days a year with 0 °C or less in the screen (the ground is colder)."
    if len(past.last) < 2 and len(past.first) < 2:
        return f"Last frost {day(past.last_p50)}, first frost {day(past.first_p50)} in the one year there is. {cold}"
    return (
        f"Last frost by {day(past.last_p50)} in half of the years, by {day(past.last_p90)} in nine of ten; first frost by "
        f"{day(past.first_p10)} in one of ten, by {day(past.first_p50)} in half. {cold}"
    )


def _season(told: Overview) -> str:
    season = told.season
    if season.median_days is None:
        return "The record holds no whole season."
    if len(season.frost_free_days) < 2:
        return f"{season.median_days} days between the frosts of the one year there is."
    return (
        f"{season.median_days} days between the frosts in half of the years; one year in ten has {season.one_in_ten_days} "
        f"or fewer ({len(season.frost_free_days)} seasons)."
    )


def _degrees(told: Overview) -> str:
    return listed([f"{values.sum():,.0f} above {base} °C" for base, values in told.degree_days_month.items()])


def _rain(told: Overview) -> str:
    past = told.climate
    words = f"{past.rain_month_mm.sum():,.0f} mm on {past.rain_days_month.sum():.0f} days (1 mm or more) in a mean year"
    if not told.tells_years or len(told.rain_year_mm) < 2:
        return f"{words}. Nothing is known of dry and wet years."
    years = told.rain_year_mm
    dry, wet = min(years, key=years.__getitem__), max(years, key=years.__getitem__)
    return f"{words}; driest year {dry} with {years[dry]:,.0f} mm, wettest {wet} with {years[wet]:,.0f} mm."


def _gaps(told: Overview) -> str:
    gaps = told.record.gaps
    if not gaps:
        return "None."
    shown = [f"{first} to {last} ({what})" if first != last else f"{first} ({what})" for what, first, last in gaps[:4]]
    more = f" and {len(gaps) - 4} more" if len(gaps) > 4 else ""
    return f"Filled in a straight line: {', '.join(shown)}{more}."


def _suspects(told: Overview) -> str:
    if not told.suspects:
        return "Nothing stands out."
    return (
        "; ".join(
            f"{one.first} to {one.last}: {one.what}" if one.first != one.last else f"{one.first}: {one.what}"
            for one in told.suspects
        )
        + "."
    )


def _worked_out(told: Overview) -> str:
    names = {"rad_mj_m2": "radiation", "vap_kpa": "vapour pressure", "wind_m_s": "wind"}
    done = [f"{names[key]} {words}" for key, words in told.record.estimated.items()]
    whole = (
        "Nothing was measured: every day was drawn. "
        if told.record.kind == INVENTED_YEARS
        else "Everything was measured. "
    )
    return (f"{'; '.join(done)}. " if done else whole) + "Evapotranspiration by FAO-56 Penman-Monteith."


def normals(told: Overview) -> Table:
    """The twelve normals as a table, January first."""
    past = told.climate
    rows = (
        ("Min C", past.tmin_month_c, 1),
        ("Max C", past.tmax_month_c, 1),
        ("Rain mm", past.rain_month_mm, 0),
        ("Rain days", past.rain_days_month, 0),
        ("ETo mm", past.eto_month_mm, 0),
        ("Days >5 C", told.degree_days_month[5], 0),
    )
    return Table(
        ("Month", *weather_months.MONTHS),
        tuple((name, *(f"{value + 0.0:.{digits}f}" for value in values)) for name, values, digits in rows),
    )


def _drawings(told: Overview) -> dict[str, Drawing | None]:
    return {
        "months": weather_months.months(told),
        "balance": weather_months.balance(told),
        "days": weather_months.ribbon(told),
        "frost": weather_years.frost(told) if told.tells_years else None,
        "rain": weather_years.rain(told) if told.tells_years else None,
    }
