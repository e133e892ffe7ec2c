"""Published matrices of the lag-one residual process, and a published chain of rain days.

Richardson and Wright 1984 (USDA Agricultural Research Service, ARS-8): correlations of the residuals of
Tmax, Tmin and radiation over 31 places of the United States and the A and B that follow. A and B: published (seen as
quoted by others that cite it); M0 and M1: from memory.
Gabriel, Neumann 1962, Quarterly Journal of the Royal Meteorological Society 88:90-95, rain of Tel Aviv, December to
February: from memory.
"""

from __future__ import annotations

import numpy as np
import pytest

from yardland.weather.fill import Raw, fill
from yardland.weather.generator.chain import Chain
from yardland.weather.generator.draw import draw
from yardland.weather.generator.fit import fit
from yardland.weather.generator.fit_residual import lag_matrices

M0 = np.array([[1.0, 0.633, 0.186], [0.633, 1.0, -0.193], [0.186, -0.193, 1.0]])
M1 = np.array([[0.621, 0.445, 0.087], [0.563, 0.674, -0.100], [0.015, -0.091, 0.251]])
A = np.array([[0.567, 0.086, -0.002], [0.253, 0.504, -0.050], [-0.006, -0.039, 0.244]])
B = np.array([[0.781, 0.0, 0.0], [0.328, 0.637, 0.0], [0.238, -0.341, 0.873]])
HALF_DIGIT = 0.0005


RICHARDSON = "Richardson and Wright 1984, ARS-8"
GABRIEL = "Gabriel and Neumann 1962"


def test_the_published_correlations_give_the_published_matrices(outside) -> None:
    """A and B from M0 and M1 are those of the paper."""
    lag, shock = lag_matrices(M0, M1)
    # half a digit in each of M1 and M0, carried through A = M1 M0^-1, and half a digit of A as printed
    carried = HALF_DIGIT * (1 + np.abs(A).sum(axis=1)[:, None]) * np.abs(np.linalg.inv(M0)).sum(axis=0)
    assert (np.abs(lag - A) <= carried + HALF_DIGIT).all()
    what = "matrix {} of the residuals of Tmax, Tmin, radiation"
    outside.check_close(
        "Richardson", what.format("A"), RICHARDSON, "published", A, lag, float(carried.max()) + HALF_DIGIT
    )
    outside.check_close("Richardson", what.format("B"), RICHARDSON, "published", B, shock, 0.0015)


def test_the_published_matrices_keep_the_published_correlations(outside) -> None:
    """A process with the paper's A and B has the paper's correlations in the long run."""
    held = np.eye(3)
    for _ in range(200):
        held = A @ held @ A.T + B @ B.T
    what = "correlations of a process with the printed A and B"
    outside.check_close("Richardson", what, RICHARDSON, "from memory", M0, held, 0.005)


def spells_d(chain: Chain) -> tuple[float, float]:
    """Mean length of wet and of dry spells, days."""
    dry_stays = float(chain.pairs[0] / (1 - chain.wet))
    return 1 / (1 - float(chain.stays)), 1 / (1 - dry_stays)


def test_the_chain_of_tel_aviv(outside) -> None:
    """With rain after rain 0.662 and after a dry day 0.250, 0.425 of the days are wet and spells last 2.96 and 4.00 days."""
    after_dry, after_wet = np.array(0.250), np.array(0.662)
    chain = Chain(after_dry, after_dry, after_wet, after_wet)
    what = "Tel Aviv: share of wet days"
    outside.check_close("Gabriel", what, GABRIEL, "from memory", 0.425, float(chain.wet), 0.0005)
    what = "Tel Aviv: mean wet and dry spell, days"
    outside.check_close("Gabriel", what, GABRIEL, "from memory", [2.96, 4.00], spells_d(chain), 0.005)


def test_the_long_run_of_a_chain(outside) -> None:
    """Rain after a dry day 0.25, after a wet day 0.55: 0.357 of the days are wet, spells last 2.22 and 4 days."""
    after_dry, after_wet = np.array(0.25), np.array(0.55)
    chain = Chain(after_dry, after_dry, after_wet, after_wet)
    source = "p01 / (1 + p01 - p11)"
    outside.check_close("K85", "share of wet days", source, "identity", 0.357, float(chain.wet), 0.001)
    outside.check_close("K85", "mean wet and dry spell, days", source, "identity", [2.22, 4.0], spells_d(chain), 0.005)


def test_a_chain_walked_for_50_000_days(outside) -> None:
    """Walked day by day from a seed, the same chain keeps its share of wet days and its spells."""
    chances = {False: 0.25, True: 0.55}
    wet = [False]
    for chance in np.random.default_rng(85).random(50_000):
        wet.append(bool(chance < chances[wet[-1]]))
    rained = np.array(wet[1:])
    starts = int((rained[1:] & ~rained[:-1]).sum()) + int(rained[0])
    chain = Chain(*(np.array(chances[late]) for late in (False, False, True, True)))
    what = "share of wet days, walked for 50,000 days"
    outside.check_close("K85", what, "the chain's own long run", "identity", float(chain.wet), rained.mean(), 0.01)
    what = "mean wet spell, walked for 50,000 days, days"
    got = rained.sum() / starts
    outside.check_close("K85", what, "the chain's own long run", "identity", spells_d(chain)[0], got, 0.05)


@pytest.mark.slow
def test_years_drawn_from_a_made_truth_keep_it(outside) -> None:
    """Fifty years made of that chain and of 1 mm + gamma amounts (shape 0.75, scale 12 mm): 300 drawn years keep both.

    The millimetre lifts every rain over the threshold of a rain day. Standing: identity (the truth is known).
    """
    rng = np.random.default_rng(86)
    dates = np.arange("1961-01-01", "2011-01-01", dtype="datetime64[D]")
    wet = [False]
    for chance in rng.random(len(dates)):
        wet.append(bool(chance < (0.55 if wet[-1] else 0.25)))
    rain_mm = np.where(wet[1:], 1.0 + rng.gamma(0.75, 12.0, len(dates)), 0.0)
    turn = 2 * np.pi * (dates - dates.astype("datetime64[Y]")).astype(float) / 365.25
    mean_c = 10 - 9 * np.cos(turn) + rng.normal(0, 2, len(dates))
    drawn = draw(fit(fill(Raw(dates, mean_c - 4, mean_c + 4, rain_mm), 52.0, 20, "made truth")), 1, 300).rain_mm
    source = "a made truth of 50 years, drawn for 300"
    share = (drawn >= 1.0).mean()
    outside.check_close("K85", "share of wet days, fitted and drawn", source, "identity", 0.357, share, 0.01)
    # fifty years know the variance of such amounts to some 4 % themselves, so the drawn ones are held to the years'
    own_mm, got_mm = rain_mm[rain_mm > 0] - 1.0, drawn[drawn >= 1.0] - 1.0
    what = "gamma amounts over 1 mm, mean and variance, fitted and drawn, mm, mm2"
    own, got = [own_mm.mean(), own_mm.var()], [got_mm.mean(), got_mm.var()]
    outside.check_close("K86", what, source, "identity", own, got, pct=2)
    what = "the made amounts themselves, shape 0.75, scale 12 mm, mean and variance"
    outside.check_close("K86", what, "shape x scale, shape x scale^2", "identity", [9.0, 108.0], own, pct=8)
