"""What each class of a group eats, drinks, drops and gives on each of the 365 days of a larder year."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.ledger.months import DAYS_IN_YEAR
from yardland.ledger.units import MJ_PER_KCAL
from yardland.reference import Tables
from yardland.stock import needs, protein
from yardland.stock.cohorts import Cohort, GroupYear, Litter
from yardland.stock.kinds import Husbandry, Klass, load_klass
from yardland.stock.lactation import fat_corrected_kg, lactation_kg_d, milk_energy_mj_kg, wood_from_peak
from yardland.stock.laying import flock_eggs
from yardland.stock.sky import Sky

F64 = npt.NDArray[np.float64]


def _zeros() -> F64:
    return np.zeros(DAYS_IN_YEAR)


@dataclass
class ClassDays:
    """Daily sums over the heads of one class, float64 [365] each; `products` by good."""

    klass: Klass
    heads: F64 = field(default_factory=_zeros)
    energy_mj: F64 = field(default_factory=_zeros)
    protein_g: F64 = field(default_factory=_zeros)
    dry_matter_max_kg: F64 = field(default_factory=_zeros)
    water_l: F64 = field(default_factory=_zeros)
    manure_kg: F64 = field(default_factory=_zeros)
    manure_n_g: F64 = field(default_factory=_zeros)
    suckling_need_mj: F64 = field(default_factory=_zeros)
    suckled_mj: F64 = field(default_factory=_zeros)
    products: dict[str, F64] = field(default_factory=dict)

    def give(self, good: str, day: int | npt.NDArray[np.int64], kg: float | F64) -> None:
        """Add a product on a day or days; nothing if the class has no such good."""
        if good:
            np.add.at(self.products.setdefault(good, _zeros()), np.asarray(day) % DAYS_IN_YEAR, kg)


def group_days(year: GroupYear, milk_share: str, tables: Tables, sky: Sky) -> dict[str, ClassDays]:
    """Daily sums of every class of a group, in the order adults, then young and bought.

    Args:
        year: its heads, litters and cohorts.
        milk_share: manner of sharing the milk with the young (a value of Group.milk_share).
        tables: figures.
        sky: temperature and light of the larder year.
    """
    keep = Husbandry(tables)
    days: dict[str, ClassDays] = {}

    def of(klass: Klass) -> ClassDays:
        return days.setdefault(klass.key, ClassDays(klass))

    for klass, heads in year.adults.values():
        if klass.kind.role != "grower":
            _adults(of(klass), heads, year, sky, keep)
    for litter in year.litters:
        young = of(load_klass(tables, litter.dam.young))
        _bear(of(litter.dam), young, litter, _suckling_d(year, litter), manner=milk_share, keep=keep)
    for cohort in year.cohorts:
        _grow(of(cohort.klass), cohort, sky, keep)
    for item in days.values():
        _appetite(item)
        _suckle(item)
    _slaughter(year, of, tables)
    return days


def heat_on_water(sky: Sky, keep: Husbandry) -> F64:
    """Factor on drinking water in the heat, [365]: 1 up to a temperature, then rising in a straight line."""
    low, high = keep["heat_water_from_c"], keep["heat_water_full_c"]
    return np.asarray(1.0 + keep["heat_water_share"] * np.clip((sky.temperature_c - low) / (high - low), 0.0, None))


def _adults(days: ClassDays, heads: int, year: GroupYear, sky: Sky, keep: Husbandry) -> None:
    """Adults that stand all year at a steady number."""
    klass = days.klass
    weight = klass.adult_kg()
    days.heads += heads
    eggs = _lay(days, heads, year, sky, keep) if klass.good("egg") else _zeros()
    energy, crude = resting(klass, sky, eggs / heads, keep)
    days.energy_mj += heads * energy
    days.protein_g += heads * crude
    _body(days, np.arange(DAYS_IN_YEAR), heads, np.full(DAYS_IN_YEAR, weight), sky=sky, keep=keep)
    if klass.kind.role == "colony":
        _honey(days, heads, year, sky, keep)


def resting(klass: Klass, sky: Sky, egg_mass_g: F64, keep: Husbandry) -> tuple[F64, F64]:
    """Energy and protein of one adult without young or milk, [365] each."""
    weight, kind = klass.adult_kg(), klass.kind
    flat = np.ones(DAYS_IN_YEAR)
    if kind.energy == "none":
        return _zeros(), _zeros()
    if kind.energy == "sheep":
        sire = 1.0 + klass.herd_figure("activity_share")
        return flat * needs.ewe_maintenance_mj_d(weight) * sire, flat * protein.ewe_maintenance_g_d(weight) * sire
    if kind.energy == "cattle":
        crude = protein.cattle_g_d(weight, 0.0, 0.0)
        return flat * needs.cattle_maintenance_mj_d(weight, milking=False), flat * crude
    if kind.energy in {"hen", "bird"}:
        housed = _bird_energy(klass, keep["protein_at_c"] * flat, egg_mass_g)
        energy = _bird_energy(klass, sky.temperature_c, egg_mass_g) * (1.0 + keep["free_range_share"])
        return energy, housed * protein_g_mj(klass)
    energy = _rest_energy(klass, weight)
    if kind.energy == "goat":
        return energy, protein.goat_g_d(energy, 0.0, 0.0)
    return energy, energy * (protein.rabbit_g_mj("maintenance") if kind.energy == "rabbit" else protein_g_mj(klass))


def _bird_energy(klass: Klass, temperature_c: F64, egg_mass_g: F64) -> F64:
    """Energy of a housed bird that lays or rests, [365]; cold and range ask for more of it, but for no more protein."""
    weight = klass.adult_kg()
    if klass.kind.energy == "hen":
        layer = needs.amen_layer_mj_d(weight, temperature_c, 0.0, egg_mass_g)
        return np.asarray(layer * (1.0 + klass.herd_figure("activity_share")))
    rest = klass.herd.need("maintenance_mj_kg075") * needs.metabolic_kg075(weight)
    return np.asarray(rest + 2.07 * MJ_PER_KCAL * egg_mass_g)


def _rest_energy(klass: Klass, weight: float) -> F64:
    flat = np.ones(DAYS_IN_YEAR)
    if klass.kind.energy == "goat":
        return flat * needs.goat_maintenance_mj_d(weight, klass.herd_figure("activity_share"))
    if klass.kind.energy == "pig":
        base = needs.pig_maintenance_mj_d(weight)
        return flat * (base + klass.herd_figure("activity_mj_d"))
    return flat * needs.rabbit_maintenance_mj_d(weight)


def protein_g_mj(klass: Klass) -> float:
    """Crude protein that goes with a unit of energy: the table's day of protein over the same day's energy."""
    row = klass.row
    grams = row["cp_g_d"] or row.need("cp_fraction_of_diet") * row.need("dmi_kg_d") * 1000.0
    return grams / row.need("me_typical_production_mj_d")


def _lay(days: ClassDays, heads: int, year: GroupYear, sky: Sky, keep: Husbandry) -> F64:
    """Egg mass laid each day, g [365]; eggs set under broody birds are not given to the kitchen."""
    klass = days.klass
    mass = heads * flock_eggs(klass, sky, keep) * klass.row.need("egg_weight_g")
    kitchen_kg = mass / 1000.0
    for litter in year.litters:
        if litter.dam.key == klass.key:
            _set_aside(kitchen_kg, litter, klass.row.need("egg_weight_g") / 1000.0)
    days.give(klass.good("egg"), np.arange(DAYS_IN_YEAR), kitchen_kg)
    return mass


def _set_aside(kitchen_kg: F64, litter: Litter, egg_kg: float) -> None:
    """Take the eggs that are set out of the days before the setting."""
    wanted = litter.eggs_set * egg_kg
    day = litter.day - round(litter.dam.row.need("gestation_or_incubation_d"))
    for back in range(DAYS_IN_YEAR):
        at = (day - back) % DAYS_IN_YEAR
        taken = min(wanted, kitchen_kg[at])
        kitchen_kg[at] -= taken
        wanted -= taken
        if wanted <= 0.0:
            return


def _body(days: ClassDays, at: npt.NDArray[np.int64], heads: int, weight: F64, *, sky: Sky, keep: Husbandry) -> None:
    """Greatest dry matter, water and manure of heads of a weight on each of their days."""
    klass, day = days.klass, at % DAYS_IN_YEAR
    share = weight / klass.typical_kg()
    eaten = klass.figure("dmi_kg_d") * keep["intake_margin"] if klass.row["dmi_pct_lw"] else 0.0
    np.add.at(days.dry_matter_max_kg, day, heads * eaten * share**0.75)
    np.add.at(
        days.water_l, day, heads * klass.figure("drinking_water_l_d") * share**0.75 * heat_on_water(sky, keep)[day]
    )
    np.add.at(days.manure_kg, day, heads * klass.figure("manure_kg_d") * share)
    np.add.at(days.manure_n_g, day, heads * klass.figure("manure_n_g_d") * share)


def _honey(days: ClassDays, colonies: int, year: GroupYear, sky: Sky, keep: Husbandry) -> None:
    """Honey is taken in the month after the longest days, when the main flow is over and before winter bees are raised."""
    month = sky.months[(int(np.argmax(sky.daylength_h)) + 1) % 12]
    harvest = np.arange(month.first_day, month.first_day + month.days)
    honey = colonies * days.klass.row.need("honey_kg_per_year")
    days.give(days.klass.good("other"), harvest, np.full(month.days, honey / month.days))
    days.give("beeswax", harvest, np.full(month.days, colonies * keep["wax_kg_colony"] / month.days))
    year.note("honey", month.first_day, days.klass.key, colonies)


def lactation(dam: Klass) -> F64:
    """Milk of one dam on each day of her lactation, kg."""
    length = round(dam.row.need("lactation_d"))
    b = dam.row["wood_b"] or dam.herd.need("wood_b")
    c = dam.row["wood_c"] or wood_from_peak(dam.herd.need("milk_peak_day"), 1.0, b)[1]
    return lactation_kg_d(dam.row.need("milk_kg_per_lactation"), length, b, c)


def milk_energy(dam: Klass) -> float:
    """Gross energy of the class's milk, MJ/kg: by its fat and protein where the tables give them."""
    fat, crude = dam.row["milk_fat_pct"], dam.row["milk_protein_pct"]
    if fat is None or crude is None:
        return dam.herd.need("milk_energy_mj_kg")
    return milk_energy_mj_kg(10.0 * fat, 10.0 * crude)


