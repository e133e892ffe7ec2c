"""Breeding, growth, needs and milk of stock against printed tables: keys L are those of the house's list of checks.

Source and standing stand in each check; what the print gives and the package does not reckon is told with its reason.
"""

from __future__ import annotations

import numpy as np
import pytest
from outside import Outside

from yardland.larder.feed_bounds import least_kg
from yardland.ledger.production import HerdNeed
from yardland.ledger.units import MJ_PER_KCAL
from yardland.reference import load_tables
from yardland.stock import needs, protein
from yardland.stock.days import growing_energy, lactation
from yardland.stock.growth import gompertz_gain_kg_d, gompertz_kg
from yardland.stock.kinds import Husbandry, load_klass
from yardland.stock.lactation import milk_energy_mj_kg, wood_from_peak, wood_kg_d

TABLES = load_tables()
LEFT_OUT = "Livestock: what the print has and the package does not"
SHEEP = "NRC, Nutrient Requirements of Sheep, 6th rev. ed. 1985, Table 1, p. 45"
GOATS = "NRC, Nutrient Requirements of Goats 1981, chapter 3, p. 10"
RABBITS = "NRC, Nutrient Requirements of Rabbits 1977, Table 1, p. 14"
CURVES = "Gompertz regressions, J. Anim. Sci., PMC7149552, Table 1"
MCAL = 4.184


def stock(klass: str, column: str) -> float:
    """A figure of table stock."""
    return TABLES.row("stock", klass).need(column)


def need_of(klass: str, energy_mj: float, protein_g: float, eggs_kg: float = 0.0) -> HerdNeed:
    """A day's need of one animal, in the first month."""
    first = np.eye(12)[0]
    egg = TABLES.row("stock", klass).text("egg_good")
    return HerdNeed(
        group="g",
        klass=klass,
        heads=first,
        system=TABLES.row("stock", klass).text("energy_system"),
        ceiling_column="",
        energy_mj=first * energy_mj,
        protein_kg=first * protein_g / 1000.0,
        dry_matter_max_kg=first,
        forage_min_fraction=0.0,
        products={egg: first * eggs_kg} if eggs_kg else {},
        manure_kg=np.zeros(12),
        manure_n_kg=np.zeros(12),
        water_m3=np.zeros(12),
    )


def grams(klass: str, name: str, energy_mj: float, protein_g: float = 0.0, eggs_kg: float = 0.0) -> float:
    """Grams of lysine, calcium or phosphorus that the larder's program asks for on that day."""
    return 1000.0 * float(least_kg(TABLES, need_of(klass, energy_mj, protein_g, eggs_kg))[name][0])


def test_rhythms_of_does_and_sows(outside: Outside) -> None:
    """Rounds of 31 + 11 days at 0.75 give 6.5 kindlings, 114 + 42 + 6 days 2.25 litters; the tables plan no more."""
    doe, sow = (
        365 / (stock("rabbit_doe", "gestation_or_incubation_d") + 11),
        365 / (stock("sow", "gestation_or_incubation_d") + stock("sow", "weaning_age_d") + 6),
    )
    bears = TABLES.row("breeding", "rabbit_doe").need("bears_share")

    outside.check_close("L16", "rounds of a doe mated 11 days after kindling, and those that bear", "FAO Animal Production and Health 21 (Lebas and others 1997)", "from memory", [8.69, 6.5], [doe, doe * bears], 0.02)  # fmt: skip
    outside.check_close("L18", "litters of a sow weaned at 42 days", "usual reckoning", "from memory", 2.25, sow, 0.01)
    outside.check_between("L16", "litters that the table plans of a doe", "the same", "from memory", 0, 6.5, stock("rabbit_doe", "litters_per_year"))  # fmt: skip
    outside.check_between("L18", "litters that the table plans of a sow", "the same", "from memory", 0, 2.25, stock("sow", "litters_per_year"))  # fmt: skip
    outside.check_between("L15", "litters that the table plans of a doe, on a small farm", "T. Pilling, The Press (Christchurch) 29 Aug 1980", "published", 0, 8, stock("rabbit_doe", "litters_per_year"))  # fmt: skip


