"""Drawn years as a user gets them: which generator a holding has, the verdicts, warming, and the sheet that is read back."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import generator_kit as kit
import numpy as np
import pytest
import weather_files as made
import weather_kit

from yardland.errors import InputFaults
from yardland.weather import eto
from yardland.weather.generator.choose import choose, months_of
from yardland.weather.generator.draw import as_record, draw
from yardland.weather.generator.fit import fit
from yardland.weather.generator.judge import (
    CLOSE_SHARE,
    LEAST_COMPARED,
    judged,
    offset,
    verdicts,
    year_figures,
)
from yardland.weather.generator.model import MONTH_OF_DAY
from yardland.weather.generator.sheet import sheet_text
from yardland.weather.generator.stats import Row
from yardland.weather.normals import nearest
from yardland.weather.overview import overview
from yardland.weather.read import load_weather, read_record

COLUMNS = ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm")


@pytest.fixture(scope="module")
def model():
    """A generator fitted to the Fulda record."""
    return fit(kit.fulda())


def holding(folder, place=weather_kit.NORTH):
    """What the weather room reads of a holding."""
    return SimpleNamespace(folder=folder, place=place)


def test_a_record_is_fitted_to(tmp_path):
    """A holding with a record of years gets the generator of that record, and no normals."""
    (tmp_path / "weather.csv").write_text(weather_kit.sheet(weather_kit.rows()), encoding="utf-8")
    of = holding(tmp_path)
    chosen = choose(of, weather_kit.record())
    assert chosen.normals is None
    assert chosen.model.record_years == 5


def test_own_normals_come_before_borrowed_ones(tmp_path):
    """Without a record the holding's normals.csv is fitted to; without that the nearest shipped station, named in a note."""
    of = holding(tmp_path)
    borrowed = choose(of, load_weather(of))
    near, note = nearest(of.place.latitude_deg, of.place.longitude_deg, of.place.altitude_m)
    assert borrowed.normals.name == near.name
    assert note in borrowed.model.notes
    (tmp_path / "normals.csv").write_text(made.NORMALS, encoding="utf-8")
    own = choose(of, load_weather(of))
    assert own.normals.tmax_c.tolist() == [float(m + 9) for m in range(1, 13)]
    assert note not in own.model.notes


def test_months_of_a_typical_year_stand_as_normals(tmp_path):
    """A typical year knows no spread between years: its months are the normals, with a note that its rain is one year's."""
    of = holding(tmp_path)
    (tmp_path / "weather.epw").write_text(made.epw(typical=True), encoding="utf-8")
    record = load_weather(of)
    chosen = choose(of, record)
    month = record.dates.astype("datetime64[M]").astype(int) % 12
    january = record.tmin_c[month == 0].mean()
    assert chosen.normals.tmin_c[0] == pytest.approx(january)
    assert chosen.normals.rain_mm.sum() == pytest.approx(record.rain_mm[:365].sum())
    assert any("rain of one year each" in note for note in chosen.model.notes)


def test_months_of_a_record_are_its_means():
    """Normals of ten years have their mean yearly rain and rain days."""
    record = kit.fulda()
    of = months_of(record)
    years = len(record.dates) / 365.25
    assert of.rain_mm.sum() == pytest.approx(record.rain_mm.sum() / years, rel=0.002)
    assert of.rain_days.sum() == pytest.approx((record.rain_mm >= 1).sum() / years, rel=0.002)
    assert (of.rh_mean_pct <= 100).all()


def test_drawn_years_are_judged_by_their_record(model):
    """The comparison takes enough years to have no chance of its own, and says nothing of warming or of how many were asked."""
    few = judged(model, 1, 3, kit.fulda(), None)
    assert few.compared == LEAST_COMPARED == len(few.generated.rain_mm)
    assert len(few.recorded.rain_mm) == 10
    assert len(few.verdicts) == 34
    assert sum(one.kept for one in few.verdicts) >= 30
    assert {one.months for one in few.verdicts} == {1, 12}


def test_normals_are_judged_by_what_is_known_of_them(tmp_path):
    """Only the months' means are compared: spread, spells and lags of normals are defaults."""
    (tmp_path / "normals.csv").write_text(made.NORMALS, encoding="utf-8")
    of = holding(tmp_path)
    record = load_weather(of)
    chosen = choose(of, record)
    found = judged(chosen.model, 2, 1, record, chosen.normals)
    assert found.with_normals
    assert [one.name for one in found.verdicts] == ["mean Tmin", "mean Tmax", "mean rain", "rain days"]
    assert all(one.kept for one in found.verdicts), found.verdicts
    assert len(found.recorded.rain_mm) == 1


