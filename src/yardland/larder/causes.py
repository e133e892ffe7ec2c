"""Why a year is short: each link is relaxed by a tenth, the first aims are solved again, and what mends most is told.

Marginal values of a degenerate program are not unique, so they only sort out links that cannot help: relaxing a side by
d improves the optimum by at most dual x d, whichever optimal dual is taken (the optimum is convex in its sides).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from operator import itemgetter
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build
from yardland.larder.build_table import FIRST_AIMS
from yardland.larder.model import Solution, highs, must, run, summed
from yardland.larder.plan import Plan
from yardland.larder.program import build_program
from yardland.larder.weights import HUNGER
from yardland.ledger.production import Gathered

if TYPE_CHECKING:
    import highspy

F64 = npt.NDArray[np.float64]
TENTH = 0.1
WORTH_TELLING = 0.005
"""Least share of the shortage that a link must mend to be told."""
MOST_TOLD = 10
"""Causes told. Links are tried in the order of the most that they can mend, until no other can be among these."""
SHORT = 1e-4
"""Least share of a month's need that counts as a shortage here."""
LEFT = "leavings"
"""Kind of account of what a crop or tree leaves behind."""
KITCHEN_ROWS = ("kitchen.", "fresh.", "wait.", "own_feed.", "graze.")


@dataclass(frozen=True)
class Cause:
    """How much of the shortage goes when one link is relaxed by a tenth."""

    link: str
    mended_share: float
    words: str


@dataclass(frozen=True)
class Link:
    """A link of the chain, and what relaxing it by a tenth changes in the program.

    sides : row -> change of its finite bounds; uppers : column -> change of its upper bound;
    scaled : (columns, factor) whose entries in the kitchens' and swards' rows are multiplied
    """

    key: str
    words: str
    sides: dict[int, float] = field(default_factory=dict)
    uppers: dict[int, float] = field(default_factory=dict)
    scaled: tuple[tuple[int, ...], float] = ((), 1.0)


@dataclass(frozen=True)
class Shortage:
    """What is short: the columns that add up to it, their weight in the program, and its name in words."""

    columns: tuple[int, ...]
    weight: float
    words: str

    def of(self, solution: Solution) -> float:
        """Its size: months x shares of need."""
        return float(sum(solution.x[column] for column in self.columns))


def find_causes(plan: Plan) -> tuple[Cause, ...]:
    """Links that mend the shortage, the most helpful first; none if nothing is short.

    The shortage is the sum over the months of the shares of the energy and protein needs of the household that are not
    met; where the household has enough, that of its animals' needs.

    Raises:
        LarderError: a solve failed its check.
    """
    hungry = any(np.any(plan.worst_coverage(name) < 1.0 - SHORT) for name in FIRST_AIMS)
    unfed = any(np.any(share > SHORT) for share in plan.feed_short.values())
    if not (hungry or unfed):
        return ()
    build = build_program(replace(plan.larder, driving=FIRST_AIMS), HUNGER)
    solver = highs(build.model)
    base = run(solver, build.model)
    must(solver.setOptionValue("solver", "simplex"), "set solver")
    short = shortage(build, hungry=hungry)
    if short.of(base) <= SHORT:
        return ()
    reach = reaches(build, base, short)
    found: list[Cause] = []
    for link in sorted(links(build), key=lambda link: (-reach(link), link.key)):
        least = found[MOST_TOLD - 1].mended_share if len(found) >= MOST_TOLD else WORTH_TELLING
        if reach(link) < least:
            break
        cause = weigh(solver, build, short, short.of(base), link)
        if cause is not None:
            found = sorted([*found, cause], key=lambda cause: (-cause.mended_share, cause.link))
    return tuple(found[:MOST_TOLD])


def shortage(build: Build, *, hungry: bool) -> Shortage:
    """The household's shortage, or that of the animals."""
    if hungry:
        return Shortage(tuple(build.short.values()), HUNGER.shortage, "energy and protein")
    return Shortage(tuple(build.feed_short.values()), HUNGER.feed, "feed")


def weigh(solver: highspy.Highs, build: Build, short: Shortage, size: float, link: Link) -> Cause | None:
    """What relaxing the link mends of a shortage of that size, or None if that is not worth telling."""
    mended = 1.0 - short.of(relaxed(solver, build, link)) / size
    if mended < WORTH_TELLING:
        return None
    return Cause(
        link.key, float(min(mended, 1.0)), f"{link.words} mends {100 * mended:.0f} % of the shortage of {short.words}"
    )


