"""What the journal holds: frozen records. Masses in grams, energy in kilocalories (ME), dates as YYYY-MM-DD."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from optimizer.errors import WeighoutError

# A sheet as its JSON (see render.json_text): figures as printed on the day, whatever the catalog says later.
SheetData = Mapping[str, Any]

NOT_KEPT = ("short", "over", "unknown")


class JournalFault(WeighoutError):
    """The journal cannot be used as asked; the message says why and what to do. Nothing was changed."""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened. Events are only ever added; `body` is JSON data whose shape `kind` names."""

    id: str
    at: str
    kind: str
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One ingredient of a batch as weighed, beside what was planned of it; `text` is "" where it is absent."""

    food: str
    name: str
    role: str
    grams: float
    text: str
    planned_grams: float
    planned_text: str
    cost: Decimal | None

    @property
    def differs(self) -> bool:
        """Whether what was weighed is not what was planned."""
        return abs(self.grams - self.planned_grams) > 1e-6 * max(self.grams, self.planned_grams)


@dataclass(frozen=True, slots=True)
class Lot:
    """A package that went into a batch: as told by hand, or by its number in stock (`package`, else None)."""

    food: str
    lot: str
    use_by: str
    package: int | None
    grams: float | None


@dataclass(frozen=True, slots=True)
class Note:
    """A remark on a batch."""

    at: str
    text: str


@dataclass(frozen=True, slots=True)
class RecordedMiss:
    """A limit that a batch as weighed does not keep."""

    id: str
    name: str
    status: str


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch at a glance. `portions` is None where it was not told; `fed_g` is what was eaten of it."""

    number: int
    event: str
    made_on: str
    title: str
    standard: str
    life_stage: str
    all_met: bool
    mass_g: float
    meat_g: float
    energy_kcal: float
    cost: Decimal | None
    currency: str
    supplement_count: int
    portions: int | None
    fed_g: float
    undone: bool

    @property
    def left_g(self) -> float:
        """What is left of it by mass, water lost in thawing not counted."""
        return max(self.mass_g - self.fed_g, 0.0)

    @property
    def portions_left(self) -> int | None:
        """Whole portions that are left."""
        if self.portions is None:
            return None
        return int(self.left_g / (self.mass_g / self.portions) + 1e-6)


@dataclass(frozen=True, slots=True)
class BatchPage:
    """All of one batch. `sheet` is what was weighed, `planned` what was planned (the same when as planned)."""

    batch: Batch
    lines: tuple[BatchLine, ...]
    lots: tuple[Lot, ...]
    notes: tuple[Note, ...]
    misses: tuple[RecordedMiss, ...]
    planned: SheetData
    sheet: SheetData
    scenario: Mapping[str, Any]
    as_planned: bool


@dataclass(frozen=True, slots=True)
class Package:
    """A package in stock: what it held, what is left, what it cost. `unit` weighs `grams_per_unit`.

    `listed` says where a scenario lists it: on_hand or supplements; `step` is its smallest step, or "".
    """

    number: int
    event: str
    food: str
    name: str
    listed: str
    text: str
    unit: str
    grams_per_unit: float
    grams: float
    left_g: float
    price: Decimal | None
    currency: str
    lot: str
    use_by: str
    bought_on: str
    step: str

    @property
    def value(self) -> Decimal | None:
        """What is left of it is worth, at what it cost; None without a price."""
        if self.price is None:
            return None
        return (self.price * Decimal(repr(self.left_g / self.grams))).quantize(Decimal("0.01"))


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """What a batch took out of a package and what is left in it, in grams and in the package's measure."""

    package: int
    food: str
    name: str
    grams: float
    left_g: float
    text: str
    left_text: str


@dataclass(frozen=True, slots=True)
class Recorded:
    """What recording a batch did: its number, what it took from stock, and what stock lacked (food, grams)."""

    number: int
    takes: tuple[Withdrawal, ...]
    lacking: tuple[tuple[str, float], ...]


def misses_of(sheet: SheetData) -> tuple[RecordedMiss, ...]:
    """Every limit that a sheet does not keep, as its own lines say."""
    lines = [*sheet["nutrients"], *sheet["ratios"]]
    found = [RecordedMiss(line["id"], line["name"], line["status"]) for line in lines if line["status"] in NOT_KEPT]
    totals = sheet["totals"]
    if totals["non_meat_share"] > totals["non_meat_cap"] * (1 + 1e-6):
        found.append(RecordedMiss("non-meat-cap", "non-meat share of the mix", "over"))
    return tuple(found)