def test_chicks_come_from_eggs_of_the_printed_sizes(outside: Outside) -> None:
    """A chick weighs 68-70 % of its egg, 35 g of 50 g and 43 g of 63 g: the table's day-olds of hens imply eggs between the two.

    Day-olds of layers weigh less than the hen's usual egg would give: flocks of parents are set while their eggs are small.
    """
    share = np.array([35 / 50, 43 / 63])
    eggs = [1000 * stock(key, "growth_W0_kg") / share.mean() for key in ("laying_hen", "dual_purpose_hen", "broiler_fast", "broiler_slow")]  # fmt: skip

    outside.check_between("L20", "eggs that day-old chicks of the tables come from, g", "Univ. of Florida IFAS EDIS VM099, Table 1", "published", 50, 63, eggs)  # fmt: skip


def test_ducks_lay_no_more_than_the_best(outside: Outside) -> None:
    """Campbells to 300 eggs of 65-75 g at 2.0-2.2 kg; Pekins 130-200; Muscovies 45-60."""
    farm, ministry = "dutchfarm.co.in, ducks", "Trinidad and Tobago Ministry of Agriculture, Breeds of ducks"

    outside.check_between("L21", "laying ducks, eggs a year", farm, "published", 0, 300, stock("duck_layer", "eggs_per_year"))  # fmt: skip
    outside.check_between("L21", "laying ducks, g an egg", farm, "published", 65, 75, stock("duck_layer", "egg_weight_g"))  # fmt: skip
    outside.check_between("L21", "laying ducks, kg", farm, "published", 2.0, 2.2, stock("duck_layer", "adult_weight_kg"))  # fmt: skip
    outside.check_between("L21", "Pekins, eggs a year", ministry, "published", 0, 200, stock("duck_meat_pekin", "eggs_per_year"))  # fmt: skip
    outside.check_between("L21", "Muscovies, eggs a year", ministry, "published", 45, 60, stock("duck_muscovy", "eggs_per_year"))  # fmt: skip


@pytest.mark.parametrize(
    ("key", "what", "a", "b", "w0", "day", "kg", "within"),
    [
        ("L23", "broiler of the 1970s, 42 days, kg (chick of 42 g assumed)", 5.6, 0.0267, 0.042, 42, 1.137, 0.005),
        ("L25", "heavy turkey hen, 84 days, kg (poult of 55 g assumed)", 15.0, 0.0256, 0.055, 84, 7.81, 0.05),
        ("L25", "heavy turkey cock, 140 days, kg (poult of 55 g assumed)", 28.0, 0.0212, 0.055, 140, 20.3, 0.05),
        ("L26", "Suffolk ewe lamb, 120 days, kg (4.5 kg at birth assumed)", 100.0, 0.0108, 4.5, 120, 42.8, 0.2),
        ("L26", "Suffolk ram lamb, 120 days, kg (5 kg at birth assumed)", 130.0, 0.00915, 5.0, 120, 43.9, 0.2),
    ],
)
def test_curves_of_growth(outside: Outside, key, what, a, b, w0, day, kg, within) -> None:
    """A and B are printed (seen); the weight follows from them and a weight at birth."""
    outside.check_close(key, what, CURVES, "published", kg, gompertz_kg(a, b, w0, day), within)


def test_gain_is_greatest_at_a_share_of_the_mature_weight(outside: Outside) -> None:
    """The weight of greatest gain over the mature weight is 0.368 for every grower's curve of the tables."""
    shares = []
    for key in ("broiler_slow", "turkey_grower", "rabbit_grower", "lamb", "pig_grower", "beef_steer"):
        curve = [stock(key, f"growth_{part}") for part in ("A_kg", "B_per_d", "W0_kg")]
        age = np.linspace(0.0, 12.0 / curve[1], 20001)
        shares.append(float(gompertz_kg(*curve, age[np.argmax(gompertz_gain_kg_d(*curve, age))])) / curve[0])

    outside.check_close("L28", "weight of greatest gain over mature weight", "British Poultry Science 32 (1991) 1027-1038", "published", 0.368, np.array(shares), 0.001)  # fmt: skip
    outside.tell(LEFT_OUT, "L28 (age of greatest gain of the broilers of 1991): the table's fast broiler is of today, three weeks earlier.")  # fmt: skip