def reaches(build: Build, base: Solution, short: Shortage) -> Callable[[Link], float]:
    """A function that says the most that a link can mend, by the duals; 1 where it changes coefficients."""
    reduced = reduced_costs(build, base)
    whole = short.of(base) * short.weight

    def reach(link: Link) -> float:
        if link.scaled[0]:
            return 1.0
        gain = sum(abs(base.row_dual[row] * change) for row, change in link.sides.items())
        gain += sum(max(-reduced[column], 0.0) * change for column, change in link.uppers.items())
        return float(min(gain / whole, 1.0))

    return reach


def reduced_costs(build: Build, base: Solution) -> F64:
    """Reduced costs: cost - A' dual, by column."""
    model = build.model
    priced = np.asarray(model.entry_value) * base.row_dual[np.asarray(model.entry_row)]
    return np.asarray(model.cost) - summed(np.asarray(model.entry_column), priced, len(model.cost))


def relaxed(solver: highspy.Highs, build: Build, link: Link) -> Solution:
    """Solve with the link relaxed, from the last basis, and put everything back."""
    before = (
        list(build.model.row_lower),
        list(build.model.row_upper),
        list(build.model.upper),
        list(build.model.entry_value),
    )
    basis = solver.getBasis()
    apply(solver, build, link, 1.0)
    try:
        return run(solver, build.model)
    finally:
        apply(solver, build, link, -1.0)
        must(solver.setBasis(basis), "take the basis back")
        build.model.row_lower, build.model.row_upper, build.model.upper, build.model.entry_value = before


def apply(solver: highspy.Highs, build: Build, link: Link, sign: float) -> None:
    """Change the program's sides, bounds and coefficients by the link (sign 1), or back (sign -1)."""
    model = build.model
    for row, change in link.sides.items():
        model.row_lower[row] += sign * change if np.isfinite(model.row_lower[row]) else 0.0
        model.row_upper[row] += sign * change if np.isfinite(model.row_upper[row]) else 0.0
        must(solver.changeRowBounds(row, model.row_lower[row], model.row_upper[row]), "change a side")
    for column, change in link.uppers.items():
        model.upper[column] += sign * change
        must(solver.changeColBounds(column, model.lower[column], model.upper[column]), "change a bound")
    columns, factor = link.scaled
    if columns:
        scale_entries(solver, build, set(columns), factor if sign > 0 else 1.0 / factor)


def scale_entries(solver: highspy.Highs, build: Build, columns: set[int], factor: float) -> None:
    """Multiply what the columns take from, or bring to, kitchens and swards."""
    model = build.model
    totals: dict[tuple[int, int], float] = defaultdict(float)
    wanted = np.isin(np.asarray(model.entry_column), np.fromiter(columns, dtype=np.int64))
    for index in np.flatnonzero(wanted).tolist():
        row, column = model.entry_row[index], model.entry_column[index]
        if model.row_names[row].startswith(KITCHEN_ROWS):
            model.entry_value[index] *= factor
            totals[row, column] += model.entry_value[index]
    for (row, column), value in totals.items():
        must(solver.changeCoeff(row, column, value), "change a coefficient")


def links(build: Build) -> list[Link]:
    """Every link that is relaxed, in a fixed order."""
    return [
        *land_links(build),
        *grass_link(build),
        *herd_links(build),
        *room_links(build),
        *plate_link(build),
        *purchase_links(build),
    ]


def source_of(account: str) -> tuple[str, str]:
    """Kind and name: "crop:north.potato.2" -> ("crop", "potato"); "trees:old.apple" -> ("trees", "apple"); "sward:mead" -> grass."""
    kind, _, rest = account.partition(":")
    parts = rest.split(".")
    return kind, parts[1] if len(parts) > 1 else parts[0]


def sources(gathered: Iterable[Gathered]) -> dict[tuple[str, str], list[tuple[str, F64]]]:
    """What is gathered, (good, kg [12]), by the kind and name of what it comes from; leavings count with what left them."""
    items = [(source_of(one.account), one.good, np.asarray(one.fresh_kg, dtype=np.float64)) for one in gathered]
    trees = {name for (kind, name), _, _ in items if kind == "trees"}
    found: dict[tuple[str, str], list[tuple[str, F64]]] = defaultdict(list)
    for (kind, name), good, kg in items:
        found[kind if kind != LEFT else "trees" if name in trees else "crop", name].append((good, kg))
    return dict(found)


