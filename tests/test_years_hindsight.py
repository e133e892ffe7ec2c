"""Looking back on a run: foresight on the same years, tenths of years by weather, what would mend bad years."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from yardland.larder.description import MONTHS
from yardland.larderyears.bound import SLACK
from yardland.larderyears.causes import (
    LACKS,
    OFFERED,
    STRETCHES,
    Causes,
    Stretch,
    find_causes,
    walked,
    walks_of,
)
from yardland.larderyears.compared import compared
from yardland.larderyears.foreseen import MOST_SOLVED, came_to, foreseen, grown_again, programs
from yardland.larderyears.hindsight import Hindsight
from yardland.larderyears.hindsight_json import hindsight_json
from yardland.larderyears.links import Link, links_of, relaxed_frame, relaxed_years
from yardland.larderyears.result import odds_of
from yardland.larderyears.run import Years, short_years
from yardland.larderyears.tenths import tenths, year_weather
from yardland.larderyears.window_walk import walker_of
from yardland.larderyears.work import ready
from yardland.report.hindsight_lines import TOLD_CAUSES, cause_words, hindsight_words


def test_foresight_is_short_of_no_more_on_the_same_years(hungry: Years) -> None:
    """Of the first chains, no more than are solved, foresight lacks less than the policy, and both are told for the same years."""
    seen = foreseen(hungry)
    own = hungry.stacked("shortfall")[: seen.chains].sum()

    assert 1 < programs(hungry) <= MOST_SOLVED
    assert programs(hungry) <= seen.chains <= len(hungry.chains)
    assert seen.policy.trials == seen.reliability.trials == 2 * seen.chains
    assert seen.policy_shortfall * 2 * seen.chains == pytest.approx(own)
    assert 0.0 < seen.shortfall <= seen.policy_shortfall + SLACK


def test_what_a_chain_brought_is_found_again(hungry: Years) -> None:
    """Grown again, less what hunger of stock cost by what was told of it, a chain's years bring what they did, to the bit."""
    shared = hungry.prepared
    one = hungry.chains[1]
    came = came_to(hungry, one)
    fed = came_to(hungry, replace(one, feed_short=0.0 * one.feed_short))
    again = walker_of(shared.policy).walk(fed, shared.opening_kg, shared.ground.first_turn(one.chain))

    assert one.feed_short.max() > 0.0
    assert np.array_equal(came.arriving_kg, again.came.arriving_kg)
    assert np.array_equal(came.spared_kg, again.came.spared_kg)
    assert np.array_equal(one.opening_kg, again.opening_kg)


def test_the_driest_tenth_is_the_driest(hungry: Years) -> None:
    """A tenth of twelve years is one; no other counted year has less rain, nor is any warmer than the warmest."""
    found = {one.name: one for one in tenths(hungry)}
    rain_mm, mean_c = year_weather(hungry)
    short = short_years(hungry.prepared.ground.holding, hungry.chains, hungry.asked).ravel()
    dry = int(np.argmin(rain_mm))

    assert len(rain_mm) == 12
    assert found["driest"].reliability.trials == 1
    assert found["driest"].rain_mm == pytest.approx(rain_mm.min())
    assert found["wettest"].rain_mm == pytest.approx(rain_mm.max())
    assert found["coldest"].mean_c == pytest.approx(mean_c.min())
    assert found["warmest"].mean_c == pytest.approx(mean_c.max())
    assert found["driest"].reliability.value == float(not short[dry])
    assert found["driest"].shortfall == pytest.approx(hungry.stacked("shortfall").ravel()[dry])


def test_words_and_json_tell_the_same(hungry: Years) -> None:
    """The bound's reliability is in the object, its shortfall in the words, with that of the driest tenth."""
    seen = Hindsight(foreseen(hungry), tenths(hungry))
    told = hindsight_json(seen)
    words = " ".join(hindsight_words(seen, float(hungry.stacked("shortfall").mean()), odds_of(hungry).food.day_mj))

    assert told["foresight_reliability"] == seen.foreseen.reliability.value
    assert {one["which"] for one in told["tenths_by_weather"]} == {"driest", "wettest", "coldest", "warmest"}
    assert f"{seen.foreseen.shortfall:.2f} months' needs" in words
    assert all(
        one["harvests"] and one["short_months_seen_close"]["of_months"] == 12 for one in told["tenths_by_weather"]
    )
    assert "driest tenth" in words
    assert hindsight_json(None)["foresight_reliability"] is None


@pytest.fixture(scope="session")
def causes(hungry: Years) -> Causes:
    """What would mend the hungry years."""
    return find_causes(hungry)


def test_links_are_ranked_by_what_they_mend(causes: Causes) -> None:
    """Each cause mends more than nothing of what lacked in the years walked again, the most helpful first, told once each."""
    shares = [one.mended_share for one in causes.causes]

    assert causes.stretches == STRETCHES
    assert causes.shortfall > 0.0
    assert len(shares) >= 2
    assert shares == sorted(shares, reverse=True)
    assert 0.0 < shares[-1] <= shares[0] <= 1.0
    assert len({one.link.key for one in causes.causes}) == len(shares)
    for one in causes.causes:
        assert one.mended_month_needs == pytest.approx(one.mended_share * causes.shortfall)


