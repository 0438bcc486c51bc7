"""The command `tradeoff`: for each number of supplements, the cheapest mix; or what sureness costs."""

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NoReturn

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all, print_page
from optimizer.cli.options.papers import FILE, OVERWRITE, written
from optimizer.cli.options.seconds import checked_seconds
from optimizer.cli.options.what_if import change_options, what_if

NO_TIME = "Time ran out before every number of supplements was looked at; allow more with --seconds."


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@change_options
@click.option("--sure", "sure", is_flag=True, help="What sureness costs instead: from the plan as it is to the surest.")
@click.option("--chart", "chart", type=FILE, help="Write a chart: .svg or .png.")
@OVERWRITE
@click.option("--seconds", type=float, callback=checked_seconds, default=30.0, show_default=True, help="Time limit.")
@as_json
@answers_for_errors
def tradeoff(scenario: Path, sure: bool, chart: Path | None, seconds: float, as_json: bool, **changes: Any) -> None:
    """For each number of supplements, the cheapest mix of SCENARIO: what another jar saves.

    With --sure, what sureness costs: the plan as it is, then plans that hold each limit with a rising chance.

    Exit code 0: done; 1: no mix meets every limit; 2: bad input.
    """
    from optimizer.render.files.charts import front_chart, sure_front_chart
    from optimizer.render.json.plans import front_json, sure_front_json
    from optimizer.render.text.plans import front_text, sure_front_text
    from optimizer.scenario.read import load_scenario
    from optimizer.tradeoff import trade_off, trade_off_sureness

    catalog = load_all(scenario)
    read = load_scenario(scenario, catalog, what_if=what_if(changes))
    if sure:
        points = trade_off_sureness(read, catalog, seconds)
        _told(points, read.currency, as_json, chart, sure_front_chart, sure_front_json, sure_front_text)
    else:
        front = trade_off(read, catalog, seconds)
        if not front.complete:
            click.echo(NO_TIME, err=True)
            if not front.points and not as_json:
                sys.exit(1)  # nothing was ruled out, so nothing is said of what is on hand
        _told(front.points, read.currency, as_json, chart, front_chart, front_json, front_text)


def _told(
    points: Sequence[Any],
    currency: str,
    as_json: bool,
    chart: Path | None,
    draw: Callable[..., Any],
    data: Callable[..., str],
    text: Callable[..., str],
) -> NoReturn:
    """Writes and prints points by their renderers."""
    from optimizer.render.papers import chart_bytes

    if chart is not None and points:
        written({"chart": {chart: chart_bytes(draw(points, currency), chart)}})
    if as_json:
        click.echo(data(points, currency))
    else:
        print_page(text, points, currency)
    sys.exit(0 if points else 1)
