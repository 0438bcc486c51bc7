"""Events into the journal: each is stored as it is, then copied into the tables that can be searched.

Recording and importing take the same way, so an imported journal is the same as the one it came from.
"""

import json
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from decimal import Decimal
from math import isfinite
from typing import Any
from uuid import uuid4

from catalog.bounds import DAY, read_day
from optimizer.journal.records import Event, JournalFault, misses_of
from optimizer.journal.store import Store

Body = Mapping[str, Any]


def as_json(data: Any) -> str:
    """JSON on one line that reads back as the same, and is written the same again."""
    return json.dumps(data, ensure_ascii=False, allow_nan=False)


def happened(kind: str, body: Body) -> Event:
    """A new event, now."""
    return Event(uuid4().hex, datetime.now(UTC).isoformat(timespec="seconds"), kind, body)


def append(store: Store, event: Event) -> None:
    """Adds an event and its copies. Raises JournalFault when its body is not what its kind asks for."""
    if event.kind not in COPIES:
        raise JournalFault(f"an event of the kind {event.kind!r}; known: {', '.join(COPIES)}.")
    try:
        store.add("events", id=event.id, at=event.at, kind=event.kind, body=as_json(event.body))
        COPIES[event.kind](store, event)
    except (KeyError, TypeError, ValueError, ArithmeticError, AttributeError) as fault:
        raise JournalFault(f"an event of the kind {event.kind!r} that is not whole ({fault!r}).") from fault


def events(store: Store) -> list[Event]:
    """Every event, in the order in which they were recorded."""
    return [_event(row) for row in store.rows("SELECT id, at, kind, body FROM events ORDER BY number")]


def readable_events(store: Store) -> tuple[list[Event], list[int]]:
    """Every event that can be read, and the numbers of those whose text is spoilt."""
    found, spoilt = [], []
    for row in store.rows("SELECT number, id, at, kind, body FROM events ORDER BY number"):
        try:
            event = _event(row)
        except (ValueError, RecursionError, TypeError):
            spoilt.append(int(row["number"]))
            continue
        found.append(event) if isinstance(event.body, dict) else spoilt.append(int(row["number"]))
    return found, spoilt


def event_of(store: Store, id_: str) -> Event:
    """The event of this id, which exists."""
    [row] = store.rows("SELECT id, at, kind, body FROM events WHERE id = ?", id_)
    return _event(row)


def undo_last(store: Store) -> Event:
    """Undoes the last event that counts, by an event that says so; gives what was undone."""
    found = store.rows(
        "SELECT id, at, kind, body FROM events WHERE kind != 'undo' AND id NOT IN (SELECT event FROM undone) "
        "ORDER BY number DESC LIMIT 1"
    )
    if not found:
        raise JournalFault(f"{store.path}: nothing is left to be undone.")
    event = _event(found[0])
    append(store, happened("undo", {"event": event.id}))
    return event


def redo_last(store: Store) -> Event:
    """Takes the last undo back that still holds, by undoing it; gives the event that counts again."""
    found = store.rows(
        "SELECT u.event, u.undo FROM undone u JOIN events e ON e.id = u.event JOIN events b ON b.id = u.undo "
        "WHERE e.kind != 'undo' ORDER BY b.number DESC LIMIT 1"
    )
    if not found:
        raise JournalFault(f"{store.path}: nothing was undone.")
    append(store, happened("undo", {"event": found[0]["undo"]}))
    return event_of(store, found[0]["event"])


def _event(row: Mapping[str, Any]) -> Event:
    return Event(row["id"], row["at"], row["kind"], json.loads(row["body"]))