def test_what_is_offered_was_walked_over_whole_chains(hungry: Years, causes: Causes) -> None:
    """The first causes carry short years and shortage of whole chains, before and after; before is what the run said."""
    first = causes.causes[0].offered
    assert first is not None
    chains = [one for one in hungry.chains if one.shortfall[hungry.counted].mean() > LACKS]
    before = np.mean([one.shortfall[hungry.counted] for one in chains[: first.years // 2]])

    assert first.years == min(20, 2 * len(chains))
    assert first.shortfall_before == pytest.approx(before)
    assert first.shortfall_after < first.shortfall_before
    assert all(one.offered is not None for one in causes.causes[:OFFERED])
    assert all(one.offered is None for one in causes.causes[OFFERED:])


def test_a_stretch_walked_again_is_what_was_walked(hungry: Years) -> None:
    """With no link relaxed, a chain from its beginning lacks what it lacked; with one that changes nothing, the same."""
    shared = hungry.prepared
    held, chain = ready(shared, hungry.asked), hungry.chains[1]
    whole = Stretch(chain.chain, 0, grown_again(hungry, chain.chain), shared.opening_kg)
    nothing = Link("nothing", "land", "nothing more")

    assert np.array_equal(walked(held, None, whole).shortfall, chain.shortfall)
    assert walked(held, nothing, whole).shortfall == pytest.approx(chain.shortfall, abs=1e-6)


def test_links_move_what_they_say(hungry: Years) -> None:
    """A tenth more of all crops and grass is a tenth more gathered; a tenth more heads ask and give a tenth more; rooms grow."""
    shared = hungry.prepared
    frame, years = shared.frame, grown_again(hungry, 0)
    links = links_of(shared)
    of_land = [one for one in links if one.kind in {"land", "trees", "grass"}]
    gathered = sum(relaxed_years(frame, years, one).arriving_kg - years.arriving_kg for one in of_land)
    known = frame.arriving.reshape(-1, MONTHS) > 0.0
    more = next(one for one in links if one.key.endswith(".more"))
    herd = relaxed_years(frame, years, more)
    mine = [more.group in name for name in frame.asks.accounts]
    room = next(one for one in links if one.kind == "room")
    rows = list(room.sides)

    assert gathered[:, known] == pytest.approx(0.1 * (years.arriving_kg - years.given_kg)[:, known], rel=1e-6, abs=1e-6)
    assert herd.asked[:, mine] == pytest.approx(1.1 * years.asked[:, mine])
    assert herd.given_kg.sum() > years.given_kg.sum()
    assert relaxed_frame(frame, room).row_upper[rows] == pytest.approx(1.1 * frame.row_upper[rows])
    assert any("m2)" in one.words for one in links)


def test_nobody_short_has_no_causes(hungry: Years) -> None:
    """Where nothing lacked nothing is walked again, and the answer says that there is nothing to mend."""
    fed = replace(hungry, chains=tuple(replace(one, shortfall=0.0 * one.shortfall) for one in hungry.chains))
    found = find_causes(fed)

    assert found.causes == ()
    assert walks_of(fed) == 0
    assert "nothing to mend" in " ".join(cause_words(found))


def test_words_tell_at_most_five_causes(causes: Causes) -> None:
    """Each told cause has its share and, if it was offered, what it did over whole chains."""
    words = [*cause_words(causes)]

    assert len(words) == 1 + min(TOLD_CAUSES, len(causes.causes))
    assert f"mends {100 * causes.causes[0].mended_share:.0f} %" in words[1]
    assert "years of chains that were short" in words[1]


def test_a_greater_reserve_is_walked_for(hungry: Years) -> None:
    """The link of the reserve asks for a tenth more days of food in every month, and the policy does other things for it."""
    shared = hungry.prepared
    frame = shared.frame
    link = next(one for one in links_of(shared) if one.kind == "reserve")
    moved = []
    for chain in hungry.chains:
        whole = Stretch(chain.chain, 0, grown_again(hungry, chain.chain), shared.opening_kg)
        stores = walked(ready(shared, hungry.asked), link, whole).stock_days
        moved.append(np.abs(stores - chain.stock_days).max())

    assert relaxed_frame(frame, link).row_lower[frame.reserve.row] == pytest.approx(1.1)
    assert max(moved) > 1e-3


def test_the_story_of_a_first_year_knows_what_struck_before_it(hungry: Years) -> None:
    """Hazards are told of the counted years and of the one before, whose harvest is eaten in the first of them; of no other."""
    first = hungry.counted.start

    assert {one.year for one in hungry.struck} == set(range(first - 1, hungry.counted.stop))


def test_what_the_solver_rounds_makes_no_month_short(hungry: Years) -> None:
    """Who asks for all of the need is not short by the last digits: both counts of a run, and its spells, say the same."""
    ground = hungry.prepared.ground
    goal = ground.holding.goal.model_copy(update={"short_below": 1.0})
    strict = replace(ground, holding=ground.holding.model_copy(update={"goal": goal}))
    fed = tuple(replace(one, least=np.full_like(one.least, 1.0 - 1e-9)) for one in hungry.chains)
    run = replace(hungry, prepared=replace(hungry.prepared, ground=strict), chains=fed)
    odds = odds_of(run)

    assert not short_years(strict.holding, fed, run.asked).any()
    assert odds.reliability.value == 1.0
    assert odds.spells.spells == 0


def test_plans_are_compared_over_the_chains_that_both_did(hungry: Years) -> None:
    """A run that ended sooner, as by --within or Ctrl-C, is compared over its own chains; one chain is no comparison."""
    whole, part, one = (odds_of(replace(hungry, chains=hungry.chains[:chains])) for chains in (6, 4, 1))
    first, second = compared(whole, part), compared(part, whole)

    assert first is not None
    assert second is not None
    assert first.difference.chains == second.difference.chains == 4
    assert first.difference.value == second.difference.value == 0.0
    assert first.reliability == second.reliability == part.reliability
    assert compared(whole, one) is None
