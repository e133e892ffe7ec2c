"""Live weight by age."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

F64 = npt.NDArray[np.float64]


def gompertz_kg(mature_kg: float, rate_per_d: float, birth_kg: float, age_d: npt.ArrayLike) -> F64:
    """Live weight (kg) at `age_d` days: W = A exp(-ln(A / W0) exp(-B t)).

    The Gompertz curve in the form fitted to twelve data sets of fowl, turkeys, pigs, sheep and cattle in Journal of
    Animal Science (PMC7149552, Table 1, after Parks 1982). The gain is greatest where W / A = exp(-1) = 0.368.

    Args:
        mature_kg: asymptote A, over `birth_kg`.
        rate_per_d: rate B per day.
        birth_kg: weight W0 at hatching or birth.
        age_d: days since then, any shape.
    """
    age = np.asarray(age_d, dtype=np.float64)
    return np.asarray(mature_kg * np.exp(-np.log(mature_kg / birth_kg) * np.exp(-rate_per_d * age)))


def gompertz_gain_kg_d(mature_kg: float, rate_per_d: float, birth_kg: float, age_d: npt.ArrayLike) -> F64:
    """Daily gain (kg/d) on the same curve: dW/dt = B W ln(A / W)."""
    weight = gompertz_kg(mature_kg, rate_per_d, birth_kg, age_d)
    return np.asarray(rate_per_d * weight * np.log(mature_kg / weight))
