"""The command line: reads what was asked, calls the pipeline, prints. Heavy libraries load when used."""

import gc
import os
import sys
from contextlib import nullcontext
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from optimizer.cli.common import LateGroup, answers_for_errors, as_json, ctrl_c, load_all, print_page
from optimizer.cli.options.journal import from_stock
from optimizer.cli.options.papers import paper_options, papers_and_portions
from optimizer.cli.options.prices import price_options, prices_for
from optimizer.cli.options.seconds import checked_seconds
from optimizer.cli.options.what_if import what_if, what_if_options
from optimizer.scenario.aims import AIMS

if TYPE_CHECKING:
    from catalog.records import Catalog
    from optimizer.sheet.portions import Portions
    from optimizer.sheet.sheet import Sheet


def _print_sheet(
    sheet: "Sheet", catalog: "Catalog", portions: "Portions | None", as_json: bool, cautions: str
) -> NoReturn:
    from optimizer.sheet.sheet import ASSESSED, PLANNED

    if as_json:
        from optimizer.render.json.sheet import sheet_json

        click.echo(sheet_json(sheet, portions, catalog.sources))
    else:
        from optimizer.render.text.sheet import sheet_text

        print_page(partial(sheet_text, all_cautions=cautions == ALL), sheet, portions)
    kept = sheet.status == PLANNED or (sheet.status == ASSESSED and sheet.assessment.all_met)
    sys.exit(0 if kept else 1)


scenario_file = click.argument("scenario", type=click.Path(path_type=Path))
ALL = "all"
which_cautions = click.option(
    "--cautions",
    type=click.Choice(("first", ALL)),
    default="first",
    show_default=True,
    help="Print the cautions that matter most for this batch, or all of them.",
)


LATE = {
    "amend": "optimizer.cli.amend:amend",
    "compare": "optimizer.cli.compare:compare",
    "foods": "optimizer.cli.foods:foods",
    "journal": "optimizer.cli.journal:journal",
    "market": "optimizer.cli.market:market",
    "standards": "optimizer.cli.standards:standards",
    "stock": "optimizer.cli.stock:stock",
    "tradeoff": "optimizer.cli.tradeoff:tradeoff",
    "vet": "optimizer.cli.vet:vet",
}


@click.group(cls=LateGroup, late=LATE, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="weighout", message="%(prog)s %(version)s")
def main() -> None:
    """Plan a batch of home-mixed raw cat food: what to weigh out so that it meets a published standard.

    This is not veterinary advice. Kittens, pregnancy and illness need a veterinarian.
    """


@main.command()
@scenario_file
@click.option("--aim", type=click.Choice(tuple(AIMS)), help="What to be best at; replaces the scenario's aim.")
@click.option("--standard", metavar="ID", help="The standard to meet; replaces the scenario's. See `standards`.")
@what_if_options
@price_options
@paper_options
@click.option("--seconds", type=float, callback=checked_seconds, default=30.0, show_default=True, help="Time limit.")
@which_cautions
@click.option("--why", is_flag=True, help="Add why each dose is what it is, and what each limit costs.")
@as_json
@answers_for_errors
def plan(
    scenario: Path,
    aim: str | None,
    standard: str | None,
    seconds: float,
    cautions: str,
    why: bool,
    as_json: bool,
    **changes: Any,
) -> None:
    """Choose the doses for SCENARIO and print the weigh-out sheet.

    Exit code 0: every limit is met; 1: no mix meets them all, and the nearest is printed; 2: bad input.
    """
    from optimizer.model.deadline import never
    from optimizer.planning import plan as make_plan
    from optimizer.scenario.read import load_scenario

    catalog = load_all(scenario)
    stock = partial(from_stock, path=changes["path"])
    read = load_scenario(scenario, catalog, what_if=what_if(changes, aim, standard), stock=stock)
    prices = prices_for(changes, read, catalog)
    with ctrl_c() if prices else nullcontext(never) as pressed:  # the cheapest remedy is a long question
        sheet = make_plan(read, catalog, seconds, why, prices, cancelled=pressed)
    portions = papers_and_portions(changes, read, catalog, sheet)
    _print_sheet(sheet, catalog, portions, as_json, cautions)


@main.command()
@scenario_file
@click.option("--standard", metavar="ID", help="The standard to judge by; replaces the scenario's.")
@paper_options
@which_cautions
@as_json
@answers_for_errors
def check(scenario: Path, standard: str | None, cautions: str, as_json: bool, **papers: Any) -> None:
    """Judge the amounts in SCENARIO as they are written; nothing is optimised.

    Files are written even where limits are missed, as `plan` writes them when no mix meets every limit: the sheet (but
    not as .csv), the report, the labels and --vet say then what is missed. As there, --chart-of front is refused: it is
    a chart of plans.

    Exit code 0: every limit is met; 1: some are missed; 2: bad input.
    """
    from optimizer.checking import check as make_check
    from optimizer.cli.options.journal import from_stock
    from optimizer.scenario.read import load_scenario

    if papers["chart_file"] is not None and papers["chart_of"] == "front":
        from catalog.mistakes import Mistake
        from optimizer.errors import InputErrors

        allowed = "limits, sources or cost: check plans nothing"
        raise InputErrors([Mistake("command line", 0, "--chart-of", '"front"', allowed)])
    catalog = load_all(scenario)
    read = load_scenario(scenario, catalog, standard=standard, stock=from_stock)
    sheet = make_check(read, catalog)
    portions = papers_and_portions(papers, read, catalog, sheet)
    _print_sheet(sheet, catalog, portions, as_json, cautions)


def run() -> NoReturn:
    """The program as a process of its own. It is gone in a second: memory is hardly searched for waste, and the
    process ends at once when all is written, since taking the libraries apart takes as long as solving."""
    gc.set_threshold(200_000, 20, 20)
    code: object = 0
    try:
        main()
    except SystemExit as end:
        code = end.code
    except OSError as problem:
        click.echo(f"weighout: what was asked for cannot be written: {problem.strerror or problem}.", err=True)
        code = 2
    try:
        for stream in filter(None, (sys.stdout, sys.stderr)):
            stream.flush()
    except (OSError, ValueError):  # whoever read it has gone
        code = 1
    os._exit(code if isinstance(code, int) else 0)
