"""Made plans for the rules of keeping: a made-up year with other stock, rounds, stays and trees."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from fixtures_result import year_result

from yardland.findings.context import Context
from yardland.holding.model import Group, Plot, Round, Sward
from yardland.larderyear.pasture import PastureYear
from yardland.larderyear.result import Finding, TreeOutcome
from yardland.reference import load_tables
from yardland.season.evenings import walks
from yardland.season.grazers import Stay

TABLES = load_tables()
WARM_WET = PastureYear(
    hatch_days={worm: np.full(12, 20.0) for worm in ("brown", "scour", "barber")},
    clean_after_d=np.full(12, 120.0),
    soft_days={"mead": np.full(12, 10.0)},
    regrowth_d={plot: np.full(12, 30.0) for plot in ("mead", "lea", "bank")},
    left_cm={"mead": 7.0, "lea": 11.0, "bank": 11.0},
    out=np.full(12, True),
)
COLD_DRY = replace(WARM_WET, hatch_days={worm: np.zeros(12) for worm in ("brown", "scour", "barber")})
GRASS = {"mead": 2500.0, "lea": 2500.0, "bank": 2500.0, "fell": 2500.0}


def told(
    heads: dict[str, dict[str, int]],
    *,
    homes: dict[str, str] | None = None,
    more: dict[str, dict[str, object]] | None = None,
    turn: dict[str, object] | None = None,
    plots: dict[str, Plot] | None = None,
    pasture: PastureYear = WARM_WET,
    latitude_deg: float = 55.0,
    country: str = "GB",
    **changes: object,
) -> Context:
    """The made-up year with other stock: heads by group and class, steady over the year."""
    base = year_result()
    meadows = {name: Plot(use="grass", area_m2=area, soil="loam", sward=Sward(kind="grass-clover")) for name, area in GRASS.items()}  # fmt: skip
    groups = {
        name: Group.model_validate({"heads": classes, "home": (homes or {}).get(name, "house")} | (more or {}).get(name, {}))
        for name, classes in heads.items()
    }  # fmt: skip
    holding = base.holding.model_copy(
        update={
            "place": base.holding.place.model_copy(update={"latitude_deg": latitude_deg, "country": country}),
            "plot": base.holding.plot | meadows | (plots or {}),
            "group": groups,
            "round": {"green": Round.model_validate(turn)} if turn else {},
        }
    )
    months = {name: {klass: np.full(12, float(count)) for klass, count in classes.items()} for name, classes in heads.items()}  # fmt: skip
    empty: dict[str, object] = {"feed_kg": {}, "products_kg": {}, "trees": ()}
    return Context(
        replace(base, holding=holding, heads=months, pasture=pasture, findings=(), **(empty | changes)),  # type: ignore[arg-type]
        load_tables(),
    )


def turn(
    *order: str, plots: tuple[str, ...] = ("mead", "lea", "bank"), stay: tuple[int, int] = (3, 3), **more: object
) -> dict[str, object]:
    """A round in the words of the plan."""
    return {"order": order, "plots": plots, "stay_days": stay, "rest_days": 6} | more  # fmt: skip


def walked(*stays: tuple[str, int, int], order: tuple[str, ...] = ("ewes",), **heads: dict[str, int]) -> Context:
    """Ewes, or other groups, on the round of three plots with these stays: plot, first evening, evening of leaving."""
    plan = told(heads or {"ewes": {"ewe": 4, "lamb": 5}}, turn=turn(*order))
    result = plan.result
    made = tuple(Stay(order, plot, first, last) for plot, first, last in stays)
    pasture = replace(WARM_WET, walks=walks(result.holding, ["green"], made, result.months, WARM_WET.out))
    return Context(replace(result, stays=made, pasture=pasture), plan.tables)


def tree(species: str, plot: str = "orchard", **more: object) -> TreeOutcome:
    """Ten grown trees of a species that bear."""
    return replace(
        TreeOutcome(
            tree=f"block.{species}", fruit=f"block.{species}", plot=plot, species=species, variety="", good="apple", count=10, age_y=15.0,
            harvest_kg=300.0, factors={"age": 1.0}, full_bloom="2023-05-10", chill_h=1000.0, chill_need_h=800.0, chill_by_year=(1.0,),
            chill_units=None, chill_need_units=0.0, height_m=4.0, noon_shadow_m=4.0,
        ),
        **more,  # type: ignore[arg-type]
    )  # fmt: skip


def sound(found: Iterable[Finding]) -> list[Finding]:
    """The findings, each of which must say everything that a finding says."""
    out = list(found)
    for one in out:
        assert all((one.grade, one.title, one.what, one.number, one.cause, one.remedy, one.source, one.subject)), one
        assert re.search(r"\((published|common practice|from memory)|docs/", one.source), one.source
    return out