def test_broilers_of_1994(outside: Outside) -> None:
    """Weeks 1 to 8 of the table lie within a tenth of one Gompertz curve; the table's two broilers grow on either side of it."""
    weeks = np.arange(1, 9)
    print_g = np.array([152, 376, 686, 1085, 1576, 2088, 2590, 3077])
    source = "NRC, Nutrient Requirements of Poultry 1994, Table 2-5, males"
    curve = 1000 * gompertz_kg(4.60, 0.0432, 0.043, 7 * weeks)
    fast, slow = (1000 * load_klass(TABLES, key).weight_kg(7 * weeks) for key in ("broiler_fast", "broiler_slow"))

    outside.check_close("L30", "a Gompertz curve through weeks 1 to 8, g", source, "from memory", print_g, curve, pct=10)  # fmt: skip
    assert (slow < print_g).all()
    assert (print_g < fast).all()
    outside.tell(LEFT_OUT, "L30 (a broiler of 1994): no class of the table is that bird; the fast one is of today, the slow one a label strain.")  # fmt: skip


def test_feed_of_a_fast_broiler(outside: Outside) -> None:
    """In a house a kilogram of today's broiler takes 1.4 to 1.6 kg of pellets of 13.0 MJ (from memory: 3,100 kcal)."""
    klass, keep = load_klass(TABLES, "broiler_fast"), Husbandry(TABLES)
    age = np.arange(klass.figure("slaughter_age_d"))
    outdoors = growing_energy(klass, klass.weight_kg(age), klass.gain_kg_d(age), keep).sum()
    feed_kg = outdoors / (1.0 + keep["free_range_share"]) / 13.0
    got = round(float(feed_kg / klass.weight_kg(klass.figure("slaughter_age_d"))), 2)

    outside.check_between("L31", "kg of feed a kg of live weight", "livestocking.com, broiler targets", "published", 1.4, 1.6, got)  # fmt: skip


def test_ewes_at_rest_and_in_early_lamb(outside: Outside) -> None:
    """Energy and protein of the five rows at rest, and the whole row of 70 kg in the first fifteen weeks."""
    kg = np.array([50.0, 60.0, 70.0, 80.0, 90.0])
    factor = float(needs.ewe_pregnancy_factor(60.0, 1.6))
    mj, cp_g = factor * float(needs.ewe_maintenance_mj_d(70.0)), factor * float(protein.ewe_maintenance_g_d(70.0))
    row = [mj / MCAL, cp_g, grams("ewe", "calcium", mj), grams("ewe", "phosphorus", mj)]

    outside.check_close("L33", "ME at rest, Mcal a day", SHEEP, "published", [2.0, 2.2, 2.4, 2.6, 2.8], needs.ewe_maintenance_mj_d(kg) / MCAL, 0.05)  # fmt: skip
    outside.check_close("L33", "crude protein at rest, g a day", SHEEP, "published", [95, 104, 113, 122, 131], protein.ewe_maintenance_g_d(kg), 0.5)  # fmt: skip
    outside.check_close("L35", "early lamb: ME Mcal, protein, Ca, P g", SHEEP, "published", [2.8, 130, 3.5, 2.9], row, pct=5)  # fmt: skip
    outside.tell(LEFT_OUT, "L33 (calcium, phosphorus and dry matter at rest): minerals go with energy at the rate of early lamb, up to a quarter over the row; intake has a ceiling, no need.")  # fmt: skip


def test_goats_by_the_book_of_1981(outside: Outside) -> None:
    """101.38 kcal a kg^0.75 at rest and 7.25 kcal a gram of growth."""
    kid = float(needs.goat_maintenance_mj_d(20.0)) + needs.GOAT_GAIN_MJ_KG * 0.1

    outside.check_close("L36", "goat of 50 kg at rest, kcal and MJ ME a day", GOATS, "published", [1906, 7.98], [float(needs.goat_maintenance_mj_d(50.0)) / MJ_PER_KCAL, float(needs.goat_maintenance_mj_d(50.0))], pct=0.5)  # fmt: skip
    outside.check_close("L38", "kid of 20 kg that gains 100 g, kcal and MJ ME a day", GOATS, "published", [1684, 7.05], [kid / MJ_PER_KCAL, kid], pct=0.5)  # fmt: skip


def test_goats_by_the_metabolisable_system(outside: Outside) -> None:
    """Energy of milk by fat and protein; protein at rest; net energy at rest over km lies by the need of the other book."""
    source = "ICAR, Nutrient requirements of lactating dairy goats, after AFRC 1998"
    milk = [milk_energy_mj_kg(35.0, 30.0), milk_energy_mj_kg(40.0, 32.0)]
    ours = float(needs.goat_maintenance_mj_d(50.0)) * needs.cattle_km()

    outside.check_close("L40", "milk of 35 and 40 g fat, MJ/kg", source, "published", [2.89, 3.12], milk, 0.01)
    outside.check_close("L41", "metabolisable protein of 50 kg at rest, g", source, "published", 41.2, protein.ruminant_basal_metabolisable_g_d(50.0), pct=0.5)  # fmt: skip
    outside.check_close("L41", "net energy of 50 kg at rest (ours by NRC 1981 x km), MJ", source, "published", 5.92, ours, pct=5)  # fmt: skip


