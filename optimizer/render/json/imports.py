"""What was read from a release of USDA's, and what was found in one, as JSON."""

import json
from collections.abc import Sequence

from catalog.records import Food
from catalog.usda.importing import Imported, Listed


def found_json(found: Listed) -> str:
    """A list of objects: number (what `import` takes), ndb_no and fdc_id (null where there is none), description."""
    keys = ("number", "ndb_no", "fdc_id", "description", "source")
    return _json([{key: food[key] or None for key in keys} for food in found])


def imported_json(foods: Sequence[Food], imported: Sequence[Imported], refused: Sequence[Imported], path: str) -> str:
    """An object: the file, `foods` as written with their `missing` nutrients, and `refused` foods with the reason."""
    written = [
        {
            "id": food.id,
            "line": food.line,
            "number": one.number,
            "description": one.description,
            "source": one.entry["source"],
            "role": food.role,
            "counts_as": food.counts_as,
            "tags": sorted(food.tags),
            "note": food.note or None,
            "figures": len(one.entry["amounts"]),
            "missing": list(one.missing),
            "same_as": one.same_as or None,
        }
        for food, one in zip(foods, imported, strict=True)
    ]
    kept_out = [{"number": r.number, "description": r.description, "reason": r.refused} for r in refused]
    return _json({"file": path if written else None, "foods": written, "refused": kept_out})


def _json(found: object) -> str:
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)
