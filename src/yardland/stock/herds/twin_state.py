"""State and book-keeping of one group in one chain, in plain Python: cohorts, counts, sums, money, events."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import cohort_key
from yardland.stock.herds.layout import PlanArrays, empty_outcome


@dataclass
class Cohort:
    """Heads that are alike: row, sex, stage, week of birth, until when in young, since when in milk, times barren, own.

    Only `heads` changes; what becomes otherwise is a new cohort. `ident` is its key, once it was asked for.
    """

    row: int
    sex: int
    stage: int
    birth: int
    heads: int
    due: int = at.NEVER
    since: int = at.NEVER
    barren: int = 0
    own: int = 1
    ident: int = field(default=0, init=False)

    def same(self, other: Cohort) -> bool:
        """Whether the other heads are alike in all but number."""
        return self.birth == other.birth and self.traits() == other.traits()

    def traits(self) -> tuple[int, ...]:
        """Everything but birth and number."""
        return self.row, self.sex, self.stage, self.due, self.since, self.barren, self.own


@dataclass(frozen=True, slots=True)
class Happening:
    """An event: week from the start, what, row, heads."""

    week: int
    kind: str
    row: int
    heads: int


class HerdState:
    """One group in one chain: what stands, and what is written down."""

    def __init__(self, plan: PlanArrays, years: int, *, heads_only: bool = False) -> None:
        self.plan, self.heads_only = plan, heads_only
        # Lists: a number of an array takes Python five times as long.
        self._numbers: list[list[int]] = plan.row.tolist()
        self._figures: list[list[float]] = plan.figure.tolist()
        self._hashes: list[int] = plan.row_hash.tolist()
        self.cohorts = [Cohort(*(int(value) for value in cohort)) for cohort in plan.opening]
        self.nest = [int(eggs) for eggs in plan.nest]
        self.fertile = [1.0] * len(plan.date)
        rows = len(plan.row)
        self.rows = range(rows)
        self.pool, self.weak, self.kept_year, self.sold_month = ([0] * rows for _ in range(4))
        self.eggs_kept = [0.0] * rows
        self.out = empty_outcome(1, years, rows)
        self.events: list[Happening] = []
        self.t = self.year = self.week = self.month = self.key = 0

    def number(self, row: int, field: int) -> int:
        """A whole number of a row."""
        return self._numbers[row][field]

    def figure(self, row: int, field: int) -> float:
        """A figure of a row."""
        return self._figures[row][field]

    def hash(self, row: int) -> int:
        """Key of a row."""
        return self._hashes[row]

    def ident(self, cohort: Cohort) -> int:
        """Key of a cohort."""
        if not cohort.ident:
            traits = cohort.sex + 2 * cohort.stage + 8 * cohort.own + 16 * cohort.barren
            cohort.ident = cohort_key(self.hash(cohort.row), traits, cohort.birth, cohort.due, cohort.since)
        return cohort.ident

    def standing(self, row: int, stage: int = -1) -> int:
        """Heads of a row, or of one of its stages."""
        if stage < 0:
            return sum([c.heads for c in self.cohorts if c.row == row])
        return sum([c.heads for c in self.cohorts if c.row == row and c.stage == stage])

    def soon(self, dam: int) -> int:
        """Young birds kept that join within half a year (young mammals join at the change itself)."""
        if self.number(dam, at.SITS) == at.LITTER:
            return 0
        young, join = self.number(dam, at.YOUNG_ROW), self.number(dam, at.JOIN_W)
        return sum(
            c.heads
            for c in self.cohorts
            if c.row == young and c.stage == at.KEPT and self.t - c.birth + at.WEEKS // 2 >= join
        )

    def add(self, new: Cohort) -> None:
        """Heads come to their like, or stand as a cohort of their own."""
        if new.heads <= 0:
            return
        for cohort in self.cohorts:
            if cohort.same(new):
                cohort.heads += new.heads
                return
        self.cohorts.append(new)

    def count(self, row: int, what: int, heads: int) -> None:
        """Add to a count of the year."""
        self.out.counts[0, self.year, row, what] += heads

    def note(self, kind: str, row: int, heads: int) -> None:
        """Write an event down."""
        if heads:
            self.events.append(Happening(self.t, kind, row, heads))

    def leave(self, cohort: Cohort, heads: int, what: int, kind: str) -> None:
        """Heads of a cohort go: died, struck, killed, sold or culled."""
        if not heads:
            return
        cohort.heads -= heads
        self.count(cohort.row, what, heads)
        self.note(kind, cohort.row, heads)

    def give(self, row: int, what: int, amount: float) -> None:
        """Add to a sum of the month."""
        self.out.sums[0, self.year, self.month, row, what] += amount

    def pay(self, row: int, heads: int) -> None:
        """Money of heads bought."""
        self.out.money[0, self.year, row, at.SPENT] += heads * self.figure(row, at.PRICE)

    def live_kg(self, cohort: Cohort) -> float:
        """Weight of one head."""
        if cohort.stage == at.ADULT:
            return self.figure(cohort.row, at.ADULT_KG)
        age = min(self.t - cohort.birth, self.plan.weight_kg.shape[1] - 1)
        return float(self.plan.weight_kg[2 * cohort.row + cohort.stage, age])

    def buy(self, priced: int, heads: int, age: int, like: Cohort) -> None:
        """Heads of an age come in at the price of a row."""
        if heads <= 0:
            return
        self.count(like.row, at.BOUGHT, heads)
        self.pay(priced, heads)
        self.note("bought", like.row, heads)
        self.add(replace(like, birth=self.t - age, heads=heads))
