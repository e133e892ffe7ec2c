"""The line of progress: its bar, its time left, its silence where nobody looks."""

from __future__ import annotations

import pytest

from yardland.cli.progress import CELLS, Pace, line, progress, words_of


class Clock:
    """A clock that is set by hand."""

    now = 0.0

    def __call__(self) -> float:
        """Seconds."""
        return self.now


def test_time_left_follows_the_pace_and_not_what_was_there_already() -> None:
    """80 of 100 that were taken up at once do not count: two more in 10 s leave 18 at 5 s each."""
    clock = Clock()
    pace = Pace(100, clock)

    assert pace.left_s(40) is None
    clock.now = 0.2
    assert pace.left_s(80) is None
    clock.now = 10.0
    assert pace.left_s(82) == pytest.approx(90.0)
    clock.now = 20.0
    assert pace.left_s(100) == 0.0


def test_nobody_tells_the_time_left_from_nothing() -> None:
    """While nothing or hardly anything is done since the first word, no time is told."""
    clock = Clock()
    pace = Pace(1000, clock)
    pace.left_s(0)
    clock.now = 30.0

    assert pace.left_s(0) is None
    assert pace.left_s(1) is None
    assert pace.left_s(300) == pytest.approx(70.0)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (3.0, "about 10 s"),
        (44.0, "about 40 s"),
        (100.0, "about 2 min"),
        (3000.0, "about 50 min"),
        (9000.0, "about 2.5 h"),
    ],
)
def test_times_are_rounded_to_what_can_be_known(seconds: float, words: str) -> None:
    """Tens of seconds, minutes, half hours."""
    assert words_of(seconds) == words


def test_the_bar_is_as_full_as_the_work() -> None:
    """Empty at nothing, half at half, full at all; the time left is not told at the end."""
    half = line(50, 100, "years", 44.0)

    assert half.count("=") == CELLS // 2
    assert half.endswith("50 of 100 years, about 40 s left (Ctrl-C stops)")
    assert line(0, 100, "years", None).count("=") == 0
    assert line(100, 100, "years", 0.0).count("=") == CELLS
    assert "left" not in line(100, 100, "years", 0.0)


def test_nothing_is_written_where_nobody_looks(capsys: pytest.CaptureFixture[str]) -> None:
    """Standard error that is no terminal stays empty."""
    with progress("years", 3) as tell:
        for done in range(4):
            tell(done)

    assert capsys.readouterr().err == ""
