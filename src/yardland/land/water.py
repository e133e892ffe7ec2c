"""Water that a roof gives."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt


def roof_water_m3(
    rain_mm: float | npt.NDArray[np.float64],
    roof_m2: float,
    runoff_coefficient: float,
) -> npt.NDArray[np.float64]:
    """Water from a roof, m3: 1 mm on 1 m2 of plan area is 1 litre, less what splashes and wets the roof.

    Args:
        rain_mm: rain, any shape.
        roof_m2: plan area that drains to the gutter.
        runoff_coefficient: share that reaches the tank, 0-1 (growth.roof_coefficient).

    Raises:
        ValueError: if the coefficient is not within 0-1.
    """
    if not 0 <= runoff_coefficient <= 1:
        raise ValueError(f"a runoff coefficient lies within 0 and 1, not {runoff_coefficient}")
    return np.asarray(np.asarray(rain_mm, dtype=np.float64) * roof_m2 * runoff_coefficient / 1000)
