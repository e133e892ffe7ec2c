"""The user's plan as plain immutable objects. Knows nothing of weather, crops' figures or results.

Dates without a year are `MonthDay`; rows of sheets carry their line number so that a later finding can point at it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, FiniteFloat, PositiveInt

from yardland.holding.dress import Dress, parse_dressing
from yardland.holding.fields import (
    Area,
    Day,
    HoursWeek,
    Length,
    Mass,
    NonNegative,
    Positive,
    Share,
    VisitDays,
    Volume,
    VolumeLitres,
    YearDay,
    YearSpan,
)
from yardland.holding.when import HoursSpan, MonthDay, Span, Visit, parse_rotation_year, parse_sow

__all__ = [
    "Batch",
    "Block",
    "CalendarRow",
    "Dress",
    "Fence",
    "Goal",
    "Group",
    "Guests",
    "Holding",
    "HoursSpan",
    "Kitchen",
    "Like",
    "ManureInterval",
    "MonthDay",
    "NonNegative",
    "OwnRow",
    "Part",
    "Person",
    "Place",
    "PlantingRow",
    "Plot",
    "Positive",
    "Round",
    "Rules",
    "Share",
    "Sire",
    "Soil",
    "Span",
    "Start",
    "Store",
    "StoreRow",
    "Sward",
    "TradeRow",
    "TreeRow",
    "Visit",
    "Water",
    "WaterSource",
]


Heads = Annotated[int, Field(ge=1, le=100_000)]
"""Heads of stock: beyond any holding, and within what the larder's program solves to its own check."""

Percent = Annotated[FiniteFloat, Field(ge=0, le=100)]


