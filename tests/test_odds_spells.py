"""Shortages: which months, how deep, how long, which years were worst."""

from __future__ import annotations

import numpy as np
import pytest

from yardland.odds.spells import Shortage, shortage, spells, summary, worst_years

PEOPLE = 4.0
DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31], dtype=float)


def full(chains: int = 2, years: int = 3) -> np.ndarray:
    """Everybody fed in every month."""
    return np.ones((chains, years, 12))


def told(energy: np.ndarray, protein: np.ndarray | None = None, counted: np.ndarray | None = None) -> Shortage:
    """The shortage of four people at 0.95 and 0.80."""
    return shortage(energy, full(*energy.shape[:2]) if protein is None else protein, PEOPLE * DAYS, 0.95, 0.80, counted)


def test_person_days_are_counted_by_depth() -> None:
    """March at 0.9 is short and not dire, April at 0.7 of protein is both; what lacks is depth x person-days."""
    energy, protein = full(), full()
    energy[0, 1, 2], protein[0, 1, 3], energy[1, 0, 5] = 0.9, 0.7, 0.95
    found = told(energy, protein)

    assert found.short.sum() == 2
    assert found.short_years.sum() == 1
    assert found.short_days.sum() == pytest.approx(4 * 61)
    assert found.dire_days.sum() == pytest.approx(4 * 30)
    assert found.lacking_days[0, 1, [2, 3]] == pytest.approx([4 * 31 * 0.1, 4 * 30 * 0.3])
    assert found.lacking_days.sum() == pytest.approx(4 * (3.1 + 9.0))


def test_years_that_do_not_count_are_not_short() -> None:
    """A famine in the burn-in is no shortage."""
    energy = full()
    energy[:, 0] = 0.1
    counted = np.array([[False, True, True]] * 2)

    assert not told(energy, counted=counted).short.any()
    assert spells(told(energy, counted=counted)) == ()


def test_a_spell_runs_over_the_turn_of_the_year() -> None:
    """Short from the eleventh month into the second of the next year: one spell of four, with its worst month."""
    energy = full()
    energy[1, 0, 10:], energy[1, 1, :2] = 0.9, [0.5, 0.85]
    energy[1, 2, 6] = 0.8
    found = spells(told(energy))

    assert [(spell.chain, spell.year, spell.month, spell.months) for spell in found] == [(1, 0, 10, 4), (1, 2, 6, 1)]
    assert [spell.depth for spell in found] == pytest.approx([0.5, 0.2])
    assert found[0].short_days == pytest.approx(4 * (30 + 31 + 31 + 28))
    assert found[0].dire_days == pytest.approx(4 * 31)
    assert not any(spell.open_start or spell.open_end for spell in found)


def test_a_spell_at_the_edge_may_be_longer() -> None:
    """A spell in the first counted month, or the last, is marked as open."""
    energy = full(1, 4)
    energy[0, 1, 0], energy[0, 2, 11], energy[0, 3, 0] = 0.9, 0.9, 0.9
    found = spells(told(energy, counted=np.array([[False, True, True, False]])))

    assert [(spell.open_start, spell.open_end, spell.months) for spell in found] == [(True, False, 1), (False, True, 1)]


def test_spells_together_hold_what_the_months_hold() -> None:
    """On random chains the spells' months, person-days and lack add up to those of the short months."""
    rng = np.random.default_rng(41)
    energy, protein = rng.uniform(0.6, 1.4, (5, 6, 12)), rng.uniform(0.6, 1.4, (5, 6, 12))
    found = told(energy, protein)
    runs = spells(found)

    assert sum(spell.months for spell in runs) == found.short.sum() > 20
    assert sum(spell.short_days for spell in runs) == pytest.approx(found.short_days.sum())
    assert sum(spell.dire_days for spell in runs) == pytest.approx(found.dire_days.sum())
    assert sum(spell.lacking_days for spell in runs) == pytest.approx(found.lacking_days.sum())
    assert max(spell.depth for spell in runs) == pytest.approx(1 - np.minimum(energy, protein).min())


def test_the_summary_counts_lengths_and_depths() -> None:
    """Three spells in six years: five per ten years, by length, median and longest, mean and greatest depth."""
    energy = full()
    energy[0, 0, 3], energy[0, 1, 4:6], energy[1, 2, 0:2] = 0.9, 0.8, 0.7
    found = summary(spells(told(energy)), 6)

    assert (found.spells, found.per_ten_years, found.lengths) == (3, pytest.approx(5.0), {1: 1, 2: 2})
    assert (found.median_months, found.longest_months) == (2.0, 2)
    assert (found.mean_depth, found.greatest_depth) == (pytest.approx(0.2), pytest.approx(0.3))


def test_no_spell_is_a_summary_of_noughts() -> None:
    """Nobody short: no spell, no length, no depth."""
    found = summary(spells(told(full())), 6)

    assert (found.spells, found.longest_months, found.greatest_depth, found.lengths) == (0, 0, 0.0, {})


def test_worst_years_are_ranked_by_what_lacks() -> None:
    """A long mild year may be worse than a short deep one; the first short month tells what failed first."""
    energy, protein = full(), full()
    energy[0, 0, 2:10] = 0.9
    protein[1, 1, 3] = 0.4
    energy[1, 2, 4] = 0.94
    found = worst_years(told(energy, protein), 2)

    assert [(year.chain, year.year, year.first_lacks) for year in found] == [(0, 0, "energy"), (1, 1, "protein")]
    assert found[0].short_months == tuple(range(2, 10))
    assert found[0].lacking_days > found[1].lacking_days
    assert found[1].depth == pytest.approx(0.6)
    assert found[1].dire_days == pytest.approx(120)
    assert len(worst_years(told(energy, protein), 9)) == 3


def test_years_alike_are_told_in_their_order() -> None:
    """Ties go by chain and year."""
    energy = full()
    energy[:, :, 0] = 0.9

    assert [(year.chain, year.year) for year in worst_years(told(energy), 4)] == [(0, 0), (0, 1), (0, 2), (1, 0)]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: told(np.full((1, 1, 12), np.nan)), "energy: found a coverage"),
        (lambda: told(np.ones((1, 1, 11))), "12 months"),
        (lambda: told(full(), full(1)), r"protein: found \(1, 3, 12\)"),
        (lambda: shortage(full(), full(), -1.0, 0.95, 0.8), "person_days: found a number"),
        (lambda: shortage(full(), full(), np.ones(5), 0.95, 0.8), r"person_days: found \(5,\)"),
        (lambda: shortage(full(), full(), 1.0, 0.8, 0.95), "0 < dire <= short"),
        (lambda: summary((), 0), "years: found 0"),
    ],
)
def test_what_is_no_coverage_is_refused(call, words: str) -> None:
    """Numbers that are none, months that are not twelve, thresholds out of order: said with found and expected."""
    with pytest.raises(ValueError, match=words):
        call()
