"""From a record to a generator."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from yardland.errors import Fault, InputFaults
from yardland.weather.generator.fit_rain import RainTargets, rain_model, rain_targets
from yardland.weather.generator.fit_residual import day_moments, fast_matrices, standardise
from yardland.weather.generator.fit_slow import (
    LEAST_YEARS_FOR_YEAR_LAG,
    Anomalies,
    slow_correlation,
    slow_model,
    slow_shares,
)
from yardland.weather.generator.model import (
    LEAST_ROOT_RANGE,
    MONTH_OF_DAY,
    RANGE_OVER_RECORD,
    Model,
    ResidualModel,
)
from yardland.weather.generator.series import Series, series
from yardland.weather.types import F64, Record

INVENTED = "normals"
"""How the kind of a record of invented days begins."""


def fit(record: Record) -> Model:
    """A generator with the record's months, days and spread between months and years.

    Raises:
        InputFaults: if the record holds fewer than four whole years, or days that were themselves invented from normals.
    """
    if record.kind.startswith(INVENTED):
        raise InputFaults([_invented(record)])
    of = series(record)
    model = fitted(of, rain_targets(of))
    return replace(model, source=f"generator fitted to {record.source} ({of.years} years)", notes=_notes(of))


def fitted(of: Series, targets: RainTargets) -> Model:
    """A generator of some years' temperatures, radiation, humidity and wind, and of rain with the given targets."""
    rain = rain_model(targets)
    standard = standardise(of)
    m0, m1 = day_moments(of, standard)
    anomalies = Anomalies.of(of, standard.residual)
    shares = slow_shares(anomalies, m1)
    slow = slow_model(anomalies, rain, shares, _monthly_sd(standard.sd))
    lag, shock = fast_matrices(m0, m1, shares, slow_correlation(slow.mixing))
    return Model(
        rain=rain,
        residual=ResidualModel(standard.centre, standard.sd, lag, shock, shares, standard.bend, most_root_range(of)),
        slow=slow,
        latitude_deg=of.latitude_deg,
        altitude_m=of.altitude_m,
        record_years=of.years,
        source="generator",
    )


def most_root_range(of: Series) -> F64:
    """Root of the widest range that a day may have by month, [12]: a tenth over the record's, neighbours counted."""
    span = of.columns["tmax_c"] - of.columns["tmin_c"]
    widest = np.array([span[of.month == m].max() for m in range(12)])
    around = np.max([np.roll(widest, 1), widest, np.roll(widest, -1)], axis=0)
    return np.asarray(np.sqrt(np.maximum(RANGE_OVER_RECORD * around, LEAST_ROOT_RANGE**2)))


def _invented(record: Record) -> Fault:
    return Fault(
        file=record.source,
        where="whole record",
        found=f"days invented from monthly normals ({record.kind})",
        expected="days as they were measured: only they know how years differ",
        remedy="Fit the generator to the normals themselves, which gives years a stated default spread.",
    )


def _monthly_sd(sd: F64) -> F64:
    """Mean deviation of each month over dry and wet days, [12, 5]."""
    mean = sd.mean(axis=0)
    return np.stack([mean[m == MONTH_OF_DAY].mean(axis=0) for m in range(12)])


def _notes(of: Series) -> tuple[str, ...]:
    notes = [f"Invented days with the months and the spread of {of.years} recorded years."]
    if of.years < LEAST_YEARS_FOR_YEAR_LAG:
        notes.append(
            f"Dependence between years is lost: under {LEAST_YEARS_FOR_YEAR_LAG} years cannot tell it, and each year "
            "is drawn apart from the last."
        )
    if of.years < 10:
        notes.append(
            f"{of.years} years know their own spread badly: good and bad years may in truth differ more or less."
        )
    return tuple(notes)
