"""From the lines of plantings.csv to strips of ground with plantings one behind the other."""

from __future__ import annotations

from dataclasses import dataclass

from yardland.datebook.season import YEAR, SeasonClimate, under_cover
from yardland.datebook.windows import Window, Windows
from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE, growth_figure
from yardland.growth.layout import ForageStrip, Layout, Planting, Strip
from yardland.holding.model import Holding, MonthDay, PlantingRow, Span
from yardland.reference.tables import Tables

LAST_DUE = 2 * YEAR - 1
LEAST_SEASON_DAYS = 60
"""A crop sown less than this before growth stops in autumn is meant to stand over winter."""


@dataclass
class _Sowing:
    """A line (or one sowing of a repeated line) on its way to a Planting."""

    id: str
    row: PlantingRow
    window: Window


def lay_out(holding: Holding, tables: Tables, climate: SeasonClimate, rotation_year: int = 1) -> Layout:
    """Strips and sowing windows of a holding in one year of its rotation.

    A line without `after` starts a strip of its share of the plot; a line with `after` follows the last planting of
    that crop (or planting id) in the plot, on the same strip. `every_days` ... `until` makes a sowing, each on a strip
    of its own share, at every step. Lines with a year of the rotation stand only in that year; the year before is laid
    out the same way, so that what it leaves behind is of the same kind.

    Args:
        holding: the plan.
        tables: the reference tables.
        climate: `season_climate` of the whole record: windows know the climate, never the year.
        rotation_year: which year of the rotation (lines with `year` = that number, or "every").
    """
    by_cover: dict[str, Windows] = {}
    chains: list[tuple[str, float, list[_Sowing]]] = []
    forage: list[ForageStrip] = []
    notes: list[str] = []
    counts: dict[tuple[str, str], int] = {}
    for line in holding.plantings:
        row = line
        if row.year not in ("every", rotation_year):
            continue
        if row.crop in FORAGE:
            number = _number(counts, row)
            area = holding.plot[row.plot].area_m2 * row.share
            forage.append(ForageStrip(f"{row.plot}.{row.crop}{number}", row.plot, row.crop, area))
            continue
        windows = by_cover.setdefault(
            holding.plot[row.plot].cover,
            Windows(tables, under_cover(climate, tables, holding.plot[row.plot].cover)),
        )
        sort = windows.sort(row.crop, row.variety, auto=row.sow == "auto")
        row = row if sort == row.variety else row.model_copy(update={"variety": sort})
        if row.after:
            _follow(row, counts, chains, windows, notes)
            continue
        for sow in _dates(row, windows):
            window = (
                windows.auto(row.crop, row.variety, watered=bool(holding.plot[row.plot].watered_by))
                if sow is None
                else windows.explicit(row.crop, sow, row.variety)
            )
            sowing = _Sowing(f"{row.plot}.{row.crop}{_number(counts, row)}", row, window)
            chains.append((row.plot, row.share, [sowing]))
    strips = tuple(
        _strip(holding, plot, share, chain, by_cover[holding.plot[plot].cover], notes) for plot, share, chain in chains
    )
    return Layout(strips, tuple(forage), tuple(notes))


def _number(counts: dict[tuple[str, str], int], row: PlantingRow) -> str:
    """Nothing for the first planting of a crop in a plot, then ".2", ".3"."""
    counts[row.plot, row.crop] = counts.get((row.plot, row.crop), 0) + 1
    number = counts[row.plot, row.crop]
    return "" if number == 1 else f".{number}"


def _dates(row: PlantingRow, windows: Windows) -> list[MonthDay | Span | None]:
    """The sowings of a line: None for the automatic window."""
    if not isinstance(row.sow, MonthDay) or row.every_days is None or row.until is None:
        return [None if isinstance(row.sow, str) else row.sow]
    first = windows.larder_day(row.sow)
    length = (windows.larder_day(row.until) - first) % YEAR
    return [windows.month_day(first + step) for step in range(0, length + 1, row.every_days)]


def _follow(
    row: PlantingRow,
    counts: dict[tuple[str, str], int],
    chains: list[tuple[str, float, list[_Sowing]]],
    windows: Windows,
    notes: list[str],
) -> None:
    """Put a line behind the planting it follows; on land of its own if there is none this year of the rotation."""
    name = f"{row.plot}.{row.crop}{_number(counts, row)}"
    for plot, _, chain in reversed(chains):
        last = chain[-1]
        if plot == row.plot and row.after in (last.row.crop, last.id):
            free = last.window.opens + last.window.days + 1 + tr.BED_WORK_DAYS
            chain.append(_Sowing(name, row, _behind(row, free, last.window, windows)))
            return
    notes.append(f"{name}: {row.after} is not planted in {row.plot} this year of the rotation, so nothing follows it")


