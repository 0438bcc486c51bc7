"""Reads and writes the quantities a kitchen uses, exactly: "2 lb 3 oz", "1 1/4 tsp", "1/2 tsp per 5 kg".

Units are converted by `catalog.units.sizes`, as exact fractions. Spoons and cups are
US customary: 1 tsp = 4.92892159375 ml, 1 tbsp = 3 tsp, 1 cup = 16 tbsp = 48 tsp, 1 fl oz = 2 tbsp. A metric
spoon of 5 ml holds 1.4 % more than a US teaspoon. Ounces and pounds are avoirdupois.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from catalog.units.sizes import size_of
from catalog.units.spelling import (
    METRIC,
    NUMBER,
    SPELLINGS,
    WORDS,
    QuantityError,
    canonical_unit,
    clean,
    plural,
    read_number,
    singular,
    unit_kind,
)

__all__ = [
    "Quantity",
    "QuantityError",
    "Rate",
    "canonical_unit",
    "convert",
    "read_quantity",
    "read_rate",
    "read_share",
    "rule_of_three",
    "write_count",
    "write_mass",
]

QUANTITY = 'an amount with its unit above zero, such as "2 lb 3 oz", "1.1 kg", "1 1/4 tsp" or "2 capsules"'
RATE = 'an amount per weight of meat, such as "1/2 tsp per 5 kg"'
SHARE = 'a share from 0 to 100 %, such as "5 %" or 0.05'
KITCHEN_FRACTIONS = (2, 4, 8, 16, 32, 64)  # of a teaspoon, down to what measuring spoons are sold for


@dataclass(frozen=True, slots=True)
class Quantity:
    """How much of a thing: `kind` is mass, volume or count; `amount` is in g, in ml, or a number of things.

    `unit` is the canonical unit it was written in (of "2 lb 3 oz": lb), `text` what was written, `packages` how many
    packages it says that it is in (of "3 x 450 g": 3).
    """

    kind: str
    amount: Fraction
    unit: str
    text: str
    packages: int = 1

    @property
    def count(self) -> Fraction:
        """The amount in `unit`."""
        return self.amount / size_of(self.unit)


@dataclass(frozen=True, slots=True)
class Rate:
    """A dose by weight of meat: `quantity` for every `per_grams` grams."""

    quantity: Quantity
    per_grams: Fraction
    text: str


def read_quantity(text: object, *, allowed: str = QUANTITY, bare_dozen: bool = False) -> Quantity:
    """The quantity in a text: "2 lb 3 oz", "1/2 cup + 1 tbsp", "3 packages of 1.1 kg", "3 x 450 g", "2 dozen eggs".

    `bare_dozen` also allows "1 dozen" of a thing not named: unit "" and an amount of 12. Raises QuantityError,
    with `allowed`, for anything else and for what is not above zero.
    """
    plain = clean(text, allowed)
    times = re.match(rf"({NUMBER}) ?(?:(?:x|\*) ?|({WORDS}) of )(?=[0-9.])", plain, re.IGNORECASE)
    if times and times[2] and unit_kind(canonical_unit(times[2], allowed)) != "count":
        raise QuantityError(f"{text!r}: {times[2]} is no kind of package", allowed)
    factor = read_number(times[1], allowed) if times else Fraction(1)
    total = _read_sum(plain[times.end() :] if times else plain, str(text), allowed, bare_dozen)
    if factor * total.amount <= 0:
        raise QuantityError(f"{text!r} must be above zero", allowed)
    packages = max(1, int(factor)) if times else 1
    return Quantity(total.kind, factor * total.amount, total.unit, str(text).strip(), packages)


def _read_sum(plain: str, text: str, allowed: str, bare_dozen: bool) -> Quantity:
    """One number with its unit, or several of one dimension from large to small, with or without "+" between."""
    plain = re.sub(r"(?<=[^\W\d_]) \+ (?=[0-9])", " ", plain)
    terms = [(m[1], m[2]) for m in re.finditer(rf"({NUMBER}) ?({WORDS})? ?", plain)]
    rest = re.sub(rf"({NUMBER}) ?({WORDS})? ?", "", plain)
    if rest or not terms:
        if not re.match(r"[0-9.]", plain):
            raise QuantityError(f"{text!r} does not begin with a number", allowed)
        raise QuantityError(f"{text!r} cannot be read from {rest[:20]!r} on", allowed)
    units: list[str] = []
    total, last_size = Fraction(0), None
    for number, words in terms:
        if words is None:
            raise QuantityError(f"{text!r} has no unit after {number}", allowed, "Write the unit too.")
        dozen = re.fullmatch(r"dozens?(?: (.+))?", words, re.IGNORECASE)
        unit = (canonical_unit(dozen[1], allowed) if dozen[1] else "") if dozen else canonical_unit(words, allowed)
        if dozen and (unit_kind(unit) != "count" or not (unit or bare_dozen)):
            raise QuantityError(f"{text!r}: a dozen of what?", allowed, 'Write, for example, "1 dozen eggs".')
        if units and unit_kind(unit) != unit_kind(units[0]):
            hint = "oz is a mass, fl oz a volume." if "oz" in (unit, units[0]) else ""
            raise QuantityError(f"{text!r} mixes {unit_kind(units[0])} and {unit_kind(unit)}", allowed, hint)
        if units and unit_kind(unit) == "count":
            raise QuantityError(f"{text!r} counts twice", allowed, "Write one entry for each.")
        size = size_of(unit)
        if last_size is not None and size >= last_size:
            raise QuantityError(f"{text!r}: units have to go from large to small", allowed)
        total += read_number(number, allowed) * size * (12 if dozen else 1)
        last_size = size
        units.append(unit)
    return Quantity(unit_kind(units[0]), total, units[0], text)


def convert(quantity: Quantity, unit: str) -> Fraction:
    """The quantity as a number of `unit`, which must measure the same: mass, volume, or the same things."""
    wanted = canonical_unit(unit) if unit else ""
    same = quantity.kind == unit_kind(wanted) and (quantity.kind != "count" or quantity.unit == wanted)
    if not same:
        allowed = f"a {quantity.kind}" if quantity.kind != "count" else f"the same things: {quantity.unit}"
        raise QuantityError(f"{quantity.text!r} cannot be given in {unit}", allowed)
    return quantity.amount / size_of(wanted)


def split_per(plain: str, allowed: str) -> tuple[str, str]:
    """What stands before and after "per" or the slash that follows a unit."""
    parts = re.split(r"(?<=[^\W\d_]) ?/ ?| per ", plain, flags=re.IGNORECASE)
    if len(parts) != 2 or not all(parts):
        raise QuantityError(f'{plain!r} needs one "per"', allowed)
    return parts[0], parts[1]


def with_number(plain: str) -> str:
    """`plain` with "1" before it unless a number is there: "kg" -> "1 kg"."""
    return plain if re.match(r"[0-9.]", plain) else "1 " + plain


def read_rate(text: object) -> Rate:
    """An amount per weight of meat: "1/2 tsp per 5 kg", "2 capsules per 10 lb", "1 g/kg of meat"."""
    amount, weight = split_per(clean(text, RATE), RATE)
    per = read_quantity(with_number(re.sub(r" (?:of )?meat$", "", weight, flags=re.IGNORECASE)), allowed=RATE)
    if per.kind != "mass":
        raise QuantityError(f"{text!r}: {per.text} is no weight", RATE)
    return Rate(read_quantity(amount, allowed=RATE), per.amount, str(text).strip())


def read_share(value: object) -> Fraction:
    """A share from 0 to 1: "5 %", "5%", "0.05", or the number 0.05. A bare 5 is refused, being over 100 %."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        if not -math.inf < value < math.inf:
            raise QuantityError(f"{value!r} is no number", SHARE)
        share = Fraction(str(value))  # by way of its text, which is what was written: 0.05 is 1/20
    else:
        plain = clean(value, SHARE)
        share = read_number(plain.rstrip("% "), SHARE) / (100 if plain.endswith("%") else 1)
        if plain.count("%") > 1:
            raise QuantityError(f"{value!r} has too many per cent signs", SHARE)
    if share < 0:
        raise QuantityError(f"{value!r} is negative", SHARE)
    if share > 1:
        hint = f'Did you mean "{value} %"?' if "%" not in str(value) and share <= 100 else ""
        raise QuantityError(f"{value!r} is over 100 %", SHARE, hint)
    if share == 1 and "%" not in str(value):
        raise QuantityError(f"{value!r} may be 1 % or all of it", SHARE, 'Write "1 %" or "100 %".')
    return share


