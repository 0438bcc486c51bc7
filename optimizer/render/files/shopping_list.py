"""The shopping list with its money as Markdown, plain text and CSV."""

import csv
from collections.abc import Sequence
from io import StringIO

from optimizer.market.basket import BasketLine
from optimizer.market.market_report import MarketReport
from optimizer.render.files.csv_tables import Cell, safe
from optimizer.render.market_rows import (
    LAST_PAID,
    NOT_TO_FEED,
    buy_words,
    miss_words,
    money_rows,
    offers_words,
    store_rows,
    verdict,
)
from optimizer.render.origin import Origin
from optimizer.sheet.sheet import PLANNED

CSV_COLUMNS = (
    "store food name count package package_g bought_g price price_for_g price_per_kg price_per_kg_without_bone cost "
    "currency price_date note status origin"
).split()


def list_markdown(report: MarketReport, origin: Origin) -> str:
    """The list as Markdown, with a task list for each store."""
    return _list(report, origin, "# ", "## ", "- [ ] ", "- ", "**")


def list_plain(report: MarketReport, origin: Origin) -> str:
    """The list as plain text."""
    return _list(report, origin, "", "", "[ ] ", "  ", "")


def _list(report: MarketReport, origin: Origin, title: str, heading: str, tick: str, item: str, strong: str) -> str:
    basket = report.trip.basket
    sheet = basket.sheet

    def plain(text: str) -> str:
        """A person's text as Markdown leaves it; as it is in plain text."""
        return text.replace("\\", "\\\\").replace("<", "&lt;").replace("*", "\\*") if strong else text

    out = [f"{title}{plain(sheet.title)}", ""]
    out += [f"Shopping list of {origin.made.isoformat()}. {sheet.standard_name}; {sheet.life_stage}.", ""]
    if report.trip.status != PLANNED:
        out += [f"{strong}{NOT_TO_FEED.upper()}{strong} {verdict(report)}", ""]
        out += [*(f"{item}{plain(words)}" for words in miss_words(basket)), ""]
    else:
        out += [verdict(report), ""]
    for store in store_rows(basket):
        out += [f"{heading}{plain(store.name)}: {store.total} {sheet.currency}", ""]
        out += [f"{tick}{strong}{row.buy}{strong} {plain(buy_words(row))}" for row in store.rows]
        out += ["", *([f"Going there: {store.visit} {sheet.currency}.", ""] if store.visit else [])]
    if not basket.bought:
        out += ["Nothing has to be bought.", ""]
    if any(line.offer.line.last_known for line in basket.bought):
        out += [LAST_PAID, ""]
    out += [f"{heading}Money", ""]
    for name, amount, words in money_rows(basket):
        out.append(f"{item}{name}: {amount}{f' ({plain(words)})' if words else ''}")
    out += ["", offers_words(report), "", plain(origin.text)]
    return "\n".join(out) + "\n"


def list_csv(report: MarketReport, origin: Origin) -> str:
    """A row for each thing to buy (RFC 4180): masses in grams, money in `currency`, full figures.

    `count` and the package are empty where it is sold by weight; `price` is what the store asks for `price_for_g`.
    Each row says whether the mix keeps every limit (`status`), and where it comes from.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(CSV_COLUMNS)
    basket = report.trip.basket
    for line in basket.bought:
        cells = [
            *_cells(line),
            basket.sheet.currency,
            _day(line),
            line.offer.line.note,
            report.trip.status,
            origin.text,
        ]
        writer.writerow([safe(cell) for cell in cells])
    return out.getvalue()


def _cells(line: BasketLine) -> Sequence[Cell]:
    offer = line.offer
    loose = offer.loose
    return (
        offer.store,
        offer.food.id,
        offer.food.name,
        None if loose else int(line.count),
        None if loose else offer.line.package.text,
        None if loose else float(offer.grams),
        float(line.grams),
        str(offer.priced_at),
        float(offer.priced_grams),
        round(offer.price_per_kg, 4),
        round(offer.price_per_edible_kg, 4) if offer.edible_share else None,
        str(line.cost),
    )


def _day(line: BasketLine) -> str:
    return "" if line.offer.line.day is None else line.offer.line.day.isoformat()
