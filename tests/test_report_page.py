"""The report: one page that asks nothing of a network, says the answer first, and gives every picture as a table too."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from fixtures_result import year_result
from hypothesis import given
from hypothesis import strategies as st

from yardland.findings.cautions import CAUTION
from yardland.larder.catalogue import forms_of, keeping_for
from yardland.larder.needs import NUTRIENTS
from yardland.larderyear.result import Finding, YearResult
from yardland.reference import Tables, load_tables
from yardland.report.answer import answer, by_grade, cautions, must_fail
from yardland.report.figures import flows, ground, heat, plate, stock, stores, timetable
from yardland.report.figures.bars import as_series, free_code, looks, scale_top
from yardland.report.figures.strips import strips
from yardland.report.folding import fold
from yardland.report.html import anchor, render
from yardland.report.lookup import Lookup, food_groups
from yardland.report.palette import recolouring

VOID = {"meta", "br", "hr", "link", "img", "input"}
SVG = "{http://www.w3.org/2000/svg}"


class Page(HTMLParser):
    """Collects what the tests ask of a page; fails on tags that do not close."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.headings: list[int] = []
        self.bad: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note ids, links, headings and outside references."""
        if tag not in VOID:
            self.open.append(tag)
        given = dict(attrs)
        if "id" in given:
            self.ids.append(str(given["id"]))
        if "href" in given:
            self.links.append(str(given["href"]))
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if "src" in given or tag in {"link", "img", "iframe", "object"}:
            self.bad.append(f"<{tag} {attrs}>")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag that closes itself."""
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        """The tag that closes must be the one that is open."""
        if not self.open or self.open.pop() != tag:
            self.bad.append(f"</{tag}> at {self.getpos()}")


@pytest.fixture(scope="module")
def result() -> YearResult:
    """The made-up year."""
    return year_result()


@pytest.fixture(scope="module")
def tables() -> Tables:
    """The shipped tables."""
    return load_tables()


@pytest.fixture(scope="module")
def text(result: YearResult, tables: Tables) -> str:
    """The page of the made-up year."""
    return render(result, tables)


@pytest.fixture(scope="module")
def page(text: str) -> Page:
    """The page, parsed."""
    return Page(text)


def all_drawings(result: YearResult, tables: Tables) -> list:
    """Every drawing of the report."""
    look = Lookup(tables)
    return [
        *heat.drawings(result), *plate.drawings(result, look), *stores.drawings(result, look), *stores.shelf_drawings(result, look),
        *ground.drawings(result, look), *timetable.drawings(result, look), *stock.drawings(result, look), *flows.grass(result),
        *flows.hours(result), *flows.water(result), *flows.weather(result),
    ]  # fmt: skip


def test_every_tag_of_the_page_closes_and_none_loads_anything(page: Page) -> None:
    """The page is well formed, and no tag asks for another file."""
    assert page.bad == []
    assert page.open == []


def test_the_page_holds_no_address_of_the_network(text: str) -> None:
    """No address but the name of the SVG language stands in the page."""
    assert set(re.findall(r"[a-z]+://[^\s\"'<)]*", text)) == {"http://www.w3.org/2000/svg"}
    assert "@import" not in text
    assert re.findall(r"url\((?!#)", text) == []


def test_ids_are_unique_and_every_inner_link_arrives(page: Page) -> None:
    """Each id occurs once, and each link points at one of them."""
    assert len(page.ids) == len(set(page.ids))
    assert {link[1:] for link in page.links if link.startswith("#")} <= set(page.ids)
    assert all(link.startswith("#") for link in page.links)


def test_patterns_and_clips_are_defined_in_the_page(text: str, page: Page) -> None:
    """Each hatch that a shape refers to is there, under an id of its own drawing."""
    assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(page.ids)


def test_headings_step_down_one_at_a_time(page: Page) -> None:
    """There is one h1, and no heading skips a level."""
    assert page.headings.count(1) == 1
    assert all(after <= before + 1 for before, after in zip(page.headings, page.headings[1:], strict=False))


def test_the_answer_comes_before_everything_else(text: str) -> None:
    """First whether the household is fed, then what was found by count, the plan, the findings, the other drawings."""
    order = ("does not feed its household", "1 danger", "<svg", "Raw manure too near", 'id="coverage"')
    places = [text.index(words) for words in order]

    assert places == sorted(places)


def test_numbers_link_to_their_explanation(text: str) -> None:
    """A harvest's number leads to the sentence that explains it."""
    assert f'href="#{anchor("harvest.north.potato")}"' in text
    assert f'id="{anchor("harvest.north.potato")}"' in text


def test_figures_are_listed_with_source_and_standing(text: str, tables: Tables) -> None:
    """A figure that the year read stands in the page with its source."""
    one = tables.figure("foods.potato.energy_kcal")

    assert f"energy_kcal {one.value:g}" in text
    assert one.standing in text


