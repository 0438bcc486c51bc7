"""The shopping list as a page: the figures of the JSON, the words of the text, on paper and on a phone."""

import json
import re
from itertools import pairwise
from pathlib import Path

import pytest

from optimizer.assess.cautions import foremost
from optimizer.market.market_report import MarketReport
from optimizer.render.files.charts import svg_text
from optimizer.render.files.market_charts import map_chart, sweep_chart
from optimizer.render.html.market import list_page
from optimizer.render.html.nutrient_report import Chart
from optimizer.render.json.market import market_json
from optimizer.render.market_answers import break_even_rows, chart_words, substitution_rows, sweep_cells
from optimizer.render.market_rows import use_rows
from optimizer.render.text.market import market_text
from tests.optimizer.market.market_papers import DEMOS, KINDS, demo, origin, report_of
from tests.papers import Page, axe_violations, browse, needs_axe, needs_chromium, pages_printed


def page_of(report: MarketReport, paper: str = "A4") -> str:
    chart = None
    if report.sweep:
        chart = Chart(svg_text(sweep_chart(report, legend=False)), chart_words(report), "Least cost.")
    if report.price_map:
        chart = Chart(svg_text(map_chart(report.price_map, "", "USD", legend=False)), chart_words(report), "Map.")
    return list_page(report, origin(report), paper, chart)


# The page: the figures of the JSON and the words of the text.


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_buys_and_pays_what_the_json_says(kind: str) -> None:
    page, data = Page(page_of(report_of(kind))), json.loads(market_json(report_of(kind)))
    bought = {id_: row for id_, row in page.rows.items() if "@" in id_}
    packages = {f"{p['id']}@{store['name']}": p for store in data["stores"] for p in store["packages"]}
    assert bought.keys() == packages.keys()
    for id_, package in packages.items():
        row = bought[id_]
        assert (row["count"], row["cost"]) == (package["text"], package["cost"])
        assert row["what"] == package["name"] + (f"({package['note']})" if package["note"] else "")
        assert row["price"].split(" per ")[0] == package["price"]["amount"]
        assert row["perkg"] == f"{package['price_per_kg']:.2f}"
        with_bone = package["price_per_edible_kg"] > package["price_per_kg"]
        assert row["edible"] == (f"{package['price_per_edible_kg']:.2f}" if with_bone else "")
    for store in data["stores"]:
        going = f" and going there: {store['visit_cost']} USD" if store["visit_cost"] != "0.00" else ""
        assert f"{store['name']}: {store['total']} USD{going}" in page.text
    costs = data["costs"]
    amounts = {name: row["amount"] for name, row in page.rows.items() if "amount" in row and "alone" not in name}
    assert amounts.pop("Going there", "0.00") == costs["visits"]
    assert amounts == {
        "At the stores": costs["at_stores"],
        "To pay, USD": costs["to_pay"],
        "From on hand": costs["from_on_hand"],
        "Left over": f"-{costs['left_over']}" if float(costs["left_over"]) else costs["left_over"],
        "In this batch, USD": costs["batch"],
    }
    names = {"per_kg": "per kg", "per_1000_kcal": "per 1000 kcal", "per_cat_and_day": "per cat and day"}
    for name, rates in (("To pay, USD", "to_pay_rates"), ("In this batch, USD", "batch_rates")):
        assert page.rows[name]["words"] == ", ".join(f"{v} {names[k]}" for k, v in costs[rates].items())


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_puts_in_what_the_json_puts_in(kind: str) -> None:
    rows, data = Page(page_of(report_of(kind))).rows, json.loads(market_json(report_of(kind)))
    for use in data["uses"]:
        if use["grams"] or use["from_bought_g"] or float(use["left_over_worth"]):
            row = rows[use["id"]]
            assert row["take"] == use["text"]
            assert row["what"] == use["name"]
            assert bool(row["left"]) == (use["left_over_g"] > 0)
            on_hand, bought = use["from_hand_g"] > 0, use["from_bought_g"] > 0
            assert row["source"] == ("both" if on_hand and bought else "on hand" if on_hand else "bought")


def test_what_was_asked_besides_is_on_the_page_as_in_the_json() -> None:
    report = report_of("everything")
    page, data = Page(page_of(report)), json.loads(market_json(report))
    for alone in data["stores_alone"]:
        assert page.rows[f"alone {alone['store']}"]["amount"] == (alone["cost"] or "")
    assert [row["prices"] for id_, row in page.rows.items() if id_.startswith("sweep ")] == [
        f"{row['from']} to {row['to']}" for row in data["sweep"]["rows"]
    ]
    prices = [b["price"] for b in data["break_evens"] if b["price"]]
    shown = [row[3] for bought in (True, False) for row in break_even_rows(report, bought)]
    assert sorted(price for price in shown if price[0].isdigit()) == sorted(prices)
    assert {row.extra for row in substitution_rows(report)[0]} == {
        f"{float(s['extra_cost']):+.2f} USD" for s in data["swaps"]
    }
    for row in substitution_rows(report)[0]:
        assert f"{row.title}: {row.extra}" in page.text


