"""The numbers and unit words of a kitchen as text: "1 1/4", "½", "lbs", "pump strokes". Knows no sizes."""

import re
import unicodedata
from difflib import get_close_matches
from fractions import Fraction

from catalog.bounds import too_large
from catalog.mistakes import did_you_mean

LONGEST_TEXT = 100
NUMBER = r"(?:[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+\.[0-9]+|[0-9]+)"
WORDS = r"[^\W\d_]+(?:[ -][^\W\d_]+)*"
UNITS = "ug, mg, g, kg, oz, lb, ml, l, tsp, tbsp, fl oz, cup or a count word such as capsule"

# Canonical unit -> its other spellings, in small letters. Everything else that is a word counts things.
MASS = {
    "ug": ("mcg", "μg", "microgram", "micrograms"),
    "mg": ("milligram", "milligrams", "milligramme", "milligrammes"),
    "g": ("gram", "grams", "gramme", "grammes"),
    "kg": ("kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"),
    "oz": ("ounce", "ounces"),
    "lb": ("lbs", "pound", "pounds"),
    "stone": ("stones",),
}
VOLUME = {
    "ml": ("cc", "millilitre", "millilitres", "milliliter", "milliliters"),
    "cl": ("centilitre", "centilitres", "centiliter", "centiliters"),
    "dl": ("decilitre", "decilitres", "deciliter", "deciliters"),
    "l": ("litre", "litres", "liter", "liters"),
    "tsp": ("teaspoon", "teaspoons"),
    "tbsp": ("tablespoon", "tablespoons"),
    "fl oz": ("floz", "fluid oz", "fluid ounce", "fluid ounces"),
    "cup": ("cups",),
    "pint": ("pints",),
    "quart": ("quarts",),
    "gallon": ("gallons",),
}
METRIC = frozenset(("ug", "mg", "g", "kg", "ml", "cl", "dl", "l"))
SPELLINGS = {s: unit for units in (MASS, VOLUME) for unit, others in units.items() for s in (unit, *others)}
# Things to count whose names happen to look like a misspelt unit.
COUNTED_THINGS = frozenset(("liver", "jug", "mug", "keg", "round", "quarter"))
NO_UNITS = frozenset(
    "per for of and or to x plus minus with about a an the nan inf infinity dry matter dozen dozens".split()
)
UNUSUAL_SINGULARS = {"leaves": "leaf", "halves": "half", "loaves": "loaf"}


class QuantityError(ValueError):
    """A text that is no quantity, rate, share, price or limit; `str` says what is wrong with it.

    `allowed` says in one phrase what could stand there, `hint` what was likely meant (or is empty).
    """

    def __init__(self, message: str, allowed: str, hint: str = "") -> None:
        super().__init__(message)
        self.allowed = allowed
        self.hint = hint


def clean(text: object, allowed: str) -> str:
    """`text` with single spaces, plain fractions ("1¼" -> "1 1/4") and no full stops after abbreviations.

    Raises QuantityError, with `allowed`, for what is no text, empty, too long, negative, a range, or holds
    a decimal comma or a number without a digit before its decimal point.
    """
    if not isinstance(text, str):
        raise QuantityError(f"{text!r:.60} is no text with a unit", allowed, "Write it between quotation marks.")
    if len(text) > LONGEST_TEXT:
        raise QuantityError(f"text of {len(text)} characters is too long (at most {LONGEST_TEXT})", allowed)
    plain = "".join(_plain_character(c) for c in text)
    plain = " ".join(re.sub(r"(?<=[^\W\d_])\.(?![0-9])", " ", plain).split())
    if not plain:
        raise QuantityError("nothing is written here", allowed)
    if re.search(r"[0-9],[0-9]", plain):
        raise QuantityError(
            f"{text!r} has a comma in a number", allowed, "Write 1.5 for one and a half and 1500 without a comma."
        )
    if re.search(r"(?<![0-9])\.[0-9]", plain):  # "lb.3 oz" and ".5 g" are too easily misread
        raise QuantityError(f"{text!r} has no digit before the decimal point", allowed, "Write 0.5 for one half.")
    if re.search(r"(?:^|[\s$£€¥/])-\s*[$£€¥]?\s*[0-9]", plain) and not re.search(r"[0-9]\s*-", plain):
        raise QuantityError(f"{text!r} is negative", allowed)
    if re.search(r"[0-9]\s*-\s*[0-9]", plain):
        raise QuantityError(f"{text!r} looks like a range", allowed, 'Write one amount, such as "1 1/4 tsp".')
    return plain


