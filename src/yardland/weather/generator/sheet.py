"""Drawn years as a daily sheet that yardland reads back."""

from __future__ import annotations

import numpy as np

from yardland.errors import Fault, InputFaults
from yardland.weather.generator.draw import Drawn, as_record
from yardland.weather.sheet import DRAWN_MARK, LARGEST_BYTES

COLUMNS = (
    ("tmin_c", "tmin_c", 2),
    ("tmax_c", "tmax_c", 2),
    ("rain_mm", "rain_mm", 2),
    ("rad_mj_m2", "rad_mj_m2", 3),
    ("vap_kpa", "vap_kpa", 4),
    ("wind_m_s", "wind_2m (m/s)", 2),
)
"""Column of a record, heading, decimals."""


def sheet_text(drawn: Drawn, file: str) -> str:
    """A header and a row a day from 2001 on, after remarks that say what drew it.

    Args:
        drawn: the years.
        file: named in a fault.

    Raises:
        InputFaults: more years than a sheet may hold (20 MB, some 1,200 years).
    """
    record = as_record(drawn)
    # A reader tells the first remarks only: warming, which is noted last, before what the fit did not know.
    remarks = (f"{DRAWN_MARK}: {drawn.source}", *reversed(drawn.notes))
    head = [
        *(f"# {' '.join(words.split())}" for words in remarks),
        ",".join(["date", *(name for _, name, _ in COLUMNS)]),
    ]
    columns = [np.char.mod(f"%.{digits}f", getattr(record, name)) for name, _, digits in COLUMNS]
    rows = map(",".join, zip(np.datetime_as_string(record.dates), *columns, strict=True))
    text = "\n".join([*head, *rows]) + "\n"
    if len(text) > LARGEST_BYTES:
        raise InputFaults([_too_large(file, len(drawn.rain_mm))])
    return text


def _too_large(file: str, years: int) -> Fault:
    return Fault(
        file=file,
        where="--write",
        found=f"{years} years",
        expected=f"at most {LARGEST_BYTES / 1e6:.0f} MB of days, some 1,200 years",
        remedy="Draw fewer years, or draw them where they are used: seed and year give the same days.",
    )