def household_share(dam: Klass, length: int, suckling: int, manner: str, keep: Husbandry) -> F64:
    """Share of each day's milk that the household gets, [length]: none of the colostrum, by manner while young suck, then all."""
    day = np.arange(1, length + 1)
    if not dam.good("milk") or manner == "none":
        return np.zeros(length)
    while_suckling = keep["milk_share_" + manner.replace(" ", "_")]
    share = np.where(day <= suckling, while_suckling, 1.0)
    return np.asarray(np.where(day <= keep["colostrum_days"], 0.0, share))


def _suckling_d(year: GroupYear, litter: Litter) -> int:
    """Days that young of a litter suck: to weaning, or to the end of the last of them."""
    own = [item for item in year.cohorts if item.weaned_d and item.start_day == litter.day % DAYS_IN_YEAR]
    stays = [min(item.weaned_d, item.days) for item in own if item.klass.key == litter.dam.young]
    return max(stays, default=0)


def _bear(days: ClassDays, young: ClassDays, litter: Litter, suckling: int, *, manner: str, keep: Husbandry) -> None:
    """Pregnancy and milk of the dams of one litter, on top of their rest."""
    dam = litter.dam
    if dam.kind.sits != "litter":
        return
    before = round(dam.row.need("gestation_or_incubation_d"))
    left = np.arange(before, 0, -1)
    energy, crude = pregnancy(dam, left)
    _add(days, litter.day - left, litter.dams * energy, litter.dams * crude)
    milk = lactation(dam)
    if manner == "none" or not dam.good("milk"):
        milk = milk[: max(suckling, 1)]
    at = litter.day + np.arange(len(milk))
    energy, crude = milking(dam, milk, litter, young.klass)
    _add(days, at, litter.dams * energy, litter.dams * crude)
    share = household_share(dam, len(milk), suckling, manner, keep)
    days.give(dam.good("milk"), at, litter.dams * milk * share)
    to_young = litter.dams * milk * (1.0 - share) * (np.arange(len(milk)) < suckling)
    np.add.at(young.suckled_mj, at % DAYS_IN_YEAR, to_young * milk_energy(dam) * keep["milk_metabolisable"])


