"""The drawing of the generator against its record."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import generator_kit as kit
import numpy as np
import pytest

from yardland.report.drawing import NARROW, WIDE
from yardland.report.figures.generator import generator_drawing
from yardland.weather.generator.draw import draw
from yardland.weather.generator.fit import fit
from yardland.weather.generator.stats import Years


@pytest.fixture(scope="module")
def made():
    """Drawn years of Fulda against the record."""
    record = kit.fulda()
    return generator_drawing(Years.of_record(record), Years.of_drawn(draw(fit(record), 1, 300)))


@pytest.mark.parametrize("width", [NARROW, WIDE])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_month_of_every_year_has_its_dot(made, theme, width):
    """Ten years of twelve months in three panels are 360 dots (and one in the key); nothing leaves the sheet."""
    root = ET.fromstring(made.draw(theme, width))  # noqa: S314 (our own drawing)
    paths = [element.get("d") for element in root.iter("{http://www.w3.org/2000/svg}path")]
    dots = [d for d in paths if d.count("a2.2") == 2]
    assert len(dots) == 361
    starts = np.array([[float(part) for part in d[1:].split("a")[0].split()] for d in dots])
    assert (starts >= 0).all()
    assert (starts[:, 0] < width).all()


def test_its_table_holds_the_same_quantiles(made):
    """Record and drawn years have three rows a panel, in order of their size in every month."""
    assert len(made.table.rows) == 18
    for first in range(0, 18, 3):
        cells = np.array([[float(c.replace("−", "-")) for c in row[1:]] for row in made.table.rows[first : first + 3]])  # noqa: RUF001
        assert (np.diff(cells, axis=0) >= 0).all()
