"""Text for a terminal, a pipe or a phone: consoles of a width, tables, what is trimmed."""

from collections.abc import Iterable
from io import StringIO

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text


def console_of(width: int, colour: bool) -> tuple[StringIO, Console]:
    """A page to print on."""
    out = StringIO()
    console = Console(
        file=out, width=max(width, 40), force_terminal=colour, no_color=not colour, highlight=False, markup=False
    )
    return out, console


def table_of(title: str) -> Table:
    """A table in the journal's style."""
    return Table(box=box.SIMPLE_HEAD, title=title or None, title_justify="left", title_style="bold", padding=(0, 1))


def say(console: Console, text: str) -> None:
    """Prints a line, wrapped."""
    console.print(Text(text))


def marked(lines: Iterable[tuple[str, str]]) -> Table:
    """Lines with a mark before each, wrapped beside it."""
    table = Table(box=None, show_header=False, padding=(0, 1, 0, 0))
    table.add_column(no_wrap=True)
    table.add_column(ratio=1)
    for mark, line in lines:
        table.add_row(Text(mark), Text(line))
    return table


def trimmed(out: StringIO) -> str:
    """What was printed, without blanks at the ends of lines."""
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


NARROW = 72  # below this many columns an entry takes lines in place of a table row


def printed(parts: Iterable[Table | Text], width: int, colour: bool) -> str:
    """Tables and lines as text of at most `width` columns (at least 40)."""
    out, console = console_of(width, colour)
    for part in parts:
        console.print(part)
    return trimmed(out)
