"""All that is known of one food as JSON."""

import json
from typing import Any

from catalog.nutrition.composition import Content
from catalog.queries.profile import FoodProfile, ProfileValue
from catalog.records import Catalog, Caution, ClassValue


def food_json(facts: FoodProfile, catalog: Catalog) -> str:
    """The food as one JSON object: values per 100 g in the nutrient's unit, grams of measures, shares of parts.

    `sd` is null where none was published: then `assumed_sd` is what is assumed. `unknown` names every nutrient of
    which some or all is not known. The values of a composite carry `unknown_share` too: where it is above zero,
    `per_100_g` is what is known of it.

    `counted` is what a plan counts of 100 g, for every nutrient: `low` towards targets, `high` towards ceilings
    (`class_values` stand in for what is unknown there), `value` in ratios and for energy.
    """
    food = facts.food
    counted = next(iter(facts.blends.values()))  # but for energy the same by every method
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
        "category": food.category,
        "tags": sorted(food.tags),
        "purposes": list(food.purposes),
        "usual_price_per_gram": food.usual_price_per_gram,
        "simple_parts": [{"food": part.id, "share": share} for part, share in facts.parts],
        "energy_kcal_per_100_g": {method: 100 * one.kcal for method, one in facts.blends.items()},
        "dry_matter_g_per_100_g": 100 * counted.dry_matter,
        "bone_share": counted.bone_share,
        "tag_shares": dict(sorted(counted.tag_shares.items())),
        "counted": [_counted(id_, content, catalog) for id_, content in counted.contents.items()],
        "class_values": [_class_value(part, value, catalog) for (part, _), value in facts.class_values.items()],
        "cautions": [_caution(caution, catalog) for caution in facts.cautions],
    }
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)


def _value(value: ProfileValue, composite: bool) -> dict[str, Any]:
    found: dict[str, Any] = {
        "nutrient": value.nutrient.id,
        "per_100_g": value.value,
        "unit": value.nutrient.unit,
        "low": value.low,
        "high": value.high,
        "kind": value.kind,
        "confidence": value.confidence,
        "source": " + ".join(value.sources),
        "sd": None if value.sd_assumed else value.sd,
        "assumed_sd": value.sd if value.sd_assumed else None,
        "n": value.n,
    }
    return {**found, "unknown_share": value.unknown_share} if composite else found


def _counted(id_: str, content: Content, catalog: Catalog) -> dict[str, Any]:
    return {
        "nutrient": id_,
        "unit": catalog.nutrients[id_].unit,
        "low": 100 * content.low,
        "value": 100 * content.value,
        "high": 100 * content.high,
        "sd": 100 * content.sd,
        "unknown_share": content.unknown_share,
    }


def _class_value(part: str, found: ClassValue, catalog: Catalog) -> dict[str, Any]:
    return {
        "food": part,
        "category": found.category,
        "nutrient": found.nutrient,
        "unit": catalog.nutrients[found.nutrient].unit,
        "high_per_100_g": found.high_per_100_g,
        "source": found.source,
    }


def _caution(caution: Caution, catalog: Catalog) -> dict[str, str]:
    citation = catalog.sources.get(caution.source.partition(":")[0], caution.source)
    return {"level": caution.level, "code": caution.code, "text": caution.text, "source": citation}
