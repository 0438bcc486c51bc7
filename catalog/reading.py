"""Reads one CSV table: rows with their line numbers, mistakes collected."""

import csv
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from catalog.mistakes import Mistake, did_you_mean

CONFIDENCE = ("read", "memory")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: its cells by column name, stripped, and where it stands."""

    file: str
    line: int
    cells: dict[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells[column]

    def mistake(self, column: str, allowed: str, hint: str = "") -> Mistake:
        """A mistake in this row's cell."""
        return Mistake(self.file, self.line, column, repr(self.cells[column]), allowed, hint)


def read_table(path: Path, columns: Sequence[str], mistakes: list[Mistake]) -> list[Row]:
    """The rows of a CSV table with exactly these columns; lines that start with "#" are remarks.

    A missing file, a wrong header, bytes that are no UTF-8 and rows of a wrong width become mistakes.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as problem:
        mistakes.append(Mistake(str(path), 0, "", str(problem), "a readable CSV file in UTF-8"))
        return []
    lines = ["" if line.startswith("#") else line for line in text.splitlines()]
    reader = csv.reader(lines)
    header: list[str] | None = None
    rows: list[Row] = []
    for cells in reader:
        if not any(cells):
            continue
        if header is None:
            header = cells
            if header != list(columns):
                mistakes.append(
                    Mistake(str(path), reader.line_num, "", ",".join(header), "the columns " + ",".join(columns))
                )
                return []
            continue
        if len(cells) != len(header):
            mistakes.append(
                Mistake(
                    str(path), reader.line_num, "", f"{len(cells)} cells", f"{len(header)} cells: {','.join(header)}"
                )
            )
            continue
        stripped = [c.strip() for c in cells]
        rows.append(Row(str(path), reader.line_num, dict(zip(header, stripped, strict=True))))
    return rows


def number(row: Row, column: str, mistakes: list[Mistake], *, least: float = 0.0) -> float | None:
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


def choice(row: Row, column: str, allowed: Iterable[str], mistakes: list[Mistake]) -> str:
    """The word in a cell if it is one of `allowed`, else an empty text and a mistake."""
    word, pool = row[column], list(allowed)
    if word in pool:
        return word
    listed = ", ".join(pool) if len(pool) <= 12 else f"one of {len(pool)} known names"
    mistakes.append(row.mistake(column, listed, did_you_mean(word, pool)))
    return ""


def checked_source(row: Row, sources: Mapping[str, str], mistakes: list[Mistake]) -> str:
    """The source cell, "KEY" or "KEY:LOCATOR", whose key must be in sources/."""
    key = row["source"].partition(":")[0]
    if key not in sources:
        mistakes.append(row.mistake("source", "KEY or KEY:LOCATOR with KEY in sources/", did_you_mean(key, sources)))
    return row["source"]
