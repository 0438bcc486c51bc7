"""Batches: recorded, listed, shown, noted on, fed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from optimizer.journal.events import append, event_of, happened
from optimizer.journal.records import (
    Batch,
    BatchLine,
    BatchPage,
    JournalFault,
    Lot,
    Note,
    Recorded,
    SheetData,
    misses_of,
)
from optimizer.journal.stock import take_from_stock
from optimizer.journal.store import Store

# Undone events stay in the file; nothing counts that hangs on one.
COUNTS = "NOT IN (SELECT event FROM undone)"

_BATCHES = f"""
    SELECT b.*, b.event IN (SELECT event FROM undone) AS is_undone,
        (SELECT coalesce(sum(f.grams), 0) FROM feedings f WHERE f.batch = b.event AND f.event {COUNTS}) AS fed_g
    FROM batches b
"""


@dataclass(frozen=True, slots=True)
class BatchDetails:
    """What a person tells besides the sheet: lots and use-by dates by food, portions, a note."""

    made_on: str
    lots: Mapping[str, str]
    use_by: Mapping[str, str]
    portions: int | None = None
    note: str = ""


def record_batch(
    store: Store,
    planned: SheetData,
    made: SheetData | None,
    scenario: Mapping[str, Any],
    told: BatchDetails,
    from_stock: bool = True,
) -> Recorded:
    """Records a batch and takes it from stock. `made` is the sheet of what was weighed, None when as planned;
    `scenario` is the scenario's data, for repeating it."""
    amounts = (made or planned)["amounts"]
    takes, lacking = take_from_stock(store, amounts, told.lots) if from_stock else ((), ())
    of_takes = {take.package: package for take, package in takes}
    body = {
        "made_on": told.made_on,
        "planned": planned,
        "made": made,
        "scenario": scenario,
        "lots": [
            {"food": id_, "lot": told.lots.get(id_, ""), "use_by": told.use_by.get(id_, "")}
            for id_ in dict.fromkeys([*told.lots, *told.use_by])
        ],
        "takes": [{"package": of_takes[take.package].event, "grams": take.grams} for take, _ in takes],
        "portions": told.portions,
        "note": told.note,
    }
    event = happened("batch", body)
    append(store, event)
    [row] = store.rows("SELECT number FROM batches WHERE event = ?", event.id)
    return Recorded(int(row["number"]), tuple(take for take, _ in takes), tuple(lacking))


def batches(store: Store, with_undone: bool = False) -> list[Batch]:
    """Every batch in the order in which they were recorded; undone ones are left out unless asked for."""
    found = [_batch(row) for row in store.rows(f"{_BATCHES} ORDER BY b.number")]
    return [batch for batch in found if with_undone or not batch.undone]


def find_batch(store: Store, number: int) -> Batch:
    """The batch of this number. Raises JournalFault when there is none, or when it was undone."""
    found = [_batch(row) for row in store.rows(f"{_BATCHES} WHERE b.number = ?", number)]
    if not found:
        last = max((batch.number for batch in batches(store)), default=0)
        have = f"the last one is {last}" if last else "none is recorded yet"
        raise JournalFault(f"{store.path}: there is no batch {number}; {have}.")
    if found[0].undone:
        raise JournalFault(
            f"{store.path}: batch {number} was undone; `weighout journal redo` takes the last undo back."
        )
    return found[0]


def batch_page(store: Store, number: int) -> BatchPage:
    """All of one batch."""
    batch = find_batch(store, number)
    body = event_of(store, batch.event).body
    sheet = body["made"] or body["planned"]
    lines = [
        BatchLine(
            row["food"],
            row["name"],
            row["role"],
            row["grams"],
            row["text"],
            row["planned_grams"],
            row["planned_text"],
            _decimal(row["cost"]),
        )
        for row in store.rows("SELECT * FROM batch_lines WHERE batch = ? ORDER BY place", batch.event)
    ]
    return BatchPage(
        batch=batch,
        lines=tuple(lines),
        lots=tuple(lots_of(store, batch.event)),
        notes=tuple(_notes(store, batch, body["note"])),
        misses=misses_of(sheet),
        planned=body["planned"],
        sheet=sheet,
        scenario=body["scenario"],
        as_planned=body["made"] is None,
    )


def lots_of(store: Store, event: str) -> list[Lot]:
    """The packages that went into a batch: as told, and as taken from stock."""
    told = [
        Lot(row["food"], row["lot"], row["use_by"], None, None)
        for row in store.rows("SELECT * FROM lots WHERE batch = ? ORDER BY rowid", event)
    ]
    taken = [
        Lot(row["food"], row["lot"], row["use_by"], row["number"], row["taken"])
        for row in store.rows(
            "SELECT p.*, t.grams AS taken FROM takes t JOIN packages p ON p.event = t.package WHERE t.batch = ? "
            "ORDER BY t.rowid",
            event,
        )
    ]
    known = {(lot.food, lot.lot) for lot in taken}
    return [lot for lot in told if (lot.food, lot.lot) not in known] + taken


def add_note(store: Store, number: int, text: str) -> None:
    """Adds a remark to a batch."""
    append(store, happened("note", {"batch": find_batch(store, number).event, "text": text}))


def feed(store: Store, number: int, grams: float, on: str) -> Batch:
    """Notes that so much of a batch was eaten or given away; gives the batch with what is left.

    Raises JournalFault when that much is not left.
    """
    batch = find_batch(store, number)
    if grams > batch.left_g * (1 + 1e-9):
        left = f"{batch.left_g:.0f} g" + ("" if batch.portions is None else f", {batch.portions_left} portions")
        raise JournalFault(f"{store.path}: batch {number} has {left} left; {grams:.0f} g cannot be taken from it.")
    append(store, happened("feed", {"batch": batch.event, "grams": min(grams, batch.left_g), "on": on}))
    return find_batch(store, number)


def _notes(store: Store, batch: Batch, first: str) -> Sequence[Note]:
    rows = store.rows(
        f"SELECT e.at, n.text FROM notes n JOIN events e ON e.id = n.event WHERE n.batch = ? AND n.event {COUNTS} "
        "ORDER BY e.number",
        batch.event,
    )
    later = [Note(row["at"][:10], row["text"]) for row in rows]
    return [Note(batch.made_on, first), *later] if first else later


def _batch(row: Mapping[str, Any]) -> Batch:
    return Batch(
        number=row["number"],
        event=row["event"],
        made_on=row["made_on"],
        title=row["title"],
        standard=row["standard"],
        life_stage=row["life_stage"],
        all_met=bool(row["all_met"]),
        mass_g=row["mass_g"],
        meat_g=row["meat_g"],
        energy_kcal=row["energy_kcal"],
        cost=_decimal(row["cost"]),
        currency=row["currency"],
        supplement_count=row["supplement_count"],
        portions=row["portions"],
        fed_g=row["fed_g"],
        undone=bool(row["is_undone"]),
    )


def _decimal(value: str | None) -> Decimal | None:
    return None if value is None else Decimal(value)