def test_a_page_is_the_same_whatever_was_rendered_before(result: YearResult, tables: Tables, text: str) -> None:
    """A year in which nothing is explained leaves no trace in the next page: that has its links again."""
    bare = render(replace(result, why={}), tables)
    assert "why-" in text
    assert bare.count("#why-") == 0
    assert render(result, tables) == text


def test_a_name_with_markup_is_shown_as_text(result: YearResult, tables: Tables) -> None:
    """What a user typed is never taken for markup."""
    place = result.holding.place.model_copy(update={"name": "<script>alert(1)</script>"})
    made = render(replace(result, holding=result.holding.model_copy(update={"place": place})), tables)

    assert "<script>alert(1)" not in made
    assert "&lt;script&gt;alert(1)" in made


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_every_drawing_is_xml_with_a_name_and_no_variables(result: YearResult, tables: Tables, theme: str) -> None:
    """Each drawing parses, says what it is, stays inside its box and uses neither style variables nor an outside font."""
    for drawing in all_drawings(result, tables):
        for width in drawing.widths:
            svg = drawing.draw(theme, width)
            root = ET.fromstring(svg)  # noqa: S314 (our own output)

            assert root.findtext(f"{SVG}title")
            assert root.findtext(f"{SVG}desc")
            assert float(root.attrib["width"]) == width
            assert "var(" not in svg
            assert "nan" not in svg.lower().split()
            for box in root.iter(f"{SVG}rect"):
                assert float(box.attrib["x"]) + float(box.attrib["width"]) <= width + 1.1


@pytest.mark.parametrize("theme", ["dark", "print"])
def test_recolouring_a_light_drawing_gives_that_of_the_theme(result: YearResult, tables: Tables, theme: str) -> None:
    """The rules by which style sheets recolour a drawing lead from the light one to what is drawn in the theme itself."""
    for drawing in all_drawings(result, tables):
        for width in drawing.widths:
            expected = drawing.draw(theme, width).replace(f"-{theme}-", "-light-")

            assert recoloured(drawing.draw("light", width), theme) == expected


def recoloured(svg: str, theme: str) -> str:
    """A drawing with the rules applied to each of its tags."""
    rules = recolouring(theme)

    def tag(found: re.Match[str]) -> str:
        words = found[0]
        for attribute, old, new in rules:
            if attribute == "edge of" and f'fill="{old}"' in words:
                words = re.sub(r' stroke="[^"]*"', f' stroke="{new}"', words)
            elif f' {attribute}="{old}"' in found[0]:
                words = words.replace(f' {attribute}="{old}"', f' {attribute}="{new}"')
        return words

    return re.sub(r"<[a-z][^>]*>", tag, svg)


def test_every_drawing_gives_its_numbers_as_a_table(result: YearResult, tables: Tables) -> None:
    """Each drawing has a description and a table whose rows fit its header."""
    for drawing in all_drawings(result, tables):
        assert drawing.alt
        assert drawing.table.rows
        assert all(len(row) == len(drawing.table.header) for row in drawing.table.rows)


def test_drawings_are_the_same_every_time(result: YearResult, tables: Tables) -> None:
    """A drawing is a pure function of its result."""
    assert render(result, tables) == render(year_result(), tables)


def test_low_cells_are_bold_with_a_mark(result: YearResult) -> None:
    """Cells under 70 % carry bold type and a mark; the others neither."""
    svg = heat.draw_heat(result, "light", 712, "a")
    low = sum(int((values < heat.MARK_BELOW).sum()) for values in result.coverage.values())

    assert low > 0
    assert svg.count('l-3 4Z"') == low
    assert len(re.findall(r'<text (?![^>]*text-anchor)[^>]*font-weight="700"', svg)) == low


def test_a_year_without_animals_plantings_or_stores_is_still_a_page(result: YearResult, tables: Tables) -> None:
    """Empty rooms are said to be empty."""
    bare = replace(
        result, plantings=(), harvest_kg={}, stores_kg={}, feed_kg={}, heads={}, products_kg={}, grass_dm_kg={}, water_m3={}, hours_week={},
        money={}, findings=(), causes=(), why={}, eaten_kg={}, water_dry_days={}, holding=result.holding.model_copy(update={"plantings": (), "group": {}}),
    )  # fmt: skip
    made = render(bare, tables)

    assert Page(made).bad == []
    for words in ("No animals are kept", "Nothing is in store", "Nothing is bought", "Nothing was found"):
        assert words in made


