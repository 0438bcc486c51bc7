"""The files of a trip to the store: the shopping list, the chart of a sweep, and the papers of the batch it found."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from catalog.records import Catalog
from optimizer.market.market_report import MarketReport
from optimizer.render.papers import Contents, Job, Papers, Writer, paper_contents, portions_for

if TYPE_CHECKING:
    from optimizer.render.files.charts import Figure
    from optimizer.render.html.nutrient_report import Chart


def market_contents(
    papers: Papers, shopping_list: Path | None, report: MarketReport, catalog: Catalog
) -> dict[str, Contents]:
    """What each file holds, the shopping list and a chart of the sweep among them; see `paper_contents`."""
    basket = report.trip.basket
    own: dict[str, tuple[Path, Writer]] = {}
    if shopping_list is not None:
        own["list"] = shopping_list, partial(_list, report)
    if papers.chart is not None:
        own["chart"] = papers.chart, partial(_chart, report)
    portions = portions_for(basket.scenario, basket.sheet, catalog, papers.made)
    return paper_contents(papers, basket.scenario, catalog, basket.sheet, portions, own)


def nothing_to_draw(report: MarketReport) -> bool:
    """Whether no chart can be made: nothing was swept, or nothing of it was found."""
    return _figure(report) is None


def _list(report: MarketReport, job: Job, path: Path) -> Contents:
    kind = path.suffix.lower()
    if kind in (".html", ".htm"):
        from optimizer.render.html.market import list_page

        return {path: list_page(report, job.origin, job.papers.paper, _chart_within(report))}
    from optimizer.render.files.shopping_list import list_csv, list_markdown, list_plain

    text = {".md": list_markdown, ".csv": list_csv}.get(kind, list_plain)
    return {path: text(report, job.origin)}


def _chart_within(report: MarketReport) -> "Chart | None":
    """The chart as it stands within the page, which has a table of what each letter is."""
    figure = _figure(report, legend=False)
    if figure is None:
        return None
    from optimizer.render.files.charts import svg_text
    from optimizer.render.html.nutrient_report import Chart
    from optimizer.render.market_answers import chart_caption, chart_words

    return Chart(svg_text(figure), chart_words(report), chart_caption(report))


def _chart(report: MarketReport, job: Job, path: Path) -> Contents:
    from optimizer.render.files.charts import png_bytes, svg_text

    figure = _figure(report, job.origin.text)
    assert figure is not None  # else it was not asked for
    return {path: svg_text(figure) if path.suffix.lower() == ".svg" else png_bytes(figure)}


def _figure(report: MarketReport, note: str = "", legend: bool = True) -> "Figure | None":
    """The chart of a sweep of one price or two; None where nothing of it was found."""
    from optimizer.render.files.market_charts import map_chart, sweep_chart

    sheet = report.trip.basket.sheet
    if report.price_map is not None:
        return map_chart(report.price_map, sheet.title, sheet.currency, note, legend)
    return sweep_chart(report, note, legend) if report.sweep is not None and report.sweep.segments else None
