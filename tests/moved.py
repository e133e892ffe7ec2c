"""Move a holding to another place, and across the equator, without changing what is planned."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from yardland.holding.model import Holding, MonthDay, Span


def half_a_year(when: Any) -> Any:
    """A date or span six months on; anything else as it is."""
    if isinstance(when, MonthDay):
        month = (when.month + 5) % 12 + 1
        return MonthDay(month, min(when.day, 28 if month == 2 else 30))
    if isinstance(when, Span):
        return Span(half_a_year(when.start), half_a_year(when.end))
    return when


def shifted(part: Any, names: tuple[str, ...]) -> Any:
    """A part of a plan with the dates under these names half a year on."""
    return part.model_copy(update={name: half_a_year(getattr(part, name)) for name in names})


def moved(
    holding: Holding, folder: Path, *, latitude_deg: float, longitude_deg: float, altitude_m: float, across: bool
) -> Holding:
    """The holding at another place, its weather in `folder`; `across` shifts every yearly date by half a year."""
    place = holding.place.model_copy(
        update={"latitude_deg": latitude_deg, "longitude_deg": longitude_deg, "altitude_m": altitude_m}
    )
    update: dict[str, Any] = {"folder": folder, "place": place}
    if across:
        update["place"] = shifted(place, ("year_starts",))
        update["plantings"] = tuple(shifted(row, ("sow", "until")) for row in holding.plantings)
        update["trades"] = tuple(shifted(row, ("from_", "to")) for row in holding.trades)
        update["plot"] = {name: shifted(plot, ("shut_up_for_hay",)) for name, plot in holding.plot.items()}
        update["group"] = {name: moved_group(group) for name, group in holding.group.items()}
    return holding.model_copy(update=update)


def moved_group(group: Any) -> Any:
    """A group with its births, batches and sire half a year on."""
    return group.model_copy(
        update={
            "born": tuple(half_a_year(day) for day in group.born),
            "batch": tuple(
                batch.model_copy(update={"on": tuple(half_a_year(day) for day in batch.on)}) for batch in group.batch
            ),
            "sire": shifted(group.sire, ("from_",)) if group.sire else None,
        }
    )


def write_seattle(folder: Path) -> None:
    """The daily Seattle record of the package vega_datasets as weather.csv: 2012-2015, NOAA data in the public domain."""
    from vega_datasets import data

    frame = data.seattle_weather()
    lines = ["date,tmin_c,tmax_c,rain_mm,wind_m_s"]
    lines += [
        f"{row.date:%Y-%m-%d},{row.temp_min},{row.temp_max},{row.precipitation},{row.wind}"
        for row in frame.itertuples()
    ]
    (folder / "weather.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