def test_the_answer_counts_what_is_missing(result: YearResult) -> None:
    """Missing energy is need less eaten over the short days, worked out here by hand."""
    need_mj = 7000 * 0.004184
    by_hand = need_mj * (31 * 0.01 + 30 * 0.19 + 31 * 0.38 + 30 * 0.10)
    told = answer(result)

    assert told.missing_mj == pytest.approx(by_hand)
    assert told.missing_kg == pytest.approx(75)
    assert not told.feeds
    assert "3 of 12 months" in told.headline
    assert [month.state for month in told.months].count("short") == 2
    assert told.months[7].state == "dire"


def test_a_fed_household_is_told_its_tightest_month(result: YearResult) -> None:
    """Without a short month the answer is yes."""
    full = {key: np.maximum(values, 0.97) for key, values in result.coverage.items()}
    full_year = replace(result, coverage=full, short_months=(), dire_months=(), emergency_kg={})
    told = answer(full_year)

    assert told.feeds
    assert "feeds its household in every month from its own ground" in told.headline
    assert "97 %" in told.detail
    met = {key: np.maximum(values, 1.0) for key, values in result.coverage.items()}
    assert answer(replace(full_year, coverage=met)).detail.startswith("Every month meets its need")


def test_findings_come_by_grade_worst_first(result: YearResult) -> None:
    """Danger first, notes last; danger, rule and short make a strict run fail."""
    assert [grade for grade, _ in by_grade(result)] == ["danger", "rule", "short", "tight", "note"]
    assert must_fail(result)
    assert not must_fail(
        replace(result, findings=tuple(one for one in result.findings if one.grade in {"tight", "note"}))
    )


def test_small_series_are_added_up_as_the_rest() -> None:
    """No layer is lost: the layers add up to what was given, and each has its own code."""
    given = {f"good_{index}": np.full(12, float(index)) for index in range(1, 11)}
    series = as_series(given)

    assert len(series) == 6
    assert np.sum([one.values for one in series], axis=0) == pytest.approx(np.full(12, 55.0))
    assert len({one.code for one in series}) == 6
    assert len({one.style.code for one in series}) == 6


def test_a_single_one_beyond_the_limit_keeps_its_name() -> None:
    """What is left over is counted only when it is more than one."""
    given = {name: np.full(12, float(size)) for name, size in (("oats", 3), ("hay_grass", 2), ("swede", 1))}
    known = {name: look for name, look in looks(given).items() if name != "swede"}

    assert [one.name for one in as_series(given, known=known)] == ["oats", "hay grass", "swede"]


def test_codes_of_one_chart_differ() -> None:
    """Names that start alike get different letters."""
    taken: set[str] = set()

    assert [free_code(name, taken) for name in ("hay_grass", "hay_lucerne", "hazel", "9")] == ["Ha", "Hy", "Hz", "Xa"]


@pytest.mark.parametrize(
    ("peak", "top", "step"),
    [(0.0, 1.0, 1.0), (41.0, 60.0, 20.0), (40.0, 40.0, 10.0), (7.2, 8.0, 2.0), (0.03, 0.03, 0.01)],
)
def test_axes_end_above_the_peak_on_a_round_mark(peak: float, top: float, step: float) -> None:
    """An axis has two to four round steps and holds the peak."""
    assert scale_top(peak) == pytest.approx((top, step))


def test_a_point_is_inside_a_ring_or_not() -> None:
    """The middle of a square is inside, a point beside it and one in the notch of a hook are not."""
    hook = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (3.0, 4.0), (3.0, 1.0), (0.0, 1.0), (0.0, 0.0)]

    assert [ground.inside(point, hook) for point in ((3.5, 3.0), (1.0, 0.5), (1.0, 3.0), (5.0, 0.5))] == [
        True,
        True,
        False,
        False,
    ]


def test_plantings_that_follow_share_a_strip(result: YearResult, tables: Tables) -> None:
    """A crop sown after another stands in its strip, not beside it; shares never exceed the plot."""
    north = strips(result, Lookup(tables), "north")

    assert [(strip.share, strip.codes) for strip in north] == [(0.5, "Ni-Br"), (0.5, "Ce")]
    assert all(
        sum(strip.share for strip in strips(result, Lookup(tables), plot)) <= 1 + 1e-9 for plot in result.holding.plot
    )


def test_odd_names_make_sound_ids(result: YearResult, tables: Tables) -> None:
    """Groups whose names hold spaces or signs still give ids that links and hatches can use."""
    odd = 'old "ewes" & <co>'
    groups = {odd if name == "ewes" else name: one for name, one in result.holding.group.items()}
    named = {
        part: {odd if name == "ewes" else name: one for name, one in getattr(result, part).items()}
        for part in ("heads", "feed_kg", "feed_short", "products_kg")
    }
    made = render(replace(result, holding=result.holding.model_copy(update={"group": groups}), **named), tables)
    parsed = Page(made)

    assert parsed.bad == []
    assert all(re.fullmatch(r"[A-Za-z0-9_.-]+", name) for name in parsed.ids)
    assert set(re.findall(r"url\(#([^)]+)\)", made)) <= set(parsed.ids)
    assert "<co>" not in made


