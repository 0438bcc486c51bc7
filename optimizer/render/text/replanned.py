"""Plans that start from something made, as text: a batch again (`repeat`), and a batch in the middle (`amend`)."""

from rich.console import Console
from rich.text import Text

from catalog.kinds import Basis
from optimizer.amending import Amendment
from optimizer.assess.result import Miss
from optimizer.assess.slips import Slip
from optimizer.render.text.console import console_of, say, table_of, trimmed
from optimizer.render.text.journal import WORDS
from optimizer.render.text.sheet import sheet_text
from optimizer.repeating import Repetition
from optimizer.sheet.numbers import amount_text
from optimizer.sheet.sheet import PLANNED, Sheet


def repetition_text(again: Repetition, width: int = 100, colour: bool = False) -> str:
    """The changes line by line with their reasons, then the whole sheet."""
    out, console = console_of(width, colour)
    head = f"Batch {again.batch} of {again.made_on} again, {again.title}: {again.factor:.3g} times its meat"
    console.print(Text(head, style="bold"))
    if again.as_scaled:
        say(console, f"Last time's doses in proportion would miss: {misses_words(again.as_scaled)}.")
    else:
        say(console, "Last time's doses in proportion meet every limit.")
    for what in again.dropped:
        say(console, f"- left out: {what}")
    table = table_of("")
    for name in ("Last time", "In proportion", "  Now"):
        table.add_column(name, no_wrap=True)
    table.add_column("Of", ratio=1)
    for change in again.changes:
        now = ("* " if change.changed else "  ") + (change.now or "-")
        table.add_row(*(Text(cell) for cell in (change.last or "-", change.scaled or "-", now, change.name)))
    console.print(table)
    for change in again.changes:
        if change.changed:
            words = f"{change.now or 'none'}, not {change.scaled or 'none'}: {change.reason}"
            say(console, f"* {change.name}: {words}")
    _missed(console, again.sheet)
    return trimmed(out) + "\n" + sheet_text(again.sheet, width=width, colour=colour)


def amendment_text(amendment: Amendment, width: int = 100, colour: bool = False) -> str:
    """What changes by what is in the bowl, the ways back where they are needed, then the whole sheet."""
    out, console = console_of(width, colour)
    met = amendment.sheet.status == PLANNED
    passed = "; ".join(each.text for each in amendment.sheet.assessment.depends_on if each.kind == "guard")
    headline = (
        "With this in the bowl every limit can be met" if met else "With this in the bowl no mix meets every limit"
    )
    headline += f"; {passed}." if passed else "."
    for slip in amendment.slips:
        console.print(Text(slip_words(slip), style="bold"))
    if not amendment.slips:
        console.print(Text(headline, style="bold"))
    _missed(console, amendment.sheet)
    _ways(console, amendment)
    if amendment.slips and not amendment.ways:
        say(console, "")
        console.print(Text("The sheet to begin again with", style="bold"))
        return trimmed(out) + "\n" + sheet_text(amendment.afresh, width=width, colour=colour)
    table = table_of("")
    for name in ("Planned before", "  Now"):
        table.add_column(name, no_wrap=True)
    table.add_column("Of", ratio=1)
    table.add_column("", no_wrap=True)
    for move in amendment.moves:
        now = ("* " if move.differs else "  ") + (move.now or "-")
        cells = (move.planned or "-", now, move.name, "in the bowl" if move.in_the_bowl else "")
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)
    sheet = amendment.sheet
    if amendment.ways:
        first = amendment.ways[0]
        say(console, "")
        console.print(Text(f"The sheet with {first.text} more of {first.name}", style="bold"))
        sheet = first.sheet
    return trimmed(out) + "\n" + sheet_text(sheet, width=width, colour=colour)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def slip_words(slip: Slip) -> str:
    """What to do when too much of something toxic went in."""
    unit = slip.nutrient.unit
    per = "kg of dry matter" if slip.basis == Basis.PER_KG_DRY_MATTER else "1000 kcal"
    most = f"and the most is {amount_text(slip.ceiling)} ({', '.join(slip.jars)})"
    return (
        f"Throw this premix away and begin again. {_capital(slip.nutrient.name)}: {amount_text(slip.amount)} {unit} "
        f"per {per}, {most}. If it is in the meat already, do not feed the mix, and ask a veterinarian; the same if a "
        "cat has eaten of it."
    )


def _ways(console: Console, amendment: Amendment) -> None:
    if amendment.slips:
        if amendment.ways:
            say(console, "Only where it cannot be thrown away: these bring it to half of what is allowed, or less:")
            for way in amendment.ways:
                say(console, f"- {way.text} more of {way.name}, {way.sheet.supplement_count} supplements")
        return
    if amendment.sheet.status == PLANNED:
        return
    more = [way for way in amendment.ways if way.kind == "more_of"]
    meat = [way for way in amendment.ways if way.kind == "more_meat"]
    if more:
        listed = ", ".join(f"{way.text} of {way.name}" for way in more)
        say(console, f"Every limit is met when this is added to what is in the bowl: {listed}.")
    if meat:
        say(console, "Every limit is met again with one of these on top of the meat:")
        for way in meat:
            say(console, f"- {way.text} more of {way.name}, {way.sheet.supplement_count} supplements")
    if not amendment.ways:
        say(console, "No more of the meat on hand, and no more of what is in the bowl, was found to bring it back.")


def _missed(console: Console, sheet: Sheet) -> None:
    if sheet.assessment.misses:
        say(console, f"! It misses: {misses_words(sheet.assessment.misses)}.")


def misses_words(misses: tuple[Miss, ...]) -> str:
    """Limits that are missed, each by how much."""
    return ", ".join(
        f"{miss.name} {f'{miss.percent:.1f}' if miss.percent >= 0.1 else 'less than 0.1'} % {WORDS[miss.status]}"
        for miss in misses
    )
