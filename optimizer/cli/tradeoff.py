"""The command `tradeoff`: for each number of supplements, the cheapest mix."""

import sys
from pathlib import Path
from typing import Any

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all, print_page
from optimizer.cli.options.what_if import what_if, what_if_options


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@what_if_options
@as_json
@answers_for_errors
def tradeoff(scenario: Path, as_json: bool, **changes: Any) -> None:
    """For each number of supplements, the cheapest mix of SCENARIO: what another jar saves.

    Exit code 0: done; 1: no mix meets every limit; 2: bad input.
    """
    from optimizer.scenario.read import load_scenario
    from optimizer.tradeoff import trade_off

    catalog = load_all(scenario)
    read = load_scenario(scenario, catalog, what_if=what_if(changes))
    points = trade_off(read, catalog)
    if as_json:
        from optimizer.render.json.plans import front_json

        click.echo(front_json(points, read.currency))
    else:
        from optimizer.render.text.plans import front_text

        print_page(front_text, points, read.currency)
    sys.exit(0 if points else 1)
