"""All standards side by side: one row for what they limit in the same way, one column for each standard."""

from collections.abc import Mapping
from dataclasses import dataclass

from catalog.kinds import Basis
from catalog.reading.standards import LIFE_STAGES
from catalog.records import Catalog, Limit, Nutrient

BASES = (Basis.PER_1000_KCAL, Basis.INCREMENT, Basis.RATIO, Basis.PER_KG_DRY_MATTER)


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """The limits of one nutrient on one basis by standard id; a standard without one is absent.

    `of` is the second nutrient of a ratio or what an increment is for, `tag` the tag of foods that a
    condition asks for, else empty.
    """

    life_stage: str
    nutrient: Nutrient
    basis: str
    of: str
    tag: str
    limits: Mapping[str, Limit]


def compared(catalog: Catalog, life_stage: str | None = None) -> tuple[ComparedRow, ...]:
    """The rows of one life stage, or of both one after the other, in the order of the nutrients."""
    rows: dict[tuple[str, str, str, str, str], dict[str, Limit]] = {}
    for (standard, stage), found in catalog.standards.items():
        for limit in found.limits:
            tag = limit.condition.tag if limit.condition else ""
            rows.setdefault((stage, limit.nutrient, limit.basis, limit.of, tag), {})[standard] = limit
    stages = [life_stage] if life_stage else list(LIFE_STAGES)
    nutrients = list(catalog.nutrients)
    return tuple(
        ComparedRow(stage, catalog.nutrients[nutrient], basis, of, tag, limits)
        for (stage, nutrient, basis, of, tag), limits in sorted(
            ((key, limits) for key, limits in rows.items() if key[0] in stages),
            key=lambda row: (stages.index(row[0][0]), nutrients.index(row[0][1]), BASES.index(row[0][2]), row[0][3:]),
        )
    )
