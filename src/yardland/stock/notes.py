"""What a keeper should know about the plan of the stock, as plain data for the findings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Group, Holding
from yardland.ledger.months import DAYS_IN_YEAR
from yardland.reference import Tables
from yardland.stock.cohorts import GroupYear
from yardland.stock.days import lactation
from yardland.stock.kinds import Husbandry, Klass, kinds, load_klass
from yardland.stock.sky import Sky, change_h_month

HeadsByClass = dict[tuple[str, str], npt.NDArray[np.int64]]
SIRE_REMEDY = (
    "Add a male to the heads or a sire to the group, or keep the class in a group of its own without dates of birth."
)
SOCIAL = {"chicken", "duck", "muscovy", "goose", "turkey", "goat", "sheep", "pig", "cattle"}


@dataclass(frozen=True, slots=True)
class StockNote:
    """`grade` danger, rule, short, tight or note; `subject` "group.class"; `number` with its unit; `source_key` a figure.

    `remedy` is empty where only the plan or the table's figure can be changed.
    """

    grade: str
    subject: str
    words: str
    number: str
    source_key: str
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class Housing:
    """Room that a group's greatest number asks for by the table's space figures."""

    floor_m2: float
    outdoor_m2: float
    nest_boxes: int
    perch_m: float


@dataclass(frozen=True)
class Look:
    """What every check of a group sees."""

    holding: Holding
    group: Group
    year: GroupYear
    heads: HeadsByClass
    tables: Tables
    sky: Sky

    def subject(self, klass: str) -> str:
        """Name of a class of the group in a note."""
        return f"{self.year.name}.{klass}"

    def dams(self) -> list[tuple[Klass, int]]:
        """Classes of dams with their heads."""
        return [(klass, count) for klass, count in self.year.adults.values() if klass.kind.role == "dam"]

    def dams_by_key(self) -> list[tuple[str, Klass]]:
        """Classes of dams by their keys."""
        return [(key, klass) for key, (klass, _) in self.year.adults.items() if klass.kind.role == "dam"]


def stock_notes(holding: Holding, year: GroupYear, heads: HeadsByClass, tables: Tables, sky: Sky) -> list[StockNote]:
    """Every note on one group, in the order of `CHECKS`."""
    look = Look(holding, holding.group[year.name], year, heads, tables, sky)
    return [note for check in CHECKS for note in check(look)]


def housing(group: str, heads: HeadsByClass, tables: Tables, grown: Mapping[str, int]) -> Housing:
    """Room for the most animals of each class that stand on one day; nests for the grown ones among them alone."""
    floor = outdoor = perch = 0.0
    nests = 0
    for (name, key), days in heads.items():
        if name != group:
            continue
        row, most = tables.row("stock", key), int(days.max())
        floor += most * (row["floor_area_m2"] or 0.0)
        outdoor += most * (row["outdoor_area_m2"] or 0.0)
        nests += int(np.ceil(min(most, grown.get(key, 0)) * (row["nest_boxes_per_bird"] or 0.0) - 1e-9))
        perch += most * (row["perch_cm_per_bird"] or 0.0) / 100.0
    return Housing(floor, outdoor, nests, perch)


def _no_sire(look: Look) -> list[StockNote]:
    """Young are planned, but nothing can father them: there are then no young and no milk."""
    notes = []
    for key in look.year.sire_missing:
        klass, _ = look.year.adults[key]
        milked = bool(klass.good("milk")) and look.group.milk_share != "none"
        # The dates may be meant for another class of the group, which has its male.
        others = any(other not in look.year.sire_missing for other, _ in look.dams_by_key())
        name = klass.row.text("common_name").partition(" (")[0].partition(",")[0]
        words = (
            f"Young of {name} are planned, but there is no male of their kind in the group and no sire is hired, borrowed or "
            f"bought: none are born{', and without young there is no milk' if milked else ''}."
        )
        number = f"{len(look.group.born)} {'date' if len(look.group.born) == 1 else 'dates'} of birth"
        grade = "note" if others and not milked else "short"
        notes.append(
            StockNote(grade, look.subject(key), words, number, f"stock.{key}.gestation_or_incubation_d", SIRE_REMEDY)
        )
    return notes


def _ratio(look: Look) -> list[StockNote]:
    """Females to each male, against what a male can serve."""
    notes = []
    for klass, females in look.dams():
        males = look.group.heads.get(klass.kind.sire, 0) if klass.kind.sire else 0
        able = klass.row["females_per_male"]
        if not males or able is None:
            continue
        each = females / males
        if each > able:
            words = f"One male serves about {able:g} females; here each has {each:.3g}: some will not breed."
            notes.append(StockNote("tight", look.subject(klass.key), words, f"{each:.3g} to one", _ratio_key(klass)))
        elif each < able / 3.0 and males > 1:
            words = f"More males than the females need: one serves about {able:g}. Spare males eat and fight."
            notes.append(StockNote("note", look.subject(klass.key), words, f"{each:.3g} to one", _ratio_key(klass)))
    return notes


def _ratio_key(klass: Klass) -> str:
    return f"stock.{klass.key}.females_per_male"


def _males_alone(look: Look) -> list[StockNote]:
    """A group of nothing but breeding males."""
    males = {key: count for key, (klass, count) in look.year.adults.items() if klass.kind.role == "sire"}
    if not males or len(males) < len(look.year.adults) or look.group.batch:
        return []
    key, count = next(iter(males.items()))
    dam = next(name for name, kind in kinds().items() if kind.sire == key)
    words = (
        "Only males are kept here: no young, eggs or milk come of them. Add females, or lend the males out; stock that is "
        "only fattened is a batch."
    )
    return [StockNote("note", look.subject(key), words, f"{count} head", f"stock.{dam}.females_per_male")]


def _service_day(klass: Klass, born_day: int) -> int:
    return (born_day - round(klass.row.need("gestation_or_incubation_d"))) % DAYS_IN_YEAR


def _born_days(look: Look) -> list[int]:
    return [look.sky.day_of(when.month, when.day) for when in look.group.born]


def _out_of_season(look: Look) -> list[StockNote]:
    """Short-day breeders come on heat while the days shorten; long-day birds lay while they lengthen."""
    notes = []
    change = change_h_month(look.sky.daylength_h)
    if np.ptp(look.sky.daylength_h) < 1.5:
        return []
    for klass, _ in look.dams():
        if klass.kind.breeding == "any":
            continue
        for born in _born_days(look):
            served = _service_day(klass, born)
            month = int(look.sky.month[served])
            shortening = change[month] < 0.0 or look.sky.daylength_h[month] < 10.5
            right = shortening if klass.kind.breeding == "short_day" else not change[month] < 0.0
            if not right:
                notes.append(_season_note(look, klass, born, served))
    return notes


def _season_note(look: Look, klass: Klass, born: int, served: int) -> StockNote:
    act, days = ("served", "shorten") if klass.kind.breeding == "short_day" else ("set to brood", "lengthen")
    words = (
        f"Young on {look.sky.date_words(born)} must be {act} on {look.sky.date_words(served)}, out of season: "
        f"most breeds do so while the days {days}. Expect few young then unless the breed is known to."
    )
    key = f"stock.{klass.key}.gestation_or_incubation_d"
    return StockNote("tight", look.subject(klass.key), words, look.sky.date_words(served), key)


def _sire_late(look: Look) -> list[StockNote]:
    """A sire that comes and the births that are planned must fit."""
    sire = look.group.sire
    if sire is None or sire.from_ is None:
        return []
    window = Husbandry(look.tables)["service_window_days"]
    comes = look.sky.day_of(sire.from_.month, sire.from_.day)
    notes = []
    for klass, _ in look.dams():
        if klass.kind.sits != "litter" or round(klass.figure("litters_per_year", 1.0)) > 1:
            continue
        waits = [(_service_day(klass, born) - comes) % DAYS_IN_YEAR for born in _born_days(look)]
        if waits and all(window < wait < DAYS_IN_YEAR - window for wait in waits):
            wanted = look.sky.date_words(_service_day(klass, _born_days(look)[0]))
            words = (
                f"The sire comes on {look.sky.date_words(comes)} but the planned births ask for service on {wanted}."
            )
            key = "husbandry.service_window_days.value"
            notes.append(StockNote("tight", look.subject(klass.key), words, look.sky.date_words(comes), key))
    return notes


def _too_often(look: Look) -> list[StockNote]:
    """More dates of birth than a dam can bear in a year: the dams are shared out over the dates."""
    notes = []
    dates = len(look.group.born)
    for klass, count in look.dams():
        able = klass.row["litters_per_year"]
        if able is None or klass.kind.sits != "litter" or look.year.sire_missing:
            continue
        if dates > max(1, round(able)):
            borne = sum(litter.dams for litter in look.year.litters if litter.dam.key == klass.key) / count
            words = (
                f"{dates} dates of birth, but each bears {borne:.3g} times a year: they are shared out over the dates."
            )
            key = f"stock.{klass.key}.litters_per_year"
            notes.append(StockNote("note", look.subject(klass.key), words, f"{able:g} a year", key))
    return notes


def _dry_weeks(look: Look) -> list[StockNote]:
    """Weeks in which no dam of a milked group is in milk."""
    if look.group.milk_share == "none":
        return []
    notes = []
    for klass, _ in look.dams():
        litters = [litter for litter in look.year.litters if litter.dam.key == klass.key]
        if not klass.good("milk") or not litters:
            continue
        wet = np.zeros(DAYS_IN_YEAR, dtype=bool)
        for litter in litters:
            wet[(litter.day + np.arange(len(lactation(klass)))) % DAYS_IN_YEAR] = True
        dry = int((~wet).sum())
        if dry >= 7:
            words = f"No milk for {dry // 7} weeks while all are dry before the next birth. Two births apart in the year would close the gap."
            key = f"stock.{klass.key}.lactation_d"
            notes.append(StockNote("tight", look.subject(klass.key), words, f"{dry} days", key))
    return notes


def _milk_all(look: Look) -> list[StockNote]:
    """All milk taken while young are reared: they need a substitute."""
    if look.group.milk_share != "all":
        return []
    return [
        StockNote(
            "short",
            look.subject(litter.dam.key),
            f"All milk after the colostrum goes to the house, yet {litter.reared} young are reared: they need bought "
            "milk powder or a foster dam till weaning; their feed here is counted as if they could eat it.",
            f"{litter.reared} young",
            f"stock.{litter.dam.key}.weaning_age_d",
        )
        for litter in look.year.litters
        if litter.dam.good("milk") and litter.reared
    ]


def _short_of_young(look: Look) -> list[StockNote]:
    """Fewer daughters than are to be kept."""
    return [
        StockNote(
            "tight",
            look.subject(key),
            f"{lacking} more young females are to be kept than are reared; as far as the number must hold they are bought.",
            f"{lacking} head",
            f"stock.{key}.breeding_life_yr",
        )
        for key, lacking in look.year.short_of_young.items()
    ]


def _renewal(look: Look) -> list[StockNote]:
    """How often adults are renewed, where that is less than a head a year or comes out uneven."""
    notes = []
    for key, wanted in look.year.replaced.items():
        if 0.0 < wanted < 0.5 and look.year.adults[key][0].kind.role != "colony":
            klass, count = look.year.adults[key]
            name = klass.row.text("common_name").partition(" (")[0].partition(",")[0]
            words = f"Each {name} is replaced after about {count / wanted:.0f} years to hold the number; this year counts none."
            notes.append(
                StockNote("note", look.subject(key), words, f"{wanted:.2f} a year", f"stock.{key}.breeding_life_yr")
            )
    return notes


def _alone(look: Look) -> list[StockNote]:
    """Herd animals are not kept singly."""
    notes = []
    species: dict[str, int] = {}
    for (_, key), days in look.heads.items():
        name = look.tables.row("stock", key).text("species")
        species[name] = species.get(name, 0) + int(days.max())
    for klass, count in look.year.adults.values():
        name = klass.row.text("species")
        if count == 1 and name in SOCIAL and species[name] == 1:
            words = "Kept alone it pines: welfare codes ask for company of its own kind, two at least."
            notes.append(
                StockNote("note", look.subject(klass.key), words, "1 head", f"stock.{klass.key}.floor_area_m2")
            )
    return notes


def _room(look: Look) -> list[StockNote]:
    """The plot that a group calls home must hold it."""
    plot = look.holding.plot.get(look.group.home)
    if plot is None:
        return []
    need = housing(look.year.name, look.heads, look.tables, look.year.grown)
    if need.floor_m2 <= plot.area_m2:
        return []
    words = f"The greatest number asks for {need.floor_m2:.3g} m2 of floor; {look.group.home} has {plot.area_m2:.3g} m2 in all."
    klass = next(key for name, key in look.heads if name == look.year.name)
    key = f"stock.{klass}.floor_area_m2"
    return [StockNote("rule", look.year.name, words, f"{need.floor_m2:.3g} m2", key)]


def _few_colonies(look: Look) -> list[StockNote]:
    """One colony cannot be made good when it dies."""
    notes = []
    for klass, count in look.year.adults.values():
        loss = klass.row["mortality_adult_per_year"]
        if klass.kind.role != "colony" or loss is None:
            continue
        if count < 2:
            words = "Keep two colonies at least: one cannot be made good from itself when it dies in winter."
            notes.append(StockNote("tight", look.subject(klass.key), words, "1 colony", _loss_key(klass)))
        new = 1.0 / (1.0 - loss) - 1.0
        words = f"To hold the number, each colony that lives must yield {new:.2f} new ones a year. Honey differs much between years; leave the winter stores."
        notes.append(
            StockNote("note", look.subject(klass.key), words, f"{100 * loss:.0f} % lost a year", _loss_key(klass))
        )
    return notes


def _loss_key(klass: Klass) -> str:
    return f"stock.{klass.key}.mortality_adult_per_year"


def _killed_young(look: Look) -> list[StockNote]:
    """A killing age well under the table's gives little meat."""
    age = look.group.kill_after_days
    if age is None:
        return []
    notes = []
    for key in sorted({cohort.klass.key for cohort in look.year.cohorts if cohort.fate == "killed"}):
        usual = load_klass(look.tables, key).row["slaughter_age_d"]
        if usual is not None and age < 0.5 * usual:
            words = f"Killed at {age} days; the table's age is {usual:g}: little meat for the young reared."
            notes.append(StockNote("note", look.subject(key), words, f"{age} days", f"stock.{key}.slaughter_age_d"))
    return notes


