"""All that is known of one food as JSON."""

import json
from typing import Any

from catalog.facts import Facts, Value
from catalog.records import Catalog, Caution


def food_json(facts: Facts, catalog: Catalog) -> str:
    """The food as one JSON object: values per 100 g in the nutrient's unit, grams of measures, shares of parts.

    `sd` is null where none was published. `unknown` names every nutrient of which some or all is not known. The
    values of a composite carry `unknown_share` too: where it is above zero, `per_100_g` is what is known of it.
    """
    food = facts.food
    found = {
        "id": food.id,
        "name": food.name,
        "role": food.role,
        "counts_as": food.counts_as,
        "ndb_no": food.ndb_no,
        "parts": [
            {
                "food": part.food,
                "share": part.share,
                "share_low": part.share_low,
                "share_high": part.share_high,
                "source": part.source,
            }
            for part in food.parts
        ],
        "measures": [
            {
                "unit": measure.unit,
                "grams": measure.grams,
                "grams_low": measure.grams_low,
                "grams_high": measure.grams_high,
                "source": measure.source,
            }
            for measure in food.measures.values()
        ],
        "values": [_value(value, composite=bool(food.parts)) for value in facts.values],
        "unknown": list(facts.unknown),
        "cautions": [_caution(caution, catalog) for caution in facts.cautions],
    }
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)


def _value(value: Value, composite: bool) -> dict[str, Any]:
    found: dict[str, Any] = {
        "nutrient": value.nutrient.id,
        "per_100_g": value.value,
        "unit": value.nutrient.unit,
        "kind": value.kind,
        "source": " + ".join(value.sources),
        "sd": None if value.sd_assumed else value.sd,
        "n": value.n,
    }
    return {**found, "unknown_share": value.unknown_share} if composite else found


def _caution(caution: Caution, catalog: Catalog) -> dict[str, str]:
    citation = catalog.sources.get(caution.source.partition(":")[0], caution.source)
    return {"level": caution.level, "code": caution.code, "text": caution.text, "source": citation}
