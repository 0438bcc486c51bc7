"""One line of a price list, by its cells -> what is sold, in what package, at what price. Tolerant of spelling, strict
about meaning: a price that could be of two things is refused."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from catalog.bounds import DAY, plain_number, read_day
from catalog.nutrition.refusals import refusal
from catalog.reading.names import food_hint, named_food
from catalog.records import Catalog, Food
from catalog.units.money import read_price
from catalog.units.quantities import Quantity, QuantityError, convert, read_quantity

COLUMNS = ("store", "food", "package", "price", "currency", "date", "note", "most")
CENT = Decimal("0.01")

PRICE = 'a price: "4.49" beside a package, "2.49/lb", "3.60 per dozen" or "12.50 for 60 capsules"'
PACKAGE = 'the size of one package, such as "1.1 kg", "19.2 oz" or "60 capsules"; empty for what is sold by weight'
SIGNS = {"£": "GBP", "€": "EUR"}
_MONEY = r"(?:([A-Z]{3}|[$£€¥]) ?)?([0-9]+(?:\.[0-9]+)?)(?: ?([A-Z]{3}|[$£€¥]))?"


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One thing on sale: `price`, in `currency` ("" where none is written), for one `package` of `food`.

    `loose` is sold by weight: any amount at that rate. `most` is how many packages there are, None if not stated.
    `last_known` is a price that was once paid, not one that is asked.
    """

    store: str
    food: Food
    package: Quantity
    price: Decimal
    loose: bool
    currency: str
    text: str
    day: date | None = None
    note: str = ""
    most: int | None = None
    file: str = ""
    line: int = 0
    last_known: bool = False

    @property
    def where(self) -> str:
        """The file and line it stands on."""
        return f"{self.file}:{self.line}"


Complain = Callable[[str, str, str, str], None]  # column, what was read, what is allowed, a hint


def read_line(
    cells: Mapping[str, str],
    catalog: Catalog,
    currency: str,
    complain: Complain,
    place: tuple[str, int],
    decimal_comma: bool = False,
) -> PriceLine | None:
    """One line from its cells by heading, which stands at `place`; None after a complaint."""
    bad: list[str] = []

    def wrong(column: str, read: str, allowed: str, hint: str = "") -> None:
        bad.append(column)
        complain(column, read, allowed, hint)

    def get(column: str) -> str:
        return cells.get(column, "")

    point = (lambda text: _with_point(text, wrong)) if decimal_comma else (lambda text: text)
    if not get("store"):
        wrong("store", "nothing", "the name of a store")
    food = _food(get("food"), catalog, wrong)
    code = _currency(get("currency"), get("price"), currency, wrong)
    package = _package(point(get("package")), wrong)
    priced = _price(point(get("price")), code, package, wrong) if "package" not in bad else None
    day, most = _date(get("date"), wrong), _most(get("most"), wrong)
    if bad or food is None or priced is None:
        return None
    size, price, loose = priced
    if not _makes_sense(food, size, price, cells, wrong):
        return None
    return PriceLine(
        get("store"), food, size, price, loose, code, get("price"), day, get("note"), most, place[0], place[1]
    )


Wrong = Callable[..., None]


def _makes_sense(food: Food, size: Quantity, price: Decimal, cells: Mapping[str, str], wrong: Wrong) -> bool:
    """Whether a line says what its words can say: pieces by the piece, nothing for nothing but where it says free, no
    number in the note, which is what a comma in a price leaves behind."""
    note = cells.get("note", "")
    if plain_number(note) is not None:
        hint = "A decimal comma has to be stated: --decimal-comma, or a first line # decimal comma."
        wrong("note", repr(note), "words, or an empty cell", hint)
        return False
    labelled = [unit for unit, measure in food.measures.items() if measure.labelled]
    if labelled and size.kind != "count":
        wrong("package", repr(size.text), f'a count such as "60 {labelled[0]}s"')
        return False
    if not price and "free" not in f"{cells.get('price', '')} {note}".casefold():
        wrong("price", repr(cells.get("price", "")), 'a price above zero, or 0 with "free" in the note')
        return False
    return True


def _with_point(text: str, wrong: Wrong) -> str:
    """A text with decimal commas as one with points; what could be a point between thousands is refused."""
    if re.search(r"\d\.\d{3}(?!\d)", text):
        wrong("price", repr(text), "numbers without a point between thousands, since this list has decimal commas")
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


