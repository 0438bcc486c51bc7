"""The journal out and in again: JSON Lines, and CSV for a spreadsheet. Read back, either gives the same journal.

JSON Lines: a first line that names the format, then one event a line. CSV: a row for each event and, to look at,
a row for each ingredient of a batch; the whole event stands in the column `event`, and a file whose other columns
no longer agree with it is refused, since a change there would be lost.
"""

import csv
import json
from collections.abc import Iterable, Iterator
from io import StringIO
from threading import Lock
from typing import Any

from catalog.bounds import no_formula
from catalog.mistakes import Mistake
from optimizer.errors import InputErrors
from optimizer.journal.events import append, as_json, events
from optimizer.journal.records import Event, JournalFault
from optimizer.journal.store import Store

FORMAT = {"format": "weighout journal", "version": 1}
COLUMNS = ("at", "kind", "made_on", "title", "food", "name", "grams", "amount", "cost", "currency", "event")
TEXTS = ("title", "food", "name", "amount", "currency")  # what a person wrote: a spreadsheet is to take it for text
MOST_CHARACTERS = 100_000_000
_LIMIT = Lock()
ALLOWED = "a line as `weighout journal export` wrote it"


def to_json_lines(found: Iterable[Event]) -> str:
    """Events as JSON Lines."""
    return "\n".join([as_json(FORMAT), *(as_json(_plain(event)) for event in found)]) + "\n"


def to_csv(found: Iterable[Event]) -> str:
    """Events as CSV (RFC 4180), with a row for each ingredient of a batch below it."""
    out = StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    for event in found:
        for row in _rows(event):
            texts = {key: no_formula(row[key]) for key in TEXTS if isinstance(row.get(key), str)}
            writer.writerow({**row, **texts})
    return out.getvalue()


def from_json_lines(text: str, file: str) -> list[Event]:
    """The events in JSON Lines. Raises InputErrors with every line that is none."""
    mistakes: list[Mistake] = []
    found: list[Event] = []
    lines = text.split("\n")
    if _parsed(lines[0]) != FORMAT:
        head = as_json(FORMAT)
        raise InputErrors([Mistake(file, 1, "", f"{lines[0][:60]!r}", f"the first line {head}")])
    for number, line in enumerate(lines[1:], start=2):
        if line.strip():
            event = _read(_parsed(line))
            if event is None:
                mistakes.append(Mistake(file, number, "", f"{line[:60]!r}", ALLOWED))
            else:
                found.append(event)
    if mistakes:
        raise InputErrors(mistakes)
    return found


def from_csv(text: str, file: str) -> list[Event]:
    """The events in CSV. Raises InputErrors where it is none, or where a column was changed by hand."""
    try:
        rows = _rows_of(text, strict=True)
    except csv.Error as problem:
        raise InputErrors(
            [Mistake(file, 0, "", f"no CSV ({problem})", "CSV as `weighout journal export` wrote it")]
        ) from problem
    if not rows or tuple(rows[0]) != COLUMNS:
        raise InputErrors([Mistake(file, 1, "", ",".join(rows[0])[:60] if rows else "nothing", ",".join(COLUMNS))])
    found: list[Event] = []
    for number, row in enumerate(rows[1:], start=2):
        if row and row[-1]:
            event = _read(_parsed(row[-1]))
            if event is None:
                raise InputErrors([Mistake(file, number, "event", f"{row[-1][:60]!r}", ALLOWED)])
            found.append(event)
    try:
        written = _rows_of(to_csv(found))
    except (KeyError, TypeError) as problem:
        raise InputErrors(
            [Mistake(file, 0, "event", f"an event that is not whole ({problem!r})", ALLOWED)]
        ) from problem
    for number, (row, same) in enumerate(zip(rows, written, strict=False), start=1):
        if row != same:
            column = next((name for name, a, b in zip(COLUMNS, row, same, strict=False) if a != b), COLUMNS[-1])
            allowed = "the row as it was exported: only the column `event` is read, so changes elsewhere would be lost"
            raise InputErrors([Mistake(file, number, column, f"{','.join(row)[:60]!r}", allowed)])
    if len(rows) != len(written):
        raise InputErrors([Mistake(file, 0, "", f"{len(rows)} rows", f"the {len(written)} rows of its events")])
    return found


def _rows_of(text: str, strict: bool = False) -> list[list[str]]:
    """The rows of CSV. What csv lets a cell hold is less than a batch with many nutrients takes, and a setting of the
    whole process: it is put back, and only one thread at a time changes it."""
    with _LIMIT:
        before = csv.field_size_limit(MOST_CHARACTERS)
        try:
            return list(csv.reader(StringIO(text, newline=""), strict=strict))
        finally:
            csv.field_size_limit(before)


def take_in(store: Store, found: Iterable[Event], file: str) -> tuple[int, int]:
    """Adds events that are not in the journal yet, all or none; gives how many were added and were there already.

    Raises JournalFault for an event that is not whole, or that is there already and says something else.
    """
    there = {event.id: event for event in events(store)}
    added = known = 0
    for event in found:
        if event.id in there:
            if event != there[event.id]:
                raise JournalFault(f"{file}: event {event.id} is in the journal already and says something else.")
            known += 1
            continue
        try:
            append(store, event)
        except JournalFault as fault:
            raise JournalFault(f"{file}: {fault} Nothing was changed.") from fault
        there[event.id] = event
        added += 1
    return added, known


def _plain(event: Event) -> dict[str, Any]:
    return {"id": event.id, "at": event.at, "kind": event.kind, "body": event.body}


def _parsed(text: str) -> Any:
    try:
        return json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError):
        return None


def _no_number(word: str) -> Any:
    raise ValueError(f"{word} is no number")


def _read(data: Any) -> Event | None:
    if not isinstance(data, dict) or set(data) != {"id", "at", "kind", "body"} or not isinstance(data["body"], dict):
        return None
    if not all(isinstance(data[key], str) and data[key] for key in ("id", "at", "kind")):
        return None
    return Event(data["id"], data["at"], data["kind"], data["body"])


def _rows(event: Event) -> Iterator[dict[str, Any]]:
    body = event.body
    row = {"at": event.at, "kind": event.kind, "event": as_json(_plain(event))}
    if event.kind == "batch":
        sheet = body["made"] or body["planned"]
        cost = sheet["totals"]["cost"]
        common = {"made_on": body["made_on"], "title": sheet["scenario"]["title"]}
        yield {
            **row,
            **common,
            "grams": sheet["totals"]["mass_g"],
            "cost": cost["amount"],
            "currency": cost["currency"],
        }
        for line in sheet["amounts"]:
            of_line = {"food": line["id"], "name": line["name"], "grams": line["grams"], "amount": line["text"]}
            yield {"at": event.at, "kind": "ingredient", **common, **of_line, "cost": line["cost"]}
    elif event.kind == "package":
        of_package = {key: body[key] for key in ("food", "name", "grams", "currency")}
        yield {**row, "made_on": body["bought_on"], **of_package, "amount": body["text"], "cost": body["price"]}
    else:
        yield {**row, "grams": body.get("grams", body.get("change_grams", "")), "amount": body.get("text", "")}