def test_a_cow_by_the_inventory_chain(outside: Outside) -> None:
    """The chain's own steps, and what the package's cow needs beside it: in a stall, and on pasture with its walking."""
    source = "IPCC 2006 and 2019, volume 4, chapter 10, equations 10.3-10.16"
    rest = 0.386 * float(needs.metabolic_kg075(500.0))
    net = np.array([rest, 0.17 * rest, 15.0 * (1.47 + 0.40 * 4.0), 0.10 * rest])
    rem = 1.123 - 0.004092 * 65 + 0.00001126 * 65**2 - 25.4 / 65
    pasture = net.sum() / rem * 0.82
    ours = float(
        needs.cattle_maintenance_mj_d(500.0, milking=True)
        + needs.cattle_milk_mj_d(15.0, milk_energy_mj_kg(40.0, 33.0))
        + needs.cattle_pregnancy_mj_d(120.0, 40.0)
    )

    outside.check_close("L43", "steps of the chain: rest, walking, milk, calf MJ; GE MJ; intake kg", source, "from memory", [40.81, 6.94, 46.05, 4.08, 293.1, 15.9], [*net, pasture / 0.82 / 0.65, pasture / 0.82 / 0.65 / 18.45], pct=0.5)  # fmt: skip
    outside.check_close("L43", "ME of the cow without its walking, MJ (ours by AFRC 1993)", source, "from memory", pasture * (1 - net[1] / net.sum()), ours, pct=15)  # fmt: skip


def test_hens_in_the_cold_and_their_calcium(outside: Outside) -> None:
    """A hen of 2 kg at 10 C with 55 g of egg; 4.10 g of calcium at full lay, and its part of 95 and 85 g of feed."""
    nrc, guide = "NRC, Nutrient Requirements of Poultry 1994", "layer breeder's feeding guide"
    mj = float(needs.amen_layer_mj_d(2.0, 10.0, 0.0, 55.0))
    calcium = grams("laying_hen", "calcium", 1.38, 18.0, 0.055)

    outside.check_close("L45", "AMEn, kcal and MJ a day", nrc, "from memory", [372.0, 1.556], [mj / MJ_PER_KCAL, mj], pct=0.5)  # fmt: skip
    outside.check_close("L46", "calcium, g a day", guide, "published", 4.10, calcium, pct=5)
    outside.check_close("L46", "calcium of 95 and 85 g of feed, %", guide, "published", [4.32, 4.82], [calcium / 0.95, calcium / 0.85], pct=5)  # fmt: skip
    outside.tell(LEFT_OUT, "L45 (135 g of feed): the list gives no energy of that feed; 135 g at 372 kcal are 2,756 kcal/kg.")  # fmt: skip


def test_rabbits_by_diet(outside: Outside) -> None:
    """Energy and protein of the four diets are the print's; fibre, calcium and phosphorus follow from the table's days."""
    diets = [[2500, 16], [2100, 12], [2500, 15], [2500, 17]]
    got = [list(protein.RABBIT_DIETS[state]) for state in ("growth", "maintenance", "gestation", "lactation")]
    per_mj = 2500.0 * MJ_PER_KCAL
    minerals = [
        grams("rabbit_grower", "calcium", per_mj) / 10,
        grams("rabbit_doe", "calcium", per_mj) / 10,
        grams("rabbit_doe", "phosphorus", per_mj) / 10,
    ]
    fibre = [stock(key, "min_crude_fibre_fraction") * 100 for key in ("rabbit_grower", "rabbit_doe", "rabbit_buck")]

    outside.check_close("L48", "kcal DE/kg and crude protein %, growth, rest, in kindle, in milk", RABBITS, "published", np.array(diets), np.array(got), 0.0)  # fmt: skip
    outside.check_between("L48", "least crude fibre %, growth and milk", RABBITS, "published", 10, 12, fibre[:2])
    outside.check_close("L48", "least crude fibre %, at rest", RABBITS, "published", 14, fibre[2], 0.0)
    outside.check_close("L48", "calcium of growth and milk, phosphorus of milk, %", RABBITS, "published", [0.4, 0.75, 0.5], minerals, pct=5)  # fmt: skip
    outside.tell(LEFT_OUT, "L48 (lysine; phosphorus of growth): no lysine bound for rabbits; the table's phosphorus of a grower's day is a fifth over the print.")  # fmt: skip


