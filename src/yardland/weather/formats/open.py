"""From the text of a published format to its days: the right reader by what was recognised."""

from __future__ import annotations

from collections.abc import Callable

from yardland.weather.formats import ghcn, hourly, power, tmy
from yardland.weather.formats.recognise import (
    EPW,
    GHCN_FIXED,
    GHCN_LONG,
    GHCN_WIDE,
    POWER,
    TMY2,
    TMY3,
    said,
)
from yardland.weather.formats.taken import Taken
from yardland.weather.sheet import Faults

Reader = Callable[[str, str, Faults], Taken | None]
READERS: dict[str, Reader] = {
    EPW: hourly.epw,
    TMY3: tmy.tmy3,
    TMY2: tmy.tmy2,
    GHCN_FIXED: ghcn.fixed,
    GHCN_LONG: ghcn.by_station,
    GHCN_WIDE: ghcn.summaries,
    POWER: power.power,
}


def take(text: str, form: str, faults: Faults) -> Taken | None:
    """The days of a file of a recognised format; None and faults when it cannot be read."""
    return READERS[form](text, said(form), faults)
