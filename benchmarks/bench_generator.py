"""Weather drawn by the generator against its plain-Python twin, in one run on one thread, judged equal first.

Both use the same model, the same streams and the same algorithm down to evapotranspiration. Run:
python benchmarks/bench_generator.py
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable

import numpy as np

from yardland.weather.generator.draw import draw
from yardland.weather.generator.model import Model
from yardland.weather.generator.normals import fit_normals
from yardland.weather.generator.twin import draw_twin
from yardland.weather.normals import shipped

LEAST_OVER_TWIN = 30.0
LARGEST_DIFFERENCE = 1e-9
COLUMNS = ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm")


def seconds(run: Callable[[], object], repeats: int) -> float:
    """Best CPU time of some runs."""
    best = float("inf")
    for _ in range(repeats):
        start = time.process_time()
        run()
        best = min(best, time.process_time() - start)
    return best


def largest_difference(model: Model, years: int) -> float:
    """Over every quantity of every day."""
    drawn, plain = draw(model, 1, years), np.array(draw_twin(model, 1, years))
    return max(float(np.abs(getattr(drawn, name) - plain[:, :, j]).max()) for j, name in enumerate(COLUMNS))


def measure(years: int, twin_years: int) -> dict[str, float]:
    """Microseconds a day of both, their ratio, and the largest difference between them."""
    model = fit_normals(shipped()["seattle"])
    difference = largest_difference(model, twin_years)
    compiled = seconds(lambda: draw(model, 1, years), 3) / years / 365 * 1e6
    plain = seconds(lambda: draw_twin(model, 1, twin_years), 2) / twin_years / 365 * 1e6
    return {"compiled": compiled, "twin": plain, "ratio": plain / compiled, "difference": difference}


def main() -> None:
    """Print the times, their ratio and whether the aim is reached."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--years", type=int, default=1000)
    parser.add_argument("--twin-years", type=int, default=10)
    given = parser.parse_args()
    found = measure(given.years, given.twin_years)
    print(f"compiled {found['compiled']:8.3f} us a day")
    print(f"twin     {found['twin']:8.3f} us a day, {found['ratio']:.0f} times as long")
    print(f"largest difference {found['difference']:.1e}")
    reached = found["ratio"] >= LEAST_OVER_TWIN and found["difference"] <= LARGEST_DIFFERENCE
    print(f"asked: {LEAST_OVER_TWIN:g} times the twin, equal to 1e-9: {'reached' if reached else 'MISSED'}")


if __name__ == "__main__":
    main()