def more_of(build: Build, goods: list[tuple[str, F64]]) -> dict[int, float]:
    """Changes of sides when a tenth more of these goods (good, kg by month) arrives."""
    sides: dict[int, float] = defaultdict(float)
    for good, kg in goods:
        for month in np.flatnonzero(kg):
            for row, factor in build.sides.get((good, int(month)), ()):
                sides[row] += factor * TENTH * float(kg[month])
    return dict(sides)


def land_links(build: Build) -> list[Link]:
    """The land of each crop, and the trees of each kind."""
    words = {"crop": "a tenth more {} land", "trees": "a tenth more {} trees"}
    return [
        Link(f"{kind}.{name}", words[kind].format(name.replace("_", " ")), more_of(build, goods))
        for (kind, name), goods in sorted(sources(build.larder.production.gathered).items(), key=itemgetter(0))
        if kind in words
    ]


def grass_link(build: Build) -> list[Link]:
    """All grass: grazed and cut."""
    cut = [
        (item.good, np.asarray(item.fresh_kg, dtype=np.float64))
        for item in build.larder.production.gathered
        if source_of(item.account)[0] == "sward"
    ]
    sides = more_of(build, cut)
    uppers: dict[int, float] = {}
    for row, name in enumerate(build.model.row_names):
        if name.startswith(("graze.", "mown.")):
            sides[row] = TENTH * build.model.row_upper[row]
    for column in build.left_standing:
        uppers[column] = TENTH * build.model.upper[column]
    return [Link("grass", "a tenth more grass land", sides, uppers)] if sides else []


def herd_links(build: Build) -> list[Link]:
    """A tenth more, and a tenth fewer, heads of each group, with all that they eat and give."""
    found = []
    for group in sorted({herd.group for herd in build.larder.production.herds}):
        herds = [herd for herd in build.larder.production.herds if herd.group == group]
        accounts = {herd.account for herd in herds}
        goods = [(good, np.asarray(kg, dtype=np.float64)) for herd in herds for good, kg in herd.products.items()]
        columns = {
            column
            for (arc, _), terms in build.flows.items()
            if arc.kind in {"feed", "graze"} and arc.target in accounts
            for column, _ in terms
        } | {column for (account, _), column in build.feed_short.items() if account in accounts}
        more = more_of(build, goods)
        fewer = {row: -change for row, change in more.items()}
        name = group.replace("_", " ")
        found.append(Link(f"heads.{group}.more", f"a tenth more {name}", more, scaled=(tuple(columns), 1.0 + TENTH)))
        found.append(Link(f"heads.{group}.fewer", f"a tenth fewer {name}", fewer, scaled=(tuple(columns), 1.0 - TENTH)))
    return found


def room_links(build: Build) -> list[Link]:
    """Each kind of room, the jars and the dryer."""
    rows: dict[str, dict[int, float]] = defaultdict(dict)
    for row, name in enumerate(build.model.row_names):
        first, _, rest = name.partition(".")
        key = f"store.{rest.partition('.')[0]}" if first == "store" else first
        if first in {"store", "jars", "dryer"}:
            rows[key][row] = TENTH * build.model.row_upper[row]
    said = {"jars": "a tenth more jars filled", "dryer": "a tenth more dried"}
    return [
        Link(key, said.get(key, f"a tenth more room in the {key.partition('.')[2]}"), sides)
        for key, sides in sorted(rows.items())
    ]


def plate_link(build: Build) -> list[Link]:
    """All plates: what people will eat of one food."""
    sides = {
        row: TENTH * build.model.row_upper[row]
        for row, name in enumerate(build.model.row_names)
        if name.startswith("plate.")
    }
    uppers = {column: TENTH * build.model.upper[column] for column in build.plated}
    return [Link("plates", "plates heaped a tenth higher", sides, uppers)] if sides or uppers else []


def purchase_links(build: Build) -> list[Link]:
    """Each good that may be bought."""
    columns: dict[str, dict[int, float]] = defaultdict(dict)
    for (arc, _), terms in build.flows.items():
        if arc.kind == "buy":
            for column, _ in terms:
                if np.isfinite(build.model.upper[column]):
                    columns[arc.good][column] = TENTH * build.model.upper[column]
    return [
        Link(f"buy.{good}", f"a tenth more {build.good(good).name.lower()} bought", uppers=uppers)
        for good, uppers in sorted(columns.items())
    ]
