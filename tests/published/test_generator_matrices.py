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

from yardland.weather.generator.chain import Chain
from yardland.weather.generator.fit_residual import lag_matrices

M0 = np.array([[1.0, 0.633, 0.186], [0.633, 1.0, -0.193], [0.186, -0.193, 1.0]])
M1 = np.array([[0.621, 0.445, 0.087], [0.563, 0.674, -0.100], [0.015, -0.091, 0.251]])
A = np.array([[0.567, 0.086, -0.002], [0.253, 0.504, -0.050], [-0.006, -0.039, 0.244]])
B = np.array([[0.781, 0.0, 0.0], [0.328, 0.637, 0.0], [0.238, -0.341, 0.873]])
HALF_DIGIT = 0.0005


def test_the_published_correlations_give_the_published_matrices() -> None:
    """A and B from M0 and M1 are those of the paper."""
    lag, shock = lag_matrices(M0, M1)
    # half a digit in each of M1 and M0, carried through A = M1 M0^-1, and half a digit of A as printed
    carried = HALF_DIGIT * (1 + np.abs(A).sum(axis=1)[:, None]) * np.abs(np.linalg.inv(M0)).sum(axis=0)
    assert (np.abs(lag - A) <= carried + HALF_DIGIT).all()
    np.testing.assert_allclose(shock, B, atol=0.0015)


def test_the_published_matrices_keep_the_published_correlations() -> None:
    """A process with the paper's A and B has the paper's correlations in the long run."""
    held = np.eye(3)
    for _ in range(200):
        held = A @ held @ A.T + B @ B.T
    np.testing.assert_allclose(held, M0, atol=0.005)


def test_the_chain_of_tel_aviv() -> None:
    """With rain after rain 0.662 and after a dry day 0.250, 0.425 of the days are wet and spells last 2.96 and 4.00 days."""
    after_dry, after_wet = np.array(0.250), np.array(0.662)
    chain = Chain(after_dry, after_dry, after_wet, after_wet)
    assert float(chain.wet) == pytest.approx(0.425, abs=0.0005)
    assert 1 / (1 - float(chain.stays)) == pytest.approx(2.96, abs=0.005)
    dry_stays = float(chain.pairs[0] / (1 - chain.wet))
    assert 1 / (1 - dry_stays) == pytest.approx(4.00, abs=0.005)
