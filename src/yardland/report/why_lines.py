"""Why years are as they are, in words: short months seen close, where the food went, what moves between two plans."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from yardland.larder.description import Larder
from yardland.larderyears.food_year import FoodYear
from yardland.larderyears.hungry_seen import HungryClass, HungryStock
from yardland.larderyears.moves import Move
from yardland.larderyears.short_months import ShortMonths, ShortPlate, Uneaten
from yardland.report.words import figure, listed, month_runs, plain

PCT = 100.0
TOLD_PLATES, TOLD_BARE, TOLD_UNEATEN, TOLD_MOVES = 4, 3, 3, 7
TOLD_CLASSES, TOLD_FEEDS = 2, 3
EVERY_MONTH = 11.5
"""Months a year in which a purchase is at its limit, from which it is told as all of them."""
MONTH_DAYS = 365.0 / 12.0
LITTLE_DAYS = 0.5
"""Days of food under which a line is not told."""
SHARED = 0.25
"""Share from which a second reason is told."""
MOSTLY = 0.15
"""Share of a line from which a good is named, the greatest two."""
NEARLY_ALL = 0.9
"""Of the months in which a food is bare, those in which all its group is, from which the group alone is told."""
GROUPS = {
    "dairy_group": "milk and cheese",
    "egg_group": "eggs",
    "fat_oil_group": "fat and oil",
    "fruit_preserved_group": "preserved fruit",
    "grain_flour_group": "grain and flour",
    "legume_group": "pulses",
    "nut_group": "nuts",
    "root_group": "roots",
    "sweet_group": "sweet things",
    "vegetable_group": "vegetables",
    "vegetable_preserved_group": "preserved vegetables",
}
WHY = {
    "plate": "plate full",
    "refused": "not eaten by them",
    "seed": "seed",
    "filled": "they have their fill of energy",
    "kept": "kept for months to come",
    "not_food": "no food",
}
CAME = {"ground": "ground", "trees": "trees", "herds": "animals", "bought": "bought"}
WENT = {
    "eaten": "eaten",
    "fed": "fed to stock",
    "sown": "sown",
    "sold": "sold",
    "prepared": "lost in mill, dairy and putting by",
    "spoiled": "spoiled",
    "surplus": "left to the soil",
}
LINES = {
    **CAME,
    **WENT,
    "ground": "grown on the ground",
    "trees": "grown on trees",
    "herds": "given by animals",
    "need": "needed",
    "lacking": "lacking",
    "store_change": "more in store at a year's end than at its beginning",
    "leanest_store": "that plates can take in store in the leanest month",
    "hungry_stock": "months with hungry stock",
    "short_months": "short months",
}


Names = Mapping[str, str]
"""Good -> its name in a sentence."""
NO_NAMES: Names = {}


def names_of(larder: Larder) -> Names:
    """The goods' names as they stand in a sentence: "Potatoes, canned" is potatoes canned."""
    return {key: good.name.replace(", ", " ").lower() for key, good in larder.goods.items()}


def good_words(good: str, names: Names = NO_NAMES) -> str:
    """A good as words: by its name, else by its key ("potato.canned" is potato canned)."""
    return names.get(good) or plain(good).replace(".", " ")


def plate_words(one: ShortPlate, names: Names = NO_NAMES) -> str:
    """A plate as words, with whose it is: a food by the name of the plainest good that goes on it."""
    name = GROUPS.get(one.plate)
    if name is None and one.plate.endswith("_group"):
        name = plain(one.plate.removesuffix("_group"))
    name = name or good_words(min(one.goods, key=lambda good: (len(good), good), default=one.plate), names)
    return f"{name} of {one.diet}" if one.diet else name


def short_words(close: ShortMonths, of: str = "", names: Names = NO_NAMES) -> Iterator[str]:
    """The short months seen close, in one paragraph; nothing where no month was short.

    Args:
        close: what was seen.
        of: on which terms ("On standard terms"), "" for the run itself.
        names: of goods.
    """
    if not close.months:
        return
    lacks = [
        f"{name} lacks in {months} ({PCT * share:.0f} % of need in the mean)"
        for name, months, share in (
            ("energy", close.energy, close.energy_lack),
            ("protein", close.protein, close.protein_lack),
        )
        if months
    ]
    start = f"{of}, {close.months}" if of else f"{close.months}"
    words = f"{start} of {close.of} months are short, seen close: {listed(lacks)}."
    full = apart(sorted((one for one in close.plates if one.full), key=lambda one: -one.full * one.eaten_mj))
    if full := full[:TOLD_PLATES]:
        words += f" Full plates: {', '.join(f'{plate_words(one, names)} ({one.full})' for one in full)}."
    bare = bare_plates(close.plates)
    if bare:
        told = ", ".join(f"{plate_words(one, names)} ({one.bare})" for one in bare)
        words += f" Room on the plate and nothing in store: {told}."
    lying = [
        uneaten_words(one, close.need_mj / MONTH_DAYS, names)
        for one in close.uneaten
        if one.mj > LITTLE_DAYS * close.need_mj / MONTH_DAYS
    ]
    if lying:
        words += f" Uneaten at the month's end, in the mean: {'; '.join(lying[:TOLD_UNEATEN])}."
    yield words


