"""What the short months of a run have in common: what lacks, which plates are full, which are bare, what lies uneaten and why.

A month is short as in the reliability: somebody has less than `goal.short_below` of energy or protein.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build
from yardland.larder.build_table import diets_of
from yardland.larder.description import MONTHS
from yardland.larderyears.food_flows import MJ_PER_KCAL, food_flows, worth_mj
from yardland.larderyears.frame import ENERGY, Frame
from yardland.larderyears.run import ROUNDING, Years
from yardland.larderyears.scarcity import PlateKey, Scarcity, scarcity
from yardland.larderyears.seedstock import seed_to_keep

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
Bool = npt.NDArray[np.bool_]
FULL = 0.999
"""Share of its ceiling from which a plate is full."""
BARE_DAYS = 0.3
"""Days of the household's energy need under which what lies there for a plate counts as nothing."""
FILLED = 1e-3
"""How near to the most energy that people eat they have had their fill."""
WHYS = ("plate", "refused", "seed", "filled", "kept", "not_food")
"""Why food lies there: its plates are full; those who lack something do not eat it; it is seed; people have had all the energy that
they eat; it is kept for months to come; nobody eats it in any form."""


@dataclass(frozen=True)
class ShortPlate:
    """A plate in the short months.

    plate, diet : whose ; goods : that go on it ; full : months in which it holds all that people eat of it ; bare : months in which there was
    room on it and nothing lay there for it (kept seed aside) ; eaten_mj : of its foods, a counted year in the mean
    behind_mj : mean of what lay there uneaten behind it while it was full, over all short months
    """

    plate: str
    diet: str
    goods: frozenset[str]
    full: int
    bare: int
    eaten_mj: float
    behind_mj: float


@dataclass(frozen=True)
class Uneaten:
    """A good that lay on the shelves at the ends of short months: means over all of them.

    why : share of it by reason (WHYS), 1 together ; plate : the full one that most often stood in its way, "" if none did
    """

    good: str
    kg: float
    mj: float
    why: dict[str, float]
    plate: str


@dataclass(frozen=True)
class ShortMonths:
    """The short months of the counted years.

    months : how many, of so many `of` ; by_month [12] ; energy, protein : those in which it lacks, and the mean share of need
    lacking in them ; need_mj : energy need of a month in the mean, MJ ; plates, uneaten : greatest first
    """

    months: int
    of: int
    by_month: tuple[int, ...]
    energy: int
    protein: int
    energy_lack: float
    protein_lack: float
    need_mj: float
    plates: tuple[ShortPlate, ...]
    uneaten: tuple[Uneaten, ...]


@dataclass(frozen=True)
class Noted:
    """Short months of all chains: at [number, 3] chain, year, month ; least [number, aim, diet] ; plate, shelf_kg, filled [number]."""

    at: npt.NDArray[np.int64]
    least: F64
    plate: F64
    shelf_kg: F64
    filled: Bool


def short_months(run: Years, years: Bool | None = None) -> ShortMonths:
    """The short months of a run.

    Args:
        run: chains that are done.
        years: which counted years are looked at, [chain, year]; all if None.
    """
    frame, policy = run.prepared.frame, run.prepared.policy
    own = scarcity(frame, policy.stack, policy.household)
    which = np.ones((len(run.chains), run.asked.chain_years), dtype=np.bool_) if years is None else years
    noted = note(run, which)
    short = noted.least.min(axis=2) < run.prepared.ground.holding.goal.short_below - ROUNDING
    need = frame.larder.need if policy.household is None else policy.household.need.mean(axis=0)
    months = len(noted.at)
    seen = Seen(frame, own)
    return ShortMonths(
        months=months,
        of=int(which.sum()) * MONTHS,
        by_month=tuple(np.bincount(noted.at[:, 2], minlength=MONTHS).tolist()),
        energy=int(short[:, 0].sum()),
        protein=int(short[:, 1].sum()),
        energy_lack=lack(noted, short, 0),
        protein_lack=lack(noted, short, 1),
        need_mj=MJ_PER_KCAL * float(need[ENERGY].mean()),
        plates=plates_of(run, seen, noted) if months else (),
        uneaten=uneaten_of(seen, noted) if months else (),
    )


