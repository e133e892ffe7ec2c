"""The report: one self-contained HTML file. It asks nothing of any network, and reads in light, in dark and on paper."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from yardland.larderyear.result import Months12, YearResult
from yardland.report import answer as answers
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures import flows, ground, heat, plate, stock, stores, timetable
from yardland.report.folding import fold
from yardland.report.keeping import preserving_table, warmth_table
from yardland.report.lookup import Lookup
from yardland.report.palette import recolouring
from yardland.report.soil import READING, soil_table
from yardland.report.sources import gather
from yardland.report.words import (
    cell,
    coins,
    figure,
    listed,
    nutrient,
    nutrient_order,
    nutrient_unit,
    percent,
    plain,
    slug,
    title,
)

if TYPE_CHECKING:
    from jinja2 import BytecodeCache, Environment

    from yardland.reference import Tables

UNSEEN = re.compile(r'<rect [^>]*pointer-events="all"><title>[^<]*</title></rect>')
"""An area of a drawing that only tells a pointer what lies there."""
HINT = re.compile(r"><title>[^<]*</title></(?:rect|path|circle|polygon)>")
"""Title and end of a part of a drawing."""
UNKNOWN = " is not known for "
"""Stands in each note on a figure that no table has."""


def render(result: YearResult, tables: Tables | None = None) -> str:
    """The whole report as one HTML document.

    Args:
        result: the larder year.
        tables: the reference tables under the holding's own figures; loaded here when None.
    """
    if tables is None:
        from yardland.reference import load_tables

        tables = load_tables(own=result.holding.own)
    lookup = Lookup(tables)
    pages = environment()
    pages.globals["explained"] = frozenset(result.why)
    page = pages.get_template("year.html.j2")
    text = page.render(
        result=result,
        answer=answers.answer(result),
        grades=answers.by_grade(result),
        counts=listed([_count(grade, len(ones)) for grade, ones in answers.by_grade(result)]),
        cautions=answers.cautions(result),
        whys=fold(result.why),
        recoloured={name: recoloured(name) for name in ("dark", "print")},
        drawings=_drawings(result, lookup),
        harvest=_harvest(result, lookup),
        money=_purse(result),
        notes=_notes(dict.fromkeys((*result.notes, *result.production.notes))),
        tables=_tables(result, lookup),
        soil_reading=READING,
        sources=gather(result.figure_keys, tables),
        version=made_by(),
    )
    return text.replace(" %", "\u00a0%")


def anchor(key: str) -> str:
    """The id of a result key's explanation in the page."""
    return "why-" + slug(key)


def made_by() -> str:
    """Version that stands at the foot of a page."""
    from yardland.version import __version__

    return __version__


def environment() -> Environment:
    """Templates with the filters that the pages share."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    pages = Environment(
        loader=PackageLoader("yardland.report"),
        bytecode_cache=_compiled_pages(),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    filters: dict[str, Callable[..., object]] = {
        "figure": figure, "percent": percent, "plain": plain, "title": title, "anchor": anchor, "slug": slug,
        "nutrient": nutrient, "variants": variants, "listed": listed,
    }  # fmt: skip
    pages.filters.update(filters)
    return pages


@lru_cache(maxsize=1)
def _compiled_pages() -> BytecodeCache:
    """Templates as this process has compiled them: the next page of the same kind need not do it again."""
    from jinja2.bccache import Bucket, BytecodeCache

    class Kept(BytecodeCache):
        def __init__(self) -> None:
            self.pages: dict[str, bytes] = {}

        def load_bytecode(self, bucket: Bucket) -> None:
            if bucket.key in self.pages:
                bucket.bytecode_from_string(self.pages[bucket.key])

        def dump_bytecode(self, bucket: Bucket) -> None:
            self.pages[bucket.key] = bucket.bytecode_to_string()

    return Kept()


def variants(drawing: Drawing) -> list[tuple[str, str]]:
    """Class names and SVG of each form that a drawing is embedded in; style sheets show one of them at a time."""
    only = "" if len(drawing.widths) > 1 else " only"
    sizes = {WIDE: "w", NARROW: "n"}
    made = [(f"{sizes.get(width, 's')}{only}", drawing.draw("light", width)) for width in drawing.widths]
    return [(name, svg if name != "n" else without_hints(svg)) for name, svg in made]


def without_hints(svg: str) -> str:
    """A drawing for a phone, which has no pointer to ask its parts: their titles are left out, its own stays."""
    svg = UNSEEN.sub("", svg)
    return HINT.sub("/>", svg)


def recoloured(name: str) -> str:
    """Style rules that turn the page's drawings, made in the light theme, into those of the theme `name`."""
    rules = []
    for attribute, old, new in recolouring(name):
        what = f'path[fill="{old}"][stroke]' if attribute == "edge of" else f'[{attribute}="{old}"]'
        rules.append(f".v {what}{{{'stroke' if attribute == 'edge of' else attribute}:{new}}}")
    return "".join(rules)