def stock_words(close: HungryStock, months: Sequence[str], names: Names = NO_NAMES) -> Iterator[str]:
    """Hungry stock seen close, one paragraph; nothing where none was hungry.

    Args:
        close: what was seen.
        months: names, [12].
        names: of goods.
    """
    if not close.classes:
        return
    words = (
        "Hungry stock seen close: " + "; ".join(class_words(one, months) for one in close.classes[:TOLD_CLASSES]) + "."
    )
    every = [good_words(good, names) for good, count in close.bought_full.items() if count >= EVERY_MONTH]
    yield words + (f" As much as may be is bought of {listed(every)} in every month." if every else "")


def class_words(one: HungryClass, months: Sequence[str]) -> str:
    """A class: how often, when, how deep, which feeds are at their most and which are out."""
    most = max(one.by_month)
    often = tuple(at for at, share in enumerate(one.by_month) if share >= most / 2.0)
    when = "in all months" if len(often) == len(months) else f"mostly in {month_runs(often, tuple(months))}"
    name = one.herd.removeprefix("herd:").replace(".", ": ")
    words = f"{plain(name)} in {PCT * one.years:.0f} % of years, {when}, by {PCT * one.lack:.0f} % of the month's feed"
    for told, feeds in (("at the most of a ration", one.at_most), ("none left", one.out)):
        if feeds:
            words += f", {told}: {', '.join(plain(feed) for feed, _ in feeds[:TOLD_FEEDS])}"
    return words


def bare_plates(plates: Sequence[ShortPlate]) -> list[ShortPlate]:
    """Plates with room and nothing to put on them, greatest first; a food stands for its group, or the group for it."""
    bare = [one for one in plates if one.bare]

    def within(one: ShortPlate) -> bool:
        return any(
            one.goods < other.goods and one.diet == other.diet and other.bare >= NEARLY_ALL * one.bare for other in bare
        )

    return apart(sorted((one for one in bare if not within(one)), key=lambda one: -one.bare * one.eaten_mj))[:TOLD_BARE]


def apart(plates: Sequence[ShortPlate]) -> list[ShortPlate]:
    """The plates without those that hold, or are held by, one that comes before them."""
    found: list[ShortPlate] = []
    for one in plates:
        held = (one.diet == other.diet and (one.goods <= other.goods or other.goods <= one.goods) for other in found)
        if not any(held):
            found.append(one)
    return found


def uneaten_words(one: Uneaten, day_mj: float, names: Names = NO_NAMES) -> str:
    """A good that lay there: how much, and why."""
    reasons = sorted(one.why.items(), key=lambda part: -part[1])
    named = [reasons[0], *(part for part in reasons[1:2] if part[1] >= SHARED)]
    parts = [f"{PCT * share:.0f} % {WHY[key]}" if len(named) > 1 else WHY[key] for key, share in named]
    return f"{figure(one.kg, 2)} kg {good_words(one.good, names)} ({one.mj / day_mj:.0f} days; {', '.join(parts)})"


def food_words(food: FoodYear, names: Names = NO_NAMES) -> str:
    """Where a year's food came from and went, in days of the household's need."""
    day = food.day_mj
    came = [line_words(food, line, words, names) for line, words in CAME.items() if food.mj[line] >= LITTLE_DAYS * day]
    went = [
        line_words(food, line, words, names) for line, words in WENT.items() if abs(food.mj[line]) >= LITTLE_DAYS * day
    ]
    words = f"Food and feed grain of a year, in days of the household's need, in the mean: came from {', '.join(came)}; went: {', '.join(went)}"
    words += f"; in store {food.change_mj / day:+.0f}"
    return words + (f"; {food.lacking_mj / day:.0f} lack." if food.lacking_mj >= LITTLE_DAYS * day else ".")


def line_words(food: FoodYear, line: str, words: str, names: Names) -> str:
    """A line with the goods that make most of it."""
    mj = food.mj[line]
    named = [good_words(good, names) for good, part in food.goods[line][:2] if mj > 0.0 and part >= MOSTLY * mj]
    told = f"{words} {mj / food.day_mj:.0f}"
    return told + (f" ({', '.join(named)})" if named and line != "eaten" else "")


def moves_words(moves: Sequence[Move], chains: int) -> Iterator[str]:
    """What moves between two plans, and what so many chains do not tell apart."""
    told = [one for one in moves if one.difference.told_apart and abs(one.difference.value) >= least_told(one)]
    if told:
        yield (
            f"What moves with it, a year (days of food are of the first plan's need; over {chains} chains all intervals hold together):"
        )
    for one in told[:TOLD_MOVES]:
        yield f"- {move_words(one)}"
    small = [one for one in told[TOLD_MOVES:] if one.unit != "days"]
    for one in small:
        yield f"- {move_words(one)}"
    same = [
        LINES[one.line] for one in moves if not one.difference.told_apart and one.difference.high > one.difference.low
    ]
    if same:
        yield f"Not told apart by {chains} chains: {', '.join(same)}."


def least_told(one: Move) -> float:
    """Of days half a one, of months a hundredth."""
    return LITTLE_DAYS if one.unit != "months" else 0.01


def move_words(one: Move) -> str:
    """A line under both plans."""
    digits = 1 if one.unit == "months" or abs(one.difference.value) < 10.0 else 0
    unit = "days " if one.unit != "months" else ""
    change = one.difference
    words = f"{change.value:+.{digits}f} {unit}{LINES[one.line]} ({one.first:.{digits}f} to {one.second:.{digits}f}"
    if change.high > change.low:
        words += f"; {change.low:+.{digits}f} to {change.high:+.{digits}f}"
    return words + ")"
