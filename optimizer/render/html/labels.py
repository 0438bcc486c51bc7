"""Labels for bags as printable pages in a grid of rows and columns."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from optimizer.render.html.pages import page
from optimizer.render.marks import misses_text
from optimizer.render.origin import Origin
from optimizer.render.portions import day_text, days_text
from optimizer.sheet.portions import Bag, Portions
from optimizer.sheet.sheet import GROUPS, Sheet

PAPERS = {"A4": (210, 297), "letter": (215.9, 279.4)}  # width and height in mm
MARGIN_MM = 8
LONGEST_NAMES = 30  # characters; longer, and the cats are counted
SMALL_MM = 45  # labels lower than this leave out the list of contents


@dataclass(frozen=True, slots=True)
class Label:
    """One label, every line as text; `contents` is empty on small ones."""

    title: str
    bag: str
    dates: tuple[str, ...]
    contents: str
    cautions: tuple[str, ...]
    is_complete: bool


def labels_page(
    sheet: Sheet, portions: Portions | None, origin: Origin, paper: str = "A4", rows: int = 4, columns: int = 2
) -> str:
    """A label for each bag, or one page of labels to fill in by hand where there are no bags."""
    width, height = ((side - 2 * MARGIN_MM) for side in PAPERS[paper])
    wide, high = width / columns, height / rows
    bags = portions.bags if portions else ()
    small = high < SMALL_MM
    labels = [_label(sheet, portions, bag, origin, small) for bag in bags or (None,) * (rows * columns)]
    per_page = rows * columns
    return page(
        "labels.html",
        title=sheet.title,
        pages=[labels[i : i + per_page] for i in range(0, len(labels), per_page)],
        columns=columns,
        wide=f"{wide:.2f}",
        high=f"{high:.2f}",
        margin=MARGIN_MM,
        type_mm=f"{min(wide / 24, high / (15 if small else 21)):.2f}",
        origin=origin,
        paper=paper,
    )


def _label(sheet: Sheet, portions: Portions | None, bag: Bag | None, origin: Origin, small: bool) -> Label:
    dates = [f"Made {day_text(origin.made)}"]
    contents = "" if small else _contents(sheet)
    if portions is None or bag is None:
        dates.append("Use by ____________")
        return _made(sheet, "Bag ____ of ____    ______ g", dates, contents, small)
    holding = portions.holding
    names = [portion.cat.name for portion in portions.cats]
    for_whom = ", ".join(names) if len(", ".join(names)) <= LONGEST_NAMES else f"{len(names)} cats"
    words = f"Bag {bag.number} of {len(portions.bags)}: {bag.grams:.0f} g, {days_text(bag.days)} for {for_whom}"
    if bag.thaw_on is None:
        dates.append(f"Keep in the refrigerator, use by {day_text(bag.thawed_use_by)}")
    else:
        dates.append(f"Frozen: use by {day_text(portions.frozen_use_by)}")
        dates.append(f"To refrigerator {_short(bag.thaw_on)}, feed {_span(bag)}")
        dates.append(f"Thawed: use within {holding.fridge_days_low} to {holding.fridge_days_high} days at 4 °C (40 °F)")
    if small:
        dates = ["; ".join(dates[:2]), *dates[2:]]
    return _made(sheet, words, dates, contents, small)


def _made(sheet: Sheet, words: str, dates: Sequence[str], contents: str, small: bool) -> Label:
    complete = not sheet.assessment.misses
    return Label(sheet.title, words, tuple(dates), contents, tuple(_cautions(sheet, small)), complete)


def _short(day: date) -> str:
    return day_text(day).rpartition(" ")[0]  # without the year


def _span(bag: Bag) -> str:
    """On which day, or from when to when, a bag is fed."""
    first, last = _short(bag.feed_from), _short(bag.feed_to)
    return first if first == last else f"{first} to {last}"


def _contents(sheet: Sheet) -> str:
    """What is in it, the most first; supplements as a number."""
    food = [line.name for line in sorted(sheet.lines, key=lambda line: -line.grams) if line.group != GROUPS[0]]
    count = len(sheet.lines) - len(food)
    return ", ".join([*food, *([f"{count} supplement{'s' * (count != 1)}"] if count else [])])


def _cautions(sheet: Sheet, small: bool) -> list[str]:
    """What has to stand on this batch's label."""
    found = []
    if sheet.assessment.misses:
        missed = misses_text(sheet).removeprefix("Not complete: ")
        found.append("See the report." if small else missed[0].upper() + missed[1:])
    elif not small:
        found.append(f"{sheet.standard_name.split(',')[0]}, {sheet.life_stage}.")
    if sheet.assessment.totals.bone_g:
        found.append("Holds ground bone: never cook.")
    return found
