"""Laws of the weather generator: streams, equality with its twin, order in the numbers, faults."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from itertools import product
from multiprocessing import get_context

import generator_kit as kit
import numpy as np
import pytest
import weather_kit
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.errors import InputFaults
from yardland.weather.generator import twin
from yardland.weather.generator.chain import Chain
from yardland.weather.generator.draw import as_record, draw, forcing
from yardland.weather.generator.fit import fit
from yardland.weather.generator.fit_rain import (
    expected_wet_share,
    mixed_exponential,
    rain_targets,
)
from yardland.weather.generator.fit_residual import lag_matrices, mean_keeping
from yardland.weather.generator.model import MONTH_OF_DAY
from yardland.weather.generator.normals import NOTE, fit_normals
from yardland.weather.generator.series import clear_sky_doy_mj_m2, series
from yardland.weather.generator.stats import Years, compare
from yardland.weather.generator.twin import draw_twin
from yardland.weather.normals import shipped
from yardland.weather.years import larder_years

COLUMNS = ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm")


@pytest.fixture(scope="module")
def model():
    """A generator fitted to the Seattle record."""
    return fit(kit.seattle())


@pytest.fixture(scope="module")
def with_memory(model):
    """The same with dependence between months and years."""
    slow = replace(model.slow, year_share=np.full(6, 0.3), year_lag=np.full(6, 0.5), month_lag=np.full(6, 0.3))
    return replace(model, slow=slow, residual=replace(model.residual, slow_share=np.full((12, 5), 0.15)))


def _year_alone(given):
    model, seed, year = given
    drawn = draw(model, seed, 1, year)
    return np.stack([getattr(drawn, name)[0] for name in COLUMNS])


def _stacked(drawn):
    return np.stack([getattr(drawn, name) for name in COLUMNS])


@given(first=st.integers(-30, 300), many=st.integers(1, 40), pick=st.integers(0, 39), seed=st.integers(0, 2**63))
@settings(max_examples=20)
def test_a_year_is_the_same_bits_alone_or_among_others(with_memory, first, many, pick, seed):
    """Year n does not depend on how many years are drawn with it, nor on which is the first."""
    whole = draw(with_memory, seed, many, first)
    year = pick % many

    alone = draw(with_memory, seed, 1, first + year)

    np.testing.assert_array_equal(_stacked(whole)[:, year], _stacked(alone)[:, 0])


def test_blocks_leave_no_mark(with_memory):
    """Years past the size of a block of drawing are those drawn alone."""
    whole = draw(with_memory, 4, 405)
    for year in (199, 200, 201, 400, 404):
        np.testing.assert_array_equal(_stacked(whole)[:, year], _stacked(draw(with_memory, 4, 1, year))[:, 0])


def test_two_processes_in_any_order_give_the_bits_of_one(with_memory):
    """Years drawn one each in two processes, last first, are those drawn together."""
    years = [7, 3, 5, 0]
    whole = _stacked(draw(with_memory, 11, 8))
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        apart = list(pool.map(_year_alone, [(with_memory, 11, year) for year in years]))
    for year, values in zip(years, apart, strict=True):
        np.testing.assert_array_equal(whole[:, year], values)


def test_seeds_and_years_differ(model):
    """Two seeds share no day of rain amounts, nor do two years of one."""
    one, other = draw(model, 1, 3), draw(model, 2, 3)
    wet = (one.rain_mm > 0) & (other.rain_mm > 0)
    assert wet.sum() > 100
    assert (one.rain_mm[wet] != other.rain_mm[wet]).all()
    assert not np.allclose(one.tmax_c[0], one.tmax_c[1], atol=0.5)


@pytest.mark.parametrize("name", kit.RECORDS)
def test_years_join_without_a_seam(name, monkeypatch):
    """A year that runs in over 61 days of the year before is the one that runs in over 300: the start is forgotten."""
    made = fit(kit.RECORDS[name]())
    short = np.array(draw_twin(made, 3, 12))
    monkeypatch.setattr(twin, "SPIN_UP_DAYS", 300)
    long = np.array(draw_twin(made, 3, 12))
    np.testing.assert_allclose(short, long, atol=1e-3)


@pytest.mark.parametrize("name", kit.RECORDS)
def test_the_twin_in_plain_python_gives_the_same_days(name):
    """The compiled loop equals the readable one to 1e-9 in every quantity of every day."""
    model = fit(kit.RECORDS[name]())
    drawn, plain = draw(model, 5, 4, 17), np.array(draw_twin(model, 5, 4, 17))
    for j, column in enumerate(COLUMNS):
        np.testing.assert_allclose(getattr(drawn, column), plain[:, :, j], rtol=0, atol=1e-9, err_msg=column)


@given(latitude=st.sampled_from([-45.0, -20.0, 5.0, 40.0, 68.0]), seed=st.integers(0, 999))
@settings(max_examples=8)
def test_no_day_is_impossible(latitude, seed):
    """Tmax is over Tmin, radiation under the clear sky's, rain none or a rain day's, nothing negative or NaN."""
    made = fit(weather_kit.record("2010-01-01", "2016-01-01", latitude, seed))
    drawn = draw(made, seed, 20)
    assert all(np.isfinite(getattr(drawn, name)).all() for name in COLUMNS)
    assert (drawn.tmax_c - drawn.tmin_c >= 0.25 - 1e-12).all()
    assert (drawn.rad_mj_m2 <= clear_sky_doy_mj_m2(latitude, made.altitude_m) + 1e-12).all()
    assert ((drawn.rain_mm == 0) | (drawn.rain_mm >= 1.0)).all()
    assert all((getattr(drawn, name) >= 0).all() for name in ("rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm"))


@given(change=st.lists(st.floats(-2, 2), min_size=12, max_size=12), start=st.integers(0, 80))
@settings(max_examples=10)
def test_warming_moves_temperatures_month_by_month_and_no_rain(model, change, start):
    """Each month's days move by its change a decade times the year's number; rain, range and radiation stay."""
    plain, warm = draw(model, 1, 3, start), draw(model, 1, 3, start, np.array(change))
    moved = (start + np.arange(3))[:, None] / 10 * np.array(change)[MONTH_OF_DAY]
    np.testing.assert_allclose(warm.tmin_c - plain.tmin_c, moved, atol=1e-9)
    np.testing.assert_allclose(warm.tmax_c - plain.tmax_c, moved, atol=1e-9)
    np.testing.assert_array_equal(warm.rain_mm, plain.rain_mm)
    np.testing.assert_array_equal(warm.rad_mj_m2, plain.rad_mj_m2)


@pytest.mark.parametrize("start_month", [1, 4, 11])
def test_larder_years_of_the_generator_are_those_of_its_record(with_memory, start_month):
    """Lanes drawn for a larder year equal the lanes cut from the drawn record, leap days apart."""
    lanes = forcing(with_memory, 6, 2, start_month, start=9)
    record = as_record(draw(with_memory, 6, 4, 8), first_year=2001)
    cut = larder_years(record, start_month)
    np.testing.assert_allclose(lanes.tmin_c, cut.tmin_c[:, 1:3])
    np.testing.assert_allclose(lanes.rain_mm, cut.rain_mm[:, 1:3])
    np.testing.assert_allclose(lanes.daylength_h, cut.daylength_h[:, 1:3])
    assert lanes.led_in_by_itself == (False, False)


@pytest.mark.parametrize("name", kit.RECORDS)
def test_no_day_is_wider_than_a_tenth_over_the_records_widest(name):
    """In a thousand years the range of temperature stays under 1.1 of the widest of the record's neighbouring months."""
    record = kit.RECORDS[name]()
    drawn = draw(fit(record), 1, 1000)
    span, made = record.tmax_c - record.tmin_c, drawn.tmax_c - drawn.tmin_c
    month = record.dates.astype("datetime64[M]").astype(int) % 12
    for m in range(12):
        near = np.isin(month, [(m - 1) % 12, m, (m + 1) % 12])
        assert made[:, m == MONTH_OF_DAY].max() <= 1.1 * span[near].max() + 1e-9
    assert (made.max(axis=1) > span.max()).any()


