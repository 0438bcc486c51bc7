"""Reads the bounds of limits: an amount of a nutrient on its basis, and ratios."""

import re
from fractions import Fraction

from catalog.kinds import Basis
from catalog.units.quantities import read_quantity, split_per, with_number
from catalog.units.sizes import size_of
from catalog.units.spelling import NUMBER, WORDS, QuantityError, canonical_unit, clean, read_number

LIMIT = 'an amount per 1000 kcal, kg, kg dry matter or batch, such as "200 mg per 1000 kcal"'
RATIO = "a ratio such as 1.2"
NUTRIENT_UNITS = ("g", "mg", "ug", "IU")


def read_limit(text: object, nutrient_unit: str, iu_per_ug: float | None = None) -> tuple[float, Basis]:
    """An amount of a nutrient in `nutrient_unit` (g, mg, ug, IU), and its basis.

    The basis is per_1000_kcal, per_kg_dry_matter, per_kg or per_batch; "per 100 kcal" and "per 100 g dry
    matter" are brought to it. A mass becomes IU by `iu_per_ug`; IU never become a mass. Zero is allowed.
    """
    amount, per = split_per(clean(text, LIMIT), LIMIT)
    match = re.fullmatch(rf"({NUMBER}) ?({WORDS})", amount)
    unit = "IU" if match and match[2].casefold() == "iu" else canonical_unit(match[2], LIMIT) if match else ""
    if match is None or unit not in NUTRIENT_UNITS:
        raise QuantityError(f"{amount!r} is no amount in g, mg, ug or IU", LIMIT)
    if nutrient_unit not in NUTRIENT_UNITS:
        raise QuantityError(f"{nutrient_unit!r} is no unit of a nutrient", ", ".join(NUTRIENT_UNITS))
    value = read_number(match[1], LIMIT)
    if unit != nutrient_unit:
        if unit == "IU" or (nutrient_unit == "IU" and not iu_per_ug):
            raise QuantityError(f"{unit} cannot become {nutrient_unit} here", f"an amount in {nutrient_unit}")
        value *= size_of(unit) / size_of("ug" if nutrient_unit == "IU" else nutrient_unit)
        value *= Fraction(str(iu_per_ug)) if nutrient_unit == "IU" else 1
    scale, basis = _read_basis(per.casefold())
    return float(value * scale), basis


def read_ratio(value: object) -> float:
    """A ratio above zero: the number 1.2, or "1.2" or "6/5" as text. Raises QuantityError."""
    written = str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value
    plain = clean(written, RATIO)
    if not re.fullmatch(NUMBER, plain) or not 0 < (ratio := _ratio(plain)) <= 100:
        raise QuantityError(f"{value!r} is no ratio", RATIO)
    return float(ratio)


def _ratio(plain: str) -> Fraction:
    """A number, or one divided by another."""
    top, slash, bottom = plain.partition("/")
    if slash and " " not in top and int(bottom):
        return Fraction(int(top), int(bottom))
    return read_number(plain, RATIO)


def _read_basis(per: str) -> tuple[Fraction, Basis]:
    """What an amount is multiplied by to be on its basis, and the basis."""
    if per in ("batch", "1 batch"):
        return Fraction(1), Basis.PER_BATCH
    energy = re.fullmatch(rf"({NUMBER}) ?kcal", per)
    if energy and read_number(energy[1], LIMIT) > 0:
        return 1000 / read_number(energy[1], LIMIT), Basis.PER_1000_KCAL
    dry = re.fullmatch(r"(.+?) (?:of )?(?:dry matter|dm)", per)
    weight = read_quantity(with_number(dry[1] if dry else per), allowed=LIMIT)
    if weight.kind != "mass":
        raise QuantityError(f"{per!r} is no basis of a limit", LIMIT)
    return 1000 / weight.amount, Basis.PER_KG_DRY_MATTER if dry else Basis.PER_KG
