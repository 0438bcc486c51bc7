"""The journal as JSON: batches, pages, what recording did, stock."""

import json
from collections.abc import Sequence
from dataclasses import asdict
from decimal import Decimal
from typing import Any

from optimizer.amending import Amendment
from optimizer.assess.result import Miss
from optimizer.journal.history import HistoryEntry, LotInBatch, SideBySide, Trend
from optimizer.journal.last_prices import LastPrice
from optimizer.journal.records import Batch, BatchPage, Package, Recorded
from optimizer.journal.stock import StockWarning, value_of
from optimizer.render.json.sheet import sheet_object
from optimizer.repeating import Repetition


def recorded_json(page: BatchPage, recorded: Recorded) -> str:
    """The batch as recorded, what it took from stock and what stock lacked."""
    lacking = [{"food": food, "grams": grams} for food, grams in recorded.lacking]
    return dumped({**_page(page), "takes": [asdict(take) for take in recorded.takes], "lacking": lacking})


def batches_json(batches: Sequence[Batch]) -> str:
    """A list of batches."""
    return dumped([batch_object(batch) for batch in batches])


def page_json(page: BatchPage) -> str:
    """All of one batch: `sheet` is what was weighed and `planned` what was planned, as printed then."""
    return dumped(_page(page))


def batch_object(batch: Batch) -> dict[str, Any]:
    """A batch as plain data."""
    data = asdict(batch)
    cost, currency = data.pop("cost"), data.pop("currency")
    return {
        **data,
        "cost": {"amount": cost, "currency": currency or None},
        "left_g": batch.left_g,
        "portions_left": batch.portions_left,
    }


def _page(page: BatchPage) -> dict[str, Any]:
    return {
        "batch": batch_object(page.batch),
        "as_planned": page.as_planned,
        "lines": [{**asdict(line), "differs": line.differs} for line in page.lines],
        "lots": [asdict(lot) for lot in page.lots],
        "notes": [asdict(note) for note in page.notes],
        "misses": [asdict(miss) for miss in page.misses],
        "planned": page.planned,
        "sheet": page.sheet,
    }


def dumped(data: Any) -> str:
    """JSON as all commands print it; money as decimal text."""
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False, default=_plain)


def _plain(value: Any) -> str:
    if isinstance(value, Decimal):
        return str(value)
    raise TypeError(f"{value!r} cannot be written as JSON")


def side_by_side_json(beside: SideBySide) -> str:
    """The differences between two batches, in words."""
    return dumped(asdict(beside))


def trend_json(trend: Trend) -> str:
    """A value for each batch."""
    return dumped(asdict(trend))


def held_json(lot: str, held: Sequence[LotInBatch], packages: Sequence[Package]) -> str:
    """The batches that hold a lot with what is left of them, and what of it is in stock."""
    found = [{**batch_object(one.batch), "lots": [asdict(part) for part in one.lots]} for one in held]
    return dumped({"lot": lot, "batches": found, "packages": [package_object(package) for package in packages]})


def prices_json(prices: Sequence[LastPrice]) -> str:
    """The last known price of each food; `per_kg` is money for a kilogram."""
    return dumped([{**asdict(price), "per_kg": price.per_kg} for price in prices])


def history_json(happenings: Sequence[HistoryEntry]) -> str:
    """All that was recorded, the oldest first."""
    return dumped([asdict(one) for one in happenings])


def repetition_json(again: Repetition) -> str:
    """A batch again: its changes, and under `recipe` and `plan` what `journal record` reads."""
    return dumped(
        {
            "repeats": {"batch": again.batch, "made_on": again.made_on, "factor": again.factor},
            "as_scaled": [_miss(miss) for miss in again.as_scaled],
            "changes": [
                {**asdict(change), "misses": [_miss(miss) for miss in change.misses]} for change in again.changes
            ],
            "dropped": list(again.dropped),
            "recipe": again.data,
            "plan": sheet_object(again.sheet),
        }
    )


def amendment_json(amendment: Amendment) -> str:
    """A batch in the middle: what changes, the ways back, and under `recipe` and `plan` what `journal record` reads."""
    ways = [
        {
            "kind": way.kind,
            "id": way.id,
            "name": way.name,
            "grams": way.grams,
            "text": way.text,
            "plan": sheet_object(way.sheet),
        }
        for way in amendment.ways
    ]
    return dumped(
        {
            "slips": [
                {
                    "nutrient": slip.nutrient.id,
                    "jars": slip.jars,
                    "amount": slip.amount,
                    "ceiling": slip.ceiling,
                    "unit": slip.nutrient.unit,
                    "basis": slip.basis,
                    "source": slip.source,
                }
                for slip in amendment.slips
            ],
            "afresh": sheet_object(amendment.afresh),
            "moves": [{**asdict(move), "differs": move.differs} for move in amendment.moves],
            "ways": ways,
            "recipe": amendment.data,
            "plan": sheet_object(amendment.sheet),
        }
    )


def stock_json(packages: Sequence[Package], warnings: Sequence[StockWarning], days: int) -> str:
    """Packages, warnings for so many days, and the value by currency."""
    return dumped(
        {
            "packages": [package_object(package) for package in packages],
            "warnings": [asdict(warning) for warning in warnings],
            "days": days,
            "value": [{"amount": a, "currency": c} for c, a in sorted(value_of(packages).items())],
        }
    )


def package_json(package: Package) -> str:
    """A package that was put in stock."""
    return dumped(package_object(package))


def package_object(package: Package) -> dict[str, Any]:
    """A package as plain data."""
    return {**asdict(package), "value": package.value}


def _miss(miss: Miss) -> dict[str, Any]:
    return {**asdict(miss), "by": miss.by, "percent": miss.percent}