def test_growing_pigs(outside: Outside) -> None:
    """Energy, protein and lysine of three bands; one share of lysine in protein serves all."""
    source = "NRC, Nutrient Requirements of Swine 1998"
    kg = np.array([35.0, 65.0, 100.0])
    feed, cp, lysine, kcal = np.array([[1855, 2575, 3075], [18.0, 15.5, 13.2], [0.95, 0.75, 0.60], [6050, 8410, 10030]])
    mj = needs.growing_mj_d(kg, 0.85, 0.444, 15.0, 0.18)
    cp_g = protein.pig_grower_g_mj(kg) * kcal * MJ_PER_KCAL
    found = [grams("pig_grower", "lysine", 30.0, each) for each in cp_g]

    outside.check_close("L50", "ME at 0.85 kg of gain, kcal a day", source, "from memory", kcal, mj / MJ_PER_KCAL, pct=7)  # fmt: skip
    outside.check_close("L50", "crude protein, g a day", source, "from memory", feed * cp / 100, cp_g, pct=0.5)
    outside.check_close("L50", "lysine, g a day", source, "from memory", feed * lysine / 100, np.array(found), pct=8)


def test_a_cow_at_rest(outside: Outside) -> None:
    """600 kg at q 0.6: fasting 36.6 and activity 5.7 MJ over km 0.713."""
    source = "AFRC 1993, Energy and Protein Requirements of Ruminants"
    need = float(needs.cattle_maintenance_mj_d(600.0, milking=True))

    outside.check_close("L51", "ME at rest, MJ; km", source, "from memory", [59.3, 0.713], [need, needs.cattle_km()], pct=0.5)  # fmt: skip


def test_milk_by_day(outside: Outside) -> None:
    """Wood's curve from its parameters, from its peak, and the week of the table's doe."""
    source = "Animal Bioscience 34 (2021) 949-956"
    milk = wood_kg_d(15.2317, 0.1029, 0.0015, np.arange(1, 306))
    a, c = wood_from_peak(42.0, 4.0, 0.2)
    doe = int(lactation(load_klass(TABLES, "goat_dairy_doe")).argmax()) + 1

    outside.check_close("L60", "Simmental: peak day, peak kg, day 305 kg, sum kg", source, "published", [68.6, 21.23, 17.4, 6022], [0.1029 / 0.0015, float(wood_kg_d(15.2317, 0.1029, 0.0015, 68.6)), milk[-1], milk.sum()], pct=0.5)  # fmt: skip
    outside.check_close("L61", "long lactation: peak day, peak kg", source, "published", [60.3, 21.0], [0.0603 / 0.0010, float(wood_kg_d(17.4329, 0.0603, 0.0010, 60.3))], pct=0.5)  # fmt: skip
    outside.check_close("L63", "from its peak: c, a, sum of 305 days", "algebra", "identity", [0.004762, 2.3135, 907.6], [c, a, wood_kg_d(a, 0.2, c, np.arange(1, 306)).sum()], pct=0.2)  # fmt: skip
    outside.check_between("L65", "day of the peak of a doe, in week 6", "Marete and others 2014, Open J. Animal Sciences 4", "published", 36, 42, doe)  # fmt: skip
    outside.tell(LEFT_OUT, "L65 (0.91 kg at the peak, 218 days): crosses in Kenya, the morning's milk alone; the table's doe is a dairy goat.")  # fmt: skip


def test_feeds_as_fed_on_dry_matter(outside: Outside) -> None:
    """As fed over the dry matter is the table's figure."""
    bean, rye = TABLES.row("feeds", "faba_bean"), TABLES.row("feeds", "rye")
    source = "INRAE-CIRAD-AFZ, feedtables.com"
    got = [bean.need("cp_g_kgdm") / 10, bean.need("p_g_kgdm"), rye.need("cp_g_kgdm") / 10]

    outside.check_close("L58", "white faba bean: protein %, P g/kg; rye: protein %, of dry matter", source, "published", [26.7 / 0.86, 4.8 / 0.86, 8.5 / 0.867], got, 0.1)  # fmt: skip
    outside.check_close("L58", "dry matter of both, %", source, "published", [86.0, 86.7], [100 * bean.need("dm_fraction"), 100 * rye.need("dm_fraction")], 0.05)  # fmt: skip
