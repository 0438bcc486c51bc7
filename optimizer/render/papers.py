"""The files that a sheet can be written to: which are asked for, and what each holds. Nothing is written here."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from catalog.catalog import TABLES
from catalog.mistakes import Mistake
from catalog.outputs import Output, write_outputs
from catalog.own.overlay import data_folder
from catalog.reading.holding_times import read_holding_times
from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.render.origin import Origin, origin_of
from optimizer.scenario.records import Scenario
from optimizer.sheet.portions import Portions, portions_of
from optimizer.sheet.sheet import Sheet

if TYPE_CHECKING:
    from optimizer.render.files.charts import Figure
    from optimizer.render.html.nutrient_report import Chart


@dataclass(frozen=True, slots=True)
class Papers:
    """Where each file is to be written; None: not that one. Its ending says the form: a sheet is .html, .md, .csv or
    .txt, a chart .svg or .png. `csv` is a folder.

    `chart_of` is one of `chart_kinds.CHARTS`, `label_grid` rows and columns of labels on a page, `paper` A4 or letter,
    `made` the day on which the batch is made (None: today).
    """

    sheet: Path | None = None
    report: Path | None = None
    vet: Path | None = None
    labels: Path | None = None
    calendar: Path | None = None
    chart: Path | None = None
    workbook: Path | None = None
    csv: Path | None = None
    chart_of: str = "limits"
    label_grid: tuple[int, int] = (4, 2)
    paper: str = "A4"
    made: date | None = None


@dataclass(frozen=True)
class Job:
    """What was asked for, of which batch."""

    papers: Papers
    scenario: Scenario
    catalog: Catalog
    sheet: Sheet
    portions: Portions | None
    origin: Origin


Contents = dict[Path, str | bytes]
Writer = Callable[[Job, Path], Contents]


def _sheet(job: Job, path: Path) -> Contents:
    from optimizer.sheet.work_order import work_order

    order = work_order(job.sheet)
    kind = path.suffix.lower()
    if kind in (".html", ".htm"):
        from optimizer.render.html.sheet import sheet_page

        return {path: sheet_page(job.sheet, order, job.portions, job.origin, job.papers.paper)}
    if kind == ".csv":
        from optimizer.render.files.csv_tables import sheet_csv

        return {path: sheet_csv(order, job.origin)}
    from optimizer.render.files.markdown import sheet_markdown, sheet_plain

    if kind in (".md", ".txt"):
        text = sheet_markdown if kind == ".md" else sheet_plain
        return {path: text(job.sheet, order, job.portions, job.origin)}
    return refuse("--sheet", path, "a file that ends in .html, .md, .csv or .txt")


def _report(job: Job, path: Path) -> Contents:
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
    return {path: report_page(job.sheet, contributions, charts, job.origin, job.papers.paper)}


def _cost_chart(sheet: Sheet, svg: str) -> "Chart":
    from optimizer.render.html.nutrient_report import Chart

    priced = ", ".join(f"{line.name} {line.cost} {sheet.currency}" for line in sheet.lines if line.cost is not None)
    return Chart(svg, f"Bars of cost: {priced}.", "What each ingredient costs.")


def _vet(job: Job, path: Path) -> Contents:
    from optimizer.render.html.vet import vet_page
    from optimizer.sheet.vet_report import vet_report_of

    return {path: vet_page(vet_report_of(job.scenario, job.catalog, job.sheet), job.origin, job.papers.paper)}


def _labels(job: Job, path: Path) -> Contents:
    from optimizer.render.html.labels import labels_page

    return {path: labels_page(job.sheet, job.portions, job.origin, job.papers.paper, *job.papers.label_grid)}


def _calendar(job: Job, path: Path) -> Contents:
    if job.portions is None or not job.portions.bags:
        return refuse("--calendar", path, "a scenario with [[cats]] and a mix that meets every limit")
    from optimizer.render.files.thaw_calendar import thaw_calendar

    return {path: thaw_calendar(job.portions, job.sheet.title, job.origin.text)}


def _chart(job: Job, path: Path) -> Contents:
    from optimizer.render.files.charts import (
        costs_chart,
        front_chart,
        limits_chart,
        sources_chart,
        sure_chart,
    )
    from optimizer.sheet.contributions import contributions_of

    sheet, note, what = job.sheet, job.origin.text, job.papers.chart_of
    if what == "cost" and sheet.cost is None:
        return refuse("--chart-of", path, "limits or sources: nothing here has a price")
    if what == "sources":
        figure = sources_chart(sheet, contributions_of(job.scenario, job.catalog, sheet), note)
    elif what == "sure":
        if sheet.sureness is None:
            return refuse("--chart-of", path, "limits, sources or cost: nothing is known of how sure it is")
        figure = sure_chart(sheet, note)
    elif what == "front":
        from optimizer.tradeoff import trade_off

        points = trade_off(job.scenario, job.catalog).points
        if not points:
            return refuse("--chart-of", path, "limits, sources or cost: no mix meets every limit")
        figure = front_chart(points, job.scenario.currency, note)
    else:
        figure = costs_chart(sheet, note) if what == "cost" else limits_chart(sheet, note)
    return {path: chart_bytes(figure, path)}


def chart_bytes(figure: "Figure", path: Path) -> str | bytes:
    """A chart in the form that its file's ending asks for. Raises InputErrors."""
    from optimizer.render.files.charts import png_bytes, svg_text

    if path.suffix.lower() not in (".svg", ".png"):
        return refuse("--chart", path, "a file that ends in .svg or .png")
    return svg_text(figure) if path.suffix.lower() == ".svg" else png_bytes(figure)


