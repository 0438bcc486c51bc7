"""Amounts as labels print them -> an amount in the nutrient's own unit: "500 IU", "400 mcg DFE", "2.5 %".

What an amount is an amount of, its form, is looked up in tables/label_forms.csv.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from catalog.mistakes import Mistake, did_you_mean
from catalog.reading.csv_tables import CONFIDENCE, checked_source, choice, number, read_table
from catalog.reading.figures import MICROGRAMS, convert_amount
from catalog.records import Nutrient
from catalog.units.quantities import Quantity, read_quantity
from catalog.units.spelling import NUMBER, SPELLINGS, QuantityError, clean, read_number

FORM_COLUMNS = "nutrient form unit times note source confidence".split()
AMOUNT = 'an amount such as "1000 mg", "500 IU", "150 to 700 ug", "400 mcg DFE", "2.5 %" or "2 g/kg"'
PER = 'what the amounts are in, such as "100 g", "2 capsules (1.3 g)" or "1 tsp (4 g)"'
SHARES = ("", "by mass", "by weight", "of mass", "w w")
DAILY_VALUES = {"dv", "nrv", "rda", "rdi", "ri", "daily"}


@dataclass(frozen=True, slots=True)
class LabelForm:
    """What a mass of one form of a nutrient counts as.

    `times` is the share of the mass that is the nutrient where `unit` is empty, else IU in one `unit`; it is
    None for a form that does not count, with the reason in `note`.
    """

    nutrient: str
    form: str
    unit: str
    times: float | None
    note: str


@dataclass(frozen=True, slots=True)
class LabelAmount:
    """An amount in the nutrient's unit, `low` to `high` as the label gives it, `value` between them.

    `in_grams` is the mass of the food that holds it; None: what the label calls a serving (`per`). `note` is
    what a person should know of how it was counted.
    """

    low: float
    value: float
    high: float
    in_grams: float | None
    note: str


@dataclass(frozen=True, slots=True)
class Per:
    """What a label's amounts are in: a `quantity` of measures or grams, and its mass where it is stated."""

    quantity: Quantity
    grams: Fraction | None
    text: str


Forms = Mapping[tuple[str, str], LabelForm]


def read_label_forms(
    path: Path, nutrients: Mapping[str, Nutrient], sources: Mapping[str, str], mistakes: list[Mistake]
) -> dict[tuple[str, str], LabelForm]:
    """The table of forms, by nutrient id and the form as `plain_form` writes it."""
    found: dict[tuple[str, str], LabelForm] = {}
    for row in read_table(path, FORM_COLUMNS, mistakes):
        nutrient = choice(row, "nutrient", nutrients, mistakes)
        unit = choice(row, "unit", ("", "ug", "mg"), mistakes)
        checked_source(row, sources, mistakes)
        choice(row, "confidence", CONFIDENCE, mistakes)
        if (nutrient, plain_form(row["form"])) in found:
            mistakes.append(row.mistake("form", "each form of a nutrient once"))
        if nutrient and row["times"] and (nutrients[nutrient].unit == "IU") != bool(unit):
            mistakes.append(row.mistake("unit", "ug or mg where the nutrient is counted in IU, else empty"))
        found[nutrient, plain_form(row["form"])] = LabelForm(
            nutrient, row["form"], unit, number(row, "times", mistakes), row["note"]
        )
    return found


def plain_form(text: str) -> str:
    """A form in one spelling: "(as D-α-Tocopheryl Acetate)" -> "as d alpha acetate"."""
    plain = text.casefold().replace("α", " alpha ").replace("β", " beta ").replace("sulph", "sulf")
    plain = " ".join(re.sub(r"[^\w]+|_", " ", plain).split()).removeprefix("of ")
    plain = re.sub(r"\brrr\b", "d", re.sub(r"\ball rac(emic)?\b", "dl", plain))
    if "alpha" in plain:
        plain = re.sub(r"\btocopher(yl|ols?)\b", "", plain).replace("acid succinate", "succinate")
    return " ".join(plain.split())


def read_label_amount(text: object, nutrient: Nutrient, forms: Forms) -> LabelAmount:
    """The amount of a nutrient that a label states. Raises QuantityError.

    "2.5 %" is by mass; "2 g/kg" and "2 g per 100 g" are in that mass; else the amount is in a serving.
    """
    ranged = re.sub(r"(\d) ?[-–—] ?(\d)", r"\1 to \2", text) if isinstance(text, str) else text
    plain = clean(ranged, AMOUNT)
    match = re.fullmatch(rf"({NUMBER})(?: to ({NUMBER}))? ?(%|[^\W\d_]+)(.*)", plain)
    if match is None:
        raise QuantityError(f"{text!r} is no amount with a unit", AMOUNT)
    low, high = (float(read_number(m or match[1], AMOUNT)) for m in (match[1], match[2]))
    if low > high:
        raise QuantityError(f"{text!r} runs from more to less", AMOUNT)
    unit, in_grams, rest = _unit_and_mass(match[3], match[4], nutrient, str(text))
    share, rest = _without_carotene(rest, nutrient)
    times, note = _times(unit, rest, nutrient, forms, str(text))
    low, high = low * share * times, high * share * times
    note = note if share == 1 else "without the share given as beta-carotene, which counts nothing for cats"
    return LabelAmount(low, (low + high) / 2, high, in_grams, note)


