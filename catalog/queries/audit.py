"""Checks the tables against themselves: what of a food does not add up, and the exceptions with their reasons."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from catalog.catalog import TABLES
from catalog.kinds import Basis
from catalog.mistakes import Mistake
from catalog.reading.csv_tables import choice, number, read_table
from catalog.reading.figures import KINDS, MICROGRAMS
from catalog.reading.names import check_synonyms
from catalog.reading.treatments import read_treatments
from catalog.records import Catalog, Food, Limit

EXCEPTION_COLUMNS = "food check reason".split()
ENERGY_COLUMNS = "ndb_no kcal protein fat carbohydrate source".split()

PROXIMATES = ("water", "protein", "fat", "ash", "carbohydrate")
ASH_ELEMENTS = ("calcium", "phosphorus", "potassium", "sodium", "chloride", "magnesium")
ATWATER = {
    "protein": 4.0,
    "fat": 9.0,
    "carbohydrate": 4.0,
}  # kcal per gram, where USDA prints no factors of the food's own
# How far a sum may be off. The proximates of one food are analysed in different samples, and printed rounded.
MASS_GRAMS = 2.0
FAT_SHARE = 0.97  # the glycerol of fat is no fatty acid
ROUNDING_GRAMS = 0.05
ENERGY_KCAL, ENERGY_SHARE = 2.0, 0.025


@dataclass(frozen=True, slots=True)
class Finding:
    """What is out of line: the food, the check that found it, what there is, what is allowed.

    `reason` is empty, or why audit_exceptions.csv lets it pass.
    """

    food: str
    check: str
    there_is: str
    allowed: str
    file: str
    line: int
    reason: str = ""


@dataclass(frozen=True, slots=True)
class UsdaEnergy:
    """USDA's own energy of a food in kcal per 100 g, and its factors in kcal per gram."""

    kcal: float
    factors: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Audited:
    """The catalog, and USDA's own energy by NDB number."""

    catalog: Catalog
    usda: Mapping[str, UsdaEnergy]


@dataclass(frozen=True, slots=True)
class Off:
    """One thing that is out of line in a food."""

    food: Food
    there_is: str
    allowed: str


Check = Callable[[Audited], Iterator[Off]]


def mass_balance(audited: Audited) -> Iterator[Off]:
    """Water, protein, fat, ash and carbohydrate are about 100 g; where one is unknown, not more than that."""
    for food in audited.catalog.foods.values():
        known = [food.figures[id_].value for id_ in PROXIMATES if id_ in food.figures]
        off = sum(known) - 100
        if off > MASS_GRAMS or (off < -MASS_GRAMS and len(known) == len(PROXIMATES)):
            yield Off(food, f"proximates of {sum(known):.2f} g", f"100 g, {MASS_GRAMS:g} g more or less")


def amino_acids_within_protein(audited: Audited) -> Iterator[Off]:
    """The amino acids together weigh no more than the protein; taurine is no part of it."""
    yield from _within(audited, "amino acid", "protein", 1.0, without=("taurine",))


def fatty_acids_within_fat(audited: Audited) -> Iterator[Off]:
    """The fatty acids together weigh less than the fat."""
    yield from _within(audited, "fatty acid", "fat", FAT_SHARE)


def _within(audited: Audited, group: str, whole: str, share: float, without: tuple[str, ...] = ()) -> Iterator[Off]:
    parts = [n.id for n in audited.catalog.nutrients.values() if n.group == group and not n.sum_of]
    for food in audited.catalog.foods.values():
        if whole not in food.figures:
            continue
        total = sum(food.figures[id_].value for id_ in parts if id_ in food.figures and id_ not in without)
        most = food.figures[whole].value * share
        if total > most + ROUNDING_GRAMS:
            yield Off(food, f"{group}s of {total:.3f} g", f"at most {most:.3f} g, since {whole} is no more")


def minerals_within_ash(audited: Audited) -> Iterator[Off]:
    """The elements that ash is made of weigh no more than it does."""
    for food in audited.catalog.foods.values():
        total = sum(food.figures[id_].value for id_ in ASH_ELEMENTS if id_ in food.figures)
        if "ash" in food.figures and total > food.figures["ash"].value + ROUNDING_GRAMS:
            yield Off(food, f"minerals of {total:.3f} g", f"at most the ash, {food.figures['ash'].value:g} g")


