"""The foods that can be named in a scenario, as JSON."""

import json
from collections.abc import Sequence
from typing import Any

from catalog.own.overlay import is_own
from catalog.records import Food


def foods_json(foods: Sequence[Food]) -> str:
    """The foods: what they are, count as, and are measured in (grams for one of each measure).

    `own_file` is the file of a person's own entry, `replaces` the file of the entry that it is laid over, else null.
    """
    return json.dumps([_food(food) for food in foods], indent=2, ensure_ascii=False, allow_nan=False)


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
        "own_file": food.file if is_own(food) else None,
        "replaces": food.replaces or None,
    }
