"""What is lost between the tables and the bowl: thawing, cooking. Stated shares; nothing takes them off by itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from catalog.catalog import TABLES
from catalog.mistakes import Mistake
from catalog.reading.csv_tables import CONFIDENCE, checked_source, choice, number, read_table
from catalog.records import Nutrient

LOSS_COLUMNS = "treatment nutrient share low high source confidence note".split()


@dataclass(frozen=True, slots=True)
class Loss:
    """The share (0 to 1) of a nutrient that a treatment takes, with the range of it and who says so."""

    treatment: str
    nutrient: str
    share: float
    share_low: float
    share_high: float
    source: str
    confidence: str
    note: str


def read_losses(
    nutrients: Mapping[str, Nutrient],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
    path: Path = TABLES / "losses.csv",
) -> dict[tuple[str, str], Loss]:
    """The table of losses by treatment and nutrient."""
    found: dict[tuple[str, str], Loss] = {}
    for row in read_table(path, LOSS_COLUMNS, mistakes):
        nutrient = choice(row, "nutrient", nutrients, mistakes)
        share, low, high = (number(row, column, mistakes) for column in ("share", "low", "high"))
        source = checked_source(row, sources, mistakes)
        confidence = choice(row, "confidence", CONFIDENCE, mistakes)
        if share is None or not nutrient:
            continue
        low, high = share if low is None else low, share if high is None else high
        if not 0 <= low <= share <= high <= 1:
            mistakes.append(row.mistake("share", "0 <= low <= share <= high <= 1"))
        if (row["treatment"], nutrient) in found:
            mistakes.append(row.mistake("nutrient", "each nutrient of a treatment once"))
        loss = Loss(row["treatment"], nutrient, share, low, high, source, confidence, row["note"])
        found[row["treatment"], nutrient] = loss
    return found
