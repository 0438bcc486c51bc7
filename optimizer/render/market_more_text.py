"""What was asked beside the shopping list, as text: stores alone, break-even prices, swaps, sweeps."""

from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimizer.market.breakeven import ENTERS, STAYS, BreakEven
from optimizer.market.offers import Offer, cents
from optimizer.market.report import PriceMap, Report, SweepRow
from optimizer.market.swaps import Swap
from optimizer.market.wording import package_words, price_words, priced_unit

WIDE = 72  # columns from which tables have room; below, lines are written out
MOST_SWAPS = 12  # told of what is not bought, those that cost least


def more_text(console: Console, report: Report) -> None:
    """Prints what was asked for besides."""
    currency = report.trip.basket.sheet.currency
    if report.alone is not None:
        _alone(console, report, currency)
    if report.break_evens is not None:
        _break_evens(console, report.break_evens, currency)
        if report.never_bought:
            console.print(Text("On hand in any amount, and so never bought: " + ", ".join(report.never_bought) + "."))
    if report.swaps:
        _swaps(console, report.swaps, currency)
    if report.sweep is not None:
        _sweep(console, report, currency)
    if report.price_map is not None:
        _map(console, report.price_map, currency)
    for words in report.unfinished:
        console.print()
        console.print(Text(f"Interrupted: {words}.", style="bold"))


def _alone(console: Console, report: Report, currency: str) -> None:
    best = report.trip.best
    rows = []
    for alone in report.alone or ():
        if alone.purchase is None:
            cells = (alone.store, "", "cannot make this batch alone" if alone.ruled_out else "not found in time")
        else:
            more = cents(alone.purchase.cost - best.cost) if best else None
            proof = "" if alone.purchase.proven else f", at most {alone.purchase.gap:.1%} above the least"
            words = f"{more} more{proof}" if more else f"the same{proof}"
            cells = (alone.store, str(cents(alone.purchase.cost)), words)
        rows.append(cells)
    if best:
        rows.append(("best of all", str(cents(best.cost)), ", ".join(report.trip.basket.stores)))
    _table(console, "Stores side by side", ("From", f"{currency}", ""), rows, (1,))
    console.print(Text("Costs are packages, going there, and supplements on hand that are used."))


def _break_evens(console: Console, found: Sequence[BreakEven], currency: str) -> None:
    chosen = [b for b in found if b.bought]
    others = sorted((b for b in found if not b.bought), key=_distance)
    heads = ("What", "At", f"Price {currency}", "Stays up to", "per kg")
    _table(console, "Bought: the price up to which it stays", heads, [_cells(b) for b in chosen], (2, 3, 4))
    heads = ("What", "At", f"Price {currency}", "Bought at", "per kg")
    _table(console, "Not bought: the price at which it would be", heads, [_cells(b) for b in others], (2, 3, 4))


def _distance(found: BreakEven) -> float:
    """How far its price would have to fall; what no price brings in comes last."""
    if found.price is None:
        return 2.0
    return 1.0 - float(found.price / found.offer.priced_at) if found.offer.priced_at else 0.0


def _cells(found: BreakEven) -> tuple[str, ...]:
    offer = found.offer
    standing = {ENTERS: str(found.price), STAYS: str(found.price)}.get(found.standing, found.standing)
    per_kg = "" if found.price_per_kg is None else f"{found.price_per_kg:.2f}"
    return f"{offer.food.name}, {size_words(offer)}", offer.store, price_words(offer), standing, per_kg


def size_words(offer: Offer) -> str:
    """What the price is for: "19.2 oz", "the lb"."""
    return f"the {priced_unit(offer)}" if offer.loose else package_words(offer)