def rule_of_three(dose: Rate, meat_grams: Fraction | float, step: Quantity) -> Fraction:
    """The dose for `meat_grams` in proportion, to the nearest step (half a step goes up), in `step.unit`.

    Common practice, no source: 1 tsp per 14 lb is 1 1/4 tsp at 17 lb to the nearest 1/4 tsp.
    """
    if not math.isfinite(meat_grams) or meat_grams < 0:
        raise QuantityError(f"{meat_grams!r} g is no weight of meat", "grams of meat, zero or more")
    convert(step, dose.quantity.unit)  # raises where the step measures something else
    wanted = dose.quantity.amount * Fraction(meat_grams) / dose.per_grams
    return half_up(wanted / step.amount) * step.count


def half_up(value: Fraction) -> int:
    """The nearest whole number, halves upwards."""
    return math.floor(value + Fraction(1, 2))


def write_count(count: Fraction, unit: str) -> str:
    """A number of a unit, exactly, so that `read_quantity` gives it back: "1 1/4 tsp", "2 capsules", "0.3 g"."""
    one = SPELLINGS.get(unit) or singular(unit)
    word = one if 0 < abs(count) <= 1 else plural(one)
    return f"{_exact(Fraction(count), one not in METRIC)} {word}".rstrip()


def _exact(value: Fraction, kitchen: bool) -> str:
    """Whole numbers; kitchen fractions (halves to 64ths, thirds) if `kitchen`; short decimals; else fractions."""
    sign, value = "-" if value < 0 else "", abs(value)
    if (value * 10**6).denominator == 1 and not (kitchen and value.denominator in KITCHEN_FRACTIONS):
        return sign + _decimal(value, 6)
    whole, part = divmod(value, 1)
    return f"{sign}{f'{whole} ' if whole else ''}{part}"


