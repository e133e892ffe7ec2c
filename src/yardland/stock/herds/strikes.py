"""What strikes whole groups: predators, contagious disease, mishaps, with the user's own chances over the table's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.errors import TableError
from yardland.holding.model import Group
from yardland.reference import Row, Tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.rows import RowLabel
from yardland.stock.sky import Sky


@dataclass(frozen=True)
class StrikePlan:
    """One kind of strike on one group.

    weekly : chance in each week of the larder year, [52] ; loss : low, middle and high share lost
    rows : 1 for each row that it takes heads of ; chance : a year
    """

    key: str
    name: str
    chance: float
    weekly: at.F64
    loss: tuple[float, float, float]
    rows: tuple[int, ...]
    remedy: str


def group_strikes(
    group: Group, rows: tuple[RowLabel, ...], tables: Tables, sky: Sky, *, south: bool
) -> tuple[StrikePlan, ...]:
    """What may strike a group, in the order of the table.

    The chance of a year falls evenly on the weeks of its months: 1 - (1 - chance)^(1 / weeks) in each.
    """
    species = [tables.row("stock", label.klass).text("species") for label in rows]
    found = []
    for key in tables.keys("herd_strikes"):
        row = tables.row("herd_strikes", key)
        hit = tuple(int(name in row.text("species").split()) for name in species)
        chance = group.strike.get(f"{key}_per_year", row.need("chance_per_year"))
        if not any(hit) or chance <= 0.0:
            continue
        open_weeks = _weeks(row, sky, south=south)
        weekly = np.where(open_weeks, 1.0 - (1.0 - min(chance, 1.0)) ** (1.0 / open_weeks.sum()), 0.0)
        middle = group.strike.get(f"{key}_share", row.need("loss_share"))
        loss = (min(row.need("loss_low"), middle), middle, max(row.need("loss_high"), middle))
        found.append(StrikePlan(key, row.text("common_name"), chance, weekly, loss, hit, row.text("remedy")))
    return tuple(found)


def _weeks(row: Row, sky: Sky, *, south: bool) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Weeks of the larder year whose middle lies in the strike's months, [52].

    Raises:
        TableError: the months are not like 6-9.
    """
    first, _, last = row.text("months").partition("-")
    if not (first.isdecimal() and last.isdecimal()):
        raise TableError(f"months of {row.key} are {row.text('months')!r}, not like 6-9")
    shift = 6 if south else 0
    start, length = (int(first) - 1 + shift) % 12, (int(last) - int(first)) % 12
    month = np.array([sky.months[int(sky.month[7 * week + 3])].month - 1 for week in range(at.WEEKS)])
    return np.asarray((month - start) % 12 <= length)
