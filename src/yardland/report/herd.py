"""The page of one group of stock: its plan, heads, dates, feed, products, manure and money, beside the handbook's figures."""

from __future__ import annotations

from yardland.larderyear.herd_told import HerdTold
from yardland.report import herd_facts as facts
from yardland.report import herd_tables as tables
from yardland.report.drawing import Drawing, Table
from yardland.report.figures import herd_heads, herd_months
from yardland.report.html import environment, made_by, recoloured
from yardland.report.words import plain, title

Section = dict[str, object]
FOOT = (
    "Heads are whole. Births, sexes and deaths of drawn years fall on each animal, predators and disease on the group; "
    "the steady year is a preview. A vet or the local authority decides, not this page."
)


def render(told: HerdTold) -> str:
    """The page as one HTML document."""
    pages = environment()
    pages.globals["explained"] = frozenset()
    text = pages.get_template("herd.html.j2").render(
        head=headline(told),
        lead=lead(told),
        sections=sections(told),
        findings=told.findings,
        foot=FOOT,
        recoloured={name: recoloured(name) for name in ("dark", "print")},
        version=made_by(),
    )
    return text.replace(" %", "\u00a0%")


def headline(told: HerdTold) -> str:
    """Whose group it is."""
    return f"{told.holding.place.name}: {plain(told.name)}"


def lead(told: HerdTold) -> str:
    """What is shown."""
    many = "1 year" if told.count == 1 else f"{told.count} years"
    chains = "1 chain" if told.chains == 1 else f"{told.chains} chains"
    return (
        f"The larder year {told.result.label} at steady numbers (a preview: every year alike), and {many} in {chains} "
        f"drawn head by head with seed {told.seed}, in the weather of the same larder year. Ranges hold 9 of 10."
    )


def sections(told: HerdTold) -> list[Section]:
    """The parts of the page in order; each has a name, facts, drawings, open tables and folded ones."""
    return [
        _section("plan", "The plan", facts.plan_facts(told)),
        _section(
            "heads",
            "Heads",
            facts.heads_facts(told),
            (herd_heads.fan(told), herd_heads.steady(told)),
            folded=(
                ("What changed heads, mean of a drawn year", tables.counts_table(told)),
                ("Heads by month, steady preview", tables.month_heads(told)),
            ),
        ),
        _section(
            "dates",
            "Dates",
            facts.dates_facts(told),
            shown=(("Dates of the year", tables.dates_table(told)), ("Stays on grass", tables.stays_table(told))),
        ),
        _section(
            "feed",
            "Feed",
            facts.feed_facts(told),
            herd_months.feed(told),
            shown=(("Needs, least met", tables.needs_table(told)), ("Feed by source", tables.feed_table(told))),
            folded=(("Feed by class", tables.class_feed_table(told)),),
        ),
        _section(
            "products",
            "Products",
            facts.product_facts(told),
            herd_months.products(told),
            shown=(("Products of a year", tables.products_table(told)),),
        ),
        _section(
            "manure",
            "Manure and water",
            facts.manure_facts(told),
            shown=(("Where it falls", tables.manure_table(told)),),
        ),
        _section("money", "Money of live animals", facts.money_facts(told)),
        _section(
            "handbook",
            "Beside the handbook",
            [],
            shown=(("This year and drawn years, a head", tables.against_table(told)),),
            sources=(("Sources of the handbook's figures", tables.against_sources(told)),),
        ),
    ]


def _section(
    key: str,
    name: str,
    said: list[tuple[str, str]],
    drawings: tuple[Drawing, ...] = (),
    shown: tuple[tuple[str, Table], ...] = (),
    folded: tuple[tuple[str, Table], ...] = (),
    sources: tuple[tuple[str, Table], ...] = (),
) -> Section:
    return {
        "id": key,
        "name": title(name),
        "facts": said,
        "drawings": drawings,
        "shown": [(caption, table) for caption, table in shown if table.rows],
        "folded": folded,
        "sources": sources,
    }
