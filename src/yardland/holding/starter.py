"""A first holding folder from a few answers: commented, small, sound, and meant to be changed."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import dataclass
from datetime import date, datetime
from importlib.resources import files
from pathlib import Path
from string import Template

from yardland.errors import Fault, InputFaults
from yardland.holding.folder import PLAN
from yardland.holding.form import BEYOND_THE_CIRCLE
from yardland.holding.misfit import Misfit, shown
from yardland.holding.starter_ground import Ground, divide
from yardland.holding.units import parse_size
from yardland.holding.write import write_text

ANSWERS = "the answers"
SMALLEST_M2, LARGEST_M2 = 20.0, 1_000_000.0
MOST_PEOPLE = 40
_PERSON = re.compile(r"([fm])\s*(\d{1,3}(?:[.]\d)?)", re.IGNORECASE)
_POINT = re.compile(r"\s*([+-]?\d+(?:[.]\d+)?)\s*[,; ]\s*([+-]?\d+(?:[.]\d+)?)\s*")
_COOL_FROM_DEG, _WARM_FROM_DEG = 40.0, 28.0


@dataclass(frozen=True)
class StarterAnswers:
    """What a newcomer is asked: where, who, how much ground.

    people : (sex "f" or "m", age in years) of everybody who eats
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    country: str
    area_m2: float
    people: tuple[tuple[str, float], ...]
    altitude_m: float = 0.0
    currency: str = "EUR"


def parse_answers(
    name: str, place: str, country: str, people: str, area: str, *, altitude_m: float = 0.0, currency: str = "EUR"
) -> StarterAnswers:
    """Answers from text as people type it: place "54.4,-2.9", people "f38,m40,f7", area "1.2 ha".

    Raises:
        InputFaults: every answer that cannot be read or is out of range; `where` is the argument's name.
    """
    faults: list[Fault] = []
    latitude, longitude = _point(place, faults)
    answers = StarterAnswers(
        name=_clean_name(name, faults),
        latitude_deg=latitude,
        longitude_deg=longitude,
        country=_code(country, "country", 2, "GB", faults),
        area_m2=_area(area, faults),
        people=_people(people, faults),
        altitude_m=_altitude(altitude_m, faults),
        currency=_code(currency, "currency", 3, "EUR", faults),
    )
    if faults:
        raise InputFaults(faults)
    return answers


def write_starter(folder: str | Path, answers: StarterAnswers, *, today: date | None = None) -> tuple[Path, ...]:
    """Write a first plan into a new or empty folder; `check_holding` finds no fault in it.

    Args:
        folder: made if it is not there.
        answers: see `StarterAnswers`.
        today: ages are counted from it; the real day by default.

    Returns:
        The files written: plantings.csv, trades.csv, own.csv, then holding.toml (the last, so that a folder left
        half-done by a failure is not taken for a holding). No weather is written: the nearest published normals are
        borrowed until there is a weather.csv or a normals.csv.

    Raises:
        InputFaults: the folder is a file, or holds anything already.
        OSError: it cannot be written to.
    """
    target = Path(folder)
    _refuse_taken(target)
    texts = starter_texts(answers, today or datetime.now().astimezone().date())
    target.mkdir(parents=True, exist_ok=True)
    written = []
    for file, text in texts.items():
        write_text(target / file, text)
        written.append(target / file)
    return tuple(written)


def starter_texts(answers: StarterAnswers, today: date) -> dict[str, str]:
    """The text of each file of a starter, the plan itself last."""
    ground = divide(answers.area_m2, len(answers.people), _climate(answers.latitude_deg))
    southern = answers.latitude_deg < 0
    plan = Template(_data("starter.toml")).substitute(
        name=answers.name,
        quoted_name=json.dumps(answers.name, ensure_ascii=False),
        latitude_deg=_plain(answers.latitude_deg),
        longitude_deg=_plain(answers.longitude_deg),
        altitude_m=_plain(answers.altitude_m),
        country=answers.country,
        currency=answers.currency,
        year_starts="04-01" if southern else "10-01",
        people=_people_toml(answers.people, today),
        plots=ground.plots_toml(southern=southern),
        blocks=ground.blocks_toml(_last_winter(today, southern=southern)),
        groups=ground.groups_toml(southern=southern),
        stores=ground.stores_toml(len(answers.people)),
    )
    return {
        "plantings.csv": _plantings(ground),
        "trades.csv": _trades(ground),
        "own.csv": "key,value,why\n",
        PLAN: plan,
    }


