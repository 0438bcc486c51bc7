"""Reads one CSV table: rows with their line numbers, mistakes collected."""

import csv
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from catalog.mistakes import Mistake, did_you_mean

CONFIDENCE = ("read", "memory")


class TableMistakes(ValueError):
    """Mistakes in a table that was read late; `mistakes` holds them."""

    def __init__(self, mistakes: Sequence[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of a table: its cells by column name, stripped, and where it stands."""

    file: str
    line: int
    cells: dict[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells[column]

    def mistake(self, column: str, allowed: str, hint: str = "") -> Mistake:
        """A mistake in this row's cell."""
        return Mistake(self.file, self.line, column, repr(self.cells[column]), allowed, hint)


def read_table(path: Path, columns: Sequence[str], mistakes: list[Mistake]) -> list[TableRow]:
    """The rows of a CSV table with exactly these columns; lines that start with "#" are remarks.

    A missing file, a wrong header, bytes that are no UTF-8 and rows of a wrong width become mistakes.
    """
    return read_rows(str(path), numbered_lines(path, columns, mistakes), columns, mistakes)


Line = tuple[int, str]


def numbered_lines(path: Path, columns: Sequence[str], mistakes: list[Mistake]) -> list[Line]:
    """The lines of a CSV table below its header, with their numbers, less remarks and empty lines.

    A cell holds no line break, so a line is a row.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as problem:
        mistakes.append(Mistake(str(path), 0, "", str(problem), "a readable CSV file in UTF-8"))
        return []
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip(", ") and not line.startswith("#")]
    wanted = ",".join(columns)
    if not lines or lines[0][1] != wanted:
        number, read = lines[0] if lines else (0, "nothing")
        mistakes.append(Mistake(str(path), number, "", read, "the columns " + wanted))
        return []
    return lines[1:]


def read_rows(file: str, lines: Sequence[Line], columns: Sequence[str], mistakes: list[Mistake]) -> list[TableRow]:
    """The rows in numbered lines; a row of a wrong width becomes a mistake."""
    rows: list[TableRow] = []
    for number, line in lines:
        cells = next(csv.reader((line,)))
        if len(cells) != len(columns):
            allowed = f"{len(columns)} cells: {','.join(columns)}"
            mistakes.append(Mistake(file, number, "", f"{len(cells)} cells", allowed))
            continue
        rows.append(TableRow(file, number, {c: cell.strip() for c, cell in zip(columns, cells, strict=True)}))
    return rows


def number(row: TableRow, column: str, mistakes: list[Mistake], *, least: float = 0.0) -> float | None:
    """The finite number in a cell, None when the cell is empty or no such number (then a mistake is added)."""
    text = row[column]
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value) or value < least:
        mistakes.append(row.mistake(column, f"a number of at least {least:g}, or an empty cell if unknown"))
        return None
    return value


def choice(row: TableRow, column: str, allowed: Iterable[str], mistakes: list[Mistake]) -> str:
    """The word in a cell if it is one of `allowed`, else an empty text and a mistake."""
    word, pool = row[column], list(allowed)
    if word in pool:
        return word
    listed = ", ".join(pool) if len(pool) <= 12 else f"one of {len(pool)} known names"
    mistakes.append(row.mistake(column, listed, did_you_mean(word, pool)))
    return ""


def checked_source(row: TableRow, sources: Mapping[str, str], mistakes: list[Mistake]) -> str:
    """The source cell, "KEY" or "KEY:LOCATOR", whose key must be in sources/."""
    key = row["source"].partition(":")[0]
    if key not in sources:
        mistakes.append(row.mistake("source", "KEY or KEY:LOCATOR with KEY in sources/", did_you_mean(key, sources)))
    return row["source"]
