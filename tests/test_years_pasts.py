"""Past answers of a window: the nearest is taken up, whatever is put in since, and where it begins changes no answer's worth."""

from __future__ import annotations

from dataclasses import replace

import highspy
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from windows_kit import TOLERANCE, Small, small

from yardland.larderyears.board import Board
from yardland.larderyears.learning import warmed
from yardland.larderyears.panes import Pane
from yardland.larderyears.pasts import BASIC, Memory, basis_of, statuses_of
from yardland.larderyears.window_walk import WindowWalker

SIDES = st.lists(
    st.lists(st.floats(-1e3, 1e3, allow_nan=False), min_size=3, max_size=3).map(np.array), min_size=1, max_size=8
)


def some_basis(columns: int = 2, rows: int = 2) -> highspy.HighsBasis:
    """Columns at their lower bounds, rows basic."""
    return basis_of(np.zeros(columns, dtype=np.int8), np.full(rows, BASIC, dtype=np.int8), rows)


@given(SIDES, st.data())
def test_the_nearest_past_answer_is_found(sides: list[np.ndarray], data: st.DataObject) -> None:
    """By the sum of the differences of the sides that are looked at; of equals the first; those known beforehand count like one's own."""
    known = data.draw(st.integers(0, len(sides)))
    memory = Memory(np.array([0, 2]), [(one[[0, 2]], some_basis(), 2) for one in sides[:known]])
    for one in sides[known:]:
        memory.keep(one, some_basis(), 2)
    asked = data.draw(st.lists(st.floats(-1e3, 1e3, allow_nan=False), min_size=3, max_size=3).map(np.array))
    apart = [float(np.abs(one[[0, 2]] - asked[[0, 2]]).sum()) for one in sides]

    assert apart[memory.nearest(asked)] == pytest.approx(min(apart), abs=1e-9)


def test_nothing_is_near_where_nothing_was() -> None:
    """A memory without answers names none."""
    assert Memory().nearest(np.zeros(3)) == -1


def test_rows_put_in_since_are_basic() -> None:
    """A basis that knows two rows of four gets two basic ones behind them; its columns stay."""
    memory = Memory()
    memory.keep(np.zeros(3), basis_of(np.array([1, 0], dtype=np.int8), np.array([0, 2], dtype=np.int8), 2), 2)
    columns, rows = statuses_of(memory.basis(0, 4))

    assert columns.tolist() == [1, 0]
    assert rows.tolist() == [0, 2, BASIC, BASIC]


@pytest.fixture(scope="module")
def holding() -> Small:
    """An invented holding."""
    return small(1)


class Noting(Pane):
    """A pane that notes what it was asked, what its answer was worth, and from which past answer it went on."""

    def solve(self, kind: int, board: Board, done: np.ndarray, kept: np.ndarray, worst: np.ndarray) -> np.ndarray:
        """Note, solve, note."""
        own = Board(self.sheet.stack)
        own.take(board)
        x = super().solve(kind, board, done, kept, worst)
        self.noted = [
            *getattr(self, "noted", []),
            ((kind, own, done.copy(), kept.copy(), worst.copy()), float(self.window.cost @ x)),
        ]
        return x

    def go_on(self) -> None:
        """Note the number."""
        self.taken = [*getattr(self, "taken", []), self.memory.nearest(self.sides())]
        super().go_on()


def test_where_a_window_begins_changes_nothing_of_its_worth(holding: Small) -> None:
    """Each month of a walk is worth the same from training's bases and its own as from a first basis found by interior point; and some were not the last year's."""
    learner = holding.learner
    view = learner.learned(3, TOLERANCE)
    policy = learner.policy_of(3, TOLERANCE, [holding.lesson])
    assert policy.view is not None
    walker = WindowWalker(policy, policy.view)
    panes = [Noting(one) for one in walker.sheets]
    walker.walk_with(panes, holding.years.of(slice(0, 6)), holding.lesson.opening_kg)
    fresh = WindowWalker(learner.policy, view)

    for month, pane in enumerate(panes):
        for asked, worth in pane.noted:
            anew = Pane(fresh.sheets[month])
            assert float(pane.window.cost @ anew.solve(*asked)) == pytest.approx(worth, rel=1e-6, abs=1e-6)
    jumps = [taken - before for pane in panes for before, taken in enumerate(pane.taken, len(pane.sheet.known) - 1)]
    assert any(jumps)


def test_training_hands_on_every_answer_of_every_month(holding: Small) -> None:
    """Three years of one lesson are three answers of each month, and the sides that are looked at are those that changed."""
    learner = holding.learner
    view = warmed(replace(learner.policy, view=learner.learned(3, TOLERANCE)), [holding.lesson])
    assert view is not None
    for pasts in view.pasts:
        assert pasts is not None
        assert len(pasts.columns) == len(pasts.rows) == len(pasts.sides) == len(holding.lesson.years)
        assert (pasts.sides != pasts.sides[0]).any(axis=0).all()
        assert len(pasts.looks) > 0
