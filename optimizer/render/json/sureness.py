"""How sure a mix is, as plain data: chances from 0 to 1."""

from typing import Any

from optimizer.render.sureness import help_text
from optimizer.sureness.chances import LimitChance
from optimizer.sureness.told import ToldSureness

DIGITS = 4


def sureness_object(told: ToldSureness | None) -> dict[str, Any]:
    """The chances of all limits and of each, the weakest, what helps, what was asked; empty where nothing is told."""
    if told is None:
        return {}
    surer = told.surer
    return {
        "together": round(told.chances.together, DIGITS),
        "limits": [_limit(one) for one in told.chances.limits],
        "weakest": [_limit(one) for one in told.chances.weakest],
        "assumed_share": round(told.chances.assumed, DIGITS),
        "helps": [
            {
                "kind": str(one.kind),
                "id": one.item,
                "by": str(one.by) if one.by else None,
                "unit": one.unit or None,
                "together": round(one.together, DIGITS),
                "text": help_text(one, told.chances.together),
            }
            for one in told.helps
        ],
        "asked": told.asked,
        "asked_together": told.at_once,
        "reached": told.reached and not told.unsure,
        "unsure": [_limit(one) for one in told.unsure],
        "surer": None
        if surer is None
        else {
            "chance": surer.chance,
            "together": round(surer.together, DIGITS),
            "cost": None if surer.cost is None else str(surer.cost),
            "supplement_count": surer.supplement_count,
            "unsure": [_limit(one) for one in surer.unsure],
        },
    }


def _limit(one: LimitChance) -> dict[str, Any]:
    return {"nutrient": one.nutrient, "bound": one.bound, "chance": round(one.chance, DIGITS)}