def lack(noted: Noted, short: Bool, aim: int) -> float:
    """Mean share of need that the worst fed lack in the months that are short of it."""
    return float((1.0 - noted.least[short[:, aim], aim].min(axis=1)).mean()) if short[:, aim].any() else 0.0


def note(run: Years, which: Bool) -> Noted:
    """The short months among the counted years that are looked at."""
    below = run.prepared.ground.holding.goal.short_below - ROUNDING
    most = run.prepared.frame.larder.energy_high - FILLED
    found: list[tuple[F64, F64, F64, F64, Bool]] = []
    for number, chain in enumerate(run.chains):
        year, month = chain.scarce_at[:, 0] - run.counted.start, chain.scarce_at[:, 1]
        here = (year >= 0) & (year < run.asked.chain_years)
        here[here] &= which[number, year[here]]
        here &= chain.scarce_least.min(axis=(1, 2)) < below
        at = np.column_stack([np.full(int(here.sum()), number), year[here], month[here]])
        eaten = chain.coverage[chain.scarce_at[here, 0], ENERGY, month[here]]
        found.append(
            (at, chain.scarce_least[here], chain.scarce_plate[here], chain.scarce_shelf_kg[here], eaten >= most)
        )
    return Noted(*(np.concatenate(part) for part in zip(*found, strict=True)))


class Seen:
    """What a frame's goods can become, whose plates they go on, and what of them is kept as seed: looked up once."""

    def __init__(self, frame: Frame, own: Scarcity) -> None:
        """Of a frame and its table of scarce months."""
        build = frame.build
        self.build, self.own, self.diets = build, own, diets_of(build.larder)
        self.forms = forms(build)
        self.worth_mj = worth_mj(build)
        self.seed_kg = seed_to_keep(build)
        self.plates = plates_by_good(build)
        self.number = {key: at for at, key in enumerate(own.plates)}
        need = build.larder.need[ENERGY]
        self.day_mj = MJ_PER_KCAL * float(need.sum()) / sum(month.days for month in build.larder.months)

    def kept_seed(self, good: str, noted: Noted) -> F64:
        """Kilograms of a good that lie there to be sown, [number]."""
        kg = noted.shelf_kg[:, self.own.shelves.index(good)]
        return np.minimum(kg, self.seed_kg.get(good, np.zeros(MONTHS))[noted.at[:, 2]])

    def in_the_way(self, full: Bool, good: str, diet: int) -> tuple[Bool, I64, bool]:
        """Whether people of a diet can eat no more of a good in any form, and by which full plate.

        Args:
            full: [number, plate].
            good: on the shelf.
            diet: index.

        Returns:
            Blocked [number], the plate behind it [number] (-1 none), and whether they eat it at all.
        """
        blocked, plate = np.ones(len(full), dtype=np.bool_), np.full(len(full), -1, dtype=np.int64)
        eats = False
        for form in self.forms[good]:
            if self.build.good(form).per_kg is None or form in self.diets[diet].barred:
                continue
            eats = True
            here = np.zeros(len(full), dtype=np.bool_)
            for key in reversed(self.plates.get((form, self.diets[diet].name), [])):
                here |= full[:, self.number[key]]
                plate[full[:, self.number[key]]] = self.number[key]
            blocked &= here
        return blocked, np.where(blocked, plate, -1), eats


def forms(build: Build) -> dict[str, tuple[str, ...]]:
    """Good -> all that it is or can be made into by mill, dairy and kitchen."""
    makes: dict[str, set[str]] = defaultdict(set)
    for process in build.larder.processes:
        makes[process.takes] |= {good for good, _ in process.gives}
    found = {}
    for good in build.larder.goods:
        seen, todo = {good}, [good]
        while todo:
            new = makes[todo.pop()] - seen
            seen |= new
            todo += new
        found[good] = (good, *sorted(seen - {good}))
    return found


def plates_by_good(build: Build) -> dict[tuple[str, str], list[PlateKey]]:
    """(good, diet) -> the plates that bound it for people of that diet, those of its group before those of its food."""
    found: dict[tuple[str, str], list[PlateKey]] = defaultdict(list)
    for plate in sorted(build.larder.plates, key=lambda one: one.food):
        for diet in diets_of(build.larder):
            if plate.diet in {diet.name, ""}:
                for good in plate.goods:
                    found[good, diet.name].append((plate.key, plate.diet))
    return found