def _refuse_taken(target: Path) -> None:
    """A starter never overwrites."""
    if target.exists() and not target.is_dir():
        raise InputFaults([Fault(str(target), "the folder", "a file", "a new or empty folder", "Give another name.")])
    if target.is_dir() and any(target.iterdir()):
        remedy = "Give the name of a folder that is not there yet."
        found = "a folder with files in it"
        raise InputFaults([Fault(str(target), "the folder", found, "a new or empty folder", remedy)])


def _climate(latitude_deg: float) -> str:
    """Which list of crops to start with, by distance from the equator (common practice)."""
    away = abs(latitude_deg)
    return "cool" if away >= _COOL_FROM_DEG else "warm" if away >= _WARM_FROM_DEG else "hot"


def _last_winter(today: date, *, southern: bool) -> date:
    """A planting day for trees in the winter before last (a day that has been, wherever the year stands)."""
    return date(today.year - 1, 7, 10) if southern else date(today.year - 1, 2, 10)


def _people_toml(people: tuple[tuple[str, float], ...], today: date) -> str:
    """Lines of [people]: names by number, births half a year before the age was reached, weights by age."""
    lines = []
    for number, (sex, age) in enumerate(people, start=1):
        hours = f", hours_week = {_hours(age):d}" if _hours(age) else ""
        can = ', can = ["milk", "preserve", "kill"]' if 18 <= age < 70 else ""
        lines.append(
            f'person{number} = {{ born = {_born(age, today)}, sex = "{sex}", weight_kg = {_weight_kg(sex, age):g}, '
            f'activity = "{"active" if age < 65 else "low active"}"{hours}{can} }}'
        )
    return "\n".join(lines)


def _hours(age: float) -> int:
    """Hours a week on the holding to start with (a plan's assumption, told in the file)."""
    return 15 if 18 <= age < 65 else 8 if 65 <= age < 80 else 4 if 14 <= age < 18 else 0


def _born(age: float, today: date) -> date:
    """A birth date that gives that age today: whole years are taken as half-way to the next birthday."""
    months = round(age * 12) + (6 if age == int(age) else 0)
    year, month0 = divmod(today.year * 12 + today.month - 1 - months, 12)
    return date(year, month0 + 1, 1)


def _weight_kg(sex: str, age: float) -> float:
    """Reference weight of that sex and age (starter_weights.csv, with source and standing)."""
    for row in csv.DictReader(_data("starter_weights.csv").splitlines()):
        if row["sex"] == sex and float(row["age_min_y"]) <= age < float(row["age_below_y"]):
            return float(row["weight_kg"])
    raise Misfit("an age under 120 years", "Correct the age.", f"{age:g} years")


def _plantings(ground: Ground) -> str:
    """plantings.csv: three fields take turns over three years, beds stay."""
    lines = ["plot,crop,variety,year,sow,until,every_days,share,after,use,seed,dressing"]
    rows = [
        row for row in csv.DictReader(_data("starter_plantings.csv").splitlines()) if row["climate"] == ground.climate
    ]
    for row in rows:
        for plot, year in ground.plots_of(row["field"], row["year"]):
            ends = f"{row['sow']},{row['until']},{row['every_days']},{row['share']},{row['after']}"
            lines.append(f"{plot},{row['crop']},,{year},{ends},people,bought,{row['dressing']}")
    return "\n".join(lines) + "\n"


