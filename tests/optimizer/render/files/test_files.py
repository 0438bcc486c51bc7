"""Markdown, plain text, CSV, the workbook and charts: the same figures, and the same file each time."""

import csv
from datetime import date
from decimal import Decimal
from io import BytesIO, StringIO

import pytest
from matplotlib.text import Text
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from optimizer.render.files.charts import (
    costs_chart,
    front_chart,
    limits_chart,
    lines_chart,
    png_bytes,
    sources_chart,
    svg_text,
)
from optimizer.render.files.csv_tables import matrix_csv, nutrients_csv, prices_csv, safe, sheet_csv
from optimizer.render.files.markdown import sheet_markdown, sheet_plain
from optimizer.render.files.workbook import workbook_bytes
from optimizer.render.json.sheet import sheet_object
from optimizer.sheet.contributions import Contributions, contributions_of
from optimizer.sheet.numbers import grams_text
from optimizer.sheet.work_order import weighings
from optimizer.tradeoff import FrontPoint
from tests.altered import changed, demo
from tests.papers import CATALOG, Batch, batch, batch_of


@pytest.fixture
def made() -> Batch:
    return batch("turkey-week", cats=True)


@pytest.fixture
def contributions(made: Batch) -> Contributions:
    return contributions_of(made.scenario, CATALOG, made.sheet)


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO("\n".join(line for line in text.splitlines() if not line.startswith("#")))))


def test_markdown_and_plain_text_hold_every_line_and_the_portions(made: Batch) -> None:
    for render in (sheet_markdown, sheet_plain):
        text = render(made.sheet, made.order, made.portions, made.origin)
        for line in made.sheet.lines:
            [row] = [row for row in text.splitlines() if line.name in row and grams_text(line.grams) in row]
            assert line.text in row
        assert "Minka, 4.20 kg: 156 g a day" in text
        assert text.rstrip().endswith(made.origin.text)


def test_a_bar_in_a_title_does_not_break_a_markdown_table() -> None:
    odd = batch_of(changed(demo("turkey-week"), title="a | b"))
    assert sheet_markdown(odd.sheet, odd.order, None, odd.origin).startswith("# a \\| b\n")


def test_the_csv_sheet_is_the_order_of_work(made: Batch) -> None:
    rows = read(sheet_csv(made.order, made.origin))
    assert [row["id"] for row in rows] == [w.line.id for _, _, w in weighings(made.order)]
    assert [float(row["grams"]) for row in rows] == [w.line.grams for _, _, w in weighings(made.order)]


def test_the_csv_nutrients_are_those_of_the_json(made: Batch) -> None:
    rows = {row["id"]: row for row in read(nutrients_csv(made.sheet, made.origin))}
    for nutrient in sheet_object(made.sheet)["nutrients"]:
        row = rows[nutrient["id"]]
        for key in ("total", "per_1000_kcal", "minimum", "maximum"):
            assert row[key] == ("" if nutrient[key] is None else str(nutrient[key]))


def test_the_matrix_adds_up_and_leaves_the_unknown_empty(made: Batch, contributions: Contributions) -> None:
    rows = read(matrix_csv(made.sheet, contributions, made.origin))
    iron = next(line for line in made.sheet.assessment.nutrients if line.nutrient.id == "iron")
    assert sum(float(row["iron (mg)"] or 0) for row in rows) == pytest.approx(iron.total)
    assert next(row for row in rows if row["id"] == "taurine-powder")["iodine (ug)"] == ""


def test_prices_are_decimal_and_empty_where_unknown(made: Batch, contributions: Contributions) -> None:
    rows = read(prices_csv(made.sheet, contributions, made.origin))
    assert sum(Decimal(row["cost"]) for row in rows if row["cost"]) == made.sheet.cost
    assert next(row for row in rows if row["id"] == "water")["cost"] == ""


def test_text_that_looks_like_a_formula_is_kept_as_text() -> None:
    assert safe("=1+1") == "'=1+1"
    assert safe("turkey") == "turkey"
    assert safe(-1.5) == -1.5


