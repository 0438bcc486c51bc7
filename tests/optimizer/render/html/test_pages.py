"""The printed pages: the same figures as the JSON, nothing from outside, structure that a screen reader can follow."""

import re
from collections.abc import Callable
from functools import cache
from itertools import pairwise

import pytest

from optimizer.render.bars import CEILING, END, TARGET, bar
from optimizer.render.files.charts import costs_chart, svg_text
from optimizer.render.html.labels import labels_page
from optimizer.render.html.nutrient_report import Chart, report_page
from optimizer.render.html.sheet import sheet_page
from optimizer.render.html.vet import vet_page
from optimizer.render.json.sheet import sheet_object
from optimizer.sheet.contributions import contributions_of
from optimizer.sheet.numbers import amount_text, grams_text
from optimizer.sheet.vet_report import vet_report_of
from tests.altered import changed, demo
from tests.papers import CATALOG, MADE, Batch, Page, batch, batch_of

Render = Callable[[Batch], str]
REACHED_OR_NOT = ["turkey-week", "bare-cupboard"]


def sheet(made: Batch) -> str:
    return sheet_page(made.sheet, made.order, made.portions, made.origin)


def report(made: Batch) -> str:
    charts = [Chart(svg_text(costs_chart(made.sheet)), "Costs.", "What each ingredient costs.")]
    return report_page(made.sheet, contributions_of(made.scenario, CATALOG, made.sheet), charts, made.origin)


def labels(made: Batch) -> str:
    return labels_page(made.sheet, made.portions, made.origin)


def vet(made: Batch) -> str:
    return vet_page(vet_report_of(made.scenario, CATALOG, made.sheet), made.origin)


PAGES: list[Render] = [sheet, report, labels, vet]


@cache
def html_of(render: Render, name: str, cats: bool = False) -> str:
    return render(batch(name, cats))


@pytest.mark.parametrize("name", REACHED_OR_NOT)
def test_the_sheet_weighs_out_what_the_json_says(name: str) -> None:
    rows = Page(html_of(sheet, name)).rows
    amounts = sheet_object(batch(name).sheet)["amounts"]
    assert set(rows) == {amount["id"] for amount in amounts}
    for amount in amounts:
        row = rows[amount["id"]]
        assert row["measure"] == amount["text"]
        assert row["grams"] == grams_text(amount["grams"])
        assert row["what"] == amount["name"]


@pytest.mark.parametrize("name", REACHED_OR_NOT)
def test_the_report_shows_the_figures_of_the_json(name: str) -> None:
    rows = Page(html_of(report, name)).rows
    data = sheet_object(batch(name).sheet)
    for nutrient in data["nutrients"]:
        row = rows[nutrient["id"]]
        low, high = nutrient["per_1000_kcal"], nutrient["high_per_1000_kcal"]
        assert row["there"].split(" to ")[0] == amount_text(low)
        if high > 1.1 * low:  # both ends, with or without a ceiling
            assert row["there"].split(" to ")[-1] == amount_text(high)
        assert row["dry"] == amount_text(nutrient["per_kg_dry_matter"])
        assert row["fed"] == amount_text(nutrient["total"] / data["totals"]["mass_g"] * 1000)
        for key in ("minimum", "maximum"):
            assert row.get(key, "") == ("" if nutrient[key] is None else amount_text(nutrient[key]))
        words = {"met": "ok", "short": "SHORT", "over": "OVER", "unknown": "UNKNOWN", "no_limit": ""}
        assert row.get("status", "").split(" ")[0] == words[nutrient["status"]]
    for ratio in data["ratios"]:
        assert rows[ratio["id"]]["there"].split(" (")[0] == amount_text(ratio["value"])


@pytest.mark.parametrize("name", REACHED_OR_NOT)
def test_the_veterinarian_reads_the_same_figures(name: str) -> None:
    rows = Page(html_of(vet, name)).rows
    data = sheet_object(batch(name).sheet)
    for nutrient in data["nutrients"]:
        assert rows[nutrient["id"]]["there"] == amount_text(nutrient["per_1000_kcal"])
    for amount in data["amounts"]:
        assert rows[amount["id"]]["grams"] == grams_text(amount["grams"])


def test_the_veterinarian_reads_every_standard_and_what_is_missed() -> None:
    text = Page(html_of(vet, "bare-cupboard")).text
    for standard in ("aafco", "fediaf-100", "fediaf-75", "nrc"):
        assert f"{standard}: " in text
    assert "iron (short 66 %)" in text
    assert "USDA National Nutrient Database for Standard Reference, Release 28" in text


@pytest.mark.parametrize("render", PAGES)
@pytest.mark.parametrize("cats", [False, True])
def test_nothing_is_fetched_from_outside(render: Render, cats: bool) -> None:
    html = html_of(render, "turkey-week", cats)
    page = Page(html)
    assert not page.named("link")
    assert not page.named("script")
    assert not page.named("iframe")
    references = [attrs.get(key) for _, attrs in page.elements for key in ("src", "href", "srcset", "action", "data")]
    assert all(reference.startswith("data:image/svg+xml;base64,") for reference in references if reference)
    assert not re.search(r"@import|url\(", html)


