"""What the journal knows over several batches: trends, two side by side, lots traced (a recall), all that happened."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from catalog.mistakes import did_you_mean
from optimizer.comparing import WORTH_SHOWING, Difference
from optimizer.journal.batches import batches, lots_of
from optimizer.journal.events import event_of, events
from optimizer.journal.records import Batch, BatchPage, Event, JournalFault, Lot, Package
from optimizer.journal.stock import packages
from optimizer.journal.store import Store
from optimizer.sheet.numbers import amount_text, grams_text, money_text, percent_text


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One batch of a trend. `value` is None where the batch does not know it; limits are those of its standard."""

    batch: int
    made_on: str
    title: str
    value: float | None
    minimum: float | None = None
    maximum: float | None = None
    status: str = ""


@dataclass(frozen=True, slots=True)
class Trend:
    """What was asked for over time; `unit` as people read it ("g per 1000 kcal")."""

    id: str
    name: str
    unit: str
    points: tuple[TrendPoint, ...]


@dataclass(frozen=True, slots=True)
class LotInBatch:
    """A batch that holds a lot, with the packages it was found in."""

    batch: Batch
    lots: tuple[Lot, ...]


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    """One event in a few words, and whether it was undone."""

    at: str
    words: str
    undone: bool


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Two batches: what differs, in words, and how much is the same."""

    labels: tuple[str, ...]
    overall: tuple[Difference, ...]
    amounts: tuple[Difference, ...]
    nutrients: tuple[Difference, ...]
    same_amounts: int
    same_nutrients: int


def trend(store: Store, what: str) -> Trend:
    """A nutrient per 1000 kcal, or one of `OVERALL`, over the batches by the day they were made.

    Raises JournalFault when no batch knows it.
    """
    there = sorted(batches(store), key=lambda batch: (batch.made_on, batch.number))
    if what in OVERALL:
        name, unit, value = OVERALL[what]
        unit = unit.replace("currency", "/".join(sorted({batch.currency for batch in there if batch.currency})))
        points = [TrendPoint(b.number, b.made_on, b.title, value(b)) for b in there]
        return Trend(what, name, unit, tuple(points))
    rows = {row["batch"]: row for row in store.rows("SELECT * FROM batch_nutrients WHERE nutrient = ?", what)}
    if not rows:
        known = [row["nutrient"] for row in store.rows("SELECT DISTINCT nutrient FROM batch_nutrients")]
        hint = did_you_mean(what, [*OVERALL, *known])
        allowed = f"{', '.join(OVERALL)} or the id of a nutrient"
        raise JournalFault(f'{store.path}: no batch knows "{what}"; allowed: {allowed}. {hint}'.strip())
    found = [(batch, rows[batch.event]) for batch in there if batch.event in rows]
    points = [
        TrendPoint(b.number, b.made_on, b.title, row["per_1000_kcal"], row["minimum"], row["maximum"], row["status"])
        for b, row in found
    ]
    first = next(iter(rows.values()))
    return Trend(what, first["name"], f"{first['unit']} per 1000 kcal", tuple(points))


def _per_kg(batch: Batch) -> float | None:
    return None if batch.cost is None else float(batch.cost) / batch.mass_g * 1000


OVERALL: Mapping[str, tuple[str, str, Any]] = {
    "cost": ("cost of the batch", "currency", lambda batch: None if batch.cost is None else float(batch.cost)),
    "cost-per-kg": ("cost of a kilogram", "currency per kg", _per_kg),
    "mass": ("mix", "g", lambda batch: batch.mass_g),
    "energy": ("energy density", "kcal per kg", lambda batch: batch.energy_kcal / batch.mass_g * 1000),
    "supplements": ("supplements used", "", lambda batch: float(batch.supplement_count)),
}


def compare_batches(one: BatchPage, other: BatchPage) -> SideBySide:
    """What differs between two batches, as they were judged when they were recorded."""
    pages = (one, other)
    amounts, same_amounts = _amounts(pages)
    nutrients, same_nutrients = _nutrients(pages)
    labels = tuple(f"batch {page.batch.number}, {page.batch.made_on}: {page.batch.title}" for page in pages)
    return SideBySide(labels, _overall(pages), amounts, nutrients, same_amounts, same_nutrients)


def _overall(pages: Sequence[BatchPage]) -> tuple[Difference, ...]:
    found = [page.batch for page in pages]
    rows = [
        ("all_met", "every limit met", ["yes" if b.all_met else "no" for b in found]),
        ("cost", "cost", ["-" if b.cost is None else money_text(b.cost, b.currency) for b in found]),
        ("mass_g", "mix", [grams_text(b.mass_g) for b in found]),
        ("meat_g", "meat", [grams_text(b.meat_g) for b in found]),
        ("energy", "energy per kg", [f"{b.energy_kcal / b.mass_g * 1000:.0f} kcal" for b in found]),
        ("bone_share", "bone", [percent_text(page.sheet["totals"]["bone_share"]) for page in pages]),
        ("supplement_count", "supplements", [str(b.supplement_count) for b in found]),
        ("standard", "standard", [f"{b.standard} {b.life_stage}" for b in found]),
    ]
    return tuple(Difference(id_, name, "", tuple(values)) for id_, name, values in rows)


def _amounts(pages: Sequence[BatchPage]) -> tuple[tuple[Difference, ...], int]:
    by_id = [{line.food: line for line in page.lines if line.grams > 0} for page in pages]
    names = {line.food: line.name for page in pages for line in page.lines if line.grams > 0}
    different = []
    for id_, name in names.items():
        grams = {round(lines[id_].grams, 6) if id_ in lines else 0.0 for lines in by_id}
        if len(grams) > 1:
            texts = tuple(lines[id_].text if id_ in lines else "-" for lines in by_id)
            different.append(Difference(id_, name, "", texts))
    return tuple(different), len(names) - len(different)


def _nutrients(pages: Sequence[BatchPage]) -> tuple[tuple[Difference, ...], int]:
    """Nutrients with a limit in either, per 1000 kcal, where they differ by more than 2 %."""
    by_id = [{line["id"]: line for line in page.sheet["nutrients"]} for page in pages]
    marks = {"short": " short", "over": " over", "unknown": " unknown"}
    different, same = [], 0
    for id_ in dict.fromkeys([*by_id[0], *by_id[1]]):
        lines = [nutrients.get(id_) for nutrients in by_id]
        known = [line for line in lines if line]
        if all(line["minimum"] is None and line["maximum"] is None for line in known):
            continue
        amounts = [line["per_1000_kcal"] for line in known]
        if len(known) == 2 and max(amounts) - min(amounts) <= WORTH_SHOWING * min(amounts):
            same += 1
            continue
        values = (
            amount_text(line["per_1000_kcal"]) + marks.get(line["status"], "") if line else "not known"
            for line in lines
        )
        different.append(Difference(id_, known[0]["name"], known[0]["unit"], tuple(values)))
    return tuple(different), same


def find_lot(store: Store, lot: str) -> list[LotInBatch]:
    """Every batch that holds a lot, by what was told and by stock. Capitals and blanks do not matter."""
    wanted = _plain(lot)
    found = []
    for batch in batches(store):
        lots = tuple(held for held in lots_of(store, batch.event) if _plain(held.lot) == wanted)
        if lots:
            found.append(LotInBatch(batch, lots))
    return found


def _plain(lot: str) -> str:
    return "".join(lot.split()).casefold()


def packages_of_lot(store: Store, lot: str) -> list[Package]:
    """The packages of a lot that are still in stock."""
    return [package for package in packages(store) if package.left_g > 0 and _plain(package.lot) == _plain(lot)]


def history(store: Store) -> list[HistoryEntry]:
    """Everything that was recorded, in that order."""
    undone = {row["event"] for row in store.rows("SELECT event FROM undone")}
    return [HistoryEntry(event.at, event_words(store, event), event.id in undone) for event in events(store)]


def event_words(store: Store, event: Event) -> str:
    """What an event was, in a few words."""
    body = event.body
    if event.kind == "batch":
        [row] = store.rows("SELECT number, title FROM batches WHERE event = ?", event.id)
        return f"batch {row['number']}, {row['title']}"
    if event.kind in ("note", "feed"):
        [row] = store.rows("SELECT number FROM batches WHERE event = ?", body["batch"])
        if event.kind == "note":
            return f'the note "{body["text"]}" on batch {row["number"]}'
        return f"{grams_text(body['grams'])} of batch {row['number']}, fed"
    if event.kind in ("package", "count"):
        id_ = event.id if event.kind == "package" else body["package"]
        [row] = store.rows("SELECT number, name, text FROM packages WHERE event = ?", id_)
        words = f"package {row['number']}, {row['text']} of {row['name']}"
        return words if event.kind == "package" else f"{words}, counted"
    target = event_of(store, body["event"])
    again = target.kind == "undo"
    words = event_words(store, event_of(store, target.body["event"]) if again else target)
    return f"{'redo' if again else 'undo'}: {words}"
