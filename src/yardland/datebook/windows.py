"""When a crop can be sown (or planted out) in a climate, by temperature, frost odds, ripening and rain: never by month.

Days are larder days (0 is the first of the larder year); a window may run past 364. docs/datebook-windows.md says the rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from yardland.datebook.season import YEAR, SeasonClimate, kill_odds
from yardland.growth import traits as tr
from yardland.growth.crop_traits import PERENNIAL_BED, SHORT_DAY, TENDER_C, crop_traits, growth_figure
from yardland.growth.io import F64, I64
from yardland.growth.phenology import stage_days
from yardland.holding.model import MonthDay, Span
from yardland.ledger.months import MONTH_NAMES
from yardland.reference.tables import Tables

MILD_WINTER_C = 5.0
"""Coldest mean from which hardy crops grow through winter (own choice)."""
DRY_SUMMER_SHARE = 0.25
"""Rain over evapotranspiration of the ninety warmest days under which a summer is dry (own choice)."""
GAP_DAYS = 7
"""Days not sowable that a window bridges (own choice)."""
WIDEST_DAYS = 150
"""Widest automatic window (own choice)."""
HOPELESS_DAYS = 50
"""Width of the window of a crop that is not expected to ripen."""
ONSET_DAYS = 30
RAINS_DAYS = 90
"""Spans over which rain is held against evapotranspiration: for the onset of rains, for a season (own choice)."""
SEASONLESS_SHARE = 0.9
SEASONLESS_SWING_C = 6.0
"""Share of the year's days that are sowable from which, and swing of the mean up to which, the year goes by its rains.

