"""Sense of the rules of feeding: names that the tables and the plan know."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from yardland.errors import Fault
from yardland.holding.draft import Draft
from yardland.holding.folder import PLAN
from yardland.holding.known import KnownNames
from yardland.holding.misfit import one_of, shown


def switched_rules(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """What is switched on is a rule of feeding that can be switched."""
    for name in draft.rules.feeds_allowed:
        if known.feed_rules and name not in known.feed_rules:
            expected = "a rule of feeding that a plan may switch on"
            remedy = one_of(name, known.feed_rules, "rule")
            yield Fault(PLAN, "rules.feeds_allowed", shown(name), expected, remedy)


def feed_names(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """What is refused, or alone given, is a feed or a good; groups are those of the plan."""
    names = known.feeds | known.goods
    lists = [("rules.feeds_refused", draft.rules.feeds_refused)]
    lists += [(f"rules.only_feeds.{group}", feeds) for group, feeds in draft.rules.only_feeds.items()]
    for where, feeds in lists:
        for feed in feeds:
            if known.feeds and feed not in names:
                yield Fault(PLAN, where, shown(feed), "a feed or a good", one_of(feed, names, "feed"))
    for group in draft.rules.only_feeds:
        if group not in draft.names("group"):
            remedy = one_of(group, draft.names("group"), "group")
            yield Fault(PLAN, f"rules.only_feeds.{group}", shown(group), "a name under [group]", remedy)


CHECKS = (switched_rules, feed_names)
