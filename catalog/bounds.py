"""How large, how long and how far in time what a person writes may be: the one place that bounds it."""

import re
import unicodedata
from datetime import date
from decimal import Decimal

DIGITS, PLACES = 9, 12  # of a number before and after its decimal point
MOST_BYTES = 5_000_000  # of a file that a person writes
DATES = (date(2000, 1, 1), date(2099, 12, 31))
DAY = "a date from 2000-01-01 to 2099-12-31, such as 2026-01-31"
PLAIN_NUMBER = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,12})?")
COLOUR = re.compile(r"\x1b\[[0-9;]*m")


def plain_number(text: str) -> Decimal | None:
    """A number as figures and at most one point ("1.25"), zero or more; None for anything else."""
    return Decimal(text) if PLAIN_NUMBER.fullmatch(text) else None


def too_large(whole: str, part: str = "") -> bool:
    """Whether a number has more digits before or after its point than anything in a kitchen."""
    return len(whole.lstrip("0")) > DIGITS or len(part) > PLACES


def read_day(value: object) -> date | None:
    """The day in a text such as "2026-01-31", or the date that TOML read of it unquoted; None for anything else, and
    for a day that no batch was made on."""
    found: date | None = value if type(value) is date else None
    if isinstance(value, str) and re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
        try:
            found = date.fromisoformat(value)
        except ValueError:
            return None
    return found if found and DATES[0] <= found <= DATES[1] else None


def visible(text: str, coloured: bool = False) -> str:
    """The text with every sign that a terminal would act on, or that nobody sees, written out; line ends and tabs stay,
    and where it is `coloured` the colours of the program's own tables."""
    parts = (COLOUR.split(text), COLOUR.findall(text)) if coloured else ([text], [])
    shown = ["".join(_sign(sign) for sign in part) for part in parts[0]]
    return "".join(part + colour for part, colour in zip(shown, [*parts[1], ""], strict=True))


def no_formula(text: str) -> str:
    """Text that a spreadsheet would take for a formula with an apostrophe before it."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") and text else text


def _sign(sign: str) -> str:
    if sign in "\n\t" or unicodedata.category(sign) not in ("Cc", "Cf", "Cs", "Zl", "Zp"):
        return sign
    return f"\\x{ord(sign):02x}" if ord(sign) < 256 else f"\\u{ord(sign):04x}"
