"""A made-up larder year for tests of the faces: small, consistent, and nobody's farm."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np

from yardland.accounts.keeping_year import KeepingYear
from yardland.accounts.plate_year import PlateYear
from yardland.holding.model import (
    Block,
    Group,
    Holding,
    MonthDay,
    Person,
    Place,
    PlantingRow,
    Plot,
    Soil,
    Store,
    Sward,
    TreeRow,
)
from yardland.larderyear.result import Cause, Finding, PersonNeed, PlantingYear, YearResult
from yardland.ledger.arcs import Arc, Ledger
from yardland.ledger.months import larder_months
from yardland.ledger.production import Gathered, Production

MONTHS = larder_months(2022, 10)
DAYS = np.array([month.days for month in MONTHS], dtype=float)
ENERGY = np.array([1.0, 1.0, 1.0, 1.0, 1.0, 0.99, 0.81, 0.62, 0.9, 1.0, 1.0, 1.0])
SHORT = (6, 7, 8)
DIRE = (7,)


def wave(mean: float, swing: float, peak: int) -> np.ndarray:
    """Twelve values that swing about a mean, highest at month `peak`."""
    return mean + swing * np.cos(2 * np.pi * (np.arange(12) - peak) / 12)


def holding() -> Holding:
    """Three people on half a hectare."""
    return Holding(
        folder=Path("sample-croft"),
        place=Place(name="Sample Croft", latitude_deg=55.0, longitude_deg=-3.0, altitude_m=120, country="GB", year_starts=MonthDay(10, 1), currency="GBP"),
        people={
            "una": Person(born=date(1986, 4, 2), sex="f", weight_kg=63),
            "ben": Person(born=date(1984, 9, 9), sex="m", weight_kg=77),
            "kit": Person(born=date(2015, 6, 1), sex="f", weight_kg=26),
        },
        soil={"loam": Soil(texture="loam")},
        plot={
            "north": Plot(use="crops", area_m2=1600, soil="loam"),
            "south": Plot(use="crops", area_m2=1200, soil="loam"),
            "beds": Plot(use="garden", area_m2=300, soil="loam"),
            "mead": Plot(use="grass", area_m2=2500, soil="loam", sward=Sward(kind="grass-clover")),
            "orchard": Plot(use="orchard", area_m2=700, soil="loam"),
            "house": Plot(use="house", area_m2=200),
            "pond": Plot(use="pond", area_m2=150),
        },
        block={"apples": Block(plot="orchard", trees=(TreeRow(species="apple_semidwarf", count=6, planted=date(2014, 12, 1)),))},
        group={"hens": Group(heads={"dual_purpose_hen": 12, "cockerel": 1}, home="orchard"), "ewes": Group(heads={"ewe": 2}, home="mead")},
        store={"cellar": Store(kind="cellar", volume_l=3000)},
        plantings=(
            PlantingRow(line=2, plot="north", crop="potato", share=0.5),
            PlantingRow(line=3, plot="north", crop="oats", share=0.5),
            PlantingRow(line=4, plot="north", crop="turnip", share=0.5, sow="after", after="potato"),
            PlantingRow(line=5, plot="south", crop="broad_bean", share=0.6),
            PlantingRow(line=6, plot="south", crop="swede", share=0.4),
            PlantingRow(line=7, plot="beds", crop="onion", share=0.3),
            PlantingRow(line=8, plot="beds", crop="carrot", share=0.3),
            PlantingRow(line=9, plot="beds", crop="kale", share=0.2),
            PlantingRow(line=10, plot="beds", crop="lettuce", share=0.1),
        ),
    )  # fmt: skip


def planting(
    plot: str,
    crop: str,
    area: float,
    days: tuple[int, int] | None,
    gathered: str | None,
    *,
    kg: float,
    share: float,
    strip: str = "",
    **factors: float,
) -> PlantingYear:
    """One planting of the made-up year."""
    return PlantingYear(
        planting=f"{plot}.{crop}", plot=plot, crop=crop, good=crop, area_m2=area, status="gathered" if days else "not sown",
        sown="2023-04-10" if days else None, first_gathered=gathered, last_gathered=gathered, yield_t_ha=kg / area * 10 if days else 0.0,
        harvest_kg=kg, table_low_t_ha=2.0, table_high_t_ha=30.0, factors=factors, yield_t_ha_by_year={"2022-10 to 2023-09": 3.0}, anchor=0.5, days=days, share=share, strip=strip,
        gather_day=(date.fromisoformat(gathered) - date(2022, 10, 1)).days if gathered else None,
    )  # fmt: skip


def plantings() -> tuple[PlantingYear, ...]:
    """Long, short, early, overwintering and failed ones."""
    return (
        planting("north", "potato", 800, (195, 320), "2023-08-17", kg=1400, share=0.5, strip="north.1", water=0.7),
        planting(
            "north", "turnip", 800, (322, 364), "2023-09-20", kg=300, share=0.5, strip="north.1", light=0.6, season=0.75
        ),
        planting("north", "oats", 800, (180, 325), "2023-08-20", kg=240, share=0.5, water=0.9),
        planting("south", "broad_bean", 720, (-20, 300), "2023-07-25", kg=200, share=0.6),
        planting("south", "swede", 480, (235, 364), "2023-09-15", kg=900, share=0.4),
        planting("beds", "onion", 90, (180, 335), "2023-08-30", kg=220, share=0.3),
        planting("beds", "carrot", 90, (200, 350), "2023-09-01", kg=260, share=0.3),
        planting("beds", "kale", 60, (-60, 200), "2022-11-01", kg=120, share=0.2),
        planting("beds", "lettuce", 30, None, None, kg=0, share=0.1),
    )


def findings() -> tuple[Finding, ...]:
    """One of each grade."""
    return (
        Finding("danger", "Electric netting", "An electric netting stands round mead.", "1 fence", "fence.paddocks", "Earth the energiser, hang warning signs, show children; follow your local code.", "rules.electric_fence"),
        Finding("rule", "Raw manure too near to harvest", "Raw manure goes on onions 60 days before they are gathered.", "60 of 120 days", "plantings.csv line 7", "Compost it first, or spread it in autumn.", "7 CFR 205.203(c)"),
        Finding("short", "April to June are short", "Energy falls to 62 % in May.", "62 %", "Roots end in April and nothing new is ready.", "Overwinter leeks; sow kale in July.", "coverage.energy_kcal"),
        Finding("tight", "Hours in August", "Week 46 asks for more hours than there are.", "71 of 60 h", "Oats and potatoes fall together.", "Lift half of the potatoes a fortnight later.", "hours"),
        Finding("note", "Salt is bought", "The holding makes no salt.", "", "", "Buy iodised salt.", "husbandry"),
    )  # fmt: skip


def ledger() -> Ledger:
    """Potatoes from the ground to the shelf, to people, and a little to the soil."""
    arcs = (
        Arc("crop:north.potato", "store:potato.root_cellar", "potato", "gather"),
        Arc("store:potato.root_cellar", "people", "potato", "eat"),
        Arc("store:potato.root_cellar", "soilair", "potato", "spoil"),
        Arc("sky", "crop:north.potato", "potato", "grow"),
    )
    fresh = np.zeros((4, 12))
    fresh[0, 10] = fresh[3, 10] = 1400.0
    fresh[1] = 110.0
    fresh[2] = 80.0 / 12
    accounts = ("sky", "crop:north.potato", "store:potato.root_cellar", "people", "soilair")
    stock = np.zeros((5, 12))
    stock[2] = 1400 * 10 / 12 + np.cumsum(fresh[0] - fresh[1] - fresh[2])
    opening = np.zeros((5, 12))
    opening[2] = np.concatenate([[1400 * 10 / 12], stock[2, :-1]])
    return Ledger(arcs, fresh, fresh * 0.2, accounts, opening, stock)


def year_result() -> YearResult:
    """The made-up year: short from April to June, dire in May."""
    book = ledger()
    one = ENERGY
    coverage = {
        "energy_kcal": one, "protein_g": np.minimum(1.0, one + 0.1), "calcium_mg": wave(0.9, 0.3, 7), "iron_mg": wave(1.3, 0.3, 0),
        "iodine_ug": np.full(12, 0.2), "zinc_mg": wave(1.0, 0.1, 2), "vitamin_c_mg": wave(1.6, 0.9, 10), "vitamin_d_ug": np.full(12, 0.08),
        "vitamin_a_rae_ug": wave(1.2, 0.5, 1), "folate_dfe_ug": wave(1.4, 0.6, 10), "vitamin_b12_ug": wave(1.1, 0.4, 7),
    }  # fmt: skip
    need = {"energy_kcal": np.full(12, 7000.0), "protein_g": np.full(12, 140.0), "iron_mg": np.full(12, 36.0)}
    mj = need["energy_kcal"] * 0.004184 * DAYS * one
    bars = {
        "potato": 0.45 * mj / 3.2,
        "oats": 0.3 * mj / 15.5,
        "egg_hen": 0.08 * mj / 5.2,
        "swede": 0.1 * mj / 1.4,
        "honey": 0.06 * mj / 12.7,
        "apple.dried": 0.01 * mj / 10.2,
    }
    stores = {
        "potato, root_cellar": book.closing_kg[2], "oats, dry": wave(140, 120, 0), "swede, root_cellar": np.clip(wave(200, 350, 1), 0, None),
        "onion, hung": np.clip(wave(70, 110, 0), 0, None), "apple, dried": wave(12, 8, 1), "hay_grass, barn": np.clip(wave(500, 700, 0), 0, None),
    }  # fmt: skip
    weeks = np.arange(52)
    return YearResult(
        holding=holding(), label="2022-10 to 2023-09", months=MONTHS, weather_note="A made-up record, for tests only.",
        weather_months={"rain_mm": wave(95, 35, 2), "eto_mm": wave(45, 40, 8), "tmin_c": wave(4, 5, 9), "tmax_c": wave(12, 7, 9)}, seed=1,
        needs=(PersonNeed("una", 37.0, 2350.0, 52.0, "FAO/WHO/UNU 2001"), PersonNeed("ben", 38.6, 2980.0, 64.0, "FAO/WHO/UNU 2001"), PersonNeed("kit", 7.8, 1670.0, 24.0, "FAO/WHO/UNU 2001, children")),
        need_day=need, coverage=coverage, short_months=SHORT, dire_months=DIRE, plantings=plantings(),
        production=Production((Gathered("crop:north.potato", "potato", book.fresh_kg[0]),), notes=("Heads are steady over the year.",)),
        harvest_kg={"north.potato": 1400.0, "north.oats": 240.0, "south.broad_bean": 200.0, "south.swede": 900.0, "apples.apple_semidwarf": 180.0},
        eaten_kg=bars, eaten_energy_share={"root": 0.55, "grain": 0.3, "egg": 0.08, "sweet": 0.07}, stores_kg=stores,
        feed_kg={
            "hens": {"oats": wave(18, 4, 2), "vegetable_trimmings": wave(8, 3, 9), "grazing_grass": np.clip(wave(6, 8, 8), 0, None)},
            "ewes": {"grazing_grass": np.clip(wave(200, 190, 8), 0, None), "hay_grass": np.clip(wave(25, 40, 2), 0, None)},
        },
        feed_short={"hens": np.zeros(12), "ewes": np.where(np.arange(12) == 5, 0.12, 0.0)},
        products_kg={"hens": {"egg_hen": wave(14, 6, 7)}, "ewes": {"meat_lamb": np.where(np.arange(12) == 11, 34.0, 0.0)}},
        heads={"hens": {"dual_purpose_hen": np.full(12, 12.0), "cockerel": np.full(12, 1.0)}, "ewes": {"ewe": np.full(12, 2.0), "lamb": np.where(np.arange(12) > 6, 3.0, 0.0)}},
        manure_kg={"hens": np.full(12, 40.0), "ewes": np.full(12, 120.0)},
        grass_dm_kg={"mead": {"grown": np.clip(wave(90, 130, 8), 0, None), "grazed": np.clip(wave(50, 60, 8), 0, None), "cut": np.where(np.arange(12) == 9, 90.0, 0.0), "lost": np.clip(wave(10, 20, 8), 0, None)}},
        water_m3={"people": np.full(12, 9.0), "stock": wave(2, 0.6, 9), "garden": np.clip(wave(1, 6, 9), 0, None)}, water_dry_days={"butt": np.where(np.arange(12) == 9, 6.0, 0.0)},
        hours_week={"livestock": np.full(52, 9.0), "weeding": np.where((weeks > 28) & (weeks < 44), 14.0, 0.0), "harvest": np.where((weeks > 42) & (weeks < 50), 38.0, 2.0), "preserving": np.where(weeks > 44, 10.0, 0.5)},
        hours_available_week=np.where((weeks > 21), 60.0, 40.0),
        money={"buy salt": np.where(np.arange(12) == 0, -8.0, 0.0), "sell eggs": wave(10, 5, 7), "hired ram": np.where(np.arange(12) == 1, -45.0, 0.0)},
        emergency_kg={"wheat_whole": np.where(np.isin(np.arange(12), SHORT), 25.0, 0.0)},
        causes=(Cause("crop:oats", 0.31, "A tenth more oats mends 31 % of the shortage."), Cause("store:cellar", 0.12, "A tenth more cellar room mends 12 % of it."), Cause("herd:hens", 0.05, "A tenth more hens mends 5 % of it.")),
        findings=findings(), figure_keys=("crops.potato.gdd_maturity", "foods.potato.energy_kcal"), ledger=book,
        why={"harvest.north.potato": "1,400 kg: 800 m² at 17.5 t/ha, held back by water (0.70).", "need.una.energy_kcal": "2,350 kcal a day: basal rate 1,390 kcal times activity 1.69."},
        notes=("Opening stores are those of a settled year.",),
        kept=KeepingYear(
            food_days=wave(130, 110, 0),
            plates=PlateYear(wave(80, 70, 0), {"swede": wave(42, 34, 0), "potato": wave(8, 6, 0)}, np.zeros(12)),
        ),
    )  # fmt: skip
