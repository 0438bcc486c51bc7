"""A trip to the stores as text: what to buy where, what it costs, what goes in. It fits the width it is given."""

from decimal import Decimal
from io import StringIO
from math import isfinite

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimizer.market.basket import Basket, Bought
from optimizer.market.report import Report
from optimizer.market.wording import count_words, left_words, price_words
from optimizer.render.market_more_text import WIDE, marked, more_text
from optimizer.render.numbers import amount_text, grams_text, money_text, percent_text
from optimizer.sheet import OUT_OF_REACH, OUT_OF_TIME, PLANNED

HEADLINES = {
    PLANNED: "Every limit is met.",
    OUT_OF_REACH: "Nothing on sale and on hand makes a mix that keeps every limit. This comes nearest; do not feed it.",
    OUT_OF_TIME: "No mix was found in the time allowed, and none was ruled out. This comes nearest; do not feed it.",
}


def market_text(report: Report, width: int = 100, colour: bool = False) -> str:
    """The report as text of at most `width` columns; `colour` adds terminal colours, never meaning."""
    out = StringIO()
    console = Console(
        file=out, width=max(width, 40), force_terminal=colour, no_color=not colour, highlight=False, markup=False
    )
    basket = report.trip.basket
    _head(console, report)
    for store in basket.stores:
        _store(console, basket, store)
    if not basket.bought:
        console.print(Text("Nothing has to be bought."))
    if any(line.offer.line.last_known for line in basket.bought):
        console.print(Text("Prices last paid are from the journal; a store may ask another now."))
    _money(console, basket)
    _mix(console, basket)
    _misses(console, basket)
    more_text(console, report)
    _cautions(console, basket)
    _foot(console, report)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def _head(console: Console, report: Report) -> None:
    sheet = report.trip.basket.sheet
    console.print(Text(sheet.title, style="bold"))
    console.print(Text(f"{sheet.standard_name}; {sheet.life_stage}"))
    console.print(Text(HEADLINES[report.trip.status] + _proof(report), style="bold"))
    console.print()


def _proof(report: Report) -> str:
    if report.trip.status != PLANNED or report.trip.best is None:
        return ""
    gap = report.trip.basket.purchase.gap
    if report.trip.best.proven:
        return " Nothing cheaper does." if gap < 5e-5 else f" Nothing cheaper does, to within {gap:.2%}."
    return f" Time ran out: up to {gap:.1%} may still be saved."


def _store(console: Console, basket: Basket, store: str) -> None:
    lines = [line for line in basket.bought if line.offer.store == store]
    total = sum((line.cost for line in lines), Decimal())
    title = f"{store}: {money_text(total, basket.sheet.currency)}"
    if console.width < WIDE:
        console.print(Text(title, style="bold"))
        console.print(marked([("[ ]", _bought_words(line)) for line in lines]))
        console.print()
        return
    table = Table(box=box.SIMPLE_HEAD, title=title, title_justify="left", title_style="bold", padding=(0, 1))
    table.add_column("", no_wrap=True)
    table.add_column("Buy", no_wrap=True)
    table.add_column("Of", ratio=1)
    table.add_column("Price", no_wrap=True)
    table.add_column("per kg", justify="right", no_wrap=True)
    table.add_column("without bone", justify="right", no_wrap=True)
    table.add_column(basket.sheet.currency, justify="right", no_wrap=True)
    for line in lines:
        offer = line.offer
        cells = ["[ ]", count_words(offer, line.count), offer.food.name + _note(line), price_words(offer)]
        cells += [f"{offer.price_per_kg:.2f}", _edible(line), str(line.cost)]
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)


def _edible(line: Bought) -> str:
    """The price per kilogram without bone, where there is bone."""
    return f"{line.offer.price_per_edible_kg:.2f}" if line.offer.edible_share < 1 else ""


def _note(line: Bought) -> str:
    return f" ({line.offer.line.note})" if line.offer.line.note else ""


def _bought_words(line: Bought) -> str:
    """One thing to buy as a sentence, for a phone."""
    offer = line.offer
    edible = f", {_edible(line)} without bone" if _edible(line) else ""
    price = f" at {price_words(offer)}" if offer.loose or line.count > 1 else ""
    what = f"{count_words(offer, line.count)} {offer.food.name}{_note(line)}{price}"
    return f"{what}: {line.cost} ({offer.price_per_kg:.2f} per kg{edible})"