def sums_are_of_their_terms(audited: Audited) -> Iterator[Off]:
    """EPA + DHA and the like are the sum of what they are made of; a label may give the sum alone."""
    for nutrient in audited.catalog.nutrients.values():
        for food in audited.catalog.foods.values():
            terms = [food.figures[term].value for term in nutrient.sum_of if term in food.figures]
            if terms and abs(food.figures[nutrient.id].value - sum(terms)) > 1e-9:
                yield Off(food, f"{nutrient.name} of {food.figures[nutrient.id].value:g}", f"{sum(terms):g}")


def everything_has_a_source(audited: Audited) -> Iterator[Off]:
    """No figure, measure or share without a source that is listed in sources/, and a kind that is known."""
    sources = audited.catalog.sources
    for food in audited.catalog.foods.values():
        cells = {id_: figure.source for id_, figure in food.figures.items()}
        cells |= {f"1 {unit}": measure.source for unit, measure in food.measures.items()}
        cells |= {f"share of {part.food}": part.source for part in food.parts}
        for what, cell in cells.items():
            if not all(sources.get(key.partition(":")[0]) for key in cell.split(" + ")):
                yield Off(food, f"{what} from {cell!r}", "a source in sources/")
        for id_, figure in food.figures.items():
            if figure.kind not in (*KINDS, "partial"):
                yield Off(food, f"{id_} is {figure.kind!r}", ", ".join(KINDS))


def figures_are_possible(audited: Audited) -> Iterator[Off]:
    """Units: nothing weighs more than the food that holds it, is below zero, or lies outside its own range."""
    for food in audited.catalog.foods.values():
        for id_, figure in food.figures.items():
            nutrient = audited.catalog.nutrients[id_]
            grams = figure.high * (MICROGRAMS.get(nutrient.unit) or 1 / (nutrient.iu_per_ug or 1)) / 1e6
            if grams > 100:
                yield Off(food, f"{id_} of {figure.high:g} {nutrient.unit}, {grams:.4g} g in 100 g", "at most 100 g")
            if not 0 <= figure.low <= figure.value <= figure.high or (figure.sd or 0) < 0:
                yield Off(food, f"{id_} of {figure.low:g}, {figure.value:g}, {figure.high:g}", "low <= value <= high")


def energy_is_as_usda_has_it(audited: Audited) -> Iterator[Off]:
    """Protein, fat and carbohydrate give USDA's own energy by USDA's own factors (else 4/9/4 kcal per gram)."""
    for food in audited.catalog.foods.values():
        usda = audited.usda.get(food.ndb_no or "")
        if usda is None or food.parts or not ATWATER.keys() <= food.figures.keys():
            continue
        kcal = sum(factor * food.figures[id_].value for id_, factor in usda.factors.items())
        if abs(kcal - usda.kcal) > max(ENERGY_KCAL, ENERGY_SHARE * usda.kcal):
            by = "/".join(f"{factor:g}" for factor in usda.factors.values())
            allowed = f"USDA's {usda.kcal:g} kcal, {100 * ENERGY_SHARE:g} % or {ENERGY_KCAL:g} kcal more or less"
            yield Off(food, f"{kcal:.1f} kcal by {by}", allowed)


def shares_are_a_whole(audited: Audited) -> Iterator[Off]:
    """The shares of a composite sum to 1 and lie within their intervals; a composite has no figures of its own."""
    for food in audited.catalog.foods.values():
        total = sum(part.share for part in food.parts)
        if food.parts and abs(total - 1) > 1e-9:
            yield Off(food, f"shares that sum to {total:g}", "1")
        if food.parts and food.figures:
            yield Off(food, "figures besides parts", "one of them")
        for part in food.parts:
            if not 0 <= part.share_low <= part.share <= part.share_high <= 1:
                interval = f"{part.share_low:g}, {part.share:g}, {part.share_high:g}"
                yield Off(food, f"{part.food} of {interval}", "0 <= low <= share <= high <= 1")


def every_jar_says_what_it_is_for(audited: Audited) -> Iterator[Off]:
    """A supplement or oil of the tables has its purposes; one that serves no nutrient has a customary amount."""
    for food in _jars(audited):
        if not food.purposes and food.id not in audited.catalog.customary:
            yield Off(food, "no purpose", "a row in purposes.csv, and one in customary.csv if it serves no nutrient")


def every_jar_has_a_usual_price(audited: Audited) -> Iterator[Off]:
    """A jar without any price would be free."""
    for food in _jars(audited):
        if food.usual_price_per_gram is None:
            yield Off(food, "no usual price", "a row in usual_prices.csv")