def _decimal(value: Fraction, places: int) -> str:
    """`value`, zero or more, to at most so many decimal places, half up, without trailing zeros."""
    digits = f"{half_up(value * 10**places):0{places + 1}d}"
    return f"{digits[:-places]}.{digits[-places:]}".rstrip("0").rstrip(".") if places else digits


def write_mass(grams: Fraction | float, system: str) -> str:
    """A mass to read off a scale; `system` is metric or us.

    Metric: whole grams from 1 kg up ("2.35 kg"), tenths from 100 g, hundredths from 1 g. US: pounds and
    ounces, in quarters of an ounce where that is exact, else in tenths ("2 lb 3.4 oz"). Below 1 g or 1 oz
    three significant digits, so that a small dose is never rounded away.
    """
    if system not in ("metric", "us") or not math.isfinite(grams):
        raise QuantityError(f"{grams!r} g in {system!r} cannot be written", "a finite mass; metric or us")
    sign, exact = "-" if grams < 0 else "", abs(Fraction(grams))
    if system == "metric":
        if half_up(exact * 10) >= 10_000:
            return f"{sign}{_decimal(exact / 1000, 3)} kg"
        return f"{sign}{_decimal(exact, 1 if exact >= 100 else 2 if exact >= 1 else _places(exact))} g"
    ounces = exact / size_of("oz")
    quarters = Fraction(half_up(ounces * 4), 4)
    if quarters and abs(ounces - quarters) <= quarters / 10**9:  # a float of an exact quarter counts as exact
        ounces = quarters
    elif ounces >= 1:
        ounces = Fraction(half_up(ounces * 10), 10)
    else:
        return f"{sign}{_decimal(ounces, _places(ounces))} oz"
    pounds, rest = divmod(ounces, 16)
    parts = [f"{pounds} lb"] if pounds else []
    return sign + " ".join([*parts, write_count(rest, "oz")] if rest else parts)


def _places(value: Fraction) -> int:
    """Decimal places that give a value below one three significant digits."""
    return 2 - math.floor(math.log10(value)) if value else 0