def _add(days: ClassDays, at: npt.NDArray[np.int64], energy: F64, crude: F64) -> None:
    np.add.at(days.energy_mj, at % DAYS_IN_YEAR, energy)
    np.add.at(days.protein_g, at % DAYS_IN_YEAR, crude)


def pregnancy(dam: Klass, left: npt.NDArray[np.int64]) -> tuple[F64, F64]:
    """Energy and protein that young within add to a dam's rest, by days to birth."""
    weight, family = dam.adult_kg(), dam.kind.energy
    if family == "sheep":
        extra = needs.ewe_pregnancy_factor(left, dam.row.need("litter_or_clutch_size")) - 1.0
        return extra * needs.ewe_maintenance_mj_d(weight), extra * protein.ewe_maintenance_g_d(weight)
    if family == "goat":
        energy = needs.goat_late_pregnancy_mj_d(left)
        return energy, protein.goat_g_d(energy, 0.0, 0.0)
    if family == "cattle":
        calf_kg = dam.row.need("birth_weight_kg")
        energy = needs.cattle_pregnancy_mj_d(left, calf_kg, dam.row.need("gestation_or_incubation_d"))
        return energy, energy * protein_g_mj(dam)
    if family == "pig":
        energy = np.full(len(left), float(needs.sow_pregnant_mj_d(weight) - needs.pig_maintenance_mj_d(weight)))
        return energy, energy * protein_g_mj(dam)
    energy = needs.rabbit_doe_mj_d(weight, 0.0, left) - needs.rabbit_maintenance_mj_d(weight)
    return energy, energy * protein.rabbit_g_mj("gestation")


