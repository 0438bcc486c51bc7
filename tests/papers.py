"""Batches to print, a reader of the printed pages, and the browser that shows them."""

import json
import re
import shutil
import subprocess
from dataclasses import dataclass
from datetime import date
from functools import cache
from html.parser import HTMLParser
from importlib import resources
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from catalog.catalog import TABLES, load_catalog
from catalog.mistakes import Mistake
from catalog.reading.holding_times import HoldingTime, read_holding_times
from optimizer.planning import plan
from optimizer.render.origin import Origin, origin_of
from optimizer.scenario.records import Scenario
from optimizer.sheet.portions import Portions, portions_of
from optimizer.sheet.sheet import Sheet
from optimizer.sheet.work_order import WorkOrder, work_order
from tests.altered import Data, changed, demo, scenario_of

CATALOG = load_catalog()[0]
MADE = date(2026, 11, 25)
CATS = [
    {"name": "Minka", "weight": "4.2 kg"},
    {"name": "Bruno", "weight": "13 lb", "condition": "overweight"},
    {"name": "Fips", "weight": "3.4 kg", "neutered": False, "activity": "active", "share": "80 %"},
]
PORTIONS = {
    "scoop": "1/4 cup",
    "scoop_grams": "58 g",
    "tray": "500 g",
    "bag_days": 2,
    "sticking": "40 g",
    "evaporation": "0.5 %",
}


@dataclass(frozen=True)
class Batch:
    scenario: Scenario
    sheet: Sheet
    portions: Portions | None
    order: WorkOrder
    origin: Origin


def batch_of(data: Data, made: date = MADE) -> Batch:
    scenario = scenario_of(data, CATALOG)
    sheet = plan(scenario, CATALOG)
    portions = portions_of(scenario, sheet, made, holding_times())
    return Batch(scenario, sheet, portions, work_order(sheet), origin_of(sheet, "weighout 0", made))


@cache
def batch(name: str, cats: bool = False) -> Batch:
    """A demo scenario as planned, with or without cats and portions."""
    return batch_of(changed(demo(name), cats=CATS, portions=PORTIONS) if cats else demo(name))


@cache
def holding_times() -> tuple[HoldingTime, ...]:
    mistakes: list[Mistake] = []
    times = read_holding_times(TABLES / "holding_times.csv", CATALOG.sources, mistakes)
    assert mistakes == []
    return times


class Page(HTMLParser):
    """What a page holds: its elements in order, and the text of table cells by row and class."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.rows: dict[str, dict[str, str]] = {}
        self.text = ""
        self._row = self._cell = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        self.elements.append((tag, values))
        if tag == "tr":
            self._row = values.get("data-id") or ""
        if tag in ("td", "th") and self._row:
            self._cell = (values.get("class") or tag).split()[-1]
            self.rows.setdefault(self._row, {}).setdefault(self._cell, "")

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th"):
            self._cell = ""

    def handle_data(self, data: str) -> None:
        self.text += data
        if self._row and self._cell:
            self.rows[self._row][self._cell] += data.strip()

    def named(self, tag: str) -> list[dict[str, Any]]:
        return [attrs for found, attrs in self.elements if found == tag]


CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
needs_chromium = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here to print with (Debian: chromium)")


def browse(folder: Path, *arguments: str) -> str:
    """Runs the browser without a window or a network, and gives what it prints."""
    assert CHROMIUM is not None
    quiet = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-sync --hide-scrollbars"
    quiet += " --disable-background-networking --disable-component-update --disable-dev-shm-usage"
    command = [CHROMIUM, *quiet.split(), f"--user-data-dir={folder / 'profile'}", *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True).stdout


def pages_printed(html: str, folder: Path) -> tuple[int, tuple[float, float]]:
    """On how many sheets a page prints, and their size in mm."""
    source, target = folder / "page.html", folder / "page.pdf"
    source.write_text(html, encoding="utf-8")
    browse(folder, "--no-pdf-header-footer", f"--print-to-pdf={target}", source.as_uri())
    pdf = target.read_bytes()
    box = re.search(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)", pdf)
    assert box is not None
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)), (float(box[1]) / 72 * 25.4, float(box[2]) / 72 * 25.4)


needs_axe = pytest.mark.skipif(
    find_spec("axe_core_python") is None, reason="axe-core-python, an accessibility checker, is absent"
)


def axe_violations(html: str, width: int, folder: Path) -> Any:
    """What an accessibility checker finds on a page in a window so wide: of each, its rule, how often, an element."""
    checker = (resources.files("axe_core_python") / "axe.min.js").read_text(encoding="utf-8")
    run = """axe.run(document, {resultTypes: ["violations"]}).then(found => {
        const list = found.violations.map(v => [v.id, v.nodes.length, v.nodes[0].html.slice(0, 200)]);
        document.title = "done"; document.body.textContent = "FOUND" + JSON.stringify(list) + "END"; });"""
    page = folder / "page.html"
    page.write_text(
        html.replace("</body>", f"<script>{checker}</script><script>{run}</script></body>"), encoding="utf-8"
    )
    shown = browse(folder, f"--window-size={width},1200", "--virtual-time-budget=20000", "--dump-dom", page.as_uri())
    found = re.search(r"FOUND(.*?)END", shown, re.DOTALL)
    assert found is not None, shown[-500:]
    return json.loads(found[1])
