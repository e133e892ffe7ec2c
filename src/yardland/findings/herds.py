"""Findings of herds over drawn years: numbers off their target and why, kin, settings without eggs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from yardland.findings import kept
from yardland.findings.animals import shown
from yardland.findings.context import Context, Rule
from yardland.holding.model import Group
from yardland.larderyear.result import Finding
from yardland.larderyear.run import first_words
from yardland.stock.herds.years import Run, drawn_notes
from yardland.stock.sky import Sky

RUN = Run(years=10, chains=2)
"""A look of a quarter of a second; the group's own page draws more."""
MOST_HEADS = 500
"""Heads of a group above which it is not drawn here: each costs time, and of so many the mean says enough."""


def drawn(context: Context) -> Iterator[Finding]:
    """What only drawn years show, unless the stock room noticed the same of the plan."""
    result = context.result
    groups = {name: group for name, group in result.holding.group.items() if size(group) <= MOST_HEADS}
    if not groups:
        return
    sky = Sky.of(result.months, kept.tmean_c(context), kept.light_h(context))
    said = {(note.subject, note.source.partition(":")[0]) for note in result.stock_notes}
    holding = result.holding.model_copy(update={"group": groups})
    for note in drawn_notes(holding, context.tables, sky, RUN):
        if note.number.endswith("of years") or (note.subject, note.source_key) not in said:
            first, rest = first_words(note.words)
            figure = context.tables.figure(note.source_key)
            yield Finding(
                grade=note.grade,
                title=f"{titled(note.subject, groups)}: {first[:1].lower()}{first[1:]}",
                what=f"{rest[:1].upper()}{rest[1:]}",
                number=note.number,
                cause=(
                    f"{RUN.years} years drawn head by head in {RUN.chains} chains (seed {RUN.seed}), from today's heads, fed in full, "
                    "in this year's weather; the group's own page draws more."
                ),
                remedy=note.remedy,
                source=f"{figure.key}: {figure.source} ({figure.standing})",
                subject=note.subject,
            )


def titled(subject: str, groups: Mapping[str, Group]) -> str:
    """The group as a title starts, and its class where it holds more than one: "Hens", "Rabbits, rabbit buck"."""
    name, _, klass = subject.partition(".")
    return shown(name) if len(groups[name].heads) == 1 else f"{shown(name)}, {klass.replace('_', ' ')}"


def size(group: Group) -> int:
    """The most heads that a group's plan speaks of: kept, wanted, bought in a year."""
    wanted = sum(max(count, group.target.get(klass, 0)) for klass, count in group.heads.items())
    return wanted + sum(batch.count * len(batch.on) for batch in group.batch)


RULES: tuple[Rule, ...] = (drawn,)