class Part(BaseModel):
    """Base of every part of a plan: closed (unknown keys are errors) and frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Place(Part):
    """Where the holding lies, and when its larder year starts (the first of a month)."""

    name: str
    latitude_deg: Annotated[FiniteFloat, Field(ge=-66, le=66)]
    longitude_deg: Annotated[FiniteFloat, Field(ge=-180, le=180)]
    altitude_m: Annotated[FiniteFloat, Field(ge=-430, le=5000), Length] = 0.0
    country: Annotated[str, Field(pattern="^[A-Z]{2}$")]
    year_starts: YearDay
    currency: Annotated[str, Field(pattern="^[A-Z]{3}$")] = "EUR"


class Start(Part):
    """State of the holding when a chain of years begins."""

    on: Day | None = None
    as_: Literal["it stands", "settled"] = Field("settled", alias="as")


class Goal(Part):
    """What the household accepts."""

    short_below: Annotated[FiniteFloat, Field(gt=0, le=1)] = 0.95
    accept_short_years_in_20: Annotated[int, Field(ge=0, le=20)] = 1
    reserve_days: NonNegative = 45.0
    level: Literal["hand garden", "good smallholder", "handbook best"] = "good smallholder"


class Like(Part):
    """What somebody wants of a food or a group of foods: edible kilograms a week, at least and at most."""

    least_kg_week: Annotated[FiniteFloat, Field(ge=0, le=50), Mass] = 0.0
    most_kg_week: Annotated[FiniteFloat, Field(ge=0, le=50), Mass] | None = None


Activity = Literal["sedentary", "low active", "active", "very active"]


class Person(Part):
    """One eater and worker. `hours_week` 0 means: does not work on the holding.

    `no`: foods, goods, groups of foods or words of the table diets that this person does not eat. `expects`: days on
    which she is to give birth. `likes`: by food, good, group or word.
    """

    born: Day
    sex: Literal["f", "m"]
    weight_kg: Annotated[FiniteFloat, Field(ge=2, le=250), Mass]
    height_m: Annotated[FiniteFloat, Field(ge=0.4, le=2.5), Length] | None = None
    activity: Activity = "active"
    hours_week: HoursWeek = ()
    can: tuple[str, ...] = ()
    no: tuple[str, ...] = ()
    away: tuple[YearSpan, ...] = ()
    expects: tuple[Day, ...] = ()
    likes: dict[str, Like] = {}


class Guests(Part):
    """People who eat here on some days. `meals` is the share of a day's food that they get; `no` as a person's."""

    adults: Annotated[int, Field(ge=0, le=1000)] = 0
    children: Annotated[int, Field(ge=0, le=1000)] = 0
    when: tuple[VisitDays, ...]
    meals: Share = 1.0
    activity: Activity = "low active"
    no: tuple[str, ...] = ()


class Soil(Part):
    """A soil by its USDA texture class, with what a laboratory said if anything.

    Of texture, and sand and clay together (% by mass of the fine earth), at least one is there.
    """

    texture: str | None = None
    sand_pct: Percent | None = None
    clay_pct: Percent | None = None
    ph: Annotated[FiniteFloat, Field(ge=3, le=10)] | None = None
    organic_matter_pct: Percent | None = None
    p_index: Annotated[int, Field(ge=0, le=9)] | None = None
    k_index: Annotated[int, Field(ge=0, le=9)] | None = None
    tested_on: Day | None = None


class WaterSource(Part):
    """A place to draw water from, which may run dry."""

    kind: Literal["tank", "well", "pond", "stream", "mains"]
    volume_m3: Annotated[NonNegative, Volume] = 0.0
    fed_by_roof_m2: Annotated[NonNegative, Area] = 0.0
    fed_by_land_m2: Annotated[NonNegative, Area] = 0.0
    rate_m3_day: Annotated[NonNegative, Volume] = 0.0
    dry_summer_rate_m3_day: NonNegative | None = None
    licence_m3_year: NonNegative | None = None


class Water(Part):
    """Sources, and who drinks first."""

    order: tuple[Literal["people", "stock", "kitchen", "garden", "fields"], ...] = (
        "people",
        "stock",
        "kitchen",
        "garden",
        "fields",
    )
    source: dict[str, WaterSource] = {}


class Sward(Part):
    """What grass a plot carries."""

    kind: Literal["grass-clover", "permanent pasture", "lucerne"] = "grass-clover"
    sown: Day | None = None


class Plot(Part):
    """A piece of ground. `area_m2` comes from the typed size or from land.geojson."""

    use: Literal["crops", "garden", "grass", "orchard", "wood", "yard", "house", "pond", "track"]
    area_m2: Annotated[Positive, Area]
    area_from: Literal["size", "outline"] = "size"
    sides_m: tuple[float, float] | None = None
    """The sides, when the size was typed as a rectangle ("30 m x 60 m")."""
    soil: str | None = None
    cover: Literal["open", "tunnel", "frame", "fleece"] = "open"
    slope_deg: Annotated[FiniteFloat, Field(ge=0, le=45)] = 0.0
    watered_by: tuple[str, ...] = ()
    sward: Sward | None = None
    shut_up_for_hay: YearSpan | None = None


class TreeRow(Part):
    """Trees, bushes or vines of one kind and age."""

    species: str
    count: PositiveInt
    planted: Day
    variety: str = ""
    eases_every_other_year: bool = False


class Block(Part):
    """Perennials on one plot."""

    plot: str
    trees: tuple[TreeRow, ...]


class Sire(Part):
    """How a group gets its sire."""

    how: Literal["kept", "borrowed", "hired", "bought service"]
    from_: YearDay | None = Field(None, alias="from")
    cost: NonNegative = 0.0


class Batch(Part):
    """Young stock bought in to fatten: so many of a class on each date."""

    class_: str = Field(alias="class")
    count: Heads
    on: tuple[YearDay, ...]


class Group(Part):
    """Animals that are kept together. `heads` are whole, and steady in the preview of one year.

    Over many years they grow or shrink towards `target` (by class; else `heads`). Females leave after `cull_after_years` as
    adults; `renew` says who follows them; stock is bought at `buy_at_days`. `conception` is the share of females served
    that bear (birds: of eggs set that hatch). `strike` overrides table herd_strikes: fox_per_year, fox_share.
    """

    heads: dict[str, Heads] = {}
    target: dict[str, Heads] = {}
    cull_after_years: Annotated[FiniteFloat, Field(gt=0, le=40)] | None = None
    renew: Literal["own young", "own young only", "bought"] = "own young"
    buy_at_days: Annotated[int, Field(ge=0, le=3650)] | None = None
    conception: Share | None = None
    hatch: Literal["broody", "incubator"] = "broody"
    strike: dict[str, NonNegative] = {}
    born: tuple[YearDay, ...] = ()
    keep_young: Annotated[int, Field(ge=0)] | None = None
    kill_after_days: Annotated[int, Field(ge=1, le=7300)] | None = None
    batch: tuple[Batch, ...] = ()
    sire: Sire | None = None
    milk_share: Literal["all", "apart at night", "once a day", "none"] = "none"
    home: str
    buy_feed: bool = True


class Round(Part):
    """Groups that go through plots: one behind the other within some days, or (0) together."""

    order: tuple[str, ...]
    plots: tuple[str, ...]
    stay_days: tuple[int, int] = (3, 7)
    followers_within_days: Annotated[int, Field(ge=0)] = 0
    rest_days: Annotated[int, Field(ge=0)] = 28


class Store(Part):
    """A place where food or fodder lies. `temperature_c` all year, where it does not follow the weather by its kind."""

    kind: Literal["cellar", "pantry", "clamp", "freezer", "loft", "barn", "fridge"]
    volume_l: Annotated[FiniteFloat, Field(ge=0.1), VolumeLitres]
    temperature_c: FiniteFloat | None = None
    power_cut_days_per_year: Annotated[FiniteFloat, Field(ge=0, le=365)] = 0.0


class Kitchen(Part):
    """What the kitchen can put by, and what the whole household likes to eat (edible kilograms a week in all)."""

    jars_per_week: NonNegative = 20.0
    dry_kg_per_week: NonNegative = 6.0
    methods: tuple[str, ...] = ()
    likes: dict[str, Like] = {}


class Fence(Part):
    """A fence round plots."""

    kind: str
    around: tuple[str, ...]


class ManureInterval(Part):
    """Days between raw manure and a harvest that people eat."""

    touching_soil: NonNegative = 120.0
    other: NonNegative = 90.0
    why: str = "7 CFR 205.203(c)"


class Rules(Part):
    """Rules that the household keeps or the country sets.

    `feed_law` stands for the country's own; `feeds_allowed` are rules of the table feed_rules that are switched off until
    the household answers for them; `feeds_refused` are feeds or goods that no animal gets; `only_feeds` names, group by
    group, the only feeds it gets beside what it grazes.
    """

    raw_manure_to_harvest_days: ManureInterval = ManureInterval()
    family_gap_years: dict[str, NonNegative] = {"default": 3.0}
    last_resort: tuple[str, ...] = ()
    feed_law: Literal["EU", "GB", "US", "other"] | None = None
    feeds_allowed: tuple[str, ...] = ()
    feeds_refused: tuple[str, ...] = ()
    only_feeds: dict[str, tuple[str, ...]] = {}


class PlantingRow(Part):
    """A line of plantings.csv: a crop planned on a share of a plot.

    `sow` is "auto", a date, a window "MM-DD/MM-DD", or "after" (as soon as `after` is off the land).
    """

    line: int
    plot: str
    crop: str
    variety: str = ""
    year: Annotated[int | Literal["every"], BeforeValidator(parse_rotation_year)] = "every"
    sow: Annotated[Literal["auto", "after"] | MonthDay | Span, BeforeValidator(parse_sow)] = "auto"
    until: YearDay | None = None
    every_days: PositiveInt | None = None
    share: Share = 1.0
    after: str = ""
    use: str = "people"
    seed: Literal["own", "bought"] = "bought"
    dressing: Annotated[Dress, BeforeValidator(parse_dressing)] = Dress()


class TradeRow(Part):
    """A line of trades.csv: something that may cross the fence, at a price per unit (kg unless `per` says head)."""

    line: int
    item: str
    do: Literal["buy", "sell"]
    price: Annotated[FiniteFloat, Field(ge=0, le=1e9)]
    per: Literal["kg", "head"] = "kg"
    from_: YearDay | None = None
    to: YearDay | None = None
    limit_month: NonNegative | None = None


class OwnRow(Part):
    """A line of own.csv: the user's own figure over a table's."""

    line: int
    key: str
    value: FiniteFloat
    why: str


class StoreRow(Part):
    """A line of stores.csv: what is on the shelves today."""

    line: int
    good: str
    kg: Annotated[NonNegative, Mass]
    method: str = ""
    made: Day | None = None


class CalendarRow(Part):
    """A line of calendar.csv: a date the user accepted; `promised` must be kept, `free` may be moved."""

    line: int
    plot: str
    what: str
    day: Day
    kind: Literal["promised", "free"] = "free"


class Holding(Part):
    """The whole plan."""

    folder: Path
    place: Place
    start: Start = Start()
    goal: Goal = Goal()
    people: dict[str, Person]
    guests: dict[str, Guests] = {}
    soil: dict[str, Soil] = {}
    water: Water = Water()
    plot: dict[str, Plot]
    block: dict[str, Block] = {}
    group: dict[str, Group] = {}
    round: dict[str, Round] = {}
    store: dict[str, Store] = {}
    kitchen: Kitchen = Kitchen()
    fence: dict[str, Fence] = {}
    rules: Rules = Rules()
    plantings: tuple[PlantingRow, ...] = ()
    trades: tuple[TradeRow, ...] = ()
    own: tuple[OwnRow, ...] = ()
    stores_today: tuple[StoreRow, ...] = ()
    calendar: tuple[CalendarRow, ...] = ()
    outlines: dict[str, object] = {}
    """GeoJSON geometries (as parsed dictionaries) by the ids of holding.toml: plots, buildings, water points, fences."""