def _unit_and_mass(word: str, rest: str, nutrient: Nutrient, text: str) -> tuple[str, float | None, str]:
    """The unit of an amount, the mass it is in if that is stated, and what follows."""
    if word == "%":
        if DAILY_VALUES & set(plain_form(rest).split()):
            hint = "Read the g, mg, ug or IU beside it."
            raise QuantityError(f"{text!r} is a share of a daily value, not an amount", AMOUNT, hint)
        if plain_form(rest) not in SHARES:
            raise QuantityError(f"{text!r} cannot be read from {rest.strip()!r} on", '"%" or "% by mass"')
        if not plain_form(rest) and nutrient.group in ("mineral", "vitamin"):
            hint = 'Write "% by mass" if it is one.'
            raise QuantityError(f"{text!r} may be a share of a daily value", AMOUNT, hint)
        return "g", 100.0, ""
    if word.casefold() == "ppm":
        return "mg", 1000.0, rest
    unit = "IU" if word.casefold() == "iu" else SPELLINGS.get(word.casefold(), "")
    if unit != "IU" and unit not in MICROGRAMS:
        hint = did_you_mean(word, ("mg", "mcg", "IU"))
        raise QuantityError(f"{text!r}: {word} is no unit of a nutrient", AMOUNT, hint)
    per = re.match(r" ?(?:/|per) ?(1 )?(kg|100 ?g|g)\b", rest)
    if not per:
        return unit, None, rest
    return unit, {"kg": 1000.0, "g": 1.0}.get(per[2], 100.0), rest[per.end() :]


def _without_carotene(rest: str, nutrient: Nutrient) -> tuple[float, str]:
    """The share of a vitamin A that is no beta-carotene: "(40 % as beta-carotene)" -> 0.6."""
    match = re.search(rf"\(?({NUMBER}) ?% (?:as |from )?(?:beta|β)[ -]?carotene\)?$", rest, re.IGNORECASE)
    if nutrient.id != "vitamin-a" or not match:
        return 1.0, rest
    carotene = read_number(match[1], AMOUNT) / 100
    if carotene > 1:
        raise QuantityError(f"{match[0]!r} is over 100 %", AMOUNT)
    return float(1 - carotene), rest[: match.start()].rstrip(" ,;")


def _times(unit: str, rest: str, nutrient: Nutrient, forms: Forms, text: str) -> tuple[float, str]:
    """How much of the nutrient, in its own unit, one `unit` of a form is, and what to know of it."""
    form = plain_form(rest)
    known = forms.get((nutrient.id, form)) or forms.get((nutrient.id, form.removeprefix("as ")))
    if form and known is None:
        listed = [
            f.form for f in forms.values() if f.nutrient == nutrient.id and f.times and f.form[:3] not in ("", "as ")
        ]
        allowed = f"an amount of {nutrient.name}" + (", or of " + ", ".join(listed) if listed else " itself")
        raise QuantityError(f"{text!r}: {rest.strip()!r} is no form of it that is known here", allowed)
    if known is not None and known.times is None:
        raise QuantityError(f"{text!r}: {known.note}", f"an amount of {nutrient.name} in a form that counts")
    if unit == "IU":
        if nutrient.unit != "IU":
            raise QuantityError(f"{text!r}: {nutrient.name} has no IU", AMOUNT)
        return 1.0, known.note if known else ""
    if known is None or known.times is None or (form.startswith("as ") and (nutrient.id, form) not in forms):
        times = convert_amount(1.0, unit, nutrient)
        assert times is not None  # every nutrient in IU has iu_per_ug
        return times, known.note if known else ""
    if known.unit:
        return MICROGRAMS[unit] / MICROGRAMS[known.unit] * known.times, known.note
    times = convert_amount(known.times, unit, nutrient)
    assert times is not None
    return times, known.note


def read_per(text: object) -> Per:
    """What a label's amounts are in: "100 g", "2 capsules (1.3 g)", "1 tsp", "5 ml (4.6 g)". Raises QuantityError."""
    plain = clean(text, PER)
    match = re.fullmatch(r"([^()]+?) ?\(([^()]+)\)", plain)
    quantity = read_quantity(match[1] if match else plain, allowed=PER)
    if match is None:
        return Per(quantity, quantity.amount if quantity.kind == "mass" else None, str(text).strip())
    inner = read_quantity(match[2], allowed=PER)
    if inner.kind != "mass" or quantity.kind == "mass":
        raise QuantityError(f"{text!r}: in brackets stands the mass of what is counted", PER)
    return Per(quantity, inner.amount, str(text).strip())