@pytest.mark.parametrize("render", PAGES)
def test_each_page_says_where_it_comes_from(render: Render) -> None:
    text = Page(html_of(render, "turkey-week", cats=True)).text
    version = CATALOG.version
    assert f"weighout 0; scenario altered.toml; catalog {version}; made {MADE.isoformat()}" in text


@pytest.mark.parametrize("render", PAGES)
def test_the_same_input_gives_the_same_page(render: Render) -> None:
    assert render(batch("turkey-week", cats=True)) == html_of(render, "turkey-week", cats=True)


@pytest.mark.parametrize("render", PAGES)
def test_a_screen_reader_can_follow(render: Render) -> None:
    page = Page(html_of(render, "turkey-week", cats=True))
    assert page.named("html")[0]["lang"] == "en"
    assert len(page.named("title")) == len(page.named("h1")) == len(page.named("main")) == 1
    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch("h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all(header.get("scope") for header in page.named("th"))
    assert all(image.get("alt") for image in page.named("img"))
    assert all(picture.get("aria-label") for picture in page.named("svg"))
    ids = [attrs["id"] for _, attrs in page.elements if attrs.get("id")]
    assert len(ids) == len(set(ids))


def test_black_on_white_and_grey_only() -> None:
    for render in PAGES:
        colours = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", html_of(render, "turkey-week").split("<body")[0]))
        assert colours <= {"#000", "#fff", "#777"}


def test_text_of_a_person_is_never_markup() -> None:
    made = batch_of(changed(demo("turkey-week"), title="<b>Cats & co</b>", cats=[{"name": "<i>M", "weight": "4 kg"}]))
    for render in PAGES:
        html = render(made)
        assert "<b>" not in html
        assert "<i>M" not in html
        assert "&lt;b&gt;Cats &amp; co" in html


def test_a_mix_that_misses_limits_says_so_on_every_page() -> None:
    assert "do not feed it as it is" in Page(html_of(sheet, "bare-cupboard")).text
    assert "Not complete: " in Page(html_of(sheet, "bare-cupboard")).text
    assert "do not feed it as it is" in Page(html_of(report, "bare-cupboard")).text
    assert "do not feed it as it is" in Page(html_of(vet, "bare-cupboard")).text
    assert "NOT COMPLETE" in Page(html_of(labels, "bare-cupboard")).text


def test_a_shortfall_stands_out_without_colour() -> None:
    rows = re.findall(r'<tr data-id="([^"]+)" class="missed">', html_of(report, "bare-cupboard"))
    missed = {miss.id for miss in batch("bare-cupboard").sheet.assessment.misses}
    assert set(rows) == missed
    assert html_of(report, "bare-cupboard").count('stroke-dasharray="2 1.4"') == sum(
        1 for miss in batch("bare-cupboard").sheet.assessment.misses if miss.status != "over"
    )


def test_limits_stand_in_line_and_amounts_on_their_side_of_them() -> None:
    low = bar(0.4, 0.6, 0.5, 5.0, "short")
    assert (low.minimum, low.maximum) == (TARGET, CEILING)
    assert low.low < TARGET < low.high < CEILING
    assert bar(0.5, 0.5, 0.5, 5.0, "met").low == TARGET
    assert bar(5.0, 5.0, 0.5, 5.0, "met").high == CEILING
    assert CEILING < bar(5.1, 5.1, 0.5, 5.0, "over").high < bar(99.0, 99.0, 0.5, 5.0, "over").high < END
    assert bar(0.0, 0.0, 0.5, None, "short").low == 0.0
    assert bar(2.0, 2.0, None, 4.0, "met").high == CEILING / 2


def test_a_label_for_each_bag() -> None:
    made = batch("turkey-week", cats=True)
    assert made.portions is not None
    page = Page(html_of(labels, "turkey-week", cats=True))
    assert len([item for item in page.named("li") if item["class"] == "label"]) == len(made.portions.bags) == 4
    assert "RAW: handle as raw meat" in page.text
    # by hand: 75 x 4.2^0.67 + 130 x 5.897^0.40 + 0.8 x 100 x 3.4^0.67 = 624.05 kcal a day, of a mix of 3527.29 g and
    # 4400.28 kcal that loses 0.5 % of water: 2 x 624.05 x 0.995 x 3527.29 / 4400.28 = 995.48
    assert "Bag 2 of 4: 995 g, 2 days for Minka, Bruno, Fips" in page.text
    assert "Frozen: use by Thu 25 Feb 2027" in page.text
    assert "Holds ground bone: never cook." in page.text


def test_a_bag_for_one_day_and_a_crowd_of_cats() -> None:
    crowd = [{"name": f"Cat number {n}", "weight": "4 kg"} for n in range(6)]
    text = Page(labels(batch_of(changed(demo("turkey-week"), cats=crowd)))).text
    assert "1 day for 6 cats" in text
    assert "To refrigerator Fri 27 Nov, feed Sat 28 Nov\n" in text


def test_without_bags_a_page_of_labels_to_fill_in() -> None:
    made = batch("turkey-week")
    page = Page(labels_page(made.sheet, None, made.origin, "letter", rows=8, columns=3))
    assert len([item for item in page.named("li") if item["class"] == "label"]) == 24
    assert "Bag ____ of ____" in page.text
