"""The files that a plan can be written to: sheet, report, labels, calendar, charts, workbook; and the command `vet`."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

from optimizer.cli.common import answers_for_errors, load_all

if TYPE_CHECKING:
    from catalog.records import Catalog
    from optimizer.render.html.nutrient_report import Chart
    from optimizer.render.origin import Origin
    from optimizer.scenario.records import Scenario
    from optimizer.sheet.portions import Portions
    from optimizer.sheet.sheet import Sheet

Command = TypeVar("Command", bound=Callable[..., Any])
FILE = click.Path(path_type=Path, dir_okay=False)
CHARTS = ("limits", "sources", "cost", "front")


def _day(_context: click.Context, _option: click.Parameter, value: str | None) -> date | None:
    try:
        return None if value is None else date.fromisoformat(value)
    except ValueError:
        raise click.BadParameter(f'"{value}" is no date such as 2026-11-30') from None


def _grid(_context: click.Context, _option: click.Parameter, value: str) -> tuple[int, int]:
    rows, _, columns = value.partition("x")
    if rows.isdecimal() and columns.isdecimal() and 1 <= int(rows) <= 12 and 1 <= int(columns) <= 5:
        return int(rows), int(columns)
    raise click.BadParameter(f'"{value}" is no grid of 1 to 12 rows and 1 to 5 columns, such as 4x2')


_DAY = click.option(
    "--date", "made", callback=_day, metavar="YYYY-MM-DD", help="The day it is made; today if left out."
)
_PAPER = click.option(
    "--paper", type=click.Choice(("A4", "letter")), default="A4", show_default=True, help="What pages are printed on."
)
_BATCH = (
    click.option("--sheet", "sheet_file", type=FILE, help="Write the weigh-out sheet: .html, .md, .csv or .txt."),
    click.option("--report", "report_file", type=FILE, help="Write the nutrient report as HTML, with bars and charts."),
    click.option("--vet", "vet_file", type=FILE, help="Write a report for a veterinarian as HTML."),
    click.option("--labels", "labels_file", type=FILE, help="Write labels for the bags as HTML."),
    click.option(
        "--label-grid", callback=_grid, default="4x2", show_default=True, help="Labels on a page: ROWSxCOLUMNS."
    ),
    click.option("--calendar", "calendar_file", type=FILE, help="Write the thaw plan as a calendar (.ics)."),
    click.option("--workbook", "workbook_file", type=FILE, help="Write a spreadsheet with live totals (.xlsx)."),
    click.option(
        "--csv", "csv_folder", type=click.Path(path_type=Path, file_okay=False), help="Write CSV tables there."
    ),
    _PAPER,
    _DAY,
)
_CHART = (
    click.option("--chart", "chart_file", type=FILE, help="Write a chart: .svg or .png."),
    click.option("--chart-of", type=click.Choice(CHARTS), default="limits", show_default=True, help="What it shows."),
)


def paper_options(command: Command, own: Sequence[Callable[[Any], Any]] = _CHART) -> Command:
    """The options that say what to write, for a command that takes them as `**papers`; `own` stand first: unless a
    command has others, those for charts of a plan."""
    for option in reversed((*own, *_BATCH)):
        command = option(command)
    return command


def portions_for(scenario: "Scenario", sheet: "Sheet", catalog: "Catalog", made: date | None) -> "Portions | None":
    """The portions of a batch made on a day (None: today); None where the scenario asks for none."""
    from catalog.catalog import TABLES
    from catalog.mistakes import Mistake
    from catalog.reading.holding_times import read_holding_times
    from optimizer.errors import InputErrors
    from optimizer.sheet.portions import portions_of

    mistakes: list[Mistake] = []
    times = read_holding_times(TABLES / "holding_times.csv", catalog.sources, mistakes)
    if mistakes:
        raise InputErrors(mistakes)
    return portions_of(scenario, sheet, made or date.today(), times)


def write_papers(
    papers: Mapping[str, Any],
    scenario: "Scenario",
    catalog: "Catalog",
    sheet: "Sheet",
    portions: "Portions | None",
    own: "Mapping[str, Writer] | None" = None,
) -> None:
    """Writes every file that was asked for and names each on standard error; `own` are a command's own writers, by
    option. Raises InputErrors."""
    writers = {**_WRITERS, **(own or {})}
    asked = {key: papers[key] for key in writers if papers.get(key) is not None}
    if not asked:
        return
    job = PaperJob(papers, scenario, catalog, sheet, portions, _origin(sheet, papers["made"]))
    made = {key: writers[key](job, path) for key, path in asked.items()}  # all of them before the first is written
    for key, contents in made.items():
        for path, content in contents.items():
            _write(path, content, key)


@dataclass(frozen=True)
class PaperJob:
    """What was asked for, of which batch."""

    papers: Mapping[str, Any]
    scenario: "Scenario"
    catalog: "Catalog"
    sheet: "Sheet"
    portions: "Portions | None"
    origin: "Origin"


Contents = dict[Path, str | bytes]
Writer = Callable[[PaperJob, Path], Contents]


def _sheet(job: PaperJob, path: Path) -> Contents:
    from optimizer.sheet.work_order import work_order

    order = work_order(job.scenario, job.sheet)
    kind = path.suffix.lower()
    if kind in (".html", ".htm"):
        from optimizer.render.html.sheet import sheet_page

        return {path: sheet_page(job.sheet, order, job.portions, job.origin, job.papers["paper"])}
    if kind == ".csv":
        from optimizer.render.files.csv_tables import sheet_csv

        return {path: sheet_csv(order, job.origin)}
    from optimizer.render.files.markdown import sheet_markdown, sheet_plain

    if kind in (".md", ".txt"):
        text = sheet_markdown if kind == ".md" else sheet_plain
        return {path: text(job.sheet, order, job.portions, job.origin)}
    return refuse("--sheet", path, "a file that ends in .html, .md, .csv or .txt")


def _report(job: PaperJob, path: Path) -> Contents:
    from optimizer.render.files.charts import costs_chart, sources_chart, svg_text
    from optimizer.render.html.nutrient_report import Chart, report_page
    from optimizer.sheet.contributions import contributions_of

    contributions = contributions_of(job.scenario, job.catalog, job.sheet)
    charts = [
        Chart(
            svg_text(sources_chart(job.sheet, contributions)),
            "Table of shares: a row for each nutrient, a column for each ingredient, the share in per cent in each.",
            "Which ingredient brings which nutrient, in per cent of its total.",
        )
    ]
    if job.sheet.cost is not None:
        charts.append(_cost_chart(job.sheet, svg_text(costs_chart(job.sheet))))
    return {path: report_page(job.sheet, contributions, charts, job.origin, job.papers["paper"])}


def _cost_chart(sheet: "Sheet", svg: str) -> "Chart":
    from optimizer.render.html.nutrient_report import Chart

    priced = ", ".join(f"{line.name} {line.cost} {sheet.currency}" for line in sheet.lines if line.cost is not None)
    return Chart(svg, f"Bars of cost: {priced}.", "What each ingredient costs.")


def _vet(job: PaperJob, path: Path) -> Contents:
    from optimizer.render.html.vet import vet_page
    from optimizer.sheet.vet_report import vet_report_of

    return {path: vet_page(vet_report_of(job.scenario, job.catalog, job.sheet), job.origin, job.papers["paper"])}


def _labels(job: PaperJob, path: Path) -> Contents:
    from optimizer.render.html.labels import labels_page

    return {path: labels_page(job.sheet, job.portions, job.origin, job.papers["paper"], *job.papers["label_grid"])}


def _calendar(job: PaperJob, path: Path) -> Contents:
    if job.portions is None or not job.portions.bags:
        return refuse("--calendar", path, "a scenario with [[cats]], so that there are bags to thaw")
    from optimizer.render.files.thaw_calendar import thaw_calendar

    return {path: thaw_calendar(job.portions, job.sheet.title, job.origin.text)}


def _chart(job: PaperJob, path: Path) -> Contents:
    if path.suffix.lower() not in (".svg", ".png"):
        return refuse("--chart", path, "a file that ends in .svg or .png")
    from optimizer.render.files.charts import costs_chart, front_chart, limits_chart, png_bytes, sources_chart, svg_text
    from optimizer.sheet.contributions import contributions_of

    sheet, note, what = job.sheet, job.origin.text, job.papers["chart_of"]
    if what == "cost" and sheet.cost is None:
        return refuse("--chart-of", path, "limits or sources: nothing here has a price")
    if what == "sources":
        figure = sources_chart(sheet, contributions_of(job.scenario, job.catalog, sheet), note)
    elif what == "front":
        from optimizer.tradeoff import trade_off

        points = trade_off(job.scenario, job.catalog)
        if not points:
            return refuse("--chart-of", path, "limits, sources or cost: no mix meets every limit")
        figure = front_chart(points, job.scenario.currency, note)
    else:
        figure = costs_chart(sheet, note) if what == "cost" else limits_chart(sheet, note)
    return {path: svg_text(figure) if path.suffix.lower() == ".svg" else png_bytes(figure)}


def _workbook(job: PaperJob, path: Path) -> Contents:
    from optimizer.render.files.workbook import workbook_bytes
    from optimizer.sheet.contributions import contributions_of
    from optimizer.sheet.work_order import work_order

    contributions = contributions_of(job.scenario, job.catalog, job.sheet)
    return {path: workbook_bytes(job.sheet, work_order(job.scenario, job.sheet), contributions, job.origin)}


def _tables(job: PaperJob, folder: Path) -> Contents:
    from optimizer.render.files.csv_tables import matrix_csv, nutrients_csv, prices_csv, sheet_csv
    from optimizer.sheet.contributions import contributions_of
    from optimizer.sheet.work_order import work_order

    contributions = contributions_of(job.scenario, job.catalog, job.sheet)
    return {
        folder / "sheet.csv": sheet_csv(work_order(job.scenario, job.sheet), job.origin),
        folder / "nutrients.csv": nutrients_csv(job.sheet, job.origin),
        folder / "matrix.csv": matrix_csv(job.sheet, contributions, job.origin),
        folder / "prices.csv": prices_csv(job.sheet, contributions, job.origin),
    }


_WRITERS: Mapping[str, Writer] = {
    "sheet_file": _sheet,
    "report_file": _report,
    "vet_file": _vet,
    "labels_file": _labels,
    "calendar_file": _calendar,
    "chart_file": _chart,
    "workbook_file": _workbook,
    "csv_folder": _tables,
}


def _origin(sheet: "Sheet", made: date | None) -> "Origin":
    from importlib.metadata import version

    from optimizer.render.origin import origin_of

    return origin_of(sheet, f"weighout {version('weighout')}", made or date.today())


def _write(path: Path, content: str | bytes, key: str) -> None:
    option = f"--{key.partition('_')[0]}"
    try:
        if key == "csv_folder":
            path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
    except OSError as problem:
        refuse(option, path, f"a file that can be written ({problem.strerror})")
    click.echo(f"{option} is in {path}", err=True)


def refuse(option: str, path: Path, allowed: str) -> NoReturn:
    """Raises InputErrors: what an option names cannot be written."""
    from catalog.mistakes import Mistake
    from optimizer.errors import InputErrors

    raise InputErrors([Mistake("command line", 0, option, f'"{path}"', allowed)])


@click.command()
@click.argument("scenarios", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--to", "path", type=FILE, required=True, help="The HTML file to write.")
@_PAPER
@_DAY
@answers_for_errors
def vet(scenarios: tuple[Path, ...], path: Path, paper: str, made: date | None) -> None:
    """Write a report for a veterinarian on the average of the plans of SCENARIOS, by mass.

    Each is planned, and the amounts are put together; they are judged by the first one's standard and by all others.
    """
    from optimizer.planning import plan
    from optimizer.pooling import pooled
    from optimizer.render.html.vet import vet_page
    from optimizer.scenario.read import load_scenario
    from optimizer.sheet.vet_report import vet_report_of

    catalog = load_all(scenarios[0])
    read = [load_scenario(scenario, catalog) for scenario in scenarios]
    scenario, sheet = pooled([(one, plan(one, catalog, explained=False)) for one in read], catalog)
    _write(path, vet_page(vet_report_of(scenario, catalog, sheet), _origin(sheet, made), paper, len(read)), "to")
