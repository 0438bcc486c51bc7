"""Published standards as JSON: all of them, one, or all side by side."""

import json
from collections.abc import Sequence
from typing import Any

from catalog.kinds import Basis
from catalog.queries.side_by_side import ComparedRow
from catalog.records import Catalog, Limit, Standard


def standards_json(catalog: Catalog) -> str:
    """A list of the standards, one entry for each life stage, with every limit in the nutrient's unit."""
    listed = [_standard(standard, catalog) for standard in catalog.standards.values()]
    return json.dumps(listed, indent=2, ensure_ascii=False, allow_nan=False)


def standard_json(stages: Sequence[Standard], catalog: Catalog) -> str:
    """One standard as an object: `limits` of all its `stages`, each with its life stage."""
    first = stages[0]
    found = {
        "id": first.id,
        "name": first.name,
        "edition": first.edition,
        "note": first.note,
        "energy_method": first.energy_method,
        "life_stages": [standard.life_stage for standard in stages],
        "verified": {standard.life_stage: standard.verified for standard in stages},
        "limits": [
            {"life_stage": standard.life_stage, **_limit(limit, catalog)}
            for standard in stages
            for limit in standard.limits
        ],
    }
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)


def compared_json(rows: Sequence[ComparedRow], catalog: Catalog) -> str:
    """An object: the `standards`, and `rows` in which `by_standard` has each one's limit or null."""
    standards = {id_: standard for (id_, _), standard in catalog.standards.items() if standard.limits}
    found = {
        "standards": [{"id": s.id, "name": s.name, "edition": s.edition} for s in standards.values()],
        "rows": [
            {
                "life_stage": row.life_stage,
                "nutrient": row.nutrient.id,
                "name": row.nutrient.name,
                "unit": None if row.basis == Basis.RATIO else row.nutrient.unit,
                "basis": row.basis,
                "of": row.of or None,
                "by_standard": {id_: _compared(row.limits.get(id_)) for id_ in standards},
            }
            for row in rows
        ],
    }
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)


def _compared(limit: Limit | None) -> dict[str, Any] | None:
    if limit is None:
        return None
    return {
        "minimum": limit.minimum,
        "maximum": limit.maximum,
        "maximum_kind": limit.maximum_kind or None,
        "above": limit.above or None,
        "condition": _condition(limit),
        "source": limit.source,
        "confidence": limit.confidence,
    }


def _standard(standard: Standard, catalog: Catalog) -> dict[str, Any]:
    return {
        "id": standard.id,
        "name": standard.name,
        "edition": standard.edition,
        "life_stage": standard.life_stage,
        "note": standard.note,
        "energy_method": standard.energy_method,
        "verified": standard.verified,
        "limits": [_limit(limit, catalog) for limit in standard.limits],
    }


def _limit(limit: Limit, catalog: Catalog) -> dict[str, Any]:
    return {
        "nutrient": limit.nutrient,
        "unit": catalog.nutrients[limit.nutrient].unit,
        "basis": limit.basis,
        "minimum": limit.minimum,
        "maximum": limit.maximum,
        "maximum_kind": limit.maximum_kind or None,
        "of": limit.of or None,
        "above": limit.above or None,
        "condition": _condition(limit),
        "source": limit.source,
        "confidence": limit.confidence,
        "note": limit.note,
    }


def _condition(limit: Limit) -> dict[str, Any] | None:
    condition = limit.condition
    return {"tag": condition.tag, "share": condition.share, "of": condition.of} if condition else None
