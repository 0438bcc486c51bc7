"""guards.csv -> Guard records."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from catalog.kinds import MaximumKind
from catalog.mistakes import Mistake
from catalog.reading.csv_tables import CONFIDENCE, checked_source, choice, number, read_table
from catalog.reading.figures import convert_amount
from catalog.reading.standards import BASES, LIFE_STAGES, read_condition, wrong_unit
from catalog.records import Guard, Limit, Nutrient

GUARD_COLUMNS = "life_stage nutrient basis maximum unit condition kind source confidence note".split()


ANY_STAGE = "any"


KINDS = (MaximumKind.NUTRITIONAL, MaximumKind.LEGAL)


def read_guards(
    path: Path,
    nutrients: Mapping[str, Nutrient],
    tags: Iterable[str],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> tuple[Guard, ...]:
    """The rows of guards.csv, their ceilings in the nutrient's unit."""
    found: dict[tuple[str, ...], Guard] = {}
    for row in read_table(path, GUARD_COLUMNS, mistakes):
        stage = choice(row, "life_stage", (*LIFE_STAGES, ANY_STAGE), mistakes)
        nutrient = choice(row, "nutrient", nutrients, mistakes)
        basis = choice(row, "basis", ("per-1000-kcal", "per-kg-dry-matter"), mistakes)
        kind = choice(row, "kind", KINDS, mistakes)
        if not (stage and nutrient and basis and kind):
            continue
        written = number(row, "maximum", mistakes)
        if not written:
            mistakes.append(row.mistake("maximum", "a number above zero"))
            continue
        maximum = convert_amount(written, row["unit"], nutrients[nutrient])
        if maximum is None:
            mistakes.append(wrong_unit(row, nutrients[nutrient]))
            continue
        if (kind == MaximumKind.LEGAL) != bool(row["condition"]):
            allowed = "TAG > N % of mass for a legal maximum, nothing for another"
            mistakes.append(row.mistake("condition", allowed))
        for each in LIFE_STAGES if stage == ANY_STAGE else (stage,):
            if (each, nutrient, kind, basis) in found:
                mistakes.append(row.mistake("nutrient", f"one {kind} guard of {nutrient} for {each} on a basis"))
            limit = Limit(
                nutrient=nutrient,
                basis=BASES[basis],
                minimum=None,
                maximum=maximum,
                source=checked_source(row, sources, mistakes),
                confidence=choice(row, "confidence", CONFIDENCE, mistakes),
                condition=read_condition(row, tags, mistakes),
                maximum_kind=MaximumKind(kind),
                note=row["note"],
                file=row.file,
                line=row.line,
            )
            found[each, nutrient, kind, basis] = Guard(each, limit)
    return tuple(found.values())
