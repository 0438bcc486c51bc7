"""What can be named in a scenario, as JSON."""

import json
from collections.abc import Sequence
from typing import Any

from catalog.records import Catalog, Food, Limit, Standard


def foods_json(foods: Sequence[Food]) -> str:
    """The foods: what they are, count as, and are measured in (grams for one of each measure)."""
    return json.dumps([_food(food) for food in foods], indent=2, ensure_ascii=False, allow_nan=False)


def standards_json(catalog: Catalog) -> str:
    """The standards with every limit, in the nutrient's unit."""
    listed = [_standard(standard, catalog) for standard in catalog.standards.values()]
    return json.dumps(listed, indent=2, ensure_ascii=False, allow_nan=False)


def _food(food: Food) -> dict[str, Any]:
    return {
        "id": food.id,
        "name": food.name,
        "role": food.role,
        "counts_as": food.counts_as,
        "species": food.species or None,
        "ndb_no": food.ndb_no,
        "tags": sorted(food.tags),
        "measures": [{"unit": m.unit, "grams": m.grams, "source": m.source} for m in food.measures.values()],
        "parts": [
            {"food": p.food, "share": p.share, "share_low": p.share_low, "share_high": p.share_high, "source": p.source}
            for p in food.parts
        ],
        "note": food.note,
    }


def _standard(standard: Standard, catalog: Catalog) -> dict[str, Any]:
    return {
        "id": standard.id,
        "name": standard.name,
        "edition": standard.edition,
        "life_stage": standard.life_stage,
        "note": standard.note,
        "limits": [_limit(limit, catalog) for limit in standard.limits],
    }


def _limit(limit: Limit, catalog: Catalog) -> dict[str, Any]:
    condition = limit.condition
    return {
        "nutrient": limit.nutrient,
        "unit": catalog.nutrients[limit.nutrient].unit,
        "basis": limit.basis,
        "minimum": limit.minimum,
        "maximum": limit.maximum,
        "maximum_kind": limit.maximum_kind or None,
        "of": limit.of or None,
        "above": limit.above or None,
        "condition": {"tag": condition.tag, "share": condition.share, "of": condition.of} if condition else None,
        "source": limit.source,
        "confidence": limit.confidence,
        "note": limit.note,
    }