def _plain_character(character: str) -> str:
    """A character as it would be typed: "½" as " 1/2 ", "×" as "x", a long dash as a hyphen."""
    if unicodedata.decomposition(character).startswith("<fraction>"):
        return f" {unicodedata.normalize('NFKC', character).replace('⁄', '/')} "
    return {"−": "-", "–": "-", "—": "-", "×": "x"}.get(character, character)


def read_number(text: str, allowed: str) -> Fraction:
    """The number, zero or more, in a cleaned text: "3", "0.25", "1/4", "1 1/4".

    A fraction of one or more is refused: "11/4" may be a slip for "1 1/4".
    """
    if not re.fullmatch(NUMBER, text):
        raise QuantityError(f"{text!r} is no number", allowed)
    whole, _, fraction = text.rpartition(" ")
    top, slash, bottom = fraction.partition("/")
    if too_large(whole.partition(".")[0]) or any(too_large(*n.split(".")) for n in (top, bottom) if n):
        raise QuantityError(f"{text:.40} is far more than any kitchen holds", allowed)
    if not slash:
        return Fraction(text)
    if int(bottom) == 0:
        raise QuantityError(f"{text!r} divides by zero", allowed)
    part = Fraction(int(top), int(bottom))
    if part >= 1 or (whole and part == 0):
        raise QuantityError(f"{text!r}: the fraction has to be less than one", allowed, 'Write, for example, "1 1/4".')
    return int(whole or 0) + part


def unit_kind(unit: str) -> str:
    """What a canonical unit measures: mass, volume or count."""
    return "mass" if unit in MASS else "volume" if unit in VOLUME else "count"


def canonical_unit(words: str, allowed: str = UNITS) -> str:
    """The canonical unit: "lbs" -> "lb", "Pump strokes" -> "pump stroke".

    Words that are no unit of mass or volume name things to count, in the singular. Raises QuantityError for
    what can be neither, and for a word so close to a unit of mass or volume that it is likely misspelt.
    """
    if words == "Mg":
        raise QuantityError(f"{words!r} could be mg or a tonne", allowed, "Did you mean mg?")
    folded = " ".join(words.casefold().replace("-", " ").split())
    if folded in SPELLINGS:
        return SPELLINGS[folded]
    parts = folded.split(" ")
    if len(parts) > 3 or not all(part.isalpha() and len(singular(part)) <= 20 for part in parts):
        raise QuantityError(f"{words!r:.60} is no unit", allowed)
    for part in parts:
        single = singular(part)
        if part in SPELLINGS or not NO_UNITS.isdisjoint((part, single)):
            raise QuantityError(f"{words!r} is more than a unit", allowed, "Write the number and its unit only.")
        if part == "t":
            raise QuantityError(f"{words!r} could be tsp or tbsp", allowed, "Did you mean tsp or tbsp?")
        close = get_close_matches(single, SPELLINGS, n=3, cutoff=0.65 if len(part) < 3 else 0.75)
        if (close and single not in COUNTED_THINGS) or len(part) < 3:
            raise QuantityError(f"{part!r} is no unit", allowed, did_you_mean(part, close))
    return singular(folded)


def singular(words: str) -> str:
    """`words` with the last one in the singular by the plain rules of English; a singular stays as it is."""
    head, last = words[: len(words) - len(words.split(" ")[-1])], words.split(" ")[-1]
    if last in UNUSUAL_SINGULARS:
        return head + UNUSUAL_SINGULARS[last]
    if not last.endswith("s") or last.endswith(("ss", "us", "is")) or len(last) < 4:
        return words
    if last.endswith("ies") and len(last) > 4:
        return words[:-3] + "y"
    return words[:-2] if len(last) > 4 and last.endswith(("sses", "shes", "ches", "xes")) else words[:-1]


def plural(unit: str) -> str:
    """The plural of a canonical unit, such that `singular` gives the unit back; abbreviations have none."""
    if unit in SPELLINGS:
        return unit + "s" if unit in ("cup", "pint", "quart", "gallon") else unit
    usual = [unit + "s"]
    for many, one in UNUSUAL_SINGULARS.items():
        if unit.split(" ")[-1] == one:
            usual.insert(0, unit[: len(unit) - len(one)] + many)
    if unit.endswith(("s", "x", "ch", "sh")):
        usual.insert(0, unit + "es")
    if re.search(r"[^aeiou]y$", unit):
        usual.insert(0, unit[:-1] + "ies")
    return next((many for many in usual if singular(many) == unit), unit)