def test_the_page_and_the_text_use_the_same_words() -> None:
    for kind in KINDS:
        report = report_of(kind)
        text = " ".join(market_text(report, 40).split())
        page = Page(page_of(report)).text
        basket = report.trip.basket
        words = [notice.text for notice in foremost(basket.sheet.cautions)]
        words += [w for row in use_rows(basket) for w in (f"{row.take} {row.name} ({row.source})", row.left)]
        words += [w for cells in sweep_cells(report) for w in (cells[1], cells[2])] if report.sweep else []
        words += [cell for row in break_even_rows(report, True) for cell in row]
        words += [words for row in substitution_rows(report)[0] for _, words in row.changes]
        for part in words:
            assert " ".join(part.split()) in text
        [verdict] = re.findall(r"(?:Every limit is met|Nothing on sale and on hand).*", page)
        assert " ".join(verdict.split()) in text


def test_a_demo_list_says_how_near_the_least_it_is() -> None:
    report = demo("store-freezer-top-up")
    text, page = " ".join(market_text(report).split()), Page(page_of(report)).text
    for shown in (text, page):
        assert re.search(
            r"Every limit is met on average figures, all at once in .* of such batches; potassium, .* depend on the bone\.",
            shown,
        )
        assert "Nothing cheaper does, to within 0.0" in shown  # a small coin
    assert "29 offers, prices of 2026-10-28 to 2026-11-05; gap 0.0" in page


def test_a_mix_out_of_reach_is_unmistakably_not_to_be_fed() -> None:
    report = report_of("poor")
    html = page_of(report)
    assert "<strong>Do not feed this mix.</strong>" in html
    text = Page(html).text
    assert text.index("Do not feed") < text.index("What is missed") < text.index("Butcher: ")
    assert "vitamin A (retinol): 0 IU, the limit is 833 IU" in text
    assert "not kept: at least 2 kinds of meat" in text
    assert "Do not feed" not in page_of(demo("store-freezer-top-up"))


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_fetched_from_outside(kind: str) -> None:
    html = page_of(report_of(kind))
    page = Page(html)
    assert not page.named("link")
    assert not page.named("script")
    references = [attrs.get(key) for _, attrs in page.elements for key in ("src", "href", "srcset", "action", "data")]
    assert all(reference.startswith("data:image/svg+xml;base64,") for reference in references if reference)
    assert not re.search(r"@import|url\(|https?://", html)


@pytest.mark.parametrize("kind", KINDS)
def test_a_screen_reader_can_follow(kind: str) -> None:
    html = page_of(report_of(kind))
    page = Page(html)
    assert page.named("html")[0]["lang"] == "en"
    assert len(page.named("title")) == len(page.named("h1")) == len(page.named("main")) == 1
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch("h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all(header.get("scope") for header in page.named("th"))
    assert all(image.get("alt") for image in page.named("img"))
    ids = [attrs["id"] for _, attrs in page.elements if attrs.get("id")]
    assert len(ids) == len(set(ids))
    boxes = {box["id"] for box in page.named("input")}
    assert boxes == {label["for"] for label in page.named("label")}
    assert len(boxes) == len(report_of(kind).trip.basket.bought)


def test_the_page_says_where_it_comes_from_and_is_the_same_each_time() -> None:
    for report in map(report_of, KINDS):
        assert origin(report).text in Page(page_of(report)).text
        assert page_of(report) == page_of(report)


def test_text_of_a_person_is_never_markup() -> None:
    assert "<b>" not in page_of(report_of("poor")).partition("<main")[0]
    assert "Poor &lt;b&gt;" in page_of(report_of("poor"))


def test_black_on_white_and_grey_only() -> None:
    for report in map(report_of, KINDS):
        colours = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", page_of(report).split("<body")[0]))
        assert colours <= {"#000", "#fff", "#777"}


# In a browser.


@needs_chromium
@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("name", DEMOS)
def test_the_demo_lists_print_on_one_page(name: str, paper: str, tmp_path: Path) -> None:
    pages, size = pages_printed(page_of(demo(name), paper), tmp_path)
    assert pages == 1
    assert size == pytest.approx({"A4": (210, 297), "letter": (216, 279)}[paper], abs=1)


@needs_chromium
@pytest.mark.parametrize("kind", KINDS)
def test_a_phone_shows_it_without_scrolling_sideways(kind: str, tmp_path: Path) -> None:
    (tmp_path / "page.html").write_text(page_of(report_of(kind)), encoding="utf-8")
    measure = """onload = () => { const inner = document.querySelector("iframe").contentDocument.documentElement;
        const box = inner.querySelector("input").getBoundingClientRect();
        document.title = inner.clientWidth + " " + inner.scrollWidth + " " + (box.width >= 24 && box.height >= 24); };"""
    frame = tmp_path / "frame.html"  # a window cannot be as narrow as a phone, a frame can
    frame.write_text(
        f'<iframe src="page.html" style="width:390px;height:800px;border:0"></iframe><script>{measure}</script>'
    )
    shown = browse(
        tmp_path, "--allow-file-access-from-files", "--virtual-time-budget=5000", "--dump-dom", frame.as_uri()
    )
    assert "<title>390 390 true</title>" in shown


@needs_chromium
@needs_axe
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("width", [390, 1200])
def test_an_accessibility_checker_finds_nothing(kind: str, width: int, tmp_path: Path) -> None:
    assert axe_violations(page_of(report_of(kind)), width, tmp_path) == []