def test_a_short_record_is_refused_with_a_remedy():
    """Three years are a fault that names the four years wanted; invented days are a fault that names the normals."""
    short = weather_kit.record("2015-01-01", "2018-01-01")
    with pytest.raises(InputFaults, match="at least 4 whole years"):
        fit(short)
    with pytest.raises(InputFaults, match="invented from monthly normals"):
        fit(replace(kit.seattle(), kind="normals"))


@pytest.mark.parametrize(("seed", "years", "warming"), [(-1, 3, 0.0), (1, 0, 0.0), (1, 3, np.nan), (1, 3, np.ones(5))])
def test_draws_that_mean_nothing_are_refused(model, seed, years, warming):
    """A negative seed, no years, and a warming that is no number or not twelve are errors."""
    with pytest.raises(ValueError, match=r"."):
        draw(model, seed, years, 0, warming)


def test_a_record_that_starts_in_autumn_keeps_its_months():
    """Whole years are cut from the first of the first whole month, and their months are the calendar's."""
    whole = kit.fulda()
    part = replace(whole, **{n: getattr(whole, n)[280:-40] for n in ("dates", *COLUMNS)})
    of = series(part)
    assert of.years == 9
    assert of.doy[0] == 304
    july = part.dates.astype("datetime64[M]").astype(int) % 12 == 6
    assert of.columns["tmax_c"][of.month == 6].mean() == pytest.approx(part.tmax_c[july].mean(), abs=0.05)


