"""The batch as a workbook whose totals are formulas: change a gram or a price, and everything follows."""

import re
from collections.abc import Sequence
from datetime import datetime, time
from io import BytesIO
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from optimizer.render.files.csv_tables import safe
from optimizer.render.origin import Origin
from optimizer.sheet.contributions import Contribution, Contributions
from optimizer.sheet.sheet import Sheet
from optimizer.sheet.work_order import MIXING, WorkOrder, weighings

FIRST = 2  # the row below the header, in every sheet with ingredients
SHEET, NUTRIENTS, ABOUT = "Weigh-out", "Nutrients", "About"
LOW, HIGH, BEST = "Matrix low", "Matrix high", "Matrix best"
GRAMS, PRICE, COST = "F", "I", "J"  # columns of the first sheet
KCAL, DRY = "C", "D"  # columns of the matrices; nutrients start after them
NUTRIENT_COLUMN = 5
NOTE = (
    "Grams on Weigh-out and prices beside them may be changed: costs, running totals, nutrients and verdicts follow.",
    "Matrix low is what one gram counts towards targets, Matrix high towards ceilings, Matrix best what is likeliest "
    "(for ratios), in each nutrient's unit. An empty field has no figure; towards a ceiling its class of food counts.",
    "High per 1000 kcal is per 1000 kcal of food: jars have no kcal on Matrix high, since they widen no ceiling.",
    "Limits are those that held for the batch as made; a limit that depends on amounts does not follow a change.",
)


def workbook_bytes(sheet: Sheet, order: WorkOrder, contributions: Contributions, origin: Origin) -> bytes:
    """The workbook as .xlsx, the same bytes for the same input."""
    book = Workbook()
    first = book.active
    assert isinstance(first, Worksheet)
    first.title = SHEET
    by_id = {ingredient.line.id: ingredient for ingredient in contributions.ingredients}
    ordered = [by_id[w.line.id] for _, _, w in weighings(order)]
    last = FIRST + len(ordered) - 1
    _weigh_out(first, sheet, order, by_id, last)
    _nutrients(book.create_sheet(NUTRIENTS), sheet, last)
    for name, side in ((LOW, "low"), (HIGH, "high"), (BEST, "value")):
        _matrix(book.create_sheet(name), sheet, ordered, side)
    _about(book.create_sheet(ABOUT), sheet, origin)
    book.properties.creator = origin.program
    book.properties.title = sheet.title
    return _dated(book, datetime.combine(origin.made, time()))


def _weigh_out(page: Worksheet, sheet: Sheet, order: WorkOrder, by_id: dict[str, Contribution], last: int) -> None:
    money = sheet.currency or "money"
    _header(
        page,
        ["Stage", "Part", "Id", "Of", "Measure", "Grams", "Within ± g", "On the scale g", f"{money} per g",
         f"Cost {money}", "Really", "Lot"],
        (16, 14, 24, 40, 20, 12, 12, 16, 14, 12, 14, 18),
    )  # fmt: skip
    stage_before = ""
    for row, (stage, part, w) in enumerate(weighings(order), start=FIRST):
        texts = (stage.title, part, w.line.id, w.line.name, w.line.text)
        for column, text in enumerate(texts, start=1):
            _put(page, row, column, text)
        _put(page, row, 6, w.line.grams, "0.00")
        _put(page, row, 7, w.tolerance_g, "0.00")
        start = f"{GRAMS}{row}"
        before = f"H{row - 1}+" if stage.title == stage_before else ""
        if stage.title == MIXING and not before and row > FIRST:  # bowl and tub have come together
            before = f"SUM({GRAMS}{FIRST}:{GRAMS}{row - 1})+"
        page.cell(row, 8, f"={before}{start}").number_format = "0.0"
        _put(page, row, 9, by_id[w.line.id].price_per_g, "0.000000")
        page.cell(row, 10, f'=IF({PRICE}{row}="","",ROUND({GRAMS}{row}*{PRICE}{row},2))').number_format = "0.00"
        stage_before = stage.title
    total = last + 1
    _put(page, total, 4, "Whole mix")
    page.cell(total, 6, f"=SUM({GRAMS}{FIRST}:{GRAMS}{last})").number_format = "0.0"
    costs = f"{COST}{FIRST}:{COST}{last}"
    page.cell(total, 10, f'=IF(COUNT({costs})=0,"",SUM({costs}))').number_format = "0.00"
    for column in (4, 6, 10):
        page.cell(total, column).font = Font(bold=True)