def test_the_workbook_computes_its_totals(made: Batch, contributions: Contributions) -> None:
    book = load_workbook(BytesIO(workbook_bytes(made.sheet, made.order, contributions, made.origin)))
    page, nutrients, low = book["Weigh-out"], book["Nutrients"], book["Matrix low"]
    last = len(made.sheet.lines) + 1
    assert page[f"F{last + 1}"].value == f"=SUM(F2:F{last})"
    assert page[f"J{last + 1}"].value == f'=IF(COUNT(J2:J{last})=0,"",SUM(J2:J{last}))'  # no price is not zero
    assert page["J2"].value == '=IF(I2="","",ROUND(F2*I2,2))'
    grams = [float(page[f"F{row}"].value) for row in range(2, last + 1)]
    assert sum(grams) == pytest.approx(made.sheet.assessment.totals.mass_g)
    for row, line in enumerate(made.sheet.assessment.nutrients, start=2):
        column = column_of(low, f"{line.nutrient.name} ({line.nutrient.unit} per g)")
        letter = low.cell(1, column).column_letter
        assert nutrients[f"D{row}"].value == (
            f"=SUMPRODUCT('Weigh-out'!$F$2:$F${last},'Matrix low'!${letter}$2:${letter}${last})"
        )
        per_gram = [float(low.cell(r, column).value or 0) for r in range(2, last + 1)]
        total = sum(mass * held for mass, held in zip(grams, per_gram, strict=True))
        assert total == pytest.approx(line.total, rel=1e-9, abs=1e-12)
    high = book["Matrix high"]
    jars = {i.line.id for i in contributions.ingredients if i.is_jar}
    of_food = [float(high[f"C{r}"].value) for r in range(2, last + 1)]
    assert all(kcal == 0 for r, kcal in enumerate(of_food, 2) if high[f"A{r}"].value in jars)
    food_kcal = sum(mass * kcal for mass, kcal in zip(grams, of_food, strict=True))
    [place] = [cell.row for cell in nutrients["B"] if cell.value == "Energy of food, without jars"]
    for row, line in enumerate(made.sheet.assessment.nutrients, start=2):
        assert nutrients[f"G{row}"].value == f"=E{row}/$D${place}*1000"
        assert line.total_high / food_kcal * 1000 == pytest.approx(line.high_per_1000_kcal, rel=1e-9, abs=1e-12)


def column_of(page: Worksheet, name: str) -> int:
    return next(cell.column for cell in page[1] if cell.value == name)


def test_the_workbook_is_the_same_each_time(made: Batch, contributions: Contributions) -> None:
    one, other = (workbook_bytes(made.sheet, made.order, contributions, made.origin) for _ in range(2))
    assert one == other


def test_charts_are_the_same_each_time_and_grey(made: Batch, contributions: Contributions) -> None:
    for draw in (
        lambda: limits_chart(made.sheet, made.origin.text),
        lambda: sources_chart(made.sheet, contributions),
        lambda: costs_chart(made.sheet),
    ):
        one, other = svg_text(draw()), svg_text(draw())
        assert one == other
        assert "<svg" in one
        assert colours(one) <= {colour for colour in colours(one) if len({colour[1:3], colour[3:5], colour[5:7]}) == 1}


def colours(svg: str) -> set[str]:
    return {part[:7] for part in svg.split("fill: ")[1:] if part.startswith("#")}


def test_a_chart_as_png(made: Batch) -> None:
    assert png_bytes(costs_chart(made.sheet)).startswith(b"\x89PNG")


def test_the_front_a_sweep_and_a_history_can_be_drawn() -> None:
    points = [FrontPoint(8, Decimal("24.10"), (), True), FrontPoint(9, Decimal("23.26"), (), True)]
    sweep = [("turkey hearts", [(2.0, 23.0), (3.0, 23.9)]), ("beef hearts", [(2.0, 22.0), (3.0, 24.4)])]
    history = [("cost of a batch", [(date(2026, 10, 1), 22.0), (date(2026, 11, 1), 23.3)])]
    for figure in (
        front_chart(points, "USD"),
        lines_chart("Price", "USD per lb", "USD", sweep),
        lines_chart("History", "", "USD", history),
    ):
        assert "<svg" in svg_text(figure)


def test_titles_and_names_with_dollars_are_drawn_as_they_are_written() -> None:
    figure = lines_chart("From $30 to $5_x, {", "day", "USD", [("$a$", [(date(2026, 1, 1), 1.0)])])
    axes = figure.axes[0]
    axes.set_yticks([1.0, 2.0], ["$x_1$ and", "$y_2$"])
    svg_text(figure)
    texts = [text for text in figure.findobj(Text) if "$" in text.get_text()]
    assert len(texts) >= 3
    assert not any(text.get_parse_math() for text in texts)
