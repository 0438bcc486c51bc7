"""treatments.csv and losses.csv -> records."""

from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path

from catalog.mistakes import Mistake
from catalog.reading.csv_tables import CONFIDENCE, checked_source, choice, number, read_table
from catalog.records import Nutrient
from catalog.treatments import Loss, Treatment

TREATMENT_COLUMNS = "id name cooks".split()
LOSS_COLUMNS = "treatment nutrient share low high source confidence note".split()


def read_treatments(
    folder: Path, nutrients: Mapping[str, Nutrient], sources: Mapping[str, str], mistakes: list[Mistake]
) -> dict[str, Treatment]:
    """What can be done to meat at home, by id, with all that is known to be lost by it."""
    losses = defaultdict[str, dict[str, Loss]](dict)
    path = folder / "treatments.csv"
    rows = read_table(path, TREATMENT_COLUMNS, mistakes)
    known = {row["id"] for row in rows}
    for row in read_table(folder / "losses.csv", LOSS_COLUMNS, mistakes):
        treatment, nutrient = choice(row, "treatment", known, mistakes), choice(row, "nutrient", nutrients, mistakes)
        share, low, high = (number(row, column, mistakes) for column in ("share", "low", "high"))
        source = checked_source(row, sources, mistakes)
        confidence = choice(row, "confidence", CONFIDENCE, mistakes)
        if share is None or not nutrient:
            continue
        low, high = share if low is None else low, share if high is None else high
        if not 0 <= low <= share <= high <= 1:
            mistakes.append(row.mistake("share", "0 <= low <= share <= high <= 1"))
        if nutrient in losses[treatment]:
            mistakes.append(row.mistake("nutrient", "each nutrient of a treatment once"))
        losses[treatment][nutrient] = Loss(nutrient, share, low, high, source, confidence, row["note"])
    return {
        row["id"]: Treatment(
            row["id"],
            row["name"],
            choice(row, "cooks", ("yes", "no"), mistakes) == "yes",
            tuple(losses[row["id"]].values()),
        )
        for row in rows
    }
