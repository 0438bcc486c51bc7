"""The files of `weighout market`: the shopping list, the chart of a sweep, and the papers of the batch it found."""

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from optimizer.cli.options.papers import (
    FILE,
    Command,
    Contents,
    PaperJob,
    Writer,
    paper_options,
    portions_for,
    refuse,
    write_papers,
)

if TYPE_CHECKING:
    from catalog.records import Catalog
    from optimizer.market.market_report import MarketReport
    from optimizer.render.files.charts import Figure
    from optimizer.render.html.nutrient_report import Chart

FORMS = {  # options with a choice of forms, by the ending of the file
    "list": (".html", ".htm", ".md", ".csv", ".txt"),
    "sheet": (".html", ".htm", ".md", ".csv", ".txt"),
    "chart": (".svg", ".png"),
}
_OWN = (
    click.option("--list", "list_file", type=FILE, help="Write the shopping list: .html, .md, .csv or .txt."),
    click.option("--chart", "chart_file", type=FILE, help="Write a chart of the sweep: .svg or .png."),
)


def market_paper_options(command: Command) -> Command:
    """The options that say what to write, for a command that takes them as `**papers`."""
    return paper_options(command, _OWN)


def check_papers(papers: Mapping[str, Any], sweeps: Sequence[str]) -> None:
    """Refuses, before anything is solved, what could not be written then. Raises InputErrors."""
    for option, endings in FORMS.items():
        path = papers[f"{option}_file"]
        if path is not None and path.suffix.lower() not in endings:
            told = [ending for ending in endings if ending != ".htm"]
            refuse(f"--{option}", path, f"a file that ends in {', '.join(told[:-1])} or {told[-1]}")
    if papers["chart_file"] is not None and not sweeps:
        refuse("--chart", papers["chart_file"], "a chart of a sweep: name its price with --sweep FOOD=LOW..HIGH/UNIT")


def write_market_papers(papers: Mapping[str, Any], report: "MarketReport", catalog: "Catalog") -> None:
    """Writes every file that was asked for and names each on standard error. Raises InputErrors.

    A sweep of which nothing was found has no chart: a line on standard error says so.
    """
    if not any(value for key, value in papers.items() if key.endswith(("_file", "_folder"))):
        return
    basket = report.trip.basket
    own: dict[str, Writer] = {"list_file": partial(_list, report), "chart_file": partial(_chart, report)}
    asked = dict(papers)
    if asked["chart_file"] is not None and _figure(report) is None:
        click.echo(f"--chart is not written to {asked.pop('chart_file')}: nothing to draw was found.", err=True)
    portions = portions_for(basket.scenario, basket.sheet, catalog, papers["made"])
    write_papers(asked, basket.scenario, catalog, basket.sheet, portions, own)


def _list(report: "MarketReport", job: PaperJob, path: Path) -> Contents:
    kind = path.suffix.lower()
    if kind in (".html", ".htm"):
        from optimizer.render.html.market import list_page

        return {path: list_page(report, job.origin, job.papers["paper"], _chart_within(report))}
    from optimizer.render.files.shopping_list import list_csv, list_markdown, list_plain

    text = {".md": list_markdown, ".csv": list_csv}.get(kind, list_plain)
    return {path: text(report, job.origin)}


def _chart_within(report: "MarketReport") -> "Chart | None":
    """The chart as it stands within the page, which has a table of what each letter is."""
    figure = _figure(report, legend=False)
    if figure is None:
        return None
    from optimizer.render.files.charts import svg_text
    from optimizer.render.html.nutrient_report import Chart
    from optimizer.render.market_answers import chart_caption, chart_words

    return Chart(svg_text(figure), chart_words(report), chart_caption(report))


def _chart(report: "MarketReport", job: PaperJob, path: Path) -> Contents:
    from optimizer.render.files.charts import png_bytes, svg_text

    figure = _figure(report, job.origin.text)
    assert figure is not None  # else it was not asked for
    return {path: svg_text(figure) if path.suffix.lower() == ".svg" else png_bytes(figure)}


def _figure(report: "MarketReport", note: str = "", legend: bool = True) -> "Figure | None":
    """The chart of a sweep of one price or two; None where nothing of it was found."""
    from optimizer.render.files.market_charts import map_chart, sweep_chart

    sheet = report.trip.basket.sheet
    if report.price_map is not None:
        return map_chart(report.price_map, sheet.title, sheet.currency, note, legend)
    return sweep_chart(report, note, legend) if report.sweep is not None and report.sweep.segments else None