def _food(text: str, catalog: Catalog, wrong: Wrong) -> Food | None:
    """A food by its id, or by its whole name."""
    food = named_food(text, catalog)
    if food is not None:
        return food
    refused = refusal(text, catalog.cautions)
    if refused:
        wrong("food", f"{text!r} (refused: {refused.text})", "a food that is safe for cats")
    else:
        known = food_hint(text, catalog)
        wrong("food", repr(text), "the id or name of a food or supplement; `weighout foods` lists them", known)
    return None


def _currency(text: str, price: str, default: str, wrong: Wrong) -> str:
    """The currency of a line: that of its column, else of its price, else the default."""
    if text and not re.fullmatch("[A-Z]{3}", text):
        wrong("currency", repr(text), 'three capital letters such as "USD" or "EUR"')
        return ""
    named = [SIGNS.get(word, word) for word in re.findall(r"\b[A-Z]{3}\b|[£€]", price)]
    return text or (named[0] if named else default)


def _package(text: str, wrong: Wrong) -> Quantity | None:
    if not text:
        return None
    try:
        return read_quantity(text, allowed=PACKAGE, bare_dozen=True)
    except QuantityError as error:
        wrong("package", f"{text!r} ({error})", error.allowed, _comma_hint(text) or error.hint)
        return None


def _comma_hint(text: str) -> str:
    if not re.search(r"\d,\d", text):
        return ""
    return 'If the list has decimal commas, say --decimal-comma or begin it with the line "# decimal comma".'


def _price(text: str, currency: str, package: Quantity | None, wrong: Wrong) -> tuple[Quantity, Decimal, bool] | None:
    """What one price buys, the price, and whether any amount is sold at that rate."""
    bare = re.fullmatch(_MONEY, text)
    try:
        if bare:
            if package is None:
                wrong("package", "nothing", f"{PACKAGE}, with the price per weight then, such as 2.49/lb")
                return None
            amount = _same_money(text, bare, currency)
            if plain_number(amount) is None:
                raise QuantityError(f"{text!r:.60} is far more than anything costs", PRICE)
            return package, Decimal(amount), False
        price = read_price(text, currency)
        rate = not re.search(r"\bfor\b", text, re.IGNORECASE)
        if package is None:
            return price.per, price.amount, rate and price.per.kind != "count"
        if not rate:
            wrong("price", repr(text), "a price for the package beside it, or per weight, but not for another amount")
            return None
        exact = Fraction(price.amount) * _times(package, price.per)
        cents = Decimal(exact.numerator) / Decimal(exact.denominator)
        return package, cents.quantize(CENT, ROUND_HALF_UP), False
    except QuantityError as error:
        wrong("price", f"{text!r} ({error})" if text else "nothing", PRICE, _comma_hint(text) or error.hint)
        return None


def _same_money(text: str, bare: re.Match[str], currency: str) -> str:
    """The amount in a bare price, whose sign or code must be of the line's currency."""
    if bare[1] or bare[3]:
        read_price(f"{text} per kg", currency)  # raises where they differ
    return bare[2]


def _times(package: Quantity, per: Quantity) -> Fraction:
    """How many of the price's amounts a package holds. Pieces without a name are the package's pieces."""
    if package.kind == per.kind == "count" and "" in (package.unit, per.unit):
        return package.amount / per.amount
    return convert(package, per.unit) / per.count


def _date(text: str, wrong: Wrong) -> date | None:
    """A day written 2026-11-03 or 3.11.2026 (day first); with slashes nobody knows which is the month."""
    if not text:
        return None
    iso = re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})(?: 0?0:00(?::00)?)?", text)
    dotted = re.fullmatch(r"(\d{1,2})\. ?(\d{1,2})\. ?(\d{4})", text)
    parts = iso.groups() if iso else dotted.groups()[::-1] if dotted else None
    day = read_day("{:0>4}-{:0>2}-{:0>2}".format(*parts)) if parts else None
    if day is None:
        wrong("date", repr(text), f"{DAY}, or an empty cell")
    return day


def _most(text: str, wrong: Wrong) -> int | None:
    if not text:
        return None
    if text.isascii() and text.isdigit() and len(text) < 6:
        return int(text)
    wrong("most", repr(text), "how many packages there are, a whole number, or an empty cell")
    return None
