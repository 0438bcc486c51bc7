"""Portions as plain data for JSON."""

from collections.abc import Mapping
from typing import Any

from optimizer.sheet.portions import Portions


def portions_object(portions: Portions | None, sources: Mapping[str, str]) -> dict[str, Any]:
    """The portions as plain data: mass in grams, energy in kilocalories, dates as text; empty without portions."""
    if portions is None:
        return {}
    holding = portions.holding
    return {
        "made": portions.made.isoformat(),
        "evaporation_g": portions.evaporation_g,
        "sticking_g": portions.sticking_g,
        "net_g": portions.net_g,
        "kcal_per_kg": portions.kcal_per_g * 1000,
        "grams_per_day": portions.grams_per_day,
        "days": portions.days,
        "meals_per_day": portions.meals,
        "cats": [
            {
                "name": portion.cat.name,
                "weight_kg": portion.cat.weight_kg,
                "stage": portion.cat.stage,
                "kcal_per_day": portion.need.kcal,
                "share": portion.cat.share,
                "equation": portion.need.equation,
                "source": sources.get(portion.need.source, portion.need.source),
                "confidence": portion.need.confidence,
                "grams_per_day": portion.grams_per_day,
                "grams_per_meal": portion.grams_per_meal,
                "scoops_per_day": portion.scoops_per_day,
            }
            for portion in portions.cats
        ],
        "scoop": {"text": portions.scoop_text, "grams": portions.scoop_g, "count": portions.scoops},
        "tray": {"text": portions.tray_text, "grams": portions.tray_g, "count": portions.trays},
        "bags": [
            {
                "number": bag.number,
                "grams": bag.grams,
                "days": bag.days,
                "feed_from": bag.feed_from.isoformat(),
                "feed_to": bag.feed_to.isoformat(),
                "thaw_on": bag.thaw_on.isoformat() if bag.thaw_on else None,
                "thawed_use_by": bag.thawed_use_by.isoformat(),
            }
            for bag in portions.bags
        ],
        "keeping": {
            "fridge_days": [holding.fridge_days_low, holding.fridge_days_high],
            "freezer_months": [holding.freezer_months_low, holding.freezer_months_high],
            "fresh_use_by": portions.fresh_use_by.isoformat(),
            "frozen_use_by": portions.frozen_use_by.isoformat(),
            "source": sources.get(holding.source, holding.source),
        },
        "notes": list(portions.notes),
    }