def _nutrients(page: Worksheet, sheet: Sheet, last: int) -> None:
    _header(
        page,
        ["Id", "Nutrient", "Unit", "Total towards targets", "Total towards ceilings", "Per 1000 kcal",
         "High per 1000 kcal", "At least", "At most", "Verdict", "Per kg dry matter", "Per kg as fed",
         "Share without a figure (as made)"],
        (22, 32, 7, 14, 14, 14, 14, 11, 11, 10, 14, 14, 18),
    )  # fmt: skip
    lines = sheet.assessment.nutrients
    kcal, food_kcal, dry, mass = (f"$D${len(lines) + FIRST + i}" for i in range(4))
    for position, line in enumerate(lines):
        row, column = position + FIRST, get_column_letter(NUTRIENT_COLUMN + position)
        for place, text in enumerate((line.nutrient.id, line.nutrient.name, line.nutrient.unit), start=1):
            _put(page, row, place, text)
        page.cell(row, 4, _product(LOW, column, last))
        page.cell(row, 5, _product(HIGH, column, last))
        page.cell(row, 6, f"=D{row}/{kcal}*1000")
        page.cell(row, 7, f"=E{row}/{food_kcal}*1000")
        _put(page, row, 8, line.minimum)
        _put(page, row, 9, line.maximum)
        page.cell(row, 10, _verdict(row))
        page.cell(row, 11, f"=D{row}*1000/{dry}")
        page.cell(row, 12, f"=D{row}*1000/{mass}")
        _put(page, row, 13, line.unknown_share, "0.0%")
        for place in (4, 5, 6, 7, 8, 9, 11, 12):
            page.cell(row, place).number_format = "0.000"
    end = len(lines) + FIRST
    for offset, (name, unit, formula) in enumerate(
        (
            ("Energy", "kcal", _product(LOW, KCAL, last)),
            ("Energy of food, without jars", "kcal", _product(HIGH, KCAL, last)),
            ("Dry matter", "g", _product(LOW, DRY, last)),
            ("Whole mix", "g", f"='{SHEET}'!{GRAMS}{last + 1}"),
        )
    ):
        _put(page, end + offset, 2, name)
        _put(page, end + offset, 3, unit)
        page.cell(end + offset, 4, formula).number_format = "0.0"
    for row, ratio in enumerate(sheet.assessment.ratios, start=end + 4):
        _put(page, row, 1, ratio.id)
        _put(page, row, 2, ratio.name)
        page.cell(row, 6, _ratio(ratio.id, sheet, last)).number_format = "0.000"
        page.cell(row, 7, f"=F{row}").number_format = "0.000"
        _put(page, row, 8, ratio.minimum, "0.000")
        _put(page, row, 9, ratio.maximum, "0.000")
        page.cell(row, 10, _verdict(row))


def _verdict(row: int) -> str:
    """The formula of a verdict; the tolerance is the assessment's."""
    short = f'AND(H{row}<>"",F{row}<H{row}*0.999999)'
    over = f'AND(I{row}<>"",G{row}>I{row}*1.000001)'
    return f'=IF(AND(H{row}="",I{row}=""),"",IF({short},"SHORT",IF({over},"OVER","ok")))'


def _ratio(id_: str, sheet: Sheet, last: int) -> str:
    """The formula of "calcium-phosphorus": best figures on both sides."""
    columns = {
        line.nutrient.id: get_column_letter(NUTRIENT_COLUMN + i) for i, line in enumerate(sheet.assessment.nutrients)
    }
    above, below = next((a, b) for a in columns for b in columns if f"{a}-{b}" == id_)
    return f"{_product(BEST, columns[above], last)}/{_product(BEST, columns[below], last)[1:]}"


def _product(matrix: str, column: str, last: int) -> str:
    """The sum over all ingredients of grams times what a gram holds."""
    return f"=SUMPRODUCT('{SHEET}'!${GRAMS}${FIRST}:${GRAMS}${last},'{matrix}'!${column}${FIRST}:${column}${last})"


def _matrix(page: Worksheet, sheet: Sheet, ordered: Sequence[Contribution], side: str) -> None:
    nutrients = [line.nutrient for line in sheet.assessment.nutrients]
    names = ["Id", "Of", "kcal per g", "Dry matter per g", *(f"{n.name} ({n.unit} per g)" for n in nutrients)]
    _header(page, names, (24, 36, 10, 10, *(12 for _ in nutrients)))
    page.freeze_panes = "C2"
    for row, ingredient in enumerate(ordered, start=FIRST):
        _put(page, row, 1, ingredient.line.id)
        _put(page, row, 2, ingredient.line.name)
        _put(page, row, 3, 0.0 if side == "high" and ingredient.is_jar else ingredient.kcal_per_g)
        _put(page, row, 4, ingredient.dry_matter_per_g)
        for column, nutrient in enumerate(nutrients, start=NUTRIENT_COLUMN):
            if side == "high" or ingredient.has_figure(nutrient.id):
                _put(page, row, column, float(getattr(ingredient.contents[nutrient.id], side)))


def _about(page: Worksheet, sheet: Sheet, origin: Origin) -> None:
    page.column_dimensions["A"].width = 120
    standard = f"{sheet.standard_name}; {sheet.life_stage}"
    for row, text in enumerate((sheet.title, standard, *NOTE, *(n.text for n in sheet.cautions), origin.text), start=1):
        _put(page, row, 1, text)
        page.cell(row, 1).alignment = Alignment(wrap_text=True, vertical="top")


def _header(page: Worksheet, names: Sequence[str], widths: Sequence[int]) -> None:
    for column, (name, width) in enumerate(zip(names, widths, strict=True), start=1):
        cell = page.cell(1, column, name)
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="bottom")
        page.column_dimensions[get_column_letter(column)].width = width
    page.freeze_panes = "A2"


def _put(page: Worksheet, row: int, column: int, value: Any, number_format: str = "General") -> None:
    """A value, never a formula: text that looks like one is kept as text."""
    cell = page.cell(row, column, safe(value))
    cell.number_format = number_format


def _dated(book: Workbook, moment: datetime) -> bytes:
    """The saved workbook with `moment` for every time stamp in it."""
    book.properties.created = moment
    raw, out = BytesIO(), BytesIO()
    book.save(raw)
    stamp = moment.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    with ZipFile(raw) as saved, ZipFile(out, "w", ZIP_DEFLATED) as dated:
        for info in saved.infolist():
            data = saved.read(info)
            if info.filename == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, data)
            dated.writestr(ZipInfo(info.filename, moment.timetuple()[:6]), data, ZIP_DEFLATED)
    return out.getvalue()