Own choices: what lies within ten degrees of the equator swings less, what has a winter more.
"""
MAIN_CROP, CATCH_CROP = "worth_sowing_share", "worth_following_share"
"""Figures of table growth: the share of its season for which a crop is still sown, by itself and behind another."""
BED_DAYS = 45
"""Days for which a standing bed of a perennial may wake in midwinter."""


@dataclass(frozen=True, slots=True)
class Window:
    """First and last sowing day, the days to the first gathering expected of the first, and the reason in words."""

    opens: int
    closes: int
    days: int
    words: str


class Windows:
    """Sowing windows of any crop in one climate."""

    def __init__(self, tables: Tables, climate: SeasonClimate) -> None:
        self.tables, self.climate = tables, climate
        self._known: dict[tuple[str, str, str], _Season] = {}

    def season(self, crop: str, variety: str = "", worth: str = MAIN_CROP) -> _Season:
        """Days to emergence and ripeness, and which days are sowable, of a crop; worked out once.

        `worth` is the figure that says for what share of its season it is still sown: MAIN_CROP or CATCH_CROP.
        """
        key = (crop, variety, worth)
        if key not in self._known:
            self._known[key] = _season(self.tables, self.climate, crop, variety, growth_figure(self.tables, worth))
        return self._known[key]

    def auto(self, crop: str, variety: str = "", *, watered: bool = True) -> Window:
        """The window in which the crop can be sown in this climate; on ground without water, not before the rains."""
        if crop in PERENNIAL_BED:
            return self._bed(crop, variety)
        if self._autumn_sown(crop):
            return self._autumn(crop, variety)
        return self._spring(crop, variety, watered=watered)

    def sort(self, crop: str, variety: str, *, auto: bool) -> str:
        """The variety, or the short-day sort where only that makes a bulb: the days too short, or sown before winter."""
        row = self.tables.row("crops", crop)
        bulbing = row["bulbing_daylength_h"]
        if not bulbing or row["gdd_to_release"] or variety.lower().startswith(SHORT_DAY):
            return variety
        margin = growth_figure(self.tables, "bulbing_margin_h")
        never = float(self.climate.daylength_h.max()) < bulbing + margin
        return SHORT_DAY if never or (auto and self._autumn_sown(crop)) else variety

    def explicit(self, crop: str, sow: MonthDay | Span, variety: str = "") -> Window:
        """A typed date, which waits some days for fit ground, or a typed window."""
        if isinstance(sow, Span):
            opens = self.larder_day(sow.start)
            closes = opens + (self.larder_day(sow.end) - opens) % YEAR
            words = f"typed: {sow.start} to {sow.end}"
        else:
            opens = self.larder_day(sow)
            closes = opens + int(growth_figure(self.tables, "explicit_wait_days"))
            words = f"typed: {sow}, waiting up to {closes - opens} days for warmth and fit ground"
        return Window(opens, closes, self.days(crop, opens, variety), words)

    def after(self, crop: str, free: int, variety: str = "") -> Window:
        """As soon as the land is free (expected on larder day `free`), up to the last sowing that still ripens."""
        row = self.tables.row("crops", crop)
        if row.text("sown_season") == "autumn":
            season = self._autumn(crop, variety)
            shift = YEAR * max(0, -(-(free - season.closes) // YEAR))
            opens, closes = max(free - 10, season.opens + shift), season.closes + shift
            words = f"after the crop before it, until {self.name(closes)}: {season.words}"
            return Window(opens, closes, self.days(crop, opens, variety), words)
        sowable = self.season(crop, variety, CATCH_CROP).sowable
        last = free
        for day in range(free, free + WIDEST_DAYS):
            if sowable[day % YEAR]:
                last = day
            elif last > free:
                break
        still = self._worth(crop, variety, CATCH_CROP)
        words = f"after the crop before it, until {self.name(last)}, the last sowing that {still} in the mean climate"
        if last == free:
            last = free + int(growth_figure(self.tables, "explicit_wait_days"))
            words = (
                "after the crop before it; it does not ripen from then in the mean climate and is gathered as it stands"
            )
        return Window(max(free - 10, 0), last, self.days(crop, free, variety), words)

    def days(self, crop: str, opens: int, variety: str = "") -> int:
        """Days to ripeness expected of a sowing on a larder day; the longest season where it never ripens."""
        ripe = int(self.season(crop, variety).ripe[opens % YEAR])
        return ripe if ripe >= 0 else YEAR - 1

    def season_ends(self, crop: str, opens: int, variety: str = "") -> int:
        """First day after `opens`, past a year's warmest, whose mean is too low for the crop to go on growing.

        A crop sown late, past the warmest day, stops in the same autumn. Tender roots and tubers are lifted before the
        soil is cold. Counted on the axis of `opens`; where it never gets so cold, the coldest day past the next warmest.
        """
        climate, traits = self.climate, self.season(crop, variety).traits
        base = max(float(traits[tr.BASE_C]), growth_figure(self.tables, "growing_season_c"))
        if self.tables.row("crops", crop).text("touches_soil") == "yes" and traits[tr.KILL_C] >= TENDER_C:
            base = max(base, growth_figure(self.tables, "lift_tender_c"))
        warmest = opens - (opens - climate.warmest) % YEAR
        cold = np.flatnonzero(climate.tmean_c[(warmest + np.arange(YEAR)) % YEAR] < base)
        if not len(cold):
            following = opens + (climate.warmest - opens) % YEAR
            return following + (climate.coldest - following) % YEAR
        end = warmest + int(cold[0])
        return end if end > opens else end + YEAR

    def picking_days(self, crop: str, first: int, variety: str = "") -> float:
        """Days of picking expected from larder day `first` in the mean climate: the table's, or more where it is cooler.

        The table's days are those of a summer of `picking_at_c`; what is picked leaf by leaf or fruit by fruit comes
        with warmth, so that the same degree-days are waited for, but never more than a year.
        """
        traits = self.season(crop, variety).traits
        table, base = float(traits[tr.PICK_DAYS]), float(traits[tr.BASE_C])
        if table <= 1.0:
            return table
        due = table * max(growth_figure(self.tables, "picking_at_c") - base, 0.0)
        heat = np.clip(self.climate.tmean_c[(first + np.arange(YEAR)) % YEAR], base, traits[tr.PLATEAU_C]) - base
        return float(max(table, min(int(np.searchsorted(np.cumsum(heat), due)) + 1, YEAR)))

    def larder_day(self, day: MonthDay) -> int:
        """Larder day of a calendar date."""
        start = date(2001, self.climate.start_month, 1)
        return (day.in_year(2001) - start).days % YEAR

    def month_day(self, day: int) -> MonthDay:
        """Calendar date of a larder day."""
        when = date(2001, self.climate.start_month, 1) + timedelta(days=int(day) % YEAR)
        return MonthDay(when.month, when.day)

    def name(self, day: int) -> str:
        """A larder day as a date in words."""
        when = self.month_day(day)
        return f"{when.day} {MONTH_NAMES[when.month - 1]}"

    def _autumn_sown(self, crop: str) -> bool:
        """Whether the automatic window is that before winter."""
        row = self.tables.row("crops", crop)
        hardy = row.need("frost_kill_c") <= -4 and row.text("sown_season") == "both"
        return row.text("sown_season") == "autumn" or (hardy and self._winter_growing())

    def _worth(self, crop: str, variety: str, worth: str = MAIN_CROP) -> str:
        whole = self.season(crop, variety).traits[tr.LEAST_RIPE] > 0
        share = growth_figure(self.tables, worth)
        return "still ripens" if whole else f"still gets {100 * share:.0f} % of its season before growth stops"

    # --- rules -------------------------------------------------------------------------------------------------

    def _spring(self, crop: str, variety: str, *, watered: bool) -> Window:
        """From the first sowable day after midwinter (or when the rains come) to the end of that run of sowable days."""
        season, cold = self.season(crop, variety), self.climate.coldest
        order = (np.arange(YEAR) + cold) % YEAR
        good = season.sowable[order]
        risen = good & (self.climate.tmean_c[order] >= self._spring_c())
        if not risen.any():
            return self._hopeless(crop, variety)
        first = int(np.argmax(risen))
        rains = first if watered else first + self._days_to_rains(season, cold + first)
        end = YEAR if rains == first else rains + WIDEST_DAYS + 1
        first, last, gap = rains, rains, 0
        for step in range(first, end):
            gap = 0 if good[step % YEAR] else gap + 1
            if gap > GAP_DAYS or step - first > WIDEST_DAYS:
                break
            last = step if good[step % YEAR] else last
        opens, closes = self._place(cold + first, last - first)
        germ, kill = season.traits[tr.GERMINATION_C], self._early_kill_c(season)
        come = "as the rains come, " if rains > int(np.argmax(risen)) else ""
        words = (
            f"{self.name(opens)} to {self.name(closes)}: {come}from a ten-day mean of {germ:g} C with little risk of {kill:g} C,"
            f" to the last sowing that {self._worth(crop, variety)} in the mean climate"
        )
        return Window(opens, closes, self.days(crop, opens, variety), words)

    @staticmethod
    def _early_kill_c(season: _Season) -> float:
        """What the crop stands when it is young, where it has such a stage."""
        traits = season.traits
        return float(traits[tr.YOUNG_KILL_C] if traits[tr.YOUNG_UNTIL] > 0 else traits[tr.KILL_C])

    def _days_to_rains(self, season: _Season, opens: int) -> int:
        """Days that a sowing without water waits for the rains; 0 where the soil is moist or no rains come in time.

        Moist: over the ninety days before or after, rain is at least half of reference evapotranspiration. The rains
        come on the first sowable day whose next thirty days bring that share, if the next ninety do too. Where it is never
        cold and nearly every day is sowable, the crop waits for the wettest ninety days of the year.
        """
        share = growth_figure(self.tables, "rain_onset_share")
        rain, eto = np.tile(self.climate.rain_mm, 3), np.tile(self.climate.eto_mm, 3)

        def moist(first: int, last: int) -> bool:
            return bool(rain[first:last].sum() >= share * eto[first:last].sum())

        at = opens % YEAR + YEAR
        if season.sowable.mean() > SEASONLESS_SHARE and np.ptp(self.climate.tmean_c) < SEASONLESS_SWING_C:
            wet = np.convolve(rain, np.ones(RAINS_DAYS), "valid")[:YEAR]
            start = int(np.argmax(wet)) + YEAR
            early = next(
                day for day in range(start - 2 * ONSET_DAYS, start + 1) if day == start or moist(day, day + ONSET_DAYS)
            )
            return (early - at) % YEAR if wet.min() < share * wet.max() else 0
        if moist(at - RAINS_DAYS, at) or moist(at, at + RAINS_DAYS):
            return 0
        for wait in range(1, WIDEST_DAYS + 1):
            if season.sowable[(at + wait) % YEAR] and moist(at + wait, at + wait + ONSET_DAYS):
                return wait if moist(at + wait, at + wait + RAINS_DAYS) else 0
        return 0

    def _spring_c(self) -> float:
        """Mean temperature at which spring has begun here: some way up from the coldest to the warmest."""
        coldest, warmest = float(self.climate.tmean_c.min()), float(self.climate.tmean_c.max())
        return coldest + growth_figure(self.tables, "spring_rise_share") * (warmest - coldest)

    def _hopeless(self, crop: str, variety: str) -> Window:
        """No day is sowable: sow as soon as it is warm enough, and say that it is not expected to ripen."""
        season, climate = self.season(crop, variety), self.climate
        order = (np.arange(YEAR) + climate.coldest) % YEAR
        warm = season.warm[order] & (climate.tmean_c[order] >= self._spring_c())
        first = int(np.argmax(warm)) if warm.any() else int((climate.warmest - climate.coldest) % YEAR)
        opens, closes = self._place(climate.coldest + first, HOPELESS_DAYS)
        outlook = "is gathered as it stands" if season.traits[tr.LEAST_RIPE] == 0 else "is likely to be lost"
        return Window(
            opens,
            closes,
            self.days(crop, opens, variety),
            f"{self.name(opens)} to {self.name(closes)}: as soon as it is warm enough; no sowing is expected to ripen"
            f" fully in the mean climate here: it {outlook}",
        )

    def _autumn(self, crop: str, variety: str) -> Window:
        """As autumn cools, before winter's cold; in dry autumns as the rains come."""
        climate = self.climate
        coldest, warmest = float(climate.tmean_c.min()), float(climate.tmean_c.max())
        opens_c = growth_figure(self.tables, "winter_sowing_opens_c")
        closes_c = growth_figure(self.tables, "winter_sowing_closes_c")
        opens_c = max(min(opens_c, warmest - 3.0), coldest + 0.2 * (warmest - coldest))
        fall = (np.arange(YEAR) + climate.warmest) % YEAR
        cooled = climate.tmean_c[fall] <= opens_c
        first = int(np.argmax(cooled))
        to_cold = (climate.coldest - climate.warmest) % YEAR
        chilled = np.flatnonzero(climate.tmean_c[fall][first:to_cold] <= closes_c)
        last = first + int(chilled[0]) if len(chilled) else to_cold
        wet = climate.rain_mm[fall] >= growth_figure(self.tables, "rain_onset_share") * climate.eto_mm[fall]
        rains = first + int(np.argmax(wet[first:last])) if wet[first:last].any() else first
        why = "as the autumn rains come" if rains > first else f"as the ten-day mean falls to {opens_c:.0f} C"
        first = min(rains, max(last - 20, first))
        opens, closes = self._place(climate.warmest + first, max(last - first, 20))
        words = f"{self.name(opens)} to {self.name(closes)}: {why}, before winter's cold"
        return Window(opens, closes, self.days(crop, opens, variety), words)

    def _bed(self, crop: str, variety: str) -> Window:
        opens, closes = self._place(self.climate.coldest, BED_DAYS)
        return Window(
            opens,
            closes,
            self.days(crop, opens, variety),
            f"a standing bed: heat is counted from midwinter ({self.name(opens)})",
        )

    def _winter_growing(self) -> bool:
        """Whether hardy crops grow through the winter here: mild winters and dry summers."""
        climate = self.climate
        if float(climate.tmean_c.min()) < MILD_WINTER_C:
            return False
        summer = (np.arange(90) + climate.warmest - 45) % YEAR
        return bool(climate.rain_mm[summer].sum() < DRY_SUMMER_SHARE * climate.eto_mm[summer].sum())

    def _place(self, opens: int, length: int) -> tuple[int, int]:
        first = int(opens) % YEAR
        return first, first + int(length)


