"""How a starter divides the ground and what it puts on it: assumptions of a first plan, all told in its file.

Shares and stocking are common practice for a household's own ground, round figures on purpose.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

BEDS_M2_A_PERSON = 60.0
BEDS_MOST_SHARE = 0.4
YARD_SHARE, YARD_MOST_M2 = 0.1, 500.0
FIELDS_FROM_M2 = 800.0
GRASS_FROM_M2 = 6_000.0
HENS_FROM_M2 = 500.0
HENS_A_PERSON, MOST_HENS = 3, 40
M2_AN_EWE = 1_500.0
M2_A_TREE = 40.0
ORCHARD_SHARE, GRASS_SHARE = 0.12, 0.4
FIELDS = ("east", "middle", "west")
TURNS = {"first": 0, "second": 1, "third": 2}
TREES = {"cool": ("apple_semidwarf", "plum"), "warm": ("fig", "olive"), "hot": ("fig", "mulberry")}


@dataclass(frozen=True)
class Ground:
    """The division of a starter's ground, in m2, and its heads. A use without room has no area."""

    climate: str
    yard_m2: float
    beds_m2: float
    field_m2: float
    orchard_m2: float
    grass_m2: float
    hens: int
    ewes: int

    def plots_of(self, field: str, year: str) -> list[tuple[str, str]]:
        """Plots and years of the rotation of a planting: a field's crops go from plot to plot, a year each."""
        if field == "beds":
            return [("beds", year)]
        if self.field_m2 == 0:
            return []
        return [(FIELDS[(TURNS[field] + turn) % 3], str(turn + 1)) for turn in range(3)]

    def plots_toml(self, *, southern: bool) -> str:
        """Lines of [plot]."""
        hay = "10-20/12-31" if southern else "04-20/06-30"
        sward = 'soil = "ground", sward = { kind = "grass-clover" }'
        lines = [
            f'yard = {{ use = "house", size = "{self.yard_m2:.0f} m2" }}',
            f'beds = {{ use = "garden", soil = "ground", size = "{self.beds_m2:.0f} m2", watered_by = ["tap"] }}',
        ]
        if self.field_m2:
            lines += [
                f'{name} = {{ use = "crops", soil = "ground", size = "{self.field_m2:.0f} m2" }}' for name in FIELDS
            ]
        if self.orchard_m2:
            lines.append(f'orchard = {{ use = "orchard", soil = "ground", size = "{self.orchard_m2:.0f} m2" }}')
        if self.grass_m2:
            half = f"{self.grass_m2 / 2:.0f} m2"
            lines.append(f'pasture = {{ use = "grass", size = "{half}", {sward} }}')
            lines.append(f'meadow = {{ use = "grass", size = "{half}", {sward}, shut_up_for_hay = "{hay}" }}')
        return "\n".join(lines)

    def blocks_toml(self, planted: date) -> str:
        """The tables of trees, or nothing."""
        count = int(self.orchard_m2 / M2_A_TREE)
        if count < 2:
            return ""
        main, other = TREES[self.climate]
        rows = f'  {{ species = "{main}", count = {count - count // 3}, planted = {planted} }},\n'
        rows += f'  {{ species = "{other}", count = {count // 3}, planted = {planted} }},\n' if count >= 3 else ""
        told = "# Young trees bear nothing for some years: if yours stand already, put the day they were planted."
        return f'\n{told}\n[block.fruit]\nplot = "orchard"\ntrees = [\n{rows}]\n'

    def groups_toml(self, *, southern: bool) -> str:
        """The tables of stock and their round, or nothing."""
        if not self.hens:
            return ""
        lines = ["", "# Animals that live together; heads are whole and steady over the year.", "[group]"]
        lines.append(f'hens = {{ heads = {{ laying_hen = {self.hens} }}, home = "yard" }}')
        if not self.ewes:
            return "\n".join(lines) + "\n"
        born, tupped = ("10-10", "05-12") if southern else ("04-10", "11-10")
        lines.append(
            f'ewes = {{ heads = {{ ewe = {self.ewes} }}, born = ["{born}"], '
            f'sire = {{ how = "hired", from = "{tupped}", cost = 40 }}, keep_young = 1, home = "pasture" }}'
        )
        lines += ["", "[round.grass]", 'order = ["ewes"]', 'plots = ["pasture", "meadow"]', "stay_days = [3, 7]"]
        return "\n".join([*lines, "rest_days = 28", ""])

    def stores_toml(self, people: int) -> str:
        """Lines of [store]: litres by the number of people."""
        lines = [
            f'pantry = {{ kind = "pantry", volume_l = {400 * people} }}',
            f'cellar = {{ kind = "cellar", volume_l = {800 * people} }}',
            'fridge = { kind = "fridge", volume_l = 200 }',
            'freezer = { kind = "freezer", volume_l = 200 }',
        ]
        if self.field_m2:
            lines.append(f'loft = {{ kind = "loft", volume_l = {600 * people} }}')
        if self.ewes:
            lines.append('barn = { kind = "barn", volume_l = 40000 }')
        return "\n".join(lines)


def divide(area_m2: float, people: int, climate: str) -> Ground:
    """Divide the ground: house and yard, beds, then fields, and with room enough an orchard and grass.

    Args:
        area_m2: all of it.
        people: who eats from it.
        climate: "cool", "warm" or "hot": the list of crops and trees.

    Returns:
        Areas that add up to `area_m2`.
    """
    yard = min(YARD_SHARE * area_m2, YARD_MOST_M2)
    fields = area_m2 >= FIELDS_FROM_M2
    beds = min(BEDS_M2_A_PERSON * people, BEDS_MOST_SHARE * area_m2) if fields else area_m2 - yard
    rest = area_m2 - yard - beds
    grazed = area_m2 >= GRASS_FROM_M2
    orchard = ORCHARD_SHARE * rest if fields else 0.0
    grass = GRASS_SHARE * rest if grazed else 0.0
    return Ground(
        climate=climate,
        yard_m2=yard,
        beds_m2=beds,
        field_m2=(rest - orchard - grass) / len(FIELDS),
        orchard_m2=orchard,
        grass_m2=grass,
        hens=min(HENS_A_PERSON * people, MOST_HENS) if area_m2 >= HENS_FROM_M2 else 0,
        ewes=max(1, min(12, int(grass / M2_AN_EWE))) if grazed else 0,
    )
