"""The shopping list as Markdown, plain text and CSV, and the charts of sweeps: the figures of the JSON."""

import csv
import json
import re
import xml.etree.ElementTree as ET
from fractions import Fraction
from io import StringIO
from itertools import pairwise
from typing import Any

import pytest

from optimizer.market.market_report import MarketReport
from optimizer.market.sweep import Sweep
from optimizer.render.files.charts import png_bytes, svg_text
from optimizer.render.files.market_charts import LEAST_APART, map_chart, moved_apart, sweep_chart
from optimizer.render.files.shopping_list import CSV_COLUMNS, list_csv, list_markdown, list_plain
from optimizer.render.json.market import market_json
from tests.optimizer.market.market_papers import KINDS, origin, report_of


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(text, newline=""), strict=True))


# Markdown, plain text, CSV.


def test_markdown_and_plain_text_hold_the_list_and_the_money() -> None:
    report = report_of("everything")
    markdown, plain = (render(report, origin(report)) for render in (list_markdown, list_plain))
    neck = "turkey neck, bone-in, skinned at 1.90: 3.80 (4.75 per kg, 11.88 without bone)"
    assert f"- [ ] **2 × 400 g** {neck}\n" in markdown
    assert f"[ ] 2 × 400 g {neck}\n" in plain
    assert "[ ] 1 × 250 g beef liver: 1.70 (6.80 per kg)\n" in plain
    data = json.loads(market_json(report))
    for text in (markdown, plain):
        assert text.count("[ ]") == len(report.trip.basket.bought)
        assert f"To pay, USD: {data['costs']['to_pay']} (" in text
        assert f"In this batch, USD: {data['costs']['batch']} (" in text
        assert "Butcher: 6.90 USD" in text
        assert text.endswith(f"{origin(report).text}\n")


@pytest.mark.parametrize("kind", KINDS)
def test_csv_reads_back_as_what_the_json_says(kind: str) -> None:
    text = list_csv(report_of(kind), origin(report_of(kind)))
    assert text.count("\r\n") == text.count("\n") == len(report_of(kind).trip.basket.bought) + 1
    assert {len(row) for row in csv.reader(StringIO(text, newline=""), strict=True)} == {len(CSV_COLUMNS)}
    rows, data = rows_of(text), json.loads(market_json(report_of(kind)))
    packages = [package for store in data["stores"] for package in store["packages"]]
    by_id = {(p["store"], p["id"]): p for p in packages}
    assert len(rows) == len(packages)
    for row in rows:
        package = by_id[row["store"], row["food"]]
        assert row["name"] == package["name"]
        assert row["cost"] == package["cost"]
        assert row["price"] == package["price"]["amount"]
        assert float(row["bought_g"]) == package["grams"]
        assert float(row["price_per_kg"]) == package["price_per_kg"]
        assert float(row["price_per_kg_without_bone"]) == package["price_per_edible_kg"]
        assert row["count"] == ("" if package["count"] is None else str(package["count"]))
        if row["count"]:
            assert int(row["count"]) * float(row["package_g"]) == pytest.approx(float(row["bought_g"]))
        assert (row["currency"], row["status"]) == ("USD", data["status"])
        assert row["origin"] == origin(report_of(kind)).text


def test_a_mix_out_of_reach_is_unmistakably_not_to_be_fed() -> None:
    report = report_of("poor")
    for render in (list_markdown, list_plain):
        words = render(report, origin(report))
        assert words.index("DO NOT FEED THIS MIX.") < words.index("vitamin A (retinol)") < words.index("Butcher: ")
    assert {row["status"] for row in rows_of(list_csv(report, origin(report)))} == {"out_of_reach"}
    assert "Poor &lt;b>" in list_markdown(report_of("poor"), origin(report_of("poor")))


# Charts.


def numbers(report: MarketReport) -> Sweep:
    assert report.sweep is not None
    return report.sweep