def _one_of_a_batch(look: Look) -> list[StockNote]:
    """A weaner that is bought alone pines as a grown animal does."""
    notes = []
    together: dict[str, int] = {}
    for (_, key), days in look.heads.items():
        name = look.tables.row("stock", key).text("species")
        together[name] = together.get(name, 0) + int(days.max())
    for batch in look.group.batch:
        species = look.tables.row("stock", batch.class_).text("species")
        if batch.count == 1 and species in SOCIAL and together.get(species, 1) == 1:
            words = "Bought alone it pines: welfare codes ask for company of its own kind, two at least."
            key = f"stock.{batch.class_}.floor_area_m2"
            notes.append(StockNote("note", look.subject(batch.class_), words, "1 head", key))
    return notes


def _kin(look: Look) -> list[StockNote]:
    """A male that stays longer than his daughters take to grow up meets them, where daughters are kept."""
    notes = []
    for klass, _ in look.dams():
        sire = klass.kind.sire
        age, stays = klass.row["age_first_breeding_d"], _life_d(look, sire)
        if not look.group.keep_young or not look.group.heads.get(sire, 0) or age is None or stays <= age:
            continue
        words = (
            f"Daughters that are kept meet their father: he stays about {stays / DAYS_IN_YEAR:.2g} years and they breed from "
            f"{age:g} days. Change or swap him before the first of them is served."
        )
        key = f"stock.{klass.key}.age_first_breeding_d"
        notes.append(StockNote("note", look.subject(klass.key), words, f"{stays - age:.0f} days", key))
    return notes


