"""The files of `weighout market`: the shopping list, the chart of a sweep, and the papers of the batch it found."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click

from optimizer.cli.options.papers import FILE, Command, asked_for, paper_options, papers_of, written

if TYPE_CHECKING:
    from catalog.records import Catalog
    from optimizer.market.market_report import MarketReport

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
    from optimizer.render.papers import refuse

    for option, endings in FORMS.items():
        path = papers[f"{option}_file"]
        if path is not None and path.suffix.lower() not in endings:
            told = [ending for ending in endings if ending != ".htm"]
            refuse(f"--{option}", path, f"a file that ends in {', '.join(told[:-1])} or {told[-1]}")
    if papers["chart_file"] is not None and not sweeps:
        refuse("--chart", papers["chart_file"], "a chart of a sweep: name its price with --sweep FOOD=LOW..HIGH/UNIT")


def write_market_papers(options: Mapping[str, Any], report: "MarketReport", catalog: "Catalog") -> None:
    """Writes every file that was asked for and names each on standard error. Raises InputErrors.

    A sweep of which nothing was found has no chart: a line on standard error says so.
    """
    if not asked_for(options):
        return
    from optimizer.render.market_papers import market_contents, nothing_to_draw

    chart = options["chart_file"]
    if chart is not None and nothing_to_draw(report):
        click.echo(f"--chart is not written to {chart}: nothing to draw was found.", err=True)
        chart = None
    written(market_contents(papers_of({**options, "chart_file": chart}), options["list_file"], report, catalog))
