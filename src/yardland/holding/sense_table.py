"""Sense of who sits at the table: births expected, guests, what each does not eat or likes, and that somebody is there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from itertools import pairwise

from yardland.errors import Fault
from yardland.holding.draft import Draft
from yardland.holding.folder import PLAN
from yardland.holding.known import KnownNames, name_words
from yardland.holding.misfit import one_of, shown
from yardland.holding.model import Like, Person
from yardland.holding.when import Visit

YOUNGEST_MOTHER_Y, OLDEST_MOTHER_Y = 12.0, 56.0
"""Ages at a birth beyond which a date is a slip of the pen (common practice, far outside charts)."""
BETWEEN_BIRTHS_DAYS = 200
"""Two births of one mother closer than this are a slip of the pen (common practice); twins are one date."""
YEAR_DAYS = 365.25
FILLING = frozenset(
    [
        *("grain", "flour", "legume", "legume_cooked", "root", "nut", "egg", "dairy", "fish"),
        *("meat", "meat_cooked", "meat_preserved", "offal"),
    ]
)
"""Groups of foods that carry a household's energy and protein: who refuses them all has nothing to live on."""
ANY_YEAR = 2023


def expecting(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Births are expected by women, at ages and distances at which they happen."""
    for name, person in draft.people.items():
        where = f"people.{name}.expects"
        if person.expects and person.sex != "f":
            remedy = "Write the date at the mother, or correct the sex."
            yield Fault(PLAN, where, f'a birth expected by sex = "{person.sex}"', 'a person of sex = "f"', remedy)
            continue
        births = sorted(person.expects)
        for birth in births:
            age = (birth - person.born).days / YEAR_DAYS
            if not YOUNGEST_MOTHER_Y <= age <= OLDEST_MOTHER_Y:
                expected = f"a birth at {YOUNGEST_MOTHER_Y:g} to {OLDEST_MOTHER_Y:g} years"
                yield Fault(PLAN, where, f"{birth}, at {age:.0f} years", expected, "Correct the date.")
        for first, second in pairwise(births):
            if (second - first).days < BETWEEN_BIRTHS_DAYS:
                expected = f"births at least {BETWEEN_BIRTHS_DAYS} days apart"
                yield Fault(PLAN, where, f"{first} and {second}", expected, "Correct a date; twins are one date.")


def visitors(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Guests are somebody, come on some day, and are not one of the people."""
    for name, guests in draft.guests.items():
        if name in draft.people:
            remedy = "Give the guests another name, so that a result can tell them apart."
            yield Fault(PLAN, f"guests.{name}", f"the name {name}, which a person has", "a name of its own", remedy)
        if guests.adults + guests.children == 0:
            remedy = "Write how many come, or take the entry out."
            yield Fault(PLAN, f"guests.{name}", "nobody", "adults or children above 0", remedy)
        if not guests.when:
            remedy = 'Write when = ["07-10/07-24"], or take the entry out.'
            yield Fault(PLAN, f"guests.{name}.when", "no day", "days on which they eat here", remedy)


def refusals(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """What somebody does not eat is a food that the tables know; an unknown name would be eaten all the same."""
    for where, refused in _refusing(draft):
        yield from _strangers(where, refused, known)


def hunger(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """Whoever refuses foods has some left that carry energy and protein."""
    for where, refused in _refusing(draft):
        if known.foods and refused and not _left(refused, known):
            remedy = "Take a word out of the list: nobody lives on what is left."
            yield Fault(PLAN, where, shown(", ".join(refused)), "a list that leaves some filling food", remedy)


def _refusing(draft: Draft) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Place of each list of refusals, and the list."""
    for name, person in draft.people.items():
        yield f"people.{name}.no", person.no
    for name, guests in draft.guests.items():
        yield f"guests.{name}.no", guests.no


def _left(refused: Iterable[str], known: KnownNames) -> set[str]:
    """Filling foods that the list does not take out."""
    out = _refused_words(refused, known)
    return {
        food
        for food, group in known.foods.items()
        if group in FILLING and name_words(food) not in out and name_words(group) not in out
    }


def _refused_words(refused: Iterable[str], known: KnownNames) -> set[frozenset[str]]:
    """Names of foods and groups, as words, that a list of refusals takes out."""
    out = {name_words(name) for name in refused}
    for diet, names in known.diets.items():
        if name_words(diet) in out:
            out |= {name_words(name) for name in names}
    return out


def _strangers(where: str, names: Iterable[str], known: KnownNames) -> Iterator[Fault]:
    """Faults of names that no food, good, group or word of diets has."""
    said = {name_words(name) for name in known.eaten}
    for name in names:
        if known.eaten and name_words(name) not in said:
            expected = "a food, a group of foods, or a word of the table diets"
            yield Fault(PLAN, where, shown(name), expected, one_of(name, known.eaten, "food"))


def likes(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """What is liked is known, is not refused by the same person, and its floor lies under its ceiling."""
    for name, person in draft.people.items():
        where = f"people.{name}.likes"
        yield from _bounds(where, person.likes, known)
        out = _refused_words(person.no, known)
        for food, like in person.likes.items():
            if like.least_kg_week > 0 and name_words(food) in out:
                found = f"{food}, which this person does not eat"
                yield Fault(PLAN, where, found, "a liking of what is eaten", "Take it out of likes, or out of no.")
    yield from _bounds("kitchen.likes", draft.kitchen.likes, known)


def _bounds(where: str, liked: Mapping[str, Like], known: KnownNames) -> Iterator[Fault]:
    """Faults of one table of likes."""
    yield from _strangers(where, liked, known)
    for food, like in liked.items():
        if like.most_kg_week is not None and like.least_kg_week > like.most_kg_week:
            found = f"least_kg_week {like.least_kg_week:g} above most_kg_week {like.most_kg_week:g}"
            yield Fault(PLAN, f"{where}.{food}", found, "a least under the most", "Turn them round, or correct one.")


def somebody(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """On some day of the year somebody is at home."""
    people = draft.people.values()
    if people and draft.declared.get("people", set()) == set(draft.people) and not any(map(_at_home, people)):
        remedy = "Shorten an absence: a household with nobody in it needs nothing."
        yield Fault(PLAN, "people", "everybody away on every day of the year", "somebody at home", remedy)


def _at_home(person: Person) -> bool:
    """Whether a person is at home on some day of a year."""
    visits = [Visit(span.start, span.end) for span in person.away]
    days = (date(ANY_YEAR, 1, 1) + timedelta(days=day) for day in range(365))
    return any(not any(away.holds(day) for away in visits) for day in days)


CHECKS = (expecting, visitors, refusals, hunger, likes, somebody)
