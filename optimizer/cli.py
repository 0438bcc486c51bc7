"""The command line: reads what was asked, calls the pipeline, prints. Heavy libraries load when used."""

import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

import click

if TYPE_CHECKING:
    from catalog.records import Catalog
    from optimizer.sheet import Sheet

Command = TypeVar("Command", bound=Callable[..., Any])

AIMS = ("cost", "fewest", "usual")  # optimizer.aims.AIMS, named here so that --help loads no solver


def _fail(error: Exception) -> NoReturn:
    click.echo(str(error), err=True)
    sys.exit(getattr(error, "exit_code", 2))


def _answers_for_errors(command: Command) -> Command:
    """Errors become one message on standard error and an exit code, never a traceback."""

    @wraps(command)
    def run(*args: Any, **kwargs: Any) -> Any:
        from optimizer.errors import WeighoutError

        try:
            return command(*args, **kwargs)
        except WeighoutError as error:
            _fail(error)

    return run  # type: ignore[return-value]  # wraps keeps the signature


def _catalog() -> "Catalog":
    from catalog.library import load_catalog
    from optimizer.errors import InputErrors

    catalog, mistakes = load_catalog()
    if mistakes:
        raise InputErrors(mistakes)
    return catalog


def _print_sheet(sheet: "Sheet", as_json: bool) -> NoReturn:
    from optimizer.sheet import ASSESSED, PLANNED

    if as_json:
        from optimizer.render.json_text import sheet_json

        click.echo(sheet_json(sheet))
    else:
        from optimizer.render.text import sheet_text

        _page(sheet_text, sheet)
    kept = sheet.status == PLANNED or (sheet.status == ASSESSED and sheet.assessment.all_met)
    sys.exit(0 if kept else 1)


def _page(render: Callable[..., str], *what: Any) -> None:
    """Prints what a renderer makes, as wide as the terminal; a pipe gets 100 columns and no colour."""
    from rich.console import Console

    console = Console()
    width = min(console.width, 120) if console.is_terminal else 100
    click.echo(render(*what, width=width, colour=console.is_terminal), nl=False)


as_json = click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else.")
scenario_file = click.argument("scenario", type=click.Path(path_type=Path))


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="weighout", message="%(prog)s %(version)s")
def main() -> None:
    """Plan a batch of home-mixed raw cat food: what to weigh out so that it meets a published standard.

    This is not veterinary advice. Kittens, pregnancy and illness need a veterinarian.
    """


@main.command()
@scenario_file
@click.option("--aim", type=click.Choice(AIMS), help="What to be best at; replaces the scenario's aim.")
@click.option("--standard", metavar="ID", help="The standard to meet; replaces the scenario's. See `standards`.")
@click.option("--seconds", type=click.FloatRange(min=0.01), default=30.0, show_default=True, help="Time limit.")
@click.option("--why", is_flag=True, help="Add why each dose is what it is, and what each limit costs.")
@as_json
@_answers_for_errors
def plan(scenario: Path, aim: str | None, standard: str | None, seconds: float, why: bool, as_json: bool) -> None:
    """Choose the doses for SCENARIO and print the weigh-out sheet.

    Exit code 0: every limit is met; 1: no mix meets them all, and the nearest is printed; 2: bad input.
    """
    from optimizer.plan import plan as make_plan
    from optimizer.scenario_file import load_scenario

    catalog = _catalog()
    read = load_scenario(scenario, catalog, aim=aim, standard=standard)
    _print_sheet(make_plan(read, catalog, seconds, why), as_json)


@main.command()
@scenario_file
@click.option("--standard", metavar="ID", help="The standard to judge by; replaces the scenario's.")
@as_json
@_answers_for_errors
def check(scenario: Path, standard: str | None, as_json: bool) -> None:
    """Judge the amounts in SCENARIO as they are written; nothing is optimised.

    Exit code 0: every limit is met; 1: some are missed; 2: bad input.
    """
    from optimizer.check import check as make_check
    from optimizer.scenario_file import load_scenario

    catalog = _catalog()
    _print_sheet(make_check(load_scenario(scenario, catalog, standard=standard), catalog), as_json)


@main.command()
@click.argument("search", required=False, default="")
@as_json
@_answers_for_errors
def foods(search: str, as_json: bool) -> None:
    """List the foods and supplements that a scenario can name; SEARCH narrows the list."""
    from catalog.search import find_foods

    found = find_foods(_catalog(), search)
    if as_json:
        from optimizer.render.listing_json import foods_json

        click.echo(foods_json(found))
    else:
        from optimizer.render.listing_text import foods_text

        _page(foods_text, found)


@main.command()
@as_json
@_answers_for_errors
def standards(as_json: bool) -> None:
    """List the standards that a scenario can name, with every limit."""
    catalog = _catalog()
    if as_json:
        from optimizer.render.listing_json import standards_json

        click.echo(standards_json(catalog))
    else:
        from optimizer.render.listing_text import standards_text

        _page(standards_text, catalog)