def _workbook(job: Job, path: Path) -> Contents:
    from optimizer.render.files.workbook import workbook_bytes
    from optimizer.sheet.contributions import contributions_of
    from optimizer.sheet.work_order import work_order

    contributions = contributions_of(job.scenario, job.catalog, job.sheet)
    return {path: workbook_bytes(job.sheet, work_order(job.sheet), contributions, job.origin)}


def _tables(job: Job, folder: Path) -> Contents:
    from optimizer.render.files.csv_tables import matrix_csv, nutrients_csv, prices_csv, sheet_csv
    from optimizer.sheet.contributions import contributions_of
    from optimizer.sheet.work_order import work_order

    contributions = contributions_of(job.scenario, job.catalog, job.sheet)
    return {
        folder / "sheet.csv": sheet_csv(work_order(job.sheet), job.origin),
        folder / "nutrients.csv": nutrients_csv(job.sheet, job.origin),
        folder / "matrix.csv": matrix_csv(job.sheet, contributions, job.origin),
        folder / "prices.csv": prices_csv(job.sheet, contributions, job.origin),
    }


WRITERS: Mapping[str, Writer] = {
    "sheet": _sheet,
    "report": _report,
    "vet": _vet,
    "labels": _labels,
    "calendar": _calendar,
    "chart": _chart,
    "workbook": _workbook,
    "csv": _tables,
}


PAGE = (".html", ".htm")
ENDINGS: Mapping[str, tuple[str, ...]] = {  # of what has one form; the others say themselves which forms they have
    "report": PAGE,
    "vet": PAGE,
    "labels": PAGE,
    "calendar": (".ics",),
    "workbook": (".xlsx",),
}


def paper_contents(
    papers: Papers,
    scenario: Scenario,
    catalog: Catalog,
    sheet: Sheet,
    portions: Portions | None,
    own: Mapping[str, tuple[Path, Writer]] | None = None,
) -> dict[str, Contents]:
    """What each file that is asked for holds, by the name of its field; `own` are further ones, or other writers for
    the same names. All of them are made before any is written. Raises InputErrors."""
    asked = {name: path for name in WRITERS if (path := getattr(papers, name)) is not None}
    writers = dict(WRITERS) | {name: writer for name, (_, writer) in (own or {}).items()}
    asked |= {name: path for name, (path, _) in (own or {}).items()}
    _check_endings(asked)
    job = Job(papers, scenario, catalog, sheet, portions, made_by(sheet, papers.made))
    return {name: writers[name](job, path) for name, path in asked.items()}


def write_contents(
    contents: Mapping[str, Contents], inputs: Iterable[Path] = (), overwrite: bool = False
) -> list[tuple[str, Path]]:
    """Writes the files, all or none; gives the name of each with its path. `inputs` are files that are read in this
    run: none of them is written over. Raises InputErrors."""
    outputs = [
        Output(f"--{name}", path, content if isinstance(content, bytes) else content.encode())
        for name, files in contents.items()
        for path, content in files.items()
    ]
    for folder in {path.parent for path in contents.get("csv", {})}:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            refuse("--csv", folder, f"a folder that can be made ({problem.strerror})")
    mistakes = write_outputs(outputs, inputs, data_folder(), overwrite)
    if mistakes:
        raise InputErrors(mistakes)
    return [(output.option.removeprefix("--"), output.path) for output in outputs]


def _check_endings(asked: Mapping[str, Path]) -> None:
    """Refuses what is asked for under an ending that it is not. Raises InputErrors."""
    wrong = [
        Mistake("command line", 0, f"--{name}", f'"{path}"', f"a file that ends in {ENDINGS[name][0]}")
        for name, path in asked.items()
        if name in ENDINGS and path.suffix.lower() not in ENDINGS[name]
    ]
    if wrong:
        raise InputErrors(wrong)


def portions_for(scenario: Scenario, sheet: Sheet, catalog: Catalog, made: date | None = None) -> Portions | None:
    """The portions of a batch made on a day (None: today); None where the scenario asks for none, and of a plan that is
    not to be fed."""
    if sheet.is_nearest:
        return None
    mistakes: list[Mistake] = []
    times = read_holding_times(TABLES / "holding_times.csv", catalog.sources, mistakes)
    if mistakes:
        raise InputErrors(mistakes)
    return portions_of(scenario, sheet, made or date.today(), times)


def made_by(sheet: Sheet, made: date | None = None) -> Origin:
    """What made a file, of which batch, on which day (None: today)."""
    return origin_of(sheet, f"weighout {version('weighout')}", made or date.today())


def refuse(option: str, path: Path, allowed: str) -> NoReturn:
    """Raises InputErrors: what an option names cannot be written."""
    raise InputErrors([Mistake("command line", 0, option, f'"{path}"', allowed)])
