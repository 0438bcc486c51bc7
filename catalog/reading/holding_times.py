"""How long raw food keeps, from catalog/tables/holding_times.csv."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from catalog.mistakes import Mistake
from catalog.reading.csv_tables import CONFIDENCE, checked_source, choice, number, read_table

COLUMNS = (
    "id name when fridge_days_low fridge_days_high freezer_months_low freezer_months_high source confidence"
).split()


@dataclass(frozen=True, slots=True)
class HoldingTime:
    """How long one kind of raw food keeps: days refrigerated at 4 C, months frozen at -18 C (quality only).

    `when` says to which mix it applies: "always", "role:NAME", or "" (whole pieces, for reading only).
    `source` holds the keys of sources/ that it comes from.
    """

    name: str
    when: str
    fridge_days_low: int
    fridge_days_high: int
    freezer_months_low: int
    freezer_months_high: int
    source: str
    confidence: str


def read_holding_times(path: Path, sources: Mapping[str, str], mistakes: list[Mistake]) -> tuple[HoldingTime, ...]:
    """The rows of the table; what is wrong with them is added to `mistakes`."""
    found = []
    for row in read_table(path, COLUMNS, mistakes):
        days = [number(row, column, mistakes, least=1) for column in COLUMNS[3:7]]
        source = checked_source(row, sources, mistakes)
        confidence = choice(row, "confidence", CONFIDENCE, mistakes)
        if None in days:
            mistakes.append(row.mistake("id", "a row with days and months, low and high"))
            continue
        whole = [int(value or 0) for value in days]
        found.append(HoldingTime(row["name"], row["when"], whole[0], whole[1], whole[2], whole[3], source, confidence))
    return tuple(found)


def holding_time(roles: Iterable[str], times: Iterable[HoldingTime]) -> HoldingTime:
    """How long a ground mix of foods with these roles keeps: the shortest of every time that applies."""
    present = {"always", *(f"role:{role}" for role in roles)}
    applies = [time for time in times if time.when in present]
    return HoldingTime(
        name=" + ".join(time.name for time in applies),
        when="always",
        fridge_days_low=min(time.fridge_days_low for time in applies),
        fridge_days_high=min(time.fridge_days_high for time in applies),
        freezer_months_low=min(time.freezer_months_low for time in applies),
        freezer_months_high=min(time.freezer_months_high for time in applies),
        source=" ; ".join(dict.fromkeys(time.source for time in applies)),
        confidence="read" if all(time.confidence == "read" for time in applies) else "memory",
    )