def milking(dam: Klass, milk: F64, litter: Litter, young: Klass) -> tuple[F64, F64]:
    """Energy and protein that milk adds to a dam's rest, by day of lactation."""
    weight, family = dam.adult_kg(), dam.kind.energy
    if family == "sheep":
        return needs.SHEEP_MILK_MJ_KG * milk, protein.SHEEP_MILK_G_KG * milk
    if family == "goat":
        energy = needs.goat_milk_mj_d(fat_corrected_kg(milk, dam.figure("milk_fat_pct", 4.0)))
        return energy, protein.goat_g_d(energy, milk, energy)
    if family == "cattle":
        walking = needs.cattle_maintenance_mj_d(weight, milking=True) - needs.cattle_maintenance_mj_d(
            weight, milking=False
        )
        crude = protein.cattle_g_d(weight, milk, 10.0 * dam.row.need("milk_protein_pct"))
        return walking + needs.cattle_milk_mj_d(milk, milk_energy(dam)), crude - protein.cattle_g_d(weight, 0.0, 0.0)
    if family == "pig":
        age = np.arange(len(milk))
        gain_g = 1000.0 * litter.reared / litter.dams * young.gain_kg_d(age)
        energy = needs.sow_milking_mj_d(weight, gain_g, litter.reared / litter.dams) - needs.pig_maintenance_mj_d(
            weight
        )
        return energy, energy * protein_g_mj(dam)
    energy = needs.rabbit_doe_mj_d(weight, milk, -1.0) - needs.rabbit_maintenance_mj_d(weight)
    return energy, energy * protein.rabbit_g_mj("lactation")