def _money(console: Console, basket: Basket) -> None:
    currency = basket.sheet.currency
    rows = [("At the stores", str(basket.paid), "")]
    if basket.visits:
        each = ", ".join(f"{s} {basket.shop.market.visit(s)}" for s in basket.stores if basket.shop.market.visit(s))
        rows.append(("Going there", str(basket.visits), each))
    rows.append((f"To pay, {currency}", str(basket.spent), rates_words(basket, basket.spent)))
    rows.append(("From on hand", str(basket.on_hand_worth), "at the scenario's prices"))
    rows.append(("Left over", str(-basket.left_worth), "of what is bought, in proportion"))
    rows.append((f"In this batch, {currency}", str(basket.batch_cost), rates_words(basket, basket.batch_cost)))
    console.print()
    if console.width < WIDE:
        lines = [f"{name}: {amount}" + (f" ({words})" if words else "") for name, amount, words in rows]
        console.print(marked([("-", line) for line in lines]))
        return
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right", no_wrap=True)
    table.add_column(ratio=1)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)


def rates_words(basket: Basket, money: Decimal) -> str:
    """An amount of money per kg, per 1000 kcal, per cat and day."""
    names = {"per_kg": "per kg", "per_1000_kcal": "per 1000 kcal", "per_cat_and_day": "per cat and day"}
    return ", ".join(f"{amount} {names[key]}" for key, amount in basket.rates(money).items())


def _mix(console: Console, basket: Basket) -> None:
    totals = basket.assessment.totals
    cats = basket.shop.market.cats
    days = f", {float(basket.days):.1f} days for {cats} cat{'s' if cats > 1 else ''}" if basket.days else ""
    most = f", most of it {basket.largest[0]} ({basket.largest[1]:.0%})" if basket.largest else ""
    console.print()
    console.print(
        Text(
            f"Goes in: {grams_text(totals.mass_g)}, of it {grams_text(totals.meat_g)} meat{most}; bone "
            f"{percent_text(totals.bone_share)}; {totals.energy_kcal:.0f} kcal{days}",
            style="bold",
        )
    )
    lefts = {use.item.id: left_words(use.item, use.left_over) for use in basket.uses if use.left_over > 0}
    worth = {use.item.id: use.left_worth for use in basket.uses}
    sources = {use.item.id: _source(use.from_hand > 0, use.from_bought > 0) for use in basket.uses}
    names = {use.item.id: use.item.food.name for use in basket.uses}
    rows = [(line.text, line.name, sources[line.id], lefts.pop(line.id, "")) for line in basket.sheet.lines]
    rows += [("none", names[id_], "bought", left) for id_, left in lefts.items() if worth[id_]]
    if console.width < WIDE:
        words = [
            f"{text} {name} ({source})" + (f"; left over {left}" if left else "") for text, name, source, left in rows
        ]
        console.print(marked([("-", line) for line in words]))
        return
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    table.add_column("Take", no_wrap=True)
    table.add_column("Of", ratio=1)
    table.add_column("From", no_wrap=True)
    table.add_column("Left over", no_wrap=True)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)


def _source(hand: bool, bought: bool) -> str:
    return "both" if hand and bought else "on hand" if hand else "bought"


def _misses(console: Console, basket: Basket) -> None:
    words = [
        f"{m.name}: {amount_text(m.amount)} {m.unit}, the limit is {amount_text(m.limit)} {m.unit}"
        for m in basket.assessment.misses
    ]
    words += [f"not kept: {rule}" for rule in basket.broken]
    if words:
        console.print()
        console.print(Text("What is missed (nutrients per 1000 kcal)", style="bold"))
        console.print(marked([("-", line) for line in words]))


def _cautions(console: Console, basket: Basket) -> None:
    warnings = [notice.text for notice in basket.sheet.cautions if notice.level == "warning"]
    if warnings:
        console.print()
        console.print(Text("Cautions", style="bold"))
        console.print(marked([("!", text) for text in warnings]))


def _foot(console: Console, report: Report) -> None:
    sheet, solution = report.trip.basket.sheet, report.trip.basket.sheet.solution
    console.print()
    how = ""
    if solution is not None:
        gap = f"{report.trip.basket.purchase.gap:.2%}" if isfinite(report.trip.basket.purchase.gap) else "unknown"
        how = f"; {solution.solver} through {solution.modeller}, {report.trip.seconds:.2f} s, gap {gap}"
    offers = f"{len(report.trip.buyer.shop.offers)} offers"
    if report.price_days is not None:
        first, last = (day.isoformat() for day in report.price_days)
        offers += f", prices of {first}" + (f" to {last}" if last != first else "")
    console.print(Text(f"{sheet.file}; {offers}; catalog {sheet.catalog_version}{how}", style="dim"))