def test_a_verdict_names_the_month_that_is_furthest_off():
    """Months count as kept inside their bounds, or within 1 % of the record where the bounds are narrower than any gauge."""
    rows = (
        Row("rain", "mm", 1, 100.0, 90.0, 110.0, 108.0),
        Row("rain", "mm", 2, 100.0, 99.9, 100.1, 100.0 + 99 * CLOSE_SHARE),
        Row("rain", "mm", 3, 100.0, 90.0, 110.0, 70.0),
    )
    (found,) = verdicts(rows)
    assert (found.months, found.inside, found.kept) == (3, 2, False)
    assert found.worst == max(rows, key=offset) == rows[1]


def test_figures_of_a_year_are_in_order(model):
    """Least, 5 %, middle, 95 % and most of each quantity rise, and rain is the years' rain."""
    drawn = draw(model, 4, 60)
    for of in year_figures(drawn).values():
        assert of.least <= of.low <= of.middle <= of.high <= of.most
    assert year_figures(drawn)["rain_mm"].most == pytest.approx(drawn.rain_mm.sum(axis=1).max())


@pytest.mark.parametrize("change", [2.0, [0, 0, 1, 1, 2, 2, 3, 3, 2, 1, 0, 0]])
def test_warmer_years_keep_rain_sky_and_relative_humidity(model, change):
    """Every year moves alike by its month's degrees; rain and radiation stay, and relative humidity within a point."""
    plain, warm = draw(model, 5, 20), draw(model, 5, 20, warmer_c=np.array(change, dtype=float))
    moved = np.broadcast_to(change, (12,))[MONTH_OF_DAY]
    np.testing.assert_allclose(warm.tmin_c - plain.tmin_c, np.broadcast_to(moved, warm.tmin_c.shape), atol=1e-9)
    np.testing.assert_allclose(warm.tmax_c - warm.tmin_c, plain.tmax_c - plain.tmin_c, atol=1e-9)
    np.testing.assert_array_equal(warm.rain_mm, plain.rain_mm)
    np.testing.assert_array_equal(warm.rad_mj_m2, plain.rad_mj_m2)
    humid = [x.vap_kpa / eto.mean_saturation_kpa(x.tmin_c, x.tmax_c) for x in (plain, warm)]
    assert np.abs(humid[1] - humid[0]).max() < 0.02
    assert abs(humid[1].mean() - humid[0].mean()) < 0.01
    assert warm.eto_mm.sum() > plain.eto_mm.sum()
    assert any(note.startswith("Warmed by") and "relative humidity" in note for note in warm.notes)
    assert not any(note.startswith("Warmed") for note in plain.notes)


def test_progress_is_told_block_by_block(model):
    """What is done is told after each block, and at the end all of it."""
    done = []
    draw(model, 1, 450, tell=done.append)
    assert done == [200, 400, 450]


def test_a_sheet_of_drawn_years_is_read_back(model, tmp_path):
    """Our own reader gives the drawn days to the sheet's rounding, and still says that nobody measured them."""
    drawn = draw(model, 6, 12, warmer_c=0.5)
    path = tmp_path / "weather.csv"
    path.write_text(sheet_text(drawn, path.name), encoding="utf-8")
    place = weather_kit.NORTH.model_copy(update={"latitude_deg": drawn.latitude_deg, "altitude_m": drawn.altitude_m})
    back, own = read_record(path, place), as_record(drawn)
    np.testing.assert_array_equal(back.dates, own.dates)
    # In leap years the sun of the record is a day ahead of that of the drawn year of 365 days: hence ETo's 0.04 mm.
    for name, near in zip(COLUMNS, (0.006, 0.006, 0.006, 6e-4, 6e-5, 0.006, 0.04), strict=True):
        np.testing.assert_allclose(getattr(back, name), getattr(own, name), atol=near, err_msg=name)
    assert back.kind == own.kind == "invented years"
    assert not back.estimated
    assert any("not measured" in note for note in back.notes)
    assert any("Warmed by 0.5 C" in note for note in back.notes)
    assert overview(back).tells_years
    again = choose(holding(tmp_path, place), back)
    assert any("drawn by the generator" in note for note in again.model.notes)


def test_a_sheet_too_large_for_the_reader_is_not_made(model):
    """More years than the reader takes are refused with a remedy, not written."""
    one = draw(model, 1, 1)
    many = replace(one, **{name: np.repeat(getattr(one, name), 1300, axis=0) for name in COLUMNS})
    with pytest.raises(InputFaults, match="1300 years") as caught:
        sheet_text(many, "long.csv")
    assert "fewer years" in caught.value.faults[0].remedy
