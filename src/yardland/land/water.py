"""Water that a roof gives."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

ROOF_RUNOFF_COEFFICIENT = 0.85
"""Share of the rain on a hard roof that reaches the tank: 0.8-0.95 in rainwater-harvesting guides (common practice)."""


def roof_water_m3(
    rain_mm: float | npt.NDArray[np.float64],
    roof_m2: float,
    runoff_coefficient: float = ROOF_RUNOFF_COEFFICIENT,
) -> npt.NDArray[np.float64]:
    """Water from a roof, m3: 1 mm on 1 m2 of plan area is 1 litre, less what splashes and wets the roof.

    Args:
        rain_mm: rain, any shape.
        roof_m2: plan area that drains to the gutter.
        runoff_coefficient: 0-1.

    Raises:
        ValueError: if the coefficient is not within 0-1.
    """
    if not 0 <= runoff_coefficient <= 1:
        raise ValueError(f"a runoff coefficient lies within 0 and 1, not {runoff_coefficient}")
    return np.asarray(np.asarray(rain_mm, dtype=np.float64) * roof_m2 * runoff_coefficient / 1000)