@given(wet=st.floats(0.05, 0.9), r=st.floats(-0.1, 0.8), days=st.integers(5, 31))
@settings(max_examples=30)
def test_a_chain_without_second_memory_has_the_variance_of_the_first_order(wet, r, days):
    """The count varies as Gabriel 1959 gives it: w (1 - w) (n (1 + r)/(1 - r) - 2 r (1 - r^n)/(1 - r)^2)."""
    after_dry = np.array(max(wet * (1 - r), 0.01))
    after_wet = after_dry + r
    if not 0 < after_wet < 1:
        return
    share = after_dry / (1 - r)
    known = share * (1 - share) * (days * (1 + r) / (1 - r) - 2 * r * (1 - r**days) / (1 - r) ** 2)
    chain = Chain(after_dry, after_dry, after_wet, after_wet)
    assert float(chain.count_variance(days)) == pytest.approx(float(known), rel=1e-9)
    assert float(chain.wet) == pytest.approx(float(share))
    assert float(chain.stays) == pytest.approx(float(after_wet))


@given(chances=st.lists(st.floats(0.05, 0.95), min_size=4, max_size=4), days=st.integers(2, 9))
@settings(max_examples=30)
def test_a_chains_long_run_is_that_of_every_sequence_counted(chances, days):
    """Share of wet days and variance of their count equal those of all 2^n sequences, each with its probability."""
    chain = Chain(*(np.array(chance) for chance in chances))
    none, mixed, both = (float(part) for part in chain.pairs)
    start = {(0, 0): none, (0, 1): mixed, (1, 0): mixed, (1, 1): both}
    counts = np.zeros(days + 1)
    for wet in product((0, 1), repeat=days + 2):
        chance = start[wet[1], wet[0]]
        for index in range(2, days + 2):
            rain = chances[2 * wet[index - 1] + wet[index - 2]]
            chance *= rain if wet[index] else 1 - rain
        counts[sum(wet[2:])] += chance
    mean = counts @ np.arange(days + 1)
    assert counts.sum() == pytest.approx(1)
    assert mean / days == pytest.approx(float(chain.wet))
    assert counts @ (np.arange(days + 1) - mean) ** 2 == pytest.approx(float(chain.count_variance(days)))


