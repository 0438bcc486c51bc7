"""The command `vet`: a report for a veterinarian on several plans."""

from datetime import date
from pathlib import Path

import click

from optimizer.cli.common import answers_for_errors, load_all
from optimizer.cli.options.papers import DAY, FILE, OVERWRITE, PAPER, written


@click.command()
@click.argument("scenarios", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--to", "path", type=FILE, required=True, help="The HTML file to write.")
@OVERWRITE
@PAPER
@DAY
@answers_for_errors
def vet(scenarios: tuple[Path, ...], path: Path, paper: str, made: date | None) -> None:
    """Write a report for a veterinarian on the average of the plans of SCENARIOS, by mass.

    Each is planned, and the amounts are put together; they are judged by the first one's standard and by all others.
    """
    from optimizer.planning import plan
    from optimizer.pooling import pooled
    from optimizer.render.html.vet import vet_page
    from optimizer.render.papers import PAGE, made_by, refuse
    from optimizer.scenario.read import load_scenario
    from optimizer.sheet.vet_report import vet_report_of

    if path.suffix.lower() not in PAGE:
        refuse("--to", path, "a file that ends in .html")
    catalog = load_all(scenarios[0])
    read = [load_scenario(scenario, catalog) for scenario in scenarios]
    scenario, sheet = pooled([(one, plan(one, catalog, explained=False)) for one in read], catalog)
    page = vet_page(vet_report_of(scenario, catalog, sheet), made_by(sheet, made), paper, len(read))
    written({"to": {path: page}})