def _drawings(result: YearResult, lookup: Lookup) -> dict[str, tuple[Drawing, ...]]:
    return {
        "coverage": heat.drawings(result),
        "plate": plate.drawings(result, lookup),
        "stores": stores.drawings(result, lookup),
        "shelves": stores.shelf_drawings(result, lookup),
        "ground": ground.drawings(result, lookup),
        "timetable": timetable.drawings(result, lookup),
        "grass": flows.grass(result),
        "stock": stock.drawings(result, lookup),
        "hours": flows.hours(result),
        "water": flows.water(result),
        "weather": flows.weather(result),
    }


def _tables(result: YearResult, lookup: Lookup) -> dict[str, Table]:
    months = tuple(month.name for month in result.months)
    currency = result.holding.place.currency
    order = nutrient_order(result.need_day)
    need = [
        (f"{nutrient(key)}, {nutrient_unit(key)}", *(figure(float(value)) for value in result.need_day[key]))
        for key in order
    ]
    return {
        "shelves": stores.all_shelves(result, lookup),
        "eaten": _monthly("kg", {lookup.name(good): values for good, values in result.eaten_kg.items()}, months),
        "products": _monthly("kg", {f"{title(group)}: {lookup.name(good)}": values for group, goods in result.products_kg.items() for good, values in goods.items()}, months),
        "money": _monthly(currency, {lookup.item(item): values for item, values in result.money.items()}, months, show=coins),
        "dry": _monthly("days", result.water_dry_days, months),
        "litres": _litres(result, months),
        "warmth": warmth_table(result),
        "preserving": preserving_table(result),
        "fences": _fences(result),
        "soil": soil_table(result),
        "need": Table(("A day, household", *months), tuple(need)),
    }  # fmt: skip


def _monthly(
    corner: str, amounts: Mapping[str, Months12], months: tuple[str, ...], show: Callable[[float], str] = cell
) -> Table:
    """A row for each amount, the largest first; the year's sum stands first, where a phone shows it."""
    rows = [
        (plain(name), show(float(values.sum())), *(show(float(value)) for value in values))
        for name, values in sorted(amounts.items(), key=lambda item: -abs(float(item[1].sum())))
        if float(abs(values).sum()) > 0
    ]
    return Table((corner, "Year", *months), tuple(rows))


def _notes(notes: Iterable[str]) -> dict[str, list[str]]:
    """Notes as sentences, those on figures that no table has apart from the rest."""
    told = [f"{note[:1].upper()}{note[1:]}".rstrip(".") + "." for note in notes]
    return {
        "told": [note for note in told if UNKNOWN not in note],
        "unknown": [note for note in told if UNKNOWN in note],
    }


def _count(grade: str, number: int) -> str:
    """How many findings of a grade there are: 2 dangers, 1 short."""
    noun = {"danger": "danger", "rule": "rule", "note": "note"}.get(grade)
    return f"{number} {grade}" if noun is None else f"{number} {noun}{'s' if number != 1 else ''}"


def _purse(result: YearResult) -> dict[str, float | str]:
    """Money paid and got over the year, and what is left, in words."""
    sums = [float(values.sum()) for values in result.money.values()]
    paid, got = -sum(value for value in sums if value < 0), sum(value for value in sums if value > 0)
    currency = result.holding.place.currency
    left = f"{figure(abs(got - paid))} {currency} {'more is got than paid' if got >= paid else 'more is paid than got'}"
    return {"paid": paid, "got": got, "left": left}


def _litres(result: YearResult, months: tuple[str, ...]) -> Table:
    """Litres taken by kind of place at each month's end, and the room there is."""
    room: dict[str, float] = {}
    for store in result.holding.store.values():
        room[store.kind] = room.get(store.kind, 0.0) + store.volume_l
    rows = tuple(
        (
            plain(kind),
            *(cell(float(value)) for value in taken),
            figure(room[kind]) if kind in room else "no limit given",
        )
        for kind, taken in result.store_litres.items()
    )
    return Table(("litres", *months, "Room"), rows)


def _fences(result: YearResult) -> Table:
    """Length of each fence; a guess where a plot round which it runs has no outline."""
    rows = tuple(
        (
            title(run.fence),
            run.kind,
            ", ".join(title(plot) for plot in run.plots),
            figure(run.length_m),
            "a guess: no outline" if run.schematic else "measured",
        )
        for run in result.fences
    )
    return Table(("Fence", "Kind", "Round", "m", "Length is"), rows)


def _harvest(result: YearResult, lookup: Lookup) -> list[dict[str, str]]:
    """Rows of the harvest table: from where, what, how much, and the key of its explanation."""
    rows = []
    for name, kg in result.harvest_kg.items():
        place, _, what = name.partition(".")
        keys = (f"{kind}.{name}" for kind in ("harvest", "fruit", "hay"))
        key = next((key for key in keys if key in result.why), "")
        rows.append({"place": title(place), "what": harvest_name(what, lookup), "kg": figure(kg, 2), "key": key})
    return rows


def harvest_name(what: str, lookup: Lookup) -> str:
    """What was gathered, in words: "oats.straw_oats" is oat straw, "potato.2" potato, planting 2, nothing is hay."""
    first, *rest = what.split(".")
    if rest and rest[-1].startswith(("straw_", "stover_")):
        return lookup.name(rest[-1])
    name = title(lookup.crop(first) if lookup.knows("crops", first) else lookup.species(first))
    return (", ".join([name, *(f"planting {part}" if part.isdigit() else plain(part) for part in rest)])) or "Hay"
