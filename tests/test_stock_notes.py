"""What the stock room notices: sires, seasons, room, renewals."""

from __future__ import annotations

import pytest
from stock_kit import (
    BORROWED,
    TABLES,
    group,
    holding,
    light,
    total,
    warmth,
    year_of,
)

from yardland.holding.model import Batch, MonthDay, Plot, Sire
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.kinds import kinds
from yardland.stock.year import HerdYear, herd_year


def note_words(year: HerdYear) -> list[tuple[str, str]]:
    """Grade and words of every note."""
    return [(note.grade, note.words) for note in year.events.notes]


def test_no_sire_means_no_young():
    """Young planned without any sire are not born, no milk comes, and a note of grade short says so."""
    year = year_of({"cow": group(heads={"dairy_cow_small": 1}, born=[MonthDay(4, 1)], milk_share="all")})

    assert not [event for event in year.events.events if event.kind == "born"]
    assert total(year, "milk_cow") == 0.0
    assert any(grade == "short" and "no sire" in words for grade, words in note_words(year))


def test_too_many_hens_to_a_cock_are_named():
    """About ten hens to a cock is right and thirty are too many (common practice)."""
    fine = year_of({"flock": group(heads={"laying_hen": 10, "cockerel": 1}, born=[MonthDay(4, 20)])})
    many = year_of({"flock": group(heads={"laying_hen": 30, "cockerel": 1}, born=[MonthDay(4, 20)])})

    assert not any("to one" in note.number for note in fine.events.notes)
    assert any(note.number == "30 to one" and note.grade == "tight" for note in many.events.notes)


@pytest.mark.parametrize(
    ("latitude", "right", "wrong"), [(52.0, MonthDay(4, 5), MonthDay(11, 5)), (-38.0, MonthDay(10, 5), MonthDay(5, 5))]
)
def test_lambs_out_of_season_are_named(latitude, right, wrong):
    """Ewes take the ram while the days shorten: spring lambs pass, autumn lambs are named, in both hemispheres."""
    spring = year_of({"ewes": group(heads={"ewe": 5}, born=[right], sire=BORROWED)}, latitude)
    autumn = year_of({"ewes": group(heads={"ewe": 5}, born=[wrong], sire=BORROWED)}, latitude)

    assert not any("out of season" in words for _, words in note_words(spring))
    assert any("out of season" in words for _, words in note_words(autumn))


def test_one_cow_leaves_dry_weeks():
    """A single cow is dry before she calves again; two that calve half a year apart are never both dry."""
    one = year_of({"c": group(heads={"dairy_cow_small": 1}, born=[MonthDay(4, 1)], sire=BORROWED, milk_share="all")})
    two = year_of(
        {
            "c": group(
                heads={"dairy_cow_small": 2}, born=[MonthDay(4, 1), MonthDay(10, 1)], sire=BORROWED, milk_share="all"
            )
        }
    )

    assert any("No milk for" in words for _, words in note_words(one))
    assert not any("No milk for" in words for _, words in note_words(two))


def test_a_late_sire_is_named():
    """A ram that comes in spring cannot father lambs for the same spring."""
    late = Sire.model_validate({"how": "hired", "from": MonthDay(4, 1)})
    year = year_of({"ewes": group(heads={"ewe": 5}, born=[MonthDay(4, 5)], sire=late)})

    assert any("sire comes" in words for _, words in note_words(year))


def test_nests_are_for_the_grown():
    """Goslings ask for floor and ground, not for nests: two geese with their young want one nest."""
    year = year_of({"geese": group(heads={"goose": 2}, born=[MonthDay(5, 5)], sire=BORROWED)})
    room = year.events.housing["geese"]

    assert room.nest_boxes == 1
    assert room.floor_m2 > 2 * TABLES.row("stock", "goose").need("floor_area_m2")


def test_ducks_beside_hens_with_a_cock_are_told_by_name():
    """Of hens with a cock and ducks without a drake the ducks are named, in a note: the dates may be the hens' alone."""
    year = year_of({"mixed": group(heads={"laying_hen": 8, "cockerel": 1, "duck_layer": 5}, born=[MonthDay(4, 20)])})
    told = [note for note in year.events.notes if "no male" in note.words]

    assert [(note.grade, note.subject) for note in told] == [("note", "mixed.duck_layer")]
    assert "laying duck" in told[0].words
    assert "milk" not in told[0].words


def test_housing_adds_up_the_floor():
    """Floor, outdoor ground, nests and perches follow the heads; a home that is too small is a rule."""
    row = TABLES.row("stock", "laying_hen")
    small = Plot(use="yard", area_m2=2.0)
    year = year_of({"flock": group(heads={"laying_hen": 30})}, plots={"yard": small})
    room = year.events.housing["flock"]

    assert room.floor_m2 == pytest.approx(30 * row.need("floor_area_m2"))
    assert room.outdoor_m2 == pytest.approx(30 * row.need("outdoor_area_m2"))
    assert room.nest_boxes == 5
    assert room.perch_m == pytest.approx(5.4)
    assert any(note.grade == "rule" and "floor" in note.words for note in year.events.notes)