@dataclass(frozen=True)
class _Season:
    """What the climate does with a crop sown on each day [365]."""

    traits: F64
    emerged: I64
    ripe: I64
    warm: npt.NDArray[np.bool_]
    sowable: npt.NDArray[np.bool_]


def _season(tables: Tables, climate: SeasonClimate, crop: str, variety: str, worth: float) -> _Season:
    traits = crop_traits(tables, crop, variety)
    worth = 1.0 if traits[tr.LEAST_RIPE] > 0 else worth
    young, flower, set_ = (min(float(traits[row]), worth) for row in (tr.YOUNG_UNTIL, tr.FLOWER_FROM, tr.FLOWER_UNTIL))
    stages = (1.0, worth, young, flower, set_)
    emerged, reached = stage_days(traits, stages, climate.tmean_c, climate.twilight_h, climate.daylength_h)
    ripe, enough = reached[0], reached[1]
    warm = climate.tmean_c >= max(traits[tr.GERMINATION_C], growth_figure(tables, "growing_season_c"))
    longest = tables.row("crops", crop)["days_to_harvest_max"]
    quick = enough >= 0
    if longest:
        quick &= enough <= growth_figure(tables, "days_stretch") * longest
    nights = _kill_nights(climate, traits, emerged, reached[1:])
    safe = nights <= growth_figure(tables, "kill_nights_allowed")
    return _Season(traits, emerged, ripe, warm, warm & quick & safe)