def _behind(row: PlantingRow, free: int, before: Window, windows: Windows) -> Window:
    """The window of a planting that follows another, on days after the one before opened."""
    if row.sow in ("auto", "after") or isinstance(row.sow, str):
        return windows.after(row.crop, free, row.variety)
    window = windows.explicit(row.crop, row.sow, row.variety)
    shift = YEAR * max(0, -(-(before.opens + 1 - window.opens) // YEAR))
    return Window(window.opens + shift, window.closes + shift, window.days, window.words)


def _strip(
    holding: Holding, plot: str, share: float, chain: list[_Sowing], windows: Windows, notes: list[str]
) -> Strip:
    """Plantings with the days by which each must make room for the next."""
    plantings = []
    for place, sowing in enumerate(chain):
        following, later = (chain[place + 1], 0) if place + 1 < len(chain) else (chain[0], YEAR)
        must_clear = following.window.closes + later - 1 - tr.BED_WORK_DAYS
        clear_by = _clear_by(sowing, must_clear, windows)
        free_by = following.window.opens + later
        ripe = sowing.window.opens + sowing.window.days
        if len(chain) > 1 and ripe > must_clear:
            notes.append(f"{sowing.id}: not expected to be ripe before {following.id} must be sown on the same ground")
        plantings.append(
            Planting(
                id=sowing.id,
                plot=plot,
                crop=sowing.row.crop,
                variety=sowing.row.variety,
                line=sowing.row.line,
                opens=sowing.window.opens,
                closes=sowing.window.closes,
                clear_by=clear_by,
                free_by=free_by,
                due=1 if min(ripe, clear_by) + YEAR <= LAST_DUE else 0,
                words=sowing.window.words,
                typed=not isinstance(sowing.row.sow, str),
                picking_days=_picking_days(sowing, ripe, windows),
            )
        )
    return Strip(chain[0].id, plot, holding.plot[plot].area_m2 * share, tuple(plantings))


def _clear_by(sowing: _Sowing, next_closes: int, windows: Windows) -> int:
    """The day on which a crop that is not ripe must be given up or gathered as it stands.

    A crop whose growth counts (roots, leaves, fruit) when it stops growing in autumn or when the next must be sown,
    whichever is sooner; what is picked and stands through frost (kale, sprouts) is picked on through winter for the days
    that the table says it stands; grain and pulses when the next must be sown, but never before they had time to ripen.
    """
    window, row = sowing.window, sowing.row
    traits = windows.season(row.crop, row.variety).traits
    if traits[tr.LEAST_RIPE] > 0:
        slack = int(growth_figure(windows.tables, "ripe_slack_days"))
        return max(next_closes, window.opens + window.days + slack)
    crop = windows.tables.row("crops", row.crop)
    if traits[tr.RELEASE] > 0 or crop.text("sown_season") == "autumn":
        return next_closes
    return min(next_closes, _picked_until(sowing, windows))


def _picking_days(sowing: _Sowing, ripe: int, windows: Windows) -> float:
    """Days of picking of a full season here: as its warmth asks, but no longer than the season of the mean climate."""
    days = windows.picking_days(sowing.row.crop, ripe, sowing.row.variety)
    table = windows.tables.row("crops", sowing.row.crop)["picking_days"] or 0.0
    return float(max(min(days, _picked_until(sowing, windows) - ripe), table))


def _picked_until(sowing: _Sowing, windows: Windows) -> int:
    """When growth stops; of what is picked and stands through frost as many days later as the table says it stands."""
    crop = windows.tables.row("crops", sowing.row.crop)
    through_frost = (crop["picking_days"] or 0.0) > 1 and crop.text("in_ground") == "yes"
    return _season_end(sowing, windows) + (int(crop["stands_days"] or 0) if through_frost else 0)


def _season_end(sowing: _Sowing, windows: Windows) -> int:
    """When growth stops; for a crop sown towards winter, in the autumn after."""
    end = windows.season_ends(sowing.row.crop, sowing.window.opens, sowing.row.variety)
    ripe = sowing.window.opens + sowing.window.days
    return end if end > sowing.window.opens + LEAST_SEASON_DAYS else max(ripe, end + YEAR)