def test_the_plate_counts_energy_as_the_larder_does(tables: Tables) -> None:
    """For every good and every form it can be put by in, a kilogram holds the energy that the larder's program counts."""
    places = {"pantry", "freezer", "loft", "barn", "fridge", "cellar", "clamp"}
    look = Lookup(tables)
    energy = NUTRIENTS.index("energy_kcal")
    seen = 0
    for key in tables.keys("goods"):
        rows = [tables.row("stores", name) for name in tables.keys("stores")]
        ways = [keeping_for(row, dict.fromkeys(places, 1.0), ()) for row in rows if row.text("good") == key]
        for good in forms_of(tables, key, [way for way in ways if way is not None], np.ones(12), {}):
            if good.per_kg is None:
                assert look.mj_per_kg(good.key) is None
            else:
                seen += 1
                assert look.mj_per_kg(good.key) == pytest.approx(good.per_kg[energy, 0] * 0.004184)
                assert look.group(good.key) == food_groups()[good.group]

    assert seen > 100


def test_goods_put_by_are_named_with_their_way(tables: Tables) -> None:
    """A form that goods are put by in carries the way in its name; what only lies in a store keeps its own."""
    look = Lookup(tables)

    assert [look.name(key) for key in ("apple", "apple.dried", "apple, dried", "potato, root_cellar", "unheard_of")] == [
        "Apples", "Apples, dried", "Apples", "Potatoes", "Unheard of",
    ]  # fmt: skip


def test_food_that_is_bought_is_said_in_the_answer(result: YearResult) -> None:
    """The share of the energy that was bought stands in the headline of a fed year, and under it in a short one."""
    full = {key: np.maximum(values, 1.0) for key, values in result.coverage.items()}
    fed = replace(result, coverage=full, short_months=(), dire_months=(), emergency_kg={}, bought_energy_share=0.36)

    assert "36 % of the food energy is bought" in answer(fed).headline
    assert "36 % is bought" in answer(replace(result, bought_energy_share=0.36)).detail
    assert "bought" not in answer(result).detail


def test_hungry_animals_are_told_in_the_headline(result: YearResult) -> None:
    """A household that is fed while its animals are not is not told that all is well."""
    full = {key: np.maximum(values, 1.0) for key, values in result.coverage.items()}
    short = {"geese": np.array([0.3, *[0.0] * 11]), "table_hens": np.full(12, 0.2), "ewes": np.zeros(12)}
    fed = replace(result, coverage=full, short_months=(), dire_months=(), emergency_kg={}, feed_short=short)
    told = answer(fed)

    assert told.hungry == ("geese", "table_hens")
    assert "It does not feed all its animals: geese and table hens lack feed." in told.headline


def test_the_answer_names_its_terms(result: YearResult) -> None:
    """What is bought of food and feed, the level of keeping, the weather and the foresight stand beside the answer."""
    bought = replace(result, bought_energy_share=0.042, feed_dm_kg=8050.0, bought_feed_dm_kg=4810.0)
    told = answer(bought)

    for words in (
        "4 % of the food energy",
        "4,800 of 8,000 kg of feed",
        bought.holding.goal.level,
        bought.label,
        "known beforehand",
    ):
        assert words in told.terms
    assert told.terms.replace(" %", "\u00a0%") in render(bought)


def test_usual_cautions_stand_apart_from_the_findings(result: YearResult) -> None:
    """A caution is in no grade's list, and is told in the page under its own heading."""
    usual = Finding("note", "Raw milk", "Heat it well.", "63 C", "milk", "Ask.", "a code", f"{CAUTION}.raw_milk_heat")
    told = replace(result, findings=(*result.findings, usual))
    text = render(told)

    assert cautions(told) == (usual,)
    assert all(usual not in ones for _, ones in by_grade(told))
    assert text.index('id="cautions"') < text.index("Heat it well.")


@given(
    st.dictionaries(
        st.from_regex(r"(coverage\.[ab]\.[A-Z]{3}|harvest\.[a-z]+)", fullmatch=True),
        st.from_regex(r"[a-c]{1,3}(; [a-c ]{1,4}){0,2}", fullmatch=True),
    )
)
def test_folding_explanations_loses_none(why: dict[str, str]) -> None:
    """Each key keeps its sentence, whole, when own words and shared end are put together again."""
    unfolded = {
        key: words + (f"; {group.shared}" if group.shared else "")
        for group in fold(why)
        for keys, words in group.lines
        for key in keys
    }

    assert unfolded == why