def test_a_batch_too_large_for_its_plot_is_told_with_a_figure_of_its_class():
    """A group of batches alone, without heads, has its lack of room told by its own class's floor."""
    crowd = Batch.model_validate({"class": "broiler_slow", "count": 100_000, "on": ["05-10"]})
    year = year_of({"g": group(batch=[crowd])}, plots={"yard": Plot(use="yard", area_m2=2.0)})
    notes = [note for note in year.events.notes if "of floor" in note.words]

    assert [note.source_key for note in notes] == ["stock.broiler_slow.floor_area_m2"]


def test_every_note_names_a_figure_that_can_be_explained():
    """The source key of each note is a figure of the tables."""
    year = year_of(
        {
            "cow": group(heads={"dairy_cow_small": 1}, born=[MonthDay(4, 1)], sire=BORROWED, milk_share="all"),
            "ewes": group(
                heads={"ewe": 5},
                born=[MonthDay(11, 1)],
                sire=Sire.model_validate({"how": "hired", "from": MonthDay(1, 1)}),
            ),
            "hives": group(heads={"honeybee_colony": 1}),
            "hens": group(heads={"laying_hen": 40, "cockerel": 1}, born=[MonthDay(4, 1)], kill_after_days=30),
            "does": group(heads={"rabbit_doe": 2}, born=[MonthDay(m, 1) for m in range(1, 12)]),
        }
    )

    assert len(year.events.notes) > 8
    for note in year.events.notes:
        assert TABLES.figure(note.source_key).value is not None
        assert note.grade in {"danger", "rule", "short", "tight", "note"}


def test_every_figure_that_a_year_reads_can_be_explained():
    """Each figure key read for a year of all classes has a value, a unit, a source and a standing."""
    tables = load_tables()
    groups = {
        key: group(
            heads={key: 4}, born=[MonthDay(4, 10)] if kind.role == "dam" else [], sire=BORROWED, milk_share="all"
        )
        for key, kind in kinds().items()
    }
    herd_year(holding(groups), tables, larder_months(2001, 1), warmth(52.0, 1), light(52.0, 1))
    read = sorted(tables.read_keys)

    assert {key.partition(".")[0] for key in read} == {"coats", "stock", "herds", "husbandry"}
    for key in read:
        figure = tables.figure(key)
        assert figure.unit
        assert figure.source
        assert figure.standing in {"published", "common practice", "from memory"}


def test_more_dates_than_a_sow_can_bear_share_the_sows_out():
    """Two litters a year are a sow's rate (2.25 with late weaning; from memory): on three dates not all sows farrow."""
    two, three = (
        year_of({"sows": group(heads={"sow": 3}, born=[MonthDay(month, 1) for month in months], sire=BORROWED)})
        for months in ((3, 9), (1, 5, 9))
    )
    served = [[event.heads for event in year.events.events if event.kind == "service"] for year in (two, three)]

    assert served == [[3, 3], [2, 2, 2]]
    assert not any("shared out" in words for _, words in note_words(two))
    assert any("3 dates of birth" in words and "shared out" in words for _, words in note_words(three))


COW = {"dairy_cow_small": 1}
PLANS = {
    "No milk for": group(heads=COW, born=[MonthDay(4, 1)], sire=BORROWED, milk_share="all"),
    "bought milk powder": group(heads={"dairy_cow_small": 2}, born=[MonthDay(4, 1)], sire=BORROWED, milk_share="all"),
    "More males": group(heads={"laying_hen": 4, "cockerel": 3}),
    "Only males": group(heads={"ram": 2}),
    "more young females": group(heads={"dairy_cow_small": 2}, born=[MonthDay(4, 1)], sire=BORROWED, keep_young=2),
    "is replaced after about": group(heads=COW, born=[MonthDay(4, 1)], sire=BORROWED),
    "Kept alone": group(heads=COW),
    "two colonies": group(heads={"honeybee_colony": 1}),
    "must yield": group(heads={"honeybee_colony": 4}),
    "little meat": group(heads={"ewe": 5}, born=[MonthDay(4, 5)], sire=BORROWED, kill_after_days=30),
}


@pytest.mark.parametrize("words", PLANS)
def test_each_note_has_its_plan(words):
    """A plan with one fault brings the note that names it, and a flock without that fault does not."""
    fine = group(heads={"laying_hen": 20, "cockerel": 2}, born=[MonthDay(4, 20)], keep_young=4)

    assert any(words in said for _, said in note_words(year_of({"g": PLANS[words]})))
    assert not any(words in said for _, said in note_words(year_of({"g": fine})))