def _batch(store: Store, event: Event) -> None:
    body = event.body
    sheet = body["made"] or body["planned"]
    totals = sheet["totals"]
    store.add(
        "batches",
        number=_next(store, "batches"),
        event=event.id,
        made_on=_date(body["made_on"]),
        title=_text(sheet["scenario"]["title"]),
        standard=_text(sheet["standard"]),
        life_stage=_text(sheet["life_stage"]),
        all_met=int(not misses_of(sheet)),
        mass_g=_number(totals["mass_g"]),
        meat_g=_number(totals["meat_g"]),
        energy_kcal=_number(totals["energy_kcal"]),
        cost=_money(totals["cost"]["amount"]),
        currency=totals["cost"]["currency"] or "",
        supplement_count=int(totals["supplement_count"]),
        portions=None if body["portions"] is None else int(_number(body["portions"])),
    )
    _lines(store, event)
    for line in sheet["nutrients"]:
        store.add(
            "batch_nutrients",
            batch=event.id,
            nutrient=_text(line["id"]),
            name=_text(line["name"]),
            unit=_text(line["unit"]),
            per_1000_kcal=_number(line["per_1000_kcal"]),
            minimum=None if line["minimum"] is None else _number(line["minimum"]),
            maximum=None if line["maximum"] is None else _number(line["maximum"]),
            status=_text(line["status"]),
        )
    for lot in body["lots"]:
        store.add(
            "lots", batch=event.id, food=_text(lot["food"]), lot=_text(lot["lot"]), use_by=_date_or_none(lot["use_by"])
        )
    for take in body["takes"]:
        store.add("takes", batch=event.id, package=take["package"], grams=_number(take["grams"]))
    _text(body["note"])


def _lines(store: Store, event: Event) -> None:
    """What was weighed beside what was planned, and what was planned but left out."""
    planned = {line["id"]: line for line in event.body["planned"]["amounts"]}
    made = {line["id"]: line for line in (event.body["made"] or event.body["planned"])["amounts"]}
    for place, id_ in enumerate({**made, **planned}):
        line = made.get(id_) or planned[id_]
        store.add(
            "batch_lines",
            batch=event.id,
            place=place,
            food=_text(id_),
            name=_text(line["name"]),
            role=_text(line["role"]),
            grams=_number(made[id_]["grams"]) if id_ in made else 0.0,
            text=_text(made[id_]["text"]) if id_ in made else "",
            planned_grams=_number(planned[id_]["grams"]) if id_ in planned else 0.0,
            planned_text=_text(planned[id_]["text"]) if id_ in planned else "",
            cost=_money(made[id_]["cost"]) if id_ in made else None,
        )


def _note(store: Store, event: Event) -> None:
    store.add("notes", event=event.id, batch=event.body["batch"], text=_text(event.body["text"]))


def _feed(store: Store, event: Event) -> None:
    store.add("feedings", event=event.id, batch=event.body["batch"], grams=_number(event.body["grams"]))
    _date(event.body["on"])


def _package(store: Store, event: Event) -> None:
    body = event.body
    store.add(
        "packages",
        number=_next(store, "packages"),
        event=event.id,
        **{key: _text(body[key]) for key in ("food", "name", "listed", "text", "unit", "currency", "lot", "step")},
        **{key: _number(body[key]) for key in ("grams_per_unit", "grams")},
        price=_money(body["price"]),
        use_by=_date_or_none(body["use_by"]),
        bought_on=_date(body["bought_on"]),
    )


def _count(store: Store, event: Event) -> None:
    body = event.body
    store.add("counts", event=event.id, package=body["package"], change_grams=_number(body["change_grams"]))


def _undone(store: Store, event: Event) -> None:
    target = event_of(store, _text(event.body["event"]))
    store.add("undone", event=target.id, undo=event.id)
    if target.kind == "undo":  # an undo that is undone: what it undid counts again
        store.remove_undone(target.body["event"])


COPIES: Mapping[str, Callable[[Store, Event], None]] = {
    "batch": _batch,
    "note": _note,
    "feed": _feed,
    "package": _package,
    "count": _count,
    "undo": _undone,
}


def _next(store: Store, table: str) -> int:
    return int(store.rows(f"SELECT coalesce(max(number), 0) + 1 AS next FROM {table}")[0]["next"])


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise TypeError(f"{value!r} is no text")
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise TypeError(f"{value!r} is no number")
    return float(value)


def _money(value: Any) -> str | None:
    if value is None:
        return None
    if not Decimal(_text(value)).is_finite():
        raise ValueError(f"{value!r} is no money")
    return str(value)


def _date(value: Any) -> str:
    day = read_day(_text(value))
    if day is None:
        raise ValueError(f"{value!r} is not {DAY}")
    return day.isoformat()


def _date_or_none(value: Any) -> str:
    return _date(value) if value else ""