def _grow(days: ClassDays, cohort: Cohort, sky: Sky, keep: Husbandry) -> None:
    """Young of one age from arrival to the end of their stay."""
    step = np.arange(cohort.days)
    age = cohort.start_age_d + step
    weight, gain = cohort.curve.weight_kg(age), cohort.curve.gain_kg_d(age)
    energy = growing_energy(cohort.klass, weight, gain, keep)
    at = cohort.start_day + step
    np.add.at(days.heads, at % DAYS_IN_YEAR, cohort.heads)
    _add(days, at, cohort.heads * energy, cohort.heads * energy * growing_protein(cohort.klass, weight, keep))
    np.add.at(days.suckling_need_mj, at % DAYS_IN_YEAR, cohort.heads * energy * (age < cohort.weaned_d))
    _body(days, at, cohort.heads, weight, sky=sky, keep=keep)


def growing_energy(klass: Klass, weight: F64, gain: F64, keep: Husbandry) -> F64:
    """Energy of one growing animal, MJ a day, in its class's system."""
    herd, kind = klass.herd, klass.kind
    a, b = herd.need("gain_mj_kg"), klass.herd_figure("gain_mj_kg_per_kg")
    if kind.energy == "goat":
        return np.asarray(
            needs.goat_maintenance_mj_d(weight, klass.herd_figure("activity_share")) + needs.GOAT_GAIN_MJ_KG * gain
        )
    if kind.key == "beef_steer":
        return np.asarray(needs.cattle_maintenance_mj_d(weight, milking=False) + gain * (a + b * weight))
    energy = needs.growing_mj_d(weight, gain, herd.need("maintenance_mj_kg075"), a, b)
    return energy * (1.0 + keep["free_range_share"]) if klass.system == "amen_poultry" else energy


def growing_protein(klass: Klass, weight: F64, keep: Husbandry) -> F64:
    """Grams of protein per MJ for a growing animal; what poultry spend on the range asks for none."""
    if klass.kind.energy == "pig":
        return protein.pig_grower_g_mj(weight)
    if klass.kind.energy == "rabbit":
        return np.full(len(weight), protein.rabbit_g_mj("growth"))
    outside = 1.0 + keep["free_range_share"] if klass.system == "amen_poultry" else 1.0
    return np.full(len(weight), protein_g_mj(klass) / outside)


def _appetite(days: ClassDays) -> None:
    """An animal can eat what its growth and milk ask for on the leanest ration that its class thrives on."""
    ration = days.klass.herd["ration_mj_kgdm"]
    if ration:
        days.dry_matter_max_kg = np.maximum(days.dry_matter_max_kg, days.energy_mj / ration)


def _suckle(days: ClassDays) -> None:
    """Milk takes the place of feed for the young, up to what they need; its protein goes with its energy."""
    drunk = np.minimum(days.suckled_mj, days.suckling_need_mj)
    left = 1.0 - np.divide(drunk, days.energy_mj, out=_zeros(), where=days.energy_mj > 0.0)
    days.energy_mj *= left
    days.protein_g *= left


def _slaughter(year: GroupYear, of: Callable[[Klass], ClassDays], tables: Tables) -> None:
    """Carcass, offal and fat of the heads killed and culled, on their day."""
    for event in year.events:
        if event.kind not in {"killed", "culled"}:
            continue
        klass = load_klass(tables, event.klass)
        if klass.row["dressing_fraction"] is None:
            continue
        days = of(klass)
        days.give(klass.good("meat"), event.day, event.live_kg * klass.figure("dressing_fraction"))
        days.give(klass.good("offal"), event.day, event.live_kg * klass.figure("offal_kg_per_kg_live"))
        days.give(klass.good("fat"), event.day, event.live_kg * klass.figure("fat_kg_per_kg_live"))
