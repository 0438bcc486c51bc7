"""The command `amend`: in the middle of a batch, what is in the bowl is fixed and the rest is solved again."""

import sys
from pathlib import Path

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all
from optimizer.cli.options.journal import journal_option, journal_path, read_with_stock, show_or_json


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@click.option("--done", multiple=True, metavar="ID=AMOUNT", help="What is in the bowl already; repeatable; 0 for none.")
@journal_option
@as_json
@answers_for_errors
def amend(scenario: Path, done: tuple[str, ...], path: Path | None, as_json: bool) -> None:
    """Plan the rest of SCENARIO around what is in the bowl already.

    \b
    weighout amend turkey.toml --done "salmon-oil=9 g" --done "taurine-powder=1/2 tsp"

    Name everything that has gone in: what is not named may still change. If no mix meets every limit any more,
    it is told how much more meat would, or more of what is in the bowl. If too much went in of what is toxic in
    excess, it says first to throw the premix away. With --json, what is printed can be recorded.
    Exit code 0: every limit is met; 1: not any more, or not to be fed; 2: bad input.
    """
    from optimizer.amending import amend as amend_recipe
    from optimizer.render.json.journal import amendment_json
    from optimizer.render.text.replanned import amendment_text

    catalog = load_all(scenario)
    amendment = amend_recipe(read_with_stock(scenario, catalog, journal_path(path)), catalog, done)
    show_or_json(as_json, amendment_json, amendment_text, amendment)
    sys.exit(0 if amendment.may_be_fed else 1)
