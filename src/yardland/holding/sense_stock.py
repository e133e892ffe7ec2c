"""Sense of groups of animals and their rounds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date

from yardland.errors import Fault
from yardland.holding.draft import Draft
from yardland.holding.folder import PLAN
from yardland.holding.known import BEES, KnownNames, is_male
from yardland.holding.misfit import one_of, shown

ROUND_USES = ("crops", "garden", "grass", "orchard", "wood")
LONGEST_STAY_DAYS = 365


def classes(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """Every class of stock is one that the tables know."""
    for name, group in draft.group.items():
        places = [(f"group.{name}.heads.{klass}", klass) for klass in group.heads]
        places += [(f"group.{name}.batch[{index}].class", batch.class_) for index, batch in enumerate(group.batch, 1)]
        for where, klass in places:
            if known.stock and klass not in known.stock:
                yield Fault(PLAN, where, shown(klass), "a class of stock", one_of(klass, known.stock, "class"))


def batches(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """A batch is of a class that is bought young and grows; hens, ewes and sires are kept as heads."""
    for name, group in draft.group.items():
        for index, batch in enumerate(group.batch, 1):
            if batch.class_ in known.stock - known.fattened and known.fattened:
                where = f"group.{name}.batch[{index}].class"
                found, expected = f'"{batch.class_}", a class of grown stock', "a class that is bought young to fatten"
                remedy = f"Put it under heads, or choose one of {', '.join(sorted(known.fattened))}."
                yield Fault(PLAN, where, found, expected, remedy)


def groups_hold(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """A group has animals: heads, or batches that come in."""
    for name, group in draft.group.items():
        if not group.heads and not group.batch:
            remedy = "Add heads = { laying_hen = 6 } with your own class and number, or a batch."
            yield Fault(PLAN, f"group.{name}", "a group without animals", "heads or a batch", remedy)


def homes(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Every group lives on a plot of the plan, or in a building that is drawn."""
    known_homes = draft.names("plot") | {name for name, found in draft.outlines.items() if found.kind == "building"}
    for name, group in draft.group.items():
        if group.home not in known_homes:
            remedy = one_of(group.home, known_homes, "plot")
            expected = "a name under [plot], or a building in land.geojson"
            yield Fault(PLAN, f"group.{name}.home", shown(group.home), expected, remedy)