@given(seed=st.integers(0, 10_000))
@settings(max_examples=20)
def test_a_and_b_give_back_the_correlations_they_were_made_from(seed):
    """A M0 is M1, and A M0 A' + B B' is M0 (Matalas 1967)."""
    rng = np.random.default_rng(seed)
    mix = rng.normal(size=(5, 5)) + 2 * np.eye(5)
    m0 = mix @ mix.T
    m0 /= np.sqrt(np.outer(np.diag(m0), np.diag(m0)))
    m1 = 0.6 * m0
    if np.linalg.eigvalsh(m0)[0] < 0.05 * np.linalg.eigvalsh(m0)[-1]:
        return
    lag, shock = lag_matrices(m0, m1)
    np.testing.assert_allclose(lag @ m0, m1, atol=1e-9)
    np.testing.assert_allclose(lag @ m0 @ lag.T + shock @ shock.T, m0, atol=1e-5)


@given(means=st.lists(st.floats(-30, 30), min_size=12, max_size=12))
@settings(max_examples=30)
def test_a_smooth_curve_keeps_the_months_it_was_drawn_through(means):
    """The mean over each month of the daily curve is the month's."""
    curve = mean_keeping(np.array(means))
    np.testing.assert_allclose([curve[m == MONTH_OF_DAY].mean() for m in range(12)], means, atol=1e-9)


def test_a_mixed_exponential_is_found_again():
    """From 20,000 numbers of a known mixture the fit finds share and means."""
    rng = np.random.default_rng(2)
    low = rng.random(20_000) < 0.6
    x = np.where(low, rng.exponential(0.4, 20_000), rng.exponential(1.9, 20_000))
    share, small, large = mixed_exponential(x, np.ones(len(x)))
    assert share == pytest.approx(0.6, abs=0.04)
    assert small == pytest.approx(0.4, rel=0.08)
    assert large == pytest.approx(1.9, rel=0.08)


@pytest.mark.parametrize("name", kit.RECORDS)
def test_the_fitted_chain_expects_the_records_rain_days(name):
    """Over all effects, and with months running into each other, the share of wet days is the record's to 0.2 %."""
    record = kit.RECORDS[name]()
    np.testing.assert_allclose(expected_wet_share(fit(record).rain), rain_targets(series(record)).wet, rtol=2e-3)


@pytest.mark.parametrize("station", ["seattle", "mendoza", "bariloche"])
def test_normals_are_kept_and_the_default_spread_is_marked(station):
    """Temperatures to 0.5 C, rain to 5 % or 2 mm, in each month; years differ; the note says that spread is invented."""
    normals = shipped()[station]
    model = fit_normals(normals)
    years = Years.of_drawn(draw(model, 8, 3000))
    for m in range(12):
        days = m == MONTH_OF_DAY
        assert years.tmin_c[:, days].mean() == pytest.approx(normals.tmin_c[m], abs=0.5)
        assert years.tmax_c[:, days].mean() == pytest.approx(normals.tmax_c[m], abs=0.5)
        rain = years.rain_mm[:, days].sum(axis=1).mean()
        assert rain == pytest.approx(normals.rain_mm[m], rel=0.05, abs=2.0)
    assert 0.3 < years.tmean_c.mean(axis=1).std() < 1.2
    assert NOTE in model.notes


def test_a_rainless_month_stays_rainless():
    """A month without a rain day in the record has none in any drawn year; the others have theirs."""
    record = kit.fulda()
    july = record.dates.astype("datetime64[M]").astype(int) % 12 == 6
    drawn = draw(fit(replace(record, rain_mm=np.where(july, 0.0, record.rain_mm))), 1, 200)
    assert drawn.rain_mm[:, MONTH_OF_DAY == 6].sum() == 0
    assert (drawn.rain_mm[:, MONTH_OF_DAY == 7].sum(axis=1) > 0).mean() > 0.95


def test_a_foreign_generator_is_told_apart():
    """The comparison finds New York's years outside Seattle's intervals in most of its statistics' months."""
    rows = compare(Years.of_record(kit.seattle()), Years.of_record(kit.new_york()))
    assert sum(not row.inside for row in rows) > len(rows) / 4