def uneaten_of(seen: Seen, noted: Noted) -> tuple[Uneaten, ...]:
    """What lay there and why, by energy."""
    full = noted.plate >= FULL
    found = [
        uneaten(seen, noted, full, good)
        for at, good in enumerate(seen.own.shelves)
        if noted.shelf_kg[:, at].max() > ROUNDING
    ]
    return tuple(sorted(found, key=lambda one: (-one.mj, -one.kg, one.good)))


def uneaten(seen: Seen, noted: Noted, full: Bool, good: str) -> Uneaten:
    """One good, and why it lay there: the first reason that holds for all who lack something."""
    kg = noted.shelf_kg[:, seen.own.shelves.index(good)]
    hungry = noted.least.min(axis=1) < 1.0 - ROUNDING
    closed, refused = np.ones(len(kg), dtype=np.bool_), np.ones(len(kg), dtype=np.bool_)
    plate, food = np.full(len(kg), -1, dtype=np.int64), False
    for diet in range(len(seen.diets)):
        blocked, behind, eats = seen.in_the_way(full, good, diet)
        food |= eats
        closed &= blocked | ~hungry[:, diet]
        refused &= ~hungry[:, diet] | (not eats)
        plate = np.where(hungry[:, diet] & (behind >= 0), behind, plate)
    rest = kg - seen.kept_seed(good, noted)
    parts = {"seed": float(kg.sum() - rest.sum())}
    nobody, anyway = np.full(len(kg), not food), np.ones(len(kg), dtype=np.bool_)
    reasons = (
        ("not_food", nobody),
        ("refused", refused),
        ("plate", closed),
        ("filled", noted.filled),
        ("kept", anyway),
    )
    for why, here in reasons:
        parts[why] = float(rest[here].sum())
        rest = np.where(here, 0.0, rest)
    behind_kg = np.bincount(plate[closed & (plate >= 0)], weights=kg[closed & (plate >= 0)], minlength=1)
    name = seen.own.plates[int(behind_kg.argmax())][0] if parts["plate"] > 0.0 and behind_kg.any() else ""
    shares = {key: part / float(kg.sum()) for key, part in parts.items() if part > 0.0}
    return Uneaten(good, float(kg.mean()), float(kg.mean()) * seen.worth_mj.get(good, 0.0), shares, name)


def plates_of(run: Years, seen: Seen, noted: Noted) -> tuple[ShortPlate, ...]:
    """Plates that were full or bare in some short month, those of the foods that give most energy first."""
    flows = food_flows(run.prepared.frame, run.prepared.policy.stack)
    mean = run.stacked("food_mj").mean(axis=(0, 1))
    eaten = {good: float(mj) for (line, good), mj in zip(flows.pairs, mean, strict=True) if line == "eaten"}
    lying_mj = {
        good: seen.worth_mj[good] * (noted.shelf_kg[:, at] - seen.kept_seed(good, noted))
        for at, good in enumerate(seen.own.shelves)
        if seen.worth_mj.get(good, 0.0) > 0.0
    }
    goods_of = {(one.key, one.diet): frozenset(one.goods) for one in seen.build.larder.plates}
    found = []
    for at, key in enumerate(seen.own.plates):
        full = noted.plate[:, at] >= FULL
        there = seen.own.ceiling[:, at].max(axis=0)[noted.at[:, 2]] > 0.0
        behind = [kg for good, kg in lying_mj.items() if goods_of[key] & set(seen.forms[good])]
        mj = np.sum(behind, axis=0) if behind else np.zeros(len(full))
        bare = there & ~full & (mj < BARE_DAYS * seen.day_mj)
        of_it = sum(eaten.get(good, 0.0) for good in goods_of[key])
        if of_it > 0.0 and (full.any() or bare.any()):
            behind_mj = float(np.where(full, mj, 0.0).mean())
            found.append(ShortPlate(*key, goods_of[key], int(full.sum()), int(bare.sum()), of_it, behind_mj))
    return tuple(sorted(found, key=lambda one: (-one.eaten_mj, one.plate, one.diet)))