def _jars(audited: Audited) -> Iterator[Food]:
    """The supplements and oils of the tables; a person's own need none of their rows."""
    for food in audited.catalog.foods.values():
        if food.role in ("supplement", "oil") and not food.file.endswith(".toml"):
            yield food


def purposes_have_figures(audited: Audited) -> Iterator[Off]:
    """A jar holds what it is bought for."""
    for food in audited.catalog.foods.values():
        for id_ in food.purposes:
            if id_ not in food.figures or not food.figures[id_].high:
                yield Off(food, f"{id_} as a purpose, of which it has no figure", "a figure above zero")


def purposes_have_an_amount(audited: Audited) -> Iterator[Off]:
    """Each standard sets a target for what a jar is for, in whatever batch; else something is customary."""
    catalog = audited.catalog
    for food in catalog.foods.values():
        for id_ in (purpose for purpose in food.purposes if purpose not in catalog.customary):
            for (standard, life_stage), limits in catalog.standards.items():
                if limits.file or not limits.limits:
                    continue  # a person's own, or none
                if not any(_is_target(limit, id_) for limit in limits.mandatory):
                    there_is = f"no target of {id_} for {life_stage} in {standard}"
                    yield Off(food, there_is, "a row in customary.csv")


def _is_target(limit: Limit, nutrient: str) -> bool:
    return bool(
        limit.nutrient == nutrient
        and limit.minimum
        and limit.condition is None
        and limit.basis in (Basis.PER_1000_KCAL, Basis.PER_KG_DRY_MATTER)
    )


CHECKS: tuple[Check, ...] = (
    mass_balance,
    amino_acids_within_protein,
    fatty_acids_within_fat,
    minerals_within_ash,
    sums_are_of_their_terms,
    everything_has_a_source,
    figures_are_possible,
    energy_is_as_usda_has_it,
    shares_are_a_whole,
    every_jar_says_what_it_is_for,
    every_jar_has_a_usual_price,
    purposes_have_figures,
    purposes_have_an_amount,
)


def name_of(check: Check) -> str:
    """A check as tables and listings name it: mass-balance."""
    return check.__name__.replace("_", "-")


def audit(catalog: Catalog, folder: Path = TABLES) -> tuple[list[Finding], list[Mistake]]:
    """Everything that is out of line, the exceptions with their reasons, and mistakes in the audit's own tables.

    An exception that nothing needs is a finding too: it would hide the next slip.
    """
    mistakes: list[Mistake] = []
    reasons = _exceptions(folder / "audit_exceptions.csv", catalog, mistakes)
    check_synonyms(folder / "synonyms.csv", catalog, mistakes)
    read_treatments(folder, catalog.nutrients, catalog.sources, mistakes)
    audited = Audited(catalog, _usda_energy(folder / "usda_energy.csv", mistakes))
    needed: set[tuple[str, str]] = set()
    findings: list[Finding] = []
    for check in CHECKS:
        for off in check(audited):
            key = (off.food.id, name_of(check))
            needed.add(key)
            findings.append(
                Finding(*key, off.there_is, off.allowed, off.food.file, off.food.line, reasons.get(key, ""))
            )
    for food, name in reasons:
        if (food, name) not in needed:
            there_is, allowed = "nothing out of line", "no exception in audit_exceptions.csv"
            findings.append(Finding(food, name, there_is, allowed, str(folder / "audit_exceptions.csv"), 0))
    return findings, mistakes


def _exceptions(path: Path, catalog: Catalog, mistakes: list[Mistake]) -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for row in read_table(path, EXCEPTION_COLUMNS, mistakes):
        food = choice(row, "food", catalog.foods, mistakes)
        check = choice(row, "check", [name_of(check) for check in CHECKS], mistakes)
        if not row["reason"]:
            mistakes.append(row.mistake("reason", "why this may stand"))
        # a person's own entry has to be right by itself
        if food and check and not catalog.foods[food].replaces:
            found[food, check] = row["reason"]
    return found


def _usda_energy(path: Path, mistakes: list[Mistake]) -> dict[str, UsdaEnergy]:
    found: dict[str, UsdaEnergy] = {}
    for row in read_table(path, ENERGY_COLUMNS, mistakes):
        kcal = number(row, "kcal", mistakes)
        if kcal is None:
            mistakes.append(row.mistake("kcal", "a number; leave the whole row out if unknown"))
            continue
        factors = {id_: number(row, id_, mistakes) for id_ in ATWATER}
        found[row["ndb_no"]] = UsdaEnergy(kcal, {id_: factors[id_] or ATWATER[id_] for id_ in ATWATER})
    return found
