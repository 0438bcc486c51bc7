"""The options that say which files to write: sheet, report, labels, calendar, charts, workbook."""

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from optimizer.render.chart_kinds import CHARTS

if TYPE_CHECKING:
    from catalog.records import Catalog
    from optimizer.render.papers import Contents, Papers
    from optimizer.scenario.records import Scenario
    from optimizer.sheet.portions import Portions
    from optimizer.sheet.sheet import Sheet

Command = TypeVar("Command", bound=Callable[..., Any])
FILE = click.Path(path_type=Path, dir_okay=False)


def _day(_context: click.Context, _option: click.Parameter, value: str | None) -> date | None:
    from catalog.bounds import DAY as ALLOWED
    from catalog.bounds import read_day

    day = None if value is None else read_day(value)
    if value is not None and day is None:
        raise click.BadParameter(f'"{value}" is not {ALLOWED}')
    return day


def _grid(_context: click.Context, _option: click.Parameter, value: str) -> tuple[int, int]:
    rows, _, columns = value.partition("x")
    if rows.isdecimal() and columns.isdecimal() and 1 <= int(rows) <= 12 and 1 <= int(columns) <= 5:
        return int(rows), int(columns)
    raise click.BadParameter(f'"{value}" is no grid of 1 to 12 rows and 1 to 5 columns, such as 4x2')


def _keep(context: click.Context, _option: click.Parameter, value: bool) -> None:
    context.meta[OVERWRITE_KEY] = value


OVERWRITE_KEY = "weighout.overwrite"
OVERWRITE = click.option(
    "--overwrite", is_flag=True, expose_value=False, callback=_keep, help="Replace files that weighout did not write."
)
DAY = click.option("--date", "made", callback=_day, metavar="YYYY-MM-DD", help="The day it is made; today if left out.")
PAPER = click.option(
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
    PAPER,
    DAY,
    OVERWRITE,
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


def papers_of(options: Mapping[str, Any]) -> "Papers":
    """The files that options ask for; a command's own are left out."""
    from optimizer.render.papers import Papers

    return Papers(
        sheet=options["sheet_file"],
        report=options["report_file"],
        vet=options["vet_file"],
        labels=options["labels_file"],
        calendar=options["calendar_file"],
        chart=options.get("chart_file"),
        workbook=options["workbook_file"],
        csv=options["csv_folder"],
        chart_of=options.get("chart_of", "limits"),
        label_grid=options["label_grid"],
        paper=options["paper"],
        made=options["made"],
    )


def written(contents: "Mapping[str, Contents]", said: bool = True) -> None:
    """Writes files, and names each on standard error where that is `said`. Raises InputErrors."""
    from optimizer.render.papers import write_contents

    context = click.get_current_context()
    for name, path in write_contents(contents, inputs_of(context, contents), bool(context.meta.get(OVERWRITE_KEY))):
        if said:
            click.echo(f"--{name} is in {path}", err=True)


def inputs_of(context: click.Context, outputs: Collection[str]) -> list[Path]:
    """The files that a command reads: those that its options name, but for the `outputs` that it writes, and the
    person's own that it looks for by itself."""
    from catalog.own.overlay import FILE_NAME, STANDARDS_FILE, data_folder
    from optimizer.cli.options.journal import journal_path

    written = {f"--{name}" for name in outputs}
    read = [context.params.get(p.name or "") for p in context.command.params if not written & set(p.opts)]
    each = [one for value in read for one in (value if isinstance(value, tuple) else (value,))]
    files = [one for one in each if isinstance(one, Path)]
    folders = {data_folder(), Path(), *(path.parent for path in files)}
    own = [folder / name for folder in folders for name in (FILE_NAME, STANDARDS_FILE)]
    return [*files, *own, journal_path(None)]


def papers_and_portions(
    options: Mapping[str, Any], scenario: "Scenario", catalog: "Catalog", sheet: "Sheet"
) -> "Portions | None":
    """Writes what the options ask for; gives the portions of the batch. Raises InputErrors."""
    portions = None
    if scenario.cats or scenario.packing is not None or asked_for(options):
        from optimizer.render.papers import paper_contents, portions_for

        portions = portions_for(scenario, sheet, catalog, options["made"])
        written(paper_contents(papers_of(options), scenario, catalog, sheet, portions))
    return portions


def asked_for(options: Mapping[str, Any]) -> bool:
    """Whether any file is asked for."""
    return any(value for key, value in options.items() if key.endswith(("_file", "_folder")))
