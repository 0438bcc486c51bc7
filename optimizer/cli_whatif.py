"""The commands that ask what if: options that change a scenario, `compare` and `tradeoff`."""

import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from optimizer.cli_common import answers_for_errors, as_json, load_all, print_page

if TYPE_CHECKING:
    from optimizer.whatif import WhatIf

Command = TypeVar("Command", bound=Callable[..., Any])

AIMS = ("cost", "fewest", "usual")  # optimizer.aims.AIMS, named here so that --help loads no solver

_OPTIONS = (
    click.option("--without", multiple=True, metavar="ID", help="Leave something out of the scenario; repeatable."),
    click.option("--with", "added", multiple=True, metavar="ID", help="Put a supplement on hand; repeatable."),
    click.option("--set", "amounts", multiple=True, metavar="ID=AMOUNT", help='Fix an amount: "kelp=1/2 tsp".'),
    click.option("--cap", metavar="SHARE", help='Another cap on non-meat, such as "8 %".'),
    click.option("--budget", metavar="MONEY", help="What the batch may cost, in the scenario's currency."),
)


def what_if_options(command: Command) -> Command:
    """The options that change a scenario for one run."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def what_if(changes: dict[str, Any], aim: str | None = None, standard: str | None = None) -> "WhatIf":
    """The changes as a record."""
    from optimizer.whatif import WhatIf

    return WhatIf(
        changes["without"], changes["added"], changes["amounts"], changes["cap"], changes["budget"], aim, standard
    )


@click.command()
@click.argument("scenarios", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--aim", "aims", multiple=True, type=click.Choice(AIMS), help="An aim to compare; repeatable.")
@click.option("--standard", "standards", multiple=True, metavar="ID", help="A standard to compare; repeatable.")
@what_if_options
@as_json
@answers_for_errors
def compare(
    scenarios: tuple[Path, ...], aims: tuple[str, ...], standards: tuple[str, ...], as_json: bool, **changes: Any
) -> None:
    """Set plans side by side: two or more SCENARIOS, or one under several aims, standards or changes.

    With one scenario and a change (--without, --with, --set, --cap, --budget), the plan as it is stands beside
    the plan as changed. Exit code 0: every plan meets its limits; 1: some do not; 2: bad input.
    """
    from optimizer.comparison import compare as make_comparison
    from optimizer.plan import plan
    from optimizer.scenario_file import load_scenario
    from optimizer.whatif import WhatIf

    changed = what_if(changes)
    bases = [WhatIf(), changed] if changed != WhatIf() and len(scenarios) == 1 else [changed]
    variants = [
        (path, replace(base, aim=aim, standard=standard))
        for path in scenarios
        for aim in (aims or (None,))
        for standard in (standards or (None,))
        for base in bases
    ]
    if len(variants) < 2:
        raise click.UsageError("nothing to compare: give two scenarios, or one with two aims, standards or a change")
    sheets = []
    for path, variant in variants:
        catalog = load_all(path)
        sheets.append(plan(load_scenario(path, catalog, what_if=variant), catalog, explained=False))
    labels = [f"{path}{': ' if variant.label else ''}{variant.label}" for path, variant in variants]
    comparison = make_comparison(labels, sheets)
    if as_json:
        from optimizer.render.whatif_json import comparison_json

        click.echo(comparison_json(comparison))
    else:
        from optimizer.render.whatif_text import comparison_text

        print_page(comparison_text, comparison)
    sys.exit(0 if all(sheet.assessment.all_met for sheet in sheets) else 1)


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@what_if_options
@as_json
@answers_for_errors
def tradeoff(scenario: Path, as_json: bool, **changes: Any) -> None:
    """For each number of supplements, the cheapest mix of SCENARIO: what another jar saves.

    Exit code 0: done; 1: no mix meets every limit; 2: bad input.
    """
    from optimizer.scenario_file import load_scenario
    from optimizer.tradeoff import trade_off

    catalog = load_all(scenario)
    read = load_scenario(scenario, catalog, what_if=what_if(changes))
    points = trade_off(read, catalog)
    if as_json:
        from optimizer.render.whatif_json import front_json

        click.echo(front_json(points, read.currency))
    else:
        from optimizer.render.whatif_text import front_text

        print_page(front_text, points, read.currency)
    sys.exit(0 if points else 1)
