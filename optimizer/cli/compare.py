"""The command `compare`: plans side by side."""

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all, print_page
from optimizer.cli.options.what_if import what_if, what_if_options
from optimizer.scenario.aims import AIMS

if TYPE_CHECKING:
    pass


@click.command()
@click.argument("scenarios", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--aim", "aims", multiple=True, type=click.Choice(tuple(AIMS)), help="An aim to compare; repeatable.")
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
    from optimizer.comparing import compare as make_comparison
    from optimizer.planning import plan
    from optimizer.scenario.edit import WhatIf
    from optimizer.scenario.read import load_scenario

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
        from optimizer.render.json.plans import comparison_json

        click.echo(comparison_json(comparison))
    else:
        from optimizer.render.text.plans import comparison_text

        print_page(comparison_text, comparison)
    sys.exit(0 if all(sheet.assessment.all_met for sheet in sheets) else 1)
