"""Batches, what is left of them, and stock, as text: it fits the width it is given."""

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimizer.journal.records import Batch, BatchPage, Lot, Recorded
from optimizer.render.text.console import console_of, say, table_of, trimmed
from optimizer.sheet.numbers import amount_text, grams_text, money_text, percent_text, there_text

MARKS = {"met": "ok", "short": "SHORT", "over": "OVER", "unknown": "UNKNOWN"}
WORDS = {"short": "short", "over": "over its ceiling", "unknown": "unknown"}


def recorded_text(page: BatchPage, recorded: Recorded, width: int = 100, colour: bool = False) -> str:
    """What was recorded, what it took from stock and what is to be seen to."""
    out, console = console_of(width, colour)
    batch = page.batch
    say(console, f"Recorded as batch {batch.number}: {batch.title}, {grams_text(batch.mass_g)}, made {batch.made_on}.")
    _differing(console, page)
    _judgement(console, page)
    for take in recorded.takes:
        rest = "now empty" if take.left_g <= 0 else f"{take.left_text} left"
        say(console, f"- from stock: {take.text} of {take.name}, package {take.package}; {rest}")
    for food, grams in recorded.lacking:
        say(console, f"! stock lacks {grams_text(grams)} of {food}; `weighout stock count` corrects what is there")
    return trimmed(out)


def batches_text(batches: Sequence[Batch], width: int = 100, colour: bool = False) -> str:
    """A line a batch."""
    if not batches:
        return "No batch is recorded yet.\n"
    out, console = console_of(width, colour)
    table = table_of("")
    for name, right in (("No.", True), ("Made", False)):
        table.add_column(name, justify="right" if right else "left", no_wrap=True)
    table.add_column("Batch", ratio=1)
    for name in ("Mix", "Cost", "Left"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("Limits", no_wrap=True)
    for batch in batches:
        title = batch.title + (" (undone)" if batch.undone else "")
        cost = "" if batch.cost is None else money_text(batch.cost, batch.currency)
        cells = [str(batch.number), batch.made_on, title, grams_text(batch.mass_g), cost, left_text(batch)]
        table.add_row(*(Text(cell) for cell in (*cells, "met" if batch.all_met else "MISSED")))
    console.print(table)
    return trimmed(out)


def page_text(page: BatchPage, width: int = 100, colour: bool = False) -> str:
    """All of one batch, with its figures as they were judged when it was recorded."""
    out, console = console_of(width, colour)
    batch, totals = page.batch, page.sheet["totals"]
    console.print(Text(f"Batch {batch.number}: {batch.title}", style="bold"))
    say(console, f"Made {batch.made_on}; {batch.standard}, {batch.life_stage}; catalog {page.sheet['catalog_version']}")
    _judgement(console, page)
    console.print()
    facts = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
    facts.add_row("Mix", f"{grams_text(batch.mass_g)}, of it meat {grams_text(batch.meat_g)}")
    facts.add_row("Left", left_text(batch))
    per_kg = totals["energy_kcal_per_kg"]
    facts.add_row("Energy", f"{batch.energy_kcal:.0f} kcal, {per_kg:.0f} kcal per kg ({totals['energy_method']})")
    if totals["bone_share"]:
        facts.add_row("Bone", percent_text(totals["bone_share"]))
    if batch.cost is not None:
        facts.add_row("Cost", money_text(batch.cost, batch.currency))
    console.print(facts)
    _lines(console, page)
    _lots(console, page.lots)
    _nutrients(console, page)
    if page.notes:
        console.print(Text("\nNotes", style="bold"))
        for note in page.notes:
            say(console, f"- {note.at}: {note.text}")
    return trimmed(out)


def left_text(batch: Batch) -> str:
    """What is left of a batch, in portions where their number was told."""
    if batch.portions is None:
        return grams_text(batch.left_g)
    return f"{batch.portions_left} of {batch.portions} portions, {grams_text(batch.left_g)}"


def _judgement(console: Console, page: BatchPage) -> None:
    how = "As planned" if page.as_planned else "As weighed"
    if not page.misses:
        say(console, f"{how}, every limit is met.")
        return
    missed = ", ".join(f"{miss.name} {WORDS[miss.status]}" for miss in page.misses)
    limits = "1 limit" if len(page.misses) == 1 else f"{len(page.misses)} limits"
    say(console, f"! {how}, it misses {limits}: {missed}.")


def _differing(console: Console, page: BatchPage) -> None:
    for line in page.lines:
        if line.differs:
            planned = f"planned {line.planned_text}" if line.planned_text else "not planned"
            weighed = f"weighed {line.text}" if line.text else "left out"
            say(console, f"- {line.name}: {planned}, {weighed}")


def _lines(console: Console, page: BatchPage) -> None:
    table = table_of("Weighed")
    if not page.as_planned:
        table.add_column("Planned", no_wrap=True)
    table.add_column("Weighed", no_wrap=True)
    table.add_column("Grams", justify="right", no_wrap=True)
    table.add_column("Of", ratio=1)
    costs = page.batch.cost is not None
    if costs:
        table.add_column(page.batch.currency, justify="right", no_wrap=True)
    for line in page.lines:
        mark = "* " if line.differs else "  "
        cells = [] if page.as_planned else [mark + (line.planned_text or "-")]
        cells += [line.text or "-", grams_text(line.grams), line.name]
        cells += ["" if line.cost is None else str(line.cost)] if costs else []
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)


def _lots(console: Console, lots: Sequence[Lot]) -> None:
    if not lots:
        return
    table = table_of("Packages")
    table.add_column("Of", ratio=1)
    for name in ("Lot", "Use by", "From stock"):
        table.add_column(name, no_wrap=True)
    for lot in lots:
        taken = "" if lot.package is None else f"{grams_text(lot.grams or 0.0)} of package {lot.package}"
        table.add_row(*(Text(cell) for cell in (lot.food, lot.lot or "-", lot.use_by or "-", taken)))
    console.print(table)


def _nutrients(console: Console, page: BatchPage) -> None:
    table = table_of("Per 1000 kcal, as judged when it was recorded")
    table.add_column("Nutrient", ratio=1)
    for name in ("There was", "At least", "At most"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("Unit", no_wrap=True)
    table.add_column("", no_wrap=True)
    for line in (*page.sheet["nutrients"], *page.sheet["ratios"]):
        if line["minimum"] is None and line["maximum"] is None:
            continue
        bounds = ["" if line[key] is None else amount_text(line[key]) for key in ("minimum", "maximum")]
        low = line["per_1000_kcal"] if "per_1000_kcal" in line else line["value"]
        high = line.get("high_per_1000_kcal") or low
        there = "no figure" if low is None else there_text(low, high, line["maximum"])
        cells = [line["name"], there, *bounds, line.get("unit", ""), MARKS[line["status"]]]
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)