def _swaps(console: Console, swaps: Sequence[Swap], currency: str) -> None:
    _title(console, "This for that: what another choice costs more, and what it does to the doses")
    lines: list[tuple[str, str]] = []
    without = [swap for swap in swaps if swap.found.bought]
    others = sorted((swap for swap in swaps if not swap.found.bought), key=lambda s: s.extra)
    for swap in (*sorted(without, key=lambda s: s.extra), *others[:MOST_SWAPS]):
        food, store = swap.found.offer.food.name, swap.found.offer.store
        word = "without" if swap.found.bought else "with"
        lines.append(("-" if swap.found.bought else "+", f"{word} {food} ({store}): {swap.extra:+} {currency}"))
        for label, parts in (("less: ", swap.out), ("more: ", swap.instead), ("doses: ", swap.doses)):
            if parts:
                lines.append(("", label + "; ".join(parts)))
    console.print(marked(lines))
    if len(others) > MOST_SWAPS:
        most = others[-1].extra
        words = (
            f"{len(others) - MOST_SWAPS} others cost up to {most:+} {currency}: --of FOOD tells of one, --json of all."
        )
        console.print(Text(words))


def _sweep(console: Console, report: Report, currency: str) -> None:
    sweep = report.sweep
    assert sweep is not None
    rows = report.sweep_rows
    title = f"{sweep.axis.label}: where the mix changes as its price goes from {cents(sweep.axis.low)} to "
    title += f"{cents(sweep.axis.high)} {currency} per {sweep.axis.unit}"
    cells = [(f"{row.low} to {row.high}", _costs(row), _changes(row)) for row in rows]
    _table(console, title, ("Price", f"Costs {currency}", ""), cells, ())
    proof = "to half a cent" if sweep.proven else "some only as good as was found in time"
    console.print(Text(f"{sweep.solves} solves for the whole range, {proof}."))


def _costs(row: SweepRow) -> str:
    if row.cost_low is None:
        return "none"
    return str(row.cost_low) if row.cost_low == row.cost_high else f"{row.cost_low} to {row.cost_high}"


def _changes(row: SweepRow) -> str:
    if not row.changes:
        return ", ".join(row.bought) or "no mix keeps every limit"
    return "; ".join(row.changes)


def _map(console: Console, found: PriceMap, currency: str) -> None:
    _title(
        console, f"{found.down.label} (down, {currency} per {found.down.unit}) against {found.across.label} (across)"
    )
    for price, letters in found.rows:
        console.print(Text(f"{price:>8} {letters}"))
    ends = f"{found.prices[0]} to {found.prices[-1]} {currency} per {found.across.unit}"
    console.print(Text(f"{'':8} {ends}"))
    console.print(marked([(letter, ", ".join(words)) for letter, words in found.mixes]))
    proof = "to half a cent" if found.proven else "some only as good as was found in time"
    console.print(Text(f"{found.solves} solves, {proof}."))


def _title(console: Console, title: str) -> None:
    console.print()
    console.print(Text(title, style="bold"))


def _table(
    console: Console, title: str, heads: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int]
) -> None:
    """A table, or on a narrow screen its rows as lines."""
    if not rows:
        return
    _title(console, title)
    if console.width < WIDE:
        console.print(marked([("-", _sentence(heads, row)) for row in rows]))
        return
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    for number, head in enumerate(heads):
        wide = number in (0, len(heads) - 1) and number not in right
        table.add_column(head, justify="right" if number in right else "left", no_wrap=not wide)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)


def _sentence(heads: Sequence[str], row: Sequence[str]) -> str:
    """A row as a sentence: its first cell, then each other with its heading."""
    words = [f"{_small(head)} {cell}".strip() for head, cell in zip(heads[1:], row[1:], strict=True) if cell]
    return f"{row[0]}: " + ", ".join(words)


def _small(head: str) -> str:
    """A heading within a sentence: currencies stay in capitals."""
    return head if head.isupper() else head[:1].lower() + head[1:]


def marked(lines: Sequence[tuple[str, str]]) -> Table:
    """Lines with a mark before each, wrapped beside it."""
    table = Table(box=None, show_header=False, padding=(0, 1, 0, 0))
    table.add_column(no_wrap=True)
    table.add_column(ratio=1)
    for mark, line in lines:
        table.add_row(Text(mark), Text(line))
    return table