def _life_d(look: Look, klass: str) -> float:
    """Days that a class stays as a breeder: the plan's culling age, else the table's breeding life; 0 for no class."""
    if not klass:
        return 0.0
    years = look.group.cull_after_years or look.tables.row("stock", klass)["breeding_life_yr"] or 0.0
    return float(years) * DAYS_IN_YEAR


def _first_breeding(look: Look) -> list[StockNote]:
    """Own daughters that are just too young when the others are served wait for the next service."""
    notes = []
    for klass, _ in look.dams():
        age = klass.row["age_first_breeding_d"]
        if klass.kind.sits != "litter" or not look.group.keep_young or age is None or look.year.sire_missing:
            continue
        services = [_service_day(klass, day) for day in _born_days(look)]
        for born in _born_days(look):
            waits = min((service - born - round(age)) % DAYS_IN_YEAR for service in services)
            if waits < DAYS_IN_YEAR // 2:
                continue
            words = (
                f"Daughters of {look.sky.date_words(born)} are {DAYS_IN_YEAR - waits} days short of {age:g} days when the "
                "others are served, and wait for the next service. An earlier birth or a later sire would save the time."
            )
            key = f"stock.{klass.key}.age_first_breeding_d"
            notes.append(StockNote("note", look.subject(klass.key), words, f"{round(age) + waits} days", key))
    return notes


CHECKS: tuple[Callable[[Look], list[StockNote]], ...] = (
    _no_sire,
    _ratio,
    _males_alone,
    _out_of_season,
    _sire_late,
    _too_often,
    _dry_weeks,
    _milk_all,
    _short_of_young,
    _renewal,
    _alone,
    _room,
    _few_colonies,
    _killed_young,
    _one_of_a_batch,
    _kin,
    _first_breeding,
)
