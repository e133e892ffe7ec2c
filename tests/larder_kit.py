"""Small larders described by hand, for the tests of the larder's program."""

from __future__ import annotations

import numpy as np

from yardland.larder.description import Good, Keeping, Larder
from yardland.ledger.months import larder_months
from yardland.ledger.production import Gathered, Production

MONTHS = larder_months(2023, 1)
NUTRIENTS = ("energy_kcal", "protein_g")


def months(**kg: float) -> np.ndarray:
    """Twelve numbers from names of months (jan=..., the year starts in January)."""
    values = np.zeros(12)
    for name, value in kg.items():
        values[[month.name.lower() for month in MONTHS].index(name)] = value
    return values


def food(key: str, kcal: float = 1000.0, protein: float = 100.0, **more: object) -> Good:
    """A good that people eat, with its contents per kg."""
    per_kg = np.tile(np.array([[kcal], [protein]]), (1, 12))
    return Good(key=key, name=key, dm_fraction=0.5, per_kg=per_kg, **more)


def keeping(good: str, loss: float = 0.0, life: float = 12.0, **more: object) -> Keeping:
    """A way to keep the good as it is."""
    return Keeping(good=good, method="shelf", gives=good, shelf_life_months=life, monthly_loss=loss, **more)


def larder(
    goods: list[Good],
    gathered: dict[str, np.ndarray],
    need_kcal: np.ndarray,
    need_protein: np.ndarray | None = None,
    **more: object,
) -> Larder:
    """A larder with those goods gathered and those needs in each month."""
    need = np.array([need_kcal, np.zeros(12) if need_protein is None else need_protein])
    fields: dict[str, object] = {
        "keepings": (),
        "processes": (),
        "plates": (),
        "trades": (),
        "feeds": {},
        "production": Production(tuple(Gathered("crop:field.x", good, kg) for good, kg in gathered.items())),
    } | more
    return Larder(
        months=MONTHS,
        nutrients=NUTRIENTS,
        need=need,
        driving=NUTRIENTS,
        goods={good.key: good for good in goods},
        emergency_kcal_per_kg=1000.0,
        **fields,
    )
