"""What each kind of stock may have of a feed, and what pulses and maize leave to feed."""

from __future__ import annotations

import numpy as np
import pytest

from yardland.larder.catalogue import feed_for
from yardland.larder.feed_leavings import left_beside
from yardland.ledger.production import Gathered, Production
from yardland.reference import load_tables
from yardland.stock.kinds import load_klass

TABLES = load_tables()


def test_goats_browse_more_than_other_ruminants() -> None:
    """Of browse a goat's ration may hold 0.7, a ewe's 0.4; of hay, where goats have no figure of their own, both the same."""
    goat, ewe = load_klass(TABLES, "goat_dairy_doe").ceiling, load_klass(TABLES, "ewe").ceiling
    browse, straw = feed_for(TABLES, "browse"), feed_for(TABLES, "straw_barley")

    assert browse.max_share[goat] == pytest.approx(0.7)
    assert browse.max_share[ewe] == pytest.approx(0.4)
    assert straw.max_share[goat] == straw.max_share[ewe] > 0.0


@pytest.mark.parametrize(
    ("good", "share"), [("pea_dry", 0.05), ("broad_bean", 0.05), ("maize", 0.05), ("dry_bean", None), ("sorghum", None)]
)
def test_pulses_and_maize_leave_a_stubble_unless_it_is_poison(good, share) -> None:
    """Shed seed and weeds follow peas and maize; raw dry beans and the regrowth of sorghum are offered to nobody."""
    rows = [TABLES.row("feed_ways", key) for key in TABLES.keys("feed_ways")]
    gathered = Production((Gathered(f"field.{good}", good, np.full(12, 10.0)),))
    left = [item for row in rows if row.text("way") == "leavings" for item in left_beside(row, gathered)]

    assert [(item.good, float(item.fresh_kg.sum())) for item in left] == (
        [] if share is None else [("stubble", pytest.approx(share * 120.0))]
    )
