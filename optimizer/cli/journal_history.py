"""The commands `journal` that look back over several batches, repeat one, and take the journal out and in."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all
from optimizer.cli.options.journal import journal_option, journal_path, number, show_or_json
from optimizer.cli.options.papers import OVERWRITE, written

if TYPE_CHECKING:
    from optimizer.journal.history import Trend


@click.command()
@click.argument("one", type=click.IntRange(min=1))
@click.argument("other", type=click.IntRange(min=1))
@journal_option
@as_json
@answers_for_errors
def compare(one: int, other: int, path: Path | None, as_json: bool) -> None:
    """Set two batches side by side, as they were judged when they were recorded."""
    from optimizer.journal.batches import batch_page
    from optimizer.journal.history import compare_batches
    from optimizer.journal.store import reading
    from optimizer.render.json.journal import side_by_side_json
    from optimizer.render.text.journal_history import side_by_side_text

    with reading(journal_path(path)) as store:
        beside = compare_batches(batch_page(store, one), batch_page(store, other))
    show_or_json(as_json, side_by_side_json, side_by_side_text, beside)


@click.command()
@click.argument("what")
@click.option("--chart", type=click.Path(path_type=Path), help="Also write a chart: .svg or .png.")
@OVERWRITE
@journal_option
@as_json
@answers_for_errors
def trend(what: str, chart: Path | None, path: Path | None, as_json: bool) -> None:
    """Show a nutrient over time, by its id, per 1000 kcal; or cost, cost-per-kg, mass, energy, supplements."""
    from optimizer.journal.history import trend as trend_of
    from optimizer.journal.store import reading
    from optimizer.render.json.journal import trend_json
    from optimizer.render.text.journal_history import trend_text

    with reading(journal_path(path)) as store:
        found = trend_of(store, what)
    if chart is not None:
        _write_chart(chart, found)
    show_or_json(as_json, trend_json, trend_text, found)


def _write_chart(path: Path, found: "Trend") -> None:
    from catalog.mistakes import Mistake
    from optimizer.errors import InputErrors

    if path.suffix not in (".svg", ".png"):
        raise InputErrors([Mistake(str(path), 0, "--chart", path.suffix, "a file that ends in .svg or .png")])
    from optimizer.render.files.charts import png_bytes, svg_text, trend_chart

    figure = trend_chart(found)
    written({"chart": {path: svg_text(figure) if path.suffix == ".svg" else png_bytes(figure)}}, said=False)


@click.command()
@click.option("--lot", required=True, help="The lot that is recalled.")
@journal_option
@as_json
@answers_for_errors
def find(lot: str, path: Path | None, as_json: bool) -> None:
    """Find every batch that holds a lot, what is left of each, and what is left of the lot in stock."""
    from optimizer.journal.history import find_lot, packages_of_lot
    from optimizer.journal.store import reading
    from optimizer.render.json.journal import held_json
    from optimizer.render.text.journal_history import held_text

    with reading(journal_path(path)) as store:
        held, there = find_lot(store, lot), packages_of_lot(store, lot)
    show_or_json(as_json, held_json, held_text, lot, held, there)


@click.command()
@journal_option
@as_json
@answers_for_errors
def prices(path: Path | None, as_json: bool) -> None:
    """List what each food last cost, with the day and where that is known from."""
    from optimizer.journal.last_prices import last_prices
    from optimizer.journal.store import reading
    from optimizer.render.json.journal import prices_json
    from optimizer.render.text.journal_history import prices_text

    with reading(journal_path(path)) as store:
        found = last_prices(store)
    show_or_json(as_json, prices_json, prices_text, found)


@click.command()
@journal_option
@as_json
@answers_for_errors
def history(path: Path | None, as_json: bool) -> None:
    """List everything that was ever recorded, undone things too, the oldest first."""
    from optimizer.journal.history import history as history_of
    from optimizer.journal.store import reading
    from optimizer.render.json.journal import history_json
    from optimizer.render.text.journal_history import history_text

    with reading(journal_path(path)) as store:
        found = history_of(store)
    show_or_json(as_json, history_json, history_text, found)


@click.command()
@number
@click.option("--meat", required=True, metavar="MASS", help='How much meat there is this time: "4.2 kg".')
@journal_option
@as_json
@answers_for_errors
def repeat(number: int, meat: str, path: Path | None, as_json: bool) -> None:
    """Plan batch NUMBER again with this much meat: last time's doses in proportion, corrected where they miss.

    With --json, what is printed can be recorded: `weighout journal record repeated.json`.
    Exit code 0: every limit is met; 1: no mix meets them all; 2: bad input.
    """
    from catalog.mistakes import Mistake
    from catalog.units.quantities import QuantityError, read_quantity
    from optimizer.errors import InputErrors
    from optimizer.journal.batches import batch_page
    from optimizer.journal.store import reading
    from optimizer.render.json.journal import repetition_json
    from optimizer.render.text.replanned import repetition_text
    from optimizer.repeating import repeat as plan_again

    try:
        mass = read_quantity(meat)
        if mass.kind != "mass":
            raise QuantityError(f"{meat!r} is no mass", 'a mass such as "4.2 kg" or "9 lb"')
    except QuantityError as problem:
        wrong = Mistake("command line", 0, "--meat", f'"{meat}" ({problem})', problem.allowed, problem.hint)
        raise InputErrors([wrong]) from problem
    with reading(journal_path(path)) as store:
        page = batch_page(store, number)
    again = plan_again(page, mass.amount, "us" if mass.unit in ("lb", "oz") else "metric", load_all(None))
    show_or_json(as_json, repetition_json, repetition_text, again)
    sys.exit(0 if again.sheet.assessment.all_met else 1)


@click.command()
@click.option("--csv", "as_csv", is_flag=True, help="CSV for a spreadsheet, not JSON Lines.")
@click.option("--to", "target", type=click.Path(path_type=Path), help="A file to write; else standard output.")
@OVERWRITE
@journal_option
@answers_for_errors
def export(as_csv: bool, target: Path | None, path: Path | None) -> None:
    """Write the whole journal as JSON Lines or CSV; `import` reads either back, to the same journal.

    Exit code 0: all of it; 1: without events that are spoilt, which are named; 2: bad input, or nothing was written.
    """
    from optimizer.journal.events import readable_events
    from optimizer.journal.export_import import to_csv, to_json_lines
    from optimizer.journal.store import reading

    with reading(journal_path(path)) as store:
        found, spoilt = readable_events(store)
    text = to_csv(found) if as_csv else to_json_lines(found)
    if target is None:
        click.echo(text.encode("utf-8"), nl=False)  # bytes: as they are, on Windows too
    else:
        written({"to": {target: text}}, said=False)
        click.echo(f"{target}: {len(found)} events.")
    if spoilt:
        numbers = ", ".join(map(str, spoilt))
        click.echo(f"! Left out, since they cannot be read any more: events {numbers} of the journal.", err=True)
        sys.exit(1)


@click.command("import")
@click.argument("source", type=click.Path(path_type=Path))
@journal_option
@answers_for_errors
def import_(source: Path, path: Path | None) -> None:
    """Read what `export` wrote into the journal, all of it or nothing; what is there already is left alone."""
    from optimizer.journal.export_import import from_csv, from_json_lines, take_in
    from optimizer.journal.files import read_whole
    from optimizer.journal.store import writing

    text = read_whole(source)
    found = from_csv(text, str(source)) if source.suffix.lower() == ".csv" else from_json_lines(text, str(source))
    with writing(journal_path(path)) as store:
        added, known = take_in(store, found, str(source))
    click.echo(f"{added} events added, {known} were there already.")


BACK = (compare, trend, find, prices, history, repeat, export, import_)