def _kill_nights(climate: SeasonClimate, traits: F64, emerged: I64, reached: I64) -> F64:
    """Expected killing nights between emergence and the crop, by sowing day, each stage by what it stands.

    `reached` are the days to [the crop, end of the young stage, flowering, grain set]. Of flowering those nights count
    that take half of the flowers.
    """
    if traits[tr.KILL_BY_MEAN] != 0:
        return np.zeros(YEAR)
    first = np.maximum(emerged, 0)
    end, young, flower, set_ = (np.where(days >= 0, np.maximum(days, first), first) for days in reached)
    nights = _nights_under(climate, float(traits[tr.YOUNG_KILL_C]), first, young)
    nights += _nights_under(climate, float(traits[tr.KILL_C]), young, end)
    if traits[tr.FLOWER_SLOPE] > 0:
        half_c = float(traits[tr.FLOWER_KILL10_C] - 0.4 / traits[tr.FLOWER_SLOPE])
        nights += _nights_under(climate, half_c, flower, set_)
    return nights


def _nights_under(climate: SeasonClimate, kill_c: float, start: I64, end: I64) -> F64:
    """Expected nights colder than `kill_c` from `start` to `end` days after each sowing day [365]."""
    total = np.concatenate([[0.0], np.cumsum(np.tile(kill_odds(climate, kill_c), 3))])
    days = np.arange(YEAR)
    return np.asarray(total[days + np.maximum(end, start)] - total[days + start])
