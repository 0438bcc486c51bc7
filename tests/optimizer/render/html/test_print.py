"""The pages in a browser: on how many sheets they print, and what an accessibility checker says of them."""

from pathlib import Path

import pytest

from optimizer.render.html.labels import labels_page
from optimizer.render.html.sheet import sheet_page
from tests.optimizer.render.html.test_pages import PAGES, Render, html_of, sheet
from tests.papers import axe_violations, batch, browse, needs_axe, needs_chromium, pages_printed

pytestmark = needs_chromium
SIZES = {"A4": (210, 297), "letter": (216, 279)}


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize(("name", "cats"), [("kittens-chicken-backs", False), ("turkey-week", True)])
def test_a_sheet_prints_on_two_pages_at_most(name: str, cats: bool, paper: str, tmp_path: Path) -> None:
    made = batch(name, cats)  # the longest of the demo sheets, and one with portions
    pages, size = pages_printed(sheet_page(made.sheet, made.order, made.portions, made.origin, paper), tmp_path)
    assert pages <= 2
    assert size == pytest.approx(SIZES[paper], abs=1)


def test_the_work_of_a_short_sheet_is_on_one_page_and_all_cautions_on_the_next(tmp_path: Path) -> None:
    made = batch("bare-cupboard")
    html = sheet(made)
    assert pages_printed(html, tmp_path)[0] == 2
    before, after = html.split('<section aria-labelledby="cautions"')
    assert pages_printed(before + "</main></body></html>", tmp_path)[0] == 1
    assert after.index("<li>") < after.index("<footer")


@pytest.mark.parametrize(("rows", "columns", "pages"), [(4, 2, 1), (1, 2, 2), (8, 3, 1)])
def test_labels_fill_whole_pages(rows: int, columns: int, pages: int, tmp_path: Path) -> None:
    made = batch("turkey-week", cats=True)  # four bags
    html = labels_page(made.sheet, made.portions, made.origin, "letter", rows, columns)
    assert pages_printed(html, tmp_path)[0] == pages


@pytest.mark.parametrize(("rows", "columns"), [(4, 2), (2, 1), (8, 3), (6, 2)])
def test_nothing_is_cut_off_on_a_label(rows: int, columns: int, tmp_path: Path) -> None:
    made = batch("turkey-week", cats=True)
    measure = """document.title = [...document.querySelectorAll(".label")]
        .filter(label => label.scrollHeight > label.clientHeight + 1).length + " cut";"""
    html = labels_page(made.sheet, made.portions, made.origin, "letter", rows, columns)
    page = tmp_path / "page.html"
    page.write_text(html.replace("</body>", f"<script>{measure}</script></body>"), encoding="utf-8")
    assert "<title>0 cut</title>" in browse(tmp_path, "--dump-dom", page.as_uri())


@needs_axe
@pytest.mark.parametrize("render", PAGES)
@pytest.mark.parametrize("width", [390, 1200])
def test_an_accessibility_checker_finds_nothing(render: Render, width: int, tmp_path: Path) -> None:
    assert axe_violations(html_of(render, "turkey-week", cats=True), width, tmp_path) == []