def _trades(ground: Ground) -> str:
    """trades.csv: what may be bought; feed only where there is stock."""
    hens, ewes = ground.hens > 0, ground.ewes > 0
    wanted = {"hay_grass": ewes, "layer_meal": hens, "limestone": hens, "laying_hen": hens}
    lines = ["item,do,price,per,from,to,limit_month,note"]
    lines += [
        f"{row['item']},{row['do']},{row['price']},{row['per']},,,{row['limit_month']},{row['note']}"
        for row in csv.DictReader(_data("starter_trades.csv").splitlines())
        if wanted.get(row["item"], True)
    ]
    return "\n".join(lines) + "\n"


def _plain(number: float) -> str:
    """A number with at most six decimals and no trailing zeros."""
    return f"{number:.6f}".rstrip("0").rstrip(".")


def _data(name: str) -> str:
    """A data file of this room."""
    return files("yardland.holding").joinpath(f"data/{name}").read_text(encoding="utf-8")


def _fault(argument: str, value: object, expected: str, remedy: str) -> Fault:
    return Fault(ANSWERS, argument, shown(value) if value != "" else "nothing", expected, remedy)


def _clean_name(name: str, faults: list[Fault]) -> str:
    """A name of 1 to 80 printable characters."""
    clean = name.strip()
    if not clean or len(clean) > 80 or not clean.isprintable():
        faults.append(_fault("name", clean, "a name of 1 to 80 printable characters", "Give the holding a name."))
    return clean


def _point(place: str, faults: list[Fault]) -> tuple[float, float]:
    """Latitude and longitude in degrees."""
    match = _POINT.fullmatch(place)
    latitude, longitude = (float(match[1]), float(match[2])) if match else (91.0, 181.0)
    if not (abs(latitude) <= 66 and abs(longitude) <= 180):
        expected = "latitude (-66 to 66) and longitude (-180 to 180) in degrees, as 54.4,-2.9"
        polar = match is not None and 66 < abs(latitude) <= 90
        remedy = BEYOND_THE_CIRCLE if polar else "Latitude first; south and west are negative."
        faults.append(_fault("place", place, expected, remedy))
    return latitude, longitude


def _code(value: str, argument: str, letters: int, example: str, faults: list[Fault]) -> str:
    """A country or currency code in capitals."""
    code = value.strip().upper()
    if not re.fullmatch(f"[A-Z]{{{letters}}}", code):
        faults.append(
            _fault(argument, value, f"{letters} letters, as {example}", f"Give the ISO code of the {argument}.")
        )
    return code


def _altitude(value: float, faults: list[Fault]) -> float:
    """Metres above the sea."""
    if not -430 <= value <= 5000:
        faults.append(_fault("altitude_m", value, "metres from -430 to 5000", "Correct the altitude."))
    return value


def _area(text: str, faults: list[Fault]) -> float:
    """The whole ground in m2."""
    try:
        area_m2 = parse_size(text).area_m2
    except Misfit as misfit:
        faults.append(_fault("area", text, misfit.expected, misfit.remedy))
        return SMALLEST_M2
    if not SMALLEST_M2 <= area_m2 <= LARGEST_M2:
        faults.append(_fault("area", text, f"{SMALLEST_M2:g} m2 to {LARGEST_M2 / 10_000:g} ha", "Check the unit."))
    return area_m2


def _people(text: str, faults: list[Fault]) -> tuple[tuple[str, float], ...]:
    """Sex and age of everybody."""
    people = []
    for word in filter(None, (part.strip() for part in text.split(","))):
        match = _PERSON.fullmatch(word)
        if match is None or float(match[2]) >= 120:
            faults.append(_fault("people", word, "sex and age, as f38 or m7", "Part people with commas: f38,m40,f7."))
        else:
            people.append((match[1].lower(), float(match[2])))
    if not 1 <= len(people) <= MOST_PEOPLE and not any(fault.where == "people" for fault in faults):
        expected = f"1 to {MOST_PEOPLE} people, as f38,m40,f7"
        faults.append(_fault("people", text, expected, "Give sex and age of each who eats here."))
    return tuple(people)