def test_the_chart_of_a_sweep_is_the_least_cost() -> None:
    report = report_of("everything")
    sweep = numbers(report)
    [axes] = sweep_chart(report).axes
    drawn = [line for line in axes.get_lines() if line.get_linestyle() == "-" and len(line.get_xdata()) == 2]
    points = [point for line in drawn for point in zip(line.get_xdata(), line.get_ydata(), strict=True)]
    assert points[0][0] == 2
    assert points[-1][0] == 8
    for price, cost in points:
        line = sweep.at(Fraction(price).limit_denominator(10**6))
        assert line is not None
        assert cost == pytest.approx(float(line.at(Fraction(price))), abs=1e-6)
    slopes = [
        (line.get_ydata()[1] - line.get_ydata()[0]) / (line.get_xdata()[1] - line.get_xdata()[0]) for line in drawn
    ]
    assert slopes == sorted(slopes, reverse=True)  # concave
    dots = {round(float(line.get_xdata()[0]), 2) for line in axes.get_lines() if line.get_marker() == "o"}
    assert dots == {float(row.low) for row in report.sweep_rows[1:]}
    letters = [text.get_text() for text in axes.texts if re.fullmatch("[A-Z]", text.get_text())]
    assert letters == ["A", "B", "C"][: len(report.sweep_rows)]
    told = [text.get_text() for text in axes.texts if re.fullmatch(r"\d+\.\d\d", text.get_text())]
    assert told == [str(row.low) for row in report.sweep_rows[1:]]


def test_prices_that_were_not_looked_at_are_left_blank() -> None:
    report = report_of("everything")
    whole = numbers(report)
    part = Sweep(whole.price_range, (whole.segments[0], whole.segments[-1]), False, True, 3)
    [axes] = sweep_chart(MarketReport(report.trip, sweep=part)).axes
    drawn = [line for line in axes.get_lines() if line.get_linestyle() == "-" and len(line.get_xdata()) == 2]
    assert len(drawn) == 2
    assert drawn[0].get_xdata()[1] == float(whole.segments[0].high)
    assert drawn[1].get_xdata()[0] == float(whole.segments[-1].low)
    assert not [line for line in axes.get_lines() if line.get_marker() == "o"]  # where it changes is not known


def test_letters_that_would_overlap_are_moved_apart() -> None:
    for places in ([0.5, 0.501, 0.502], [0.999, 1.0], [0.0, 0.001], []):
        found = moved_apart(places, 0.0, 1.0)
        assert all(b - a >= LEAST_APART - 1e-9 for a, b in pairwise(found))
        assert all(place <= 1 for place in found)
    assert moved_apart([0.2, 0.8], 0.0, 1.0) == [0.2, 0.8]


def test_the_map_has_each_mix_where_the_json_has_it() -> None:
    report = report_of("map")
    found = report.price_map
    assert found is not None
    figure = map_chart(found, "Two stores", "USD", origin(report).text)
    [axes] = figure.axes
    prices, downs = [float(p) for p in found.prices], [float(p) for p, _ in found.rows]
    drawn: dict[tuple[int, int], str] = {}
    for bar, text in zip(axes.patches, axes.texts, strict=True):
        row = min(range(len(downs)), key=lambda i: abs(downs[i] - (bar.get_y() + bar.get_height() / 2)))
        for column, price in enumerate(prices):
            if bar.get_x() < price < bar.get_x() + bar.get_width():
                drawn[row, column] = text.get_text()
    for row, (_, letters) in enumerate(found.rows):
        assert "".join(drawn[row, column] for column in range(len(prices))) == letters
    words = figure._supxlabel.get_text().replace("\xa0", " ")
    for letter, mix in found.mixes:
        assert f"{letter}  {mix[0]}"[:40] in words
    assert words.endswith(origin(report).text)
    looks = {
        (bar.get_facecolor(), bar.get_hatch(), text.get_text())
        for bar, text in zip(axes.patches, axes.texts, strict=True)
    }
    assert len({look[:2] for look in looks}) == len({look[2] for look in looks}) == len(found.mixes)


@pytest.mark.parametrize("kind", ["everything", "map"])
def test_charts_are_grey_and_the_same_each_time(kind: str) -> None:
    report = report_of(kind)

    def draw() -> Any:
        return map_chart(report.price_map, "T", "USD", "N") if report.price_map else sweep_chart(report, "N")

    svg = svg_text(draw())
    assert svg == svg_text(draw())
    ET.fromstring(svg)
    colours = set(re.findall(r"(?:fill|stroke): (#[0-9a-f]{6})", svg))
    assert colours
    assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in colours)
    assert png_bytes(draw()).startswith(b"\x89PNG")
