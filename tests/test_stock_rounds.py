"""The arithmetic of rounds, with generated numbers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.stock.rounds import paddocks, rest_days


@given(stay=st.floats(0.5, 30.0), free=st.integers(0, 40))
def test_rest_is_stay_times_free_plots(stay, free):
    """While a group stands on one plot the others are free: each rests as long as the stays on all the others."""
    assert rest_days(stay, free + 1) == pytest.approx(stay * free)


@given(stay=st.floats(0.5, 14.0), rest=st.floats(0.0, 120.0))
def test_paddocks_give_at_least_the_rest_and_one_fewer_does_not(stay, rest):
    """The plots of a round are the fewest that give the rest."""
    count = paddocks(rest, stay)

    assert rest_days(stay, count) >= rest - 1e-6
    assert count == 1 or rest_days(stay, count - 1) < rest + 1e-6


def test_impossible_rounds_are_refused():
    """No plot, or a stay of no time, is no round."""
    with pytest.raises(ValueError, match="at least one plot"):
        rest_days(3.0, 0)
    with pytest.raises(ValueError, match="longer than no time"):
        paddocks(30.0, 0.0)
