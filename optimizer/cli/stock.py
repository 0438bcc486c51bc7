"""The commands `stock`: what is in the cupboard and the freezer, with lots, prices and use-by dates."""

from pathlib import Path

import click

from optimizer.cli.common import answers_for_errors, as_json, load_all
from optimizer.cli.options.journal import (
    change,
    day,
    journal_option,
    journal_path,
    number,
    show_or_json,
    show_what_is_done,
    today,
)


@click.group(invoke_without_command=True)
@click.option("--all", "with_empty", is_flag=True, help="Also packages that are empty.")
@click.option("--days", type=click.IntRange(min=0), help="Days to the next batch, if not as many as usual.")
@journal_option
@as_json
@click.pass_context
@answers_for_errors
def stock(ctx: click.Context, with_empty: bool, days: int | None, path: Path | None, as_json: bool) -> None:
    """List what is in stock, what it is worth, and what runs out or expires before the next batch."""
    ctx.obj = path
    if ctx.invoked_subcommand is None:
        from optimizer.journal.batches import batches
        from optimizer.journal.stock import days_between_batches, packages, stock_warnings
        from optimizer.journal.store import reading
        from optimizer.render.json.journal import stock_json
        from optimizer.render.text.stock import stock_text

        with reading(journal_path(path)) as store:
            until = days_between_batches([b.made_on for b in batches(store)]) if days is None else days
            there = [package for package in packages(store) if with_empty or package.left_g != 0]
            warnings = stock_warnings(store, today(), until)
        show_or_json(as_json, stock_json, stock_text, there, warnings, until)


@stock.command()
@click.argument("food")
@click.argument("amount")
@click.option("--price", metavar="MONEY", help='What the package cost, "14.00 USD", or a rate, "2.49 USD/lb".')
@click.option("--lot", default="", help="The lot on the package.")
@click.option("--use-by", metavar="DATE", help="The use-by date on the package.")
@click.option("--bought", metavar="DATE", help="The day it was bought, if not today.")
@click.option("--step", help='The smallest step you can measure of it, such as "1/4 tsp".')
@click.option("--as", "listed", type=click.Choice(["on-hand", "supplement"]), help="Where a scenario lists it.")
@journal_option
@as_json
@click.pass_obj
@answers_for_errors
def add(
    group_path: Path | None,
    food: str,
    amount: str,
    price: str | None,
    lot: str,
    use_by: str | None,
    bought: str | None,
    step: str | None,
    listed: str | None,
    path: Path | None,
    as_json: bool,
) -> None:
    """Put a package of FOOD in stock.

    \b
    weighout stock add taurine-powder "200 g" --price "14.00 USD" --lot T88 --use-by 2028-05-01 --step "1/4 tsp"
    weighout stock add turkey-heart "2 lb 4 oz" --price "2.29 USD/lb" --use-by 2026-12-20
    """
    from optimizer.journal.new_packages import bought_package
    from optimizer.journal.stock import add_package
    from optimizer.journal.store import writing
    from optimizer.render.json.journal import package_json
    from optimizer.render.text.stock import package_text

    package = bought_package(
        load_all(None),
        food=food,
        amount=amount,
        price=price,
        lot=lot.strip(),
        use_by=day(use_by, "--use-by") if use_by else "",
        bought_on=day(bought, "--bought") if bought else today(),
        step=step or "",
        listed=listed,
    )
    with writing(journal_path(path or group_path)) as store:
        added = add_package(store, package)
    show_what_is_done(f"In stock as package {added.number}", as_json, package_json, package_text, added)


@stock.command()
@number
@click.argument("left")
@click.option("--why", default="", help="Why it is not what the journal thought.")
@journal_option
@click.pass_obj
@answers_for_errors
def count(group_path: Path | None, number: int, left: str, why: str, path: Path | None) -> None:
    """Say what is really LEFT of package NUMBER: "150 g", "23 capsules", 0 for a package that is gone."""
    from optimizer.journal.new_packages import grams_left
    from optimizer.journal.stock import count_package, find_package, left_words

    package = change(
        path or group_path,
        lambda store: count_package(store, number, grams_left(find_package(store, number), left), why),
    )
    click.echo(f"Package {number}, {package.name}: {left_words([package]) if package.left_g > 0 else 'nothing'} left.")