def young(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Young need a dam and a sire; whoever keeps young plans some."""
    for name, group in draft.group.items():
        males = [klass for klass in group.heads if is_male(klass)]
        if group.born and group.heads and len(males) == len(group.heads):
            found, expected = "young planned in a group of males", "a class of females in heads"
            yield Fault(PLAN, f"group.{name}.born", found, expected, "Add the dams, or take born out.")
        elif group.born and not group.heads:
            remedy = "Add the dams to heads, or take born out."
            yield Fault(PLAN, f"group.{name}.born", "young planned without dams", "a class in heads", remedy)
        elif group.born and not males and group.sire is None:
            remedy = (
                'Add sire = { how = "borrowed", from = "10-05" } (or kept, hired, bought service), or a male to heads.'
            )
            yield Fault(PLAN, f"group.{name}.sire", "nothing", "a sire, as young are planned", remedy)
        if group.keep_young and not group.born:
            found, expected = f"{group.keep_young} young kept and none born", 'born = ["04-10"]'
            yield Fault(PLAN, f"group.{name}.keep_young", found, expected, "Add the day they are born.")


def bees_alone(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Hives are a group of their own, and go on no round."""
    for name, group in draft.group.items():
        hives = [klass for klass in group.heads if klass.startswith(BEES)]
        if hives and len(hives) < len(group.heads):
            yield Fault(PLAN, f"group.{name}.heads", "hives among other stock", "a group of hives", "Part them.")
        for round_name, circuit in draft.round.items():
            if hives and name in circuit.order:
                yield Fault(
                    PLAN, f"round.{round_name}.order", f"the hives {name}", "animals that walk", "Take them out."
                )


def days_once(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """A day of birth or of a batch stands once."""
    for name, group in draft.group.items():
        lists = [("born", group.born)] + [
            (f"batch[{index}].on", batch.on) for index, batch in enumerate(group.batch, 1)
        ]
        for key, days in lists:
            twice = [day for day, count in Counter(days).items() if count > 1]
            if twice:
                yield Fault(PLAN, f"group.{name}.{key}", f"{twice[0]} twice", "each day once", "Take one of them out.")
        for index, batch in enumerate(group.batch, 1):
            if not batch.on:
                where = f"group.{name}.batch[{index}].on"
                yield Fault(PLAN, where, "an empty list", "the days a batch comes in", 'Write on = ["03-10"].')


def policies(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Targets are of classes that the group has; young are kept by who renews from them."""
    for name, group in draft.group.items():
        for klass in group.target:
            if klass not in group.heads:
                remedy = one_of(klass, group.heads, "class of the group")
                yield Fault(PLAN, f"group.{name}.target.{klass}", shown(klass), "a class in heads", remedy)
        if group.keep_young and group.renew == "bought":
            found, expected = f"{group.keep_young} young kept", 'renew = "own young", or no young kept'
            yield Fault(PLAN, f"group.{name}.renew", found, expected, "Take keep_young or renew out.")
        if group.renew == "own young only" and not group.born:
            expected = "days on which young are born"
            yield Fault(PLAN, f"group.{name}.renew", "own young only, and none born", expected, "Add born, or buy.")


def strikes(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """A strike's figure is NAME_per_year or NAME_share, of a name that the tables know; both are shares up to 1."""
    keys = {name + end for name in known.strikes for end in ("_per_year", "_share")}
    for name, group in draft.group.items():
        for key, value in group.strike.items():
            where = f"group.{name}.strike.{key}"
            if keys and key not in keys:
                yield Fault(PLAN, where, shown(key), "a strike of the tables", one_of(key, keys, "strike"))
            if value > 1.0:
                remedy = "Once in 20 years is 0.05; half of the group is 0.5."
                yield Fault(PLAN, where, f"{value:g}", "0 to 1", remedy)


def rounds(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """A round takes groups of the plan through plots that can be grazed, in stays that can be."""
    for name, circuit in draft.round.items():
        where = f"round.{name}"
        for key, entries in (("order", circuit.order), ("plots", circuit.plots)):
            if not entries:
                yield Fault(PLAN, f"{where}.{key}", "an empty list", "at least one name", "Add one.")
            for entry in (entry for entry, count in Counter(entries).items() if count > 1):
                yield Fault(PLAN, f"{where}.{key}", f"{shown(entry)} twice", "each once", "Take the second one out.")
        for group in set(circuit.order) - draft.names("group"):
            remedy = one_of(group, draft.names("group"), "group")
            yield Fault(PLAN, f"{where}.order", shown(group), "a name under [group]", remedy)
        for plot in set(circuit.plots) - draft.names("plot"):
            remedy = one_of(plot, draft.names("plot"), "plot")
            yield Fault(PLAN, f"{where}.plots", shown(plot), "a name under [plot]", remedy)
        for plot in circuit.plots:
            if plot in draft.plot and draft.plot[plot].use not in ROUND_USES:
                found = f'"{plot}", a {draft.plot[plot].use}'
                yield Fault(PLAN, f"{where}.plots", found, "plots of " + ", ".join(ROUND_USES), "Take it out.")
        shortest, longest = circuit.stay_days
        if not 1 <= shortest <= longest <= LONGEST_STAY_DAYS:
            remedy = "Write the shortest stay first, then the longest."
            yield Fault(PLAN, f"{where}.stay_days", f"{shortest} to {longest}", "1 or more, rising", remedy)


def one_round(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """A group goes on one round only."""
    first: dict[str, str] = {}
    for name, circuit in draft.round.items():
        for group in dict.fromkeys(circuit.order):
            if group in first:
                found = f'"{group}", which is on round "{first[group]}" too'
                yield Fault(PLAN, f"round.{name}.order", found, "a group on one round", "Take it off one of the two.")
            first.setdefault(group, name)


CHECKS = (classes, batches, groups_hold, homes, young, bees_alone, days_once, policies, strikes, rounds, one_round)
