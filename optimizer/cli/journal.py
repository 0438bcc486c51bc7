"""The commands `journal`: record, list, show, note, feed, undo; `journal_history` has what looks back further."""

from pathlib import Path
from typing import Any

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all
from optimizer.cli.journal_history import BACK
from optimizer.cli.options.journal import (
    change,
    day,
    journal_option,
    journal_path,
    number,
    read_with_stock,
    show_or_json,
    show_what_is_done,
    today,
)


@click.group()
def journal() -> None:
    """What was made, what is left of it, and what to change next time."""


@journal.command()
@click.argument("recipe", metavar="SCENARIO|PLAN.json", type=click.Path(path_type=Path))
@click.option(
    "--weighed", multiple=True, metavar="ID=AMOUNT", help="What was weighed otherwise than planned; 0 for none."
)
@click.option("--as-written", is_flag=True, help="The scenario's amounts as `check` takes them, not a plan.")
@click.option("--lot", "lots", multiple=True, metavar="ID=LOT", help="The lot on a package; repeatable.")
@click.option("--use-by", multiple=True, metavar="ID=DATE", help="The use-by date on a package; repeatable.")
@click.option("--portions", type=click.IntRange(min=1), help="How many portions it was divided into.")
@click.option("--made-on", metavar="DATE", help="The day it was made, if not today.")
@click.option("--note", default="", help="A remark.")
@click.option("--no-stock", is_flag=True, help="Take nothing from stock.")
@journal_option
@as_json
@answers_for_errors
def record(
    recipe: Path,
    weighed: tuple[str, ...],
    as_written: bool,
    lots: tuple[str, ...],
    use_by: tuple[str, ...],
    portions: int | None,
    made_on: str | None,
    note: str,
    no_stock: bool,
    path: Path | None,
    as_json: bool,
) -> None:
    """Record a batch: what SCENARIO plans, or what `plan --json` printed, as planned unless weighed otherwise.

    \b
    weighout journal record turkey.toml --lot turkey-heart=L2231 --portions 24
    weighout journal record plan.json --weighed "taurine-powder=1/2 tsp" --weighed kelp-tablet-225=0

    Exit code 0: recorded, whatever the batch misses; 2: bad input, or the journal could not be written.
    """
    from optimizer.journal.batches import BatchDetails, batch_page, record_batch
    from optimizer.journal.recipes import told_by_id
    from optimizer.journal.store import reading, writing
    from optimizer.render.json.journal import recorded_json
    from optimizer.render.text.journal import recorded_text

    planned, made, data, as_told = _sheets(recipe, weighed, as_written, journal_path(path))
    ids = [line["id"] for line in (made or planned)["amounts"]]
    dates = told_by_id("--use-by", use_by, ids, "an id and a date, such as turkey-heart=2026-01-31")
    told = BatchDetails(
        made_on=day(made_on, "--made-on") if made_on else today(),
        lots=told_by_id("--lot", lots, ids, "an id and a lot, such as turkey-heart=L2231"),
        use_by={id_: day(text, "--use-by") for id_, text in dates.items()},
        portions=portions,
        note=note.strip(),
    )
    with writing(journal_path(path)) as store:
        recorded = record_batch(store, planned, made, data, told, from_stock=not no_stock)
    with reading(journal_path(path)) as store:
        page = batch_page(store, recorded.number)
    done = f"Recorded as batch {recorded.number}"
    show_what_is_done(done, as_json, recorded_json, recorded_text, page, recorded)
    if not as_told:
        words = "its figures are not what its amounts come to with this catalog; recorded is what they come to."
        click.echo(f"{recipe}: {words}", err=True)


