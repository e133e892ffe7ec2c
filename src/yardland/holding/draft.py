"""A plan while it is being read: the parts that passed the first gate, and the names of all that were meant."""

from __future__ import annotations

from dataclasses import dataclass, field

from yardland.holding.model import (
    Block,
    CalendarRow,
    Fence,
    Goal,
    Group,
    Guests,
    Kitchen,
    OwnRow,
    Person,
    Place,
    PlantingRow,
    Plot,
    Round,
    Rules,
    Soil,
    Start,
    Store,
    StoreRow,
    TradeRow,
    Water,
    WaterSource,
)
from yardland.holding.outline import Outline


@dataclass
class Draft:
    """Parts by the names of `Holding`. `declared[kind]` also holds names whose part had a fault.

    So a plot with a misspelt key is not reported a second time as an unknown plot by each planting on it.
    """

    place: Place | None = None
    start: Start = field(default_factory=Start)
    goal: Goal = field(default_factory=Goal)
    people: dict[str, Person] = field(default_factory=dict)
    guests: dict[str, Guests] = field(default_factory=dict)
    soil: dict[str, Soil] = field(default_factory=dict)
    water: Water = field(default_factory=Water)
    sources: dict[str, WaterSource] = field(default_factory=dict)
    plot: dict[str, Plot] = field(default_factory=dict)
    block: dict[str, Block] = field(default_factory=dict)
    group: dict[str, Group] = field(default_factory=dict)
    round: dict[str, Round] = field(default_factory=dict)
    store: dict[str, Store] = field(default_factory=dict)
    kitchen: Kitchen = field(default_factory=Kitchen)
    fence: dict[str, Fence] = field(default_factory=dict)
    rules: Rules = field(default_factory=Rules)
    plantings: list[PlantingRow] = field(default_factory=list)
    trades: list[TradeRow] = field(default_factory=list)
    own: list[OwnRow] = field(default_factory=list)
    stores_today: list[StoreRow] = field(default_factory=list)
    calendar: list[CalendarRow] = field(default_factory=list)
    outlines: dict[str, Outline] = field(default_factory=dict)
    sizes_m2: dict[str, float] = field(default_factory=dict)
    """Plots that have both an outline and a typed size: the size."""
    declared: dict[str, set[str]] = field(default_factory=dict)
    unsound_plantings: set[tuple[str, str]] = field(default_factory=set)
    """Plot and crop of lines of plantings.csv that had a fault of form."""
    outlines_read: bool = True
    """land.geojson, if there is one, could be read; else a plot without a size may well be drawn there."""
    plan_read: bool = False
    """holding.toml itself could be read; else nothing can be said about names."""

    def names(self, kind: str) -> set[str]:
        """Every name of that kind ("plot", "group", ...) that the plan means to have."""
        return self.declared.get(kind, set())
