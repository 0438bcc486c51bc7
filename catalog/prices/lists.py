"""Reads a price list: a CSV file that a spreadsheet opens and saves -> lines, each mistake with its file and line.

Columns, by their headings in any order: store, food, package (the size of one, such as 1.1 kg; empty for what is
sold by weight), price ("4.49", "2.49/lb", "3.60 per dozen", "12.50 for 60 capsules"), currency, date, note, most
(how many packages there are). Semicolons, tabs, a byte order mark, blank lines and empty columns are taken as they
come; a decimal comma only where the caller or a remark "# decimal comma" states it; lines that begin with # are
remarks.
"""

import csv
from collections.abc import Sequence
from pathlib import Path

from catalog.mistakes import Mistake, did_you_mean
from catalog.prices.lines import COLUMNS, PriceLine, read_line
from catalog.records import Catalog

NEEDED = ("store", "food", "price")


def read_price_list(
    path: Path, catalog: Catalog, currency: str = "", decimal_comma: bool = False
) -> tuple[list[PriceLine], list[Mistake]]:
    """The lines of a price list and everything that is wrong with it; `currency` is meant where none is written."""
    mistakes: list[Mistake] = []
    rows = _rows(path, mistakes)
    comma = decimal_comma or any("decimal comma" in cells[0].casefold() for _, cells in rows if _is_remark(cells))
    rows = [(number, cells) for number, cells in rows if not _is_remark(cells)]
    if not rows:
        if not mistakes:
            mistakes.append(Mistake(str(path), 0, "", "an empty file", "a price list: " + ",".join(COLUMNS)))
        return [], mistakes
    places = _headings(str(path), *rows[0], mistakes)
    lines: list[PriceLine] = []
    for number, cells in rows[1:] if places else []:
        named = {name: cells[place] if place < len(cells) else "" for name, place in places.items()}
        over = [cell for place, cell in enumerate(cells) if cell and place >= len(rows[0][1])]
        if over:
            hint = "A comma inside a cell needs quotation marks around it."
            read = f"{', '.join(map(repr, over))} beyond the last heading"
            mistakes.append(Mistake(str(path), number, "", read, f"{len(rows[0][1])} cells", hint))
            continue

        def complain(column: str, read: str, allowed: str, hint: str, number: int = number) -> None:
            mistakes.append(Mistake(str(path), number, column, read, allowed, hint))

        line = read_line(named, catalog, currency, complain, (str(path), number), comma)
        if line:
            lines.append(line)
    return lines, mistakes


def _is_remark(cells: Sequence[str]) -> bool:
    return bool(cells) and cells[0].startswith("#")


def _rows(path: Path, mistakes: list[Mistake]) -> list[tuple[int, list[str]]]:
    """The rows that hold anything, with their line numbers; the separator is the one that the headings use."""
    text = _text(path, mistakes)
    lines = text.splitlines()
    heads = [line for line in lines if line.strip(' ;,\t"') and not line.lstrip('"').startswith(("#", "sep="))]
    separator = max(",;\t", key=heads[0].count) if heads else ","
    reader = csv.reader(lines, delimiter=separator, skipinitialspace=True)
    rows = []
    try:
        for cells in reader:
            stripped = [" ".join(cell.split()) for cell in cells]
            if any(stripped) and not stripped[0].startswith("sep="):
                rows.append((reader.line_num, stripped))
    except csv.Error as problem:
        mistakes.append(Mistake(str(path), reader.line_num, "", str(problem), "a row of a CSV file"))
    return rows


def _text(path: Path, mistakes: list[Mistake]) -> str:
    """The file's text in one of the encodings that spreadsheets save."""
    allowed = "a price list as a CSV file, in UTF-8"
    try:
        raw = path.read_bytes()
    except OSError as problem:
        mistakes.append(Mistake(str(path), 0, "", problem.strerror or "nothing", allowed))
        return ""
    if raw.startswith(b"PK"):
        mistakes.append(Mistake(str(path), 0, "", "a spreadsheet's own file", allowed, "Save the sheet as CSV."))
        return ""
    for encoding in ("utf-16",) if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else ("utf-8-sig", "cp1252"):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    mistakes.append(Mistake(str(path), 0, "", "bytes that are no text", allowed))
    return ""


def _headings(file: str, number: int, cells: Sequence[str], mistakes: list[Mistake]) -> dict[str, int]:
    """Where each column stands; empty when the list cannot be read by its headings."""
    places: dict[str, int] = {}
    before = len(mistakes)
    for place, cell in enumerate(cells):
        name = cell.casefold()
        if not name or name.startswith("("):
            continue
        if name not in COLUMNS or name in places:
            allowed = "one of the headings " + ", ".join(COLUMNS) + "; your own columns in brackets, such as (aisle)"
            hint = did_you_mean(name, COLUMNS) if name not in places else "It stands there twice."
            mistakes.append(Mistake(file, number, "", f"the heading {cell!r}", allowed, hint))
        places.setdefault(name, place)
    missing = [name for name in NEEDED if name not in places]
    if missing:
        read = "headings without " + ", ".join(missing)
        mistakes.append(Mistake(file, number, "", read, "the headings " + ", ".join(COLUMNS)))
    return places if len(mistakes) == before else {}