def _sheets(recipe: Path, weighed: tuple[str, ...], as_written: bool, journal: Path) -> tuple[Any, Any, Any, bool]:
    """The planned sheet, that of what was weighed (None when as planned), the scenario's data, and whether a file of a
    plan says what its amounts come to."""
    from optimizer.journal.plan_files import read_plan, recorded_as, says_the_same
    from optimizer.journal.recipes import as_weighed
    from optimizer.render.json.sheet import recipe_object, sheet_object

    if recipe.suffix == ".json":
        catalog = load_all(recipe)
        found = read_plan(recipe, catalog)
        assessed = sheet_object(found.assessed)
        planned: Any = recorded_as(found.sheet, assessed)
        as_told = says_the_same(found.sheet, assessed)
        made = sheet_object(as_weighed(found.recipe, catalog, found.texts, weighed)) if weighed else None
        made = made or (None if as_told else assessed)
        return planned, made, recipe_object(found.recipe.data), as_told
    catalog = load_all(recipe)
    read = read_with_stock(recipe, catalog, journal)
    data = recipe_object(read.data)
    if as_written:
        from optimizer.checking import check

        planned = sheet_object(check(read.scenario, catalog))
    else:
        from optimizer.planning import plan

        planned = sheet_object(plan(read.scenario, catalog, explained=False))
    texts = {line["id"]: line["text"] for line in planned["amounts"]}
    made = sheet_object(as_weighed(read, catalog, texts, weighed)) if weighed else None
    return planned, made, data, True


@journal.command("list")
@click.option("--all", "with_undone", is_flag=True, help="Also those that were undone.")
@journal_option
@as_json
@answers_for_errors
def list_(with_undone: bool, path: Path | None, as_json: bool) -> None:
    """List the batches: when, what, how much, what is left."""
    from optimizer.journal.batches import batches
    from optimizer.journal.store import reading
    from optimizer.render.json.journal import batches_json
    from optimizer.render.text.journal import batches_text

    with reading(journal_path(path)) as store:
        found = batches(store, with_undone)
    show_or_json(as_json, batches_json, batches_text, found)


@journal.command()
@number
@journal_option
@as_json
@answers_for_errors
def show(number: int, path: Path | None, as_json: bool) -> None:
    """Show batch NUMBER: planned and weighed, nutrients as they were judged then, lots, notes."""
    from optimizer.journal.batches import batch_page
    from optimizer.journal.store import reading
    from optimizer.render.json.journal import page_json
    from optimizer.render.text.journal import page_text

    with reading(journal_path(path)) as store:
        page = batch_page(store, number)
    show_or_json(as_json, page_json, page_text, page)


@journal.command()
@number
@click.argument("words", nargs=-1, required=True)
@journal_option
@answers_for_errors
def note(number: int, words: tuple[str, ...], path: Path | None) -> None:
    """Add a remark to batch NUMBER."""
    from optimizer.journal.batches import add_note

    change(path, lambda store: add_note(store, number, " ".join(words)))
    click.echo(f"Noted on batch {number}.")


@journal.command()
@number
@click.argument("portions", metavar="PORTIONS|MASS")
@click.option("--on", metavar="DATE", help="The day, if not today.")
@journal_option
@answers_for_errors
def feed(number: int, portions: str, on: str | None, path: Path | None) -> None:
    """Note that PORTIONS of batch NUMBER were used: "3" (portions), or a mass such as "450 g"."""
    from optimizer.journal.batches import feed as note_fed
    from optimizer.journal.batches import find_batch
    from optimizer.journal.feeding import grams_of_portions
    from optimizer.render.text.journal import left_text

    on = day(on, "--on") if on else today()
    batch = change(
        path,
        lambda store: note_fed(store, number, grams_of_portions(find_batch(store, number), portions), on),
    )
    click.echo(f"Batch {number}: {left_text(batch)} left.")


@journal.command()
@journal_option
@answers_for_errors
def undo(path: Path | None) -> None:
    """Undo what was recorded last. It stays in the journal, marked as undone; `redo` takes the undo back."""
    from optimizer.journal.events import undo_last
    from optimizer.journal.history import event_words

    undone = change(path, lambda store: (event := undo_last(store), event_words(store, event))[1])
    click.echo(f"Undone: {undone}.")


@journal.command()
@journal_option
@answers_for_errors
def redo(path: Path | None) -> None:
    """Take the last undo back."""
    from optimizer.journal.events import redo_last
    from optimizer.journal.history import event_words

    again = change(path, lambda store: event_words(store, redo_last(store)))
    click.echo(f"Counts again: {again}.")


for command in BACK:
    journal.add_command(command)
