"""Plans side by side, and the front between cost and number of supplements, as JSON."""

import json
from collections.abc import Sequence
from dataclasses import asdict

from optimizer.comparing import Comparison
from optimizer.render.json.sheet import sheet_object
from optimizer.tradeoff import FrontPoint, SurePoint


def comparison_json(comparison: Comparison) -> str:
    """The differences in words, and every plan whole."""
    data = {
        "labels": list(comparison.labels),
        "overall": [asdict(row) for row in comparison.overall],
        "amounts": [asdict(row) for row in comparison.amounts],
        "nutrients": [asdict(row) for row in comparison.nutrients],
        "same_amounts": comparison.same_amounts,
        "same_nutrients": comparison.same_nutrients,
        "plans": [sheet_object(sheet) for sheet in comparison.sheets],
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)


def front_json(points: Sequence[FrontPoint], currency: str) -> str:
    """The front: for each number of supplements the least cost of what is open, and the supplements used."""
    data = [
        {
            "supplements": point.supplements,
            "cost": {"amount": str(point.cost), "currency": currency or None},
            "used": [id_ for id_, _ in point.used],
            "proven": point.proven,
        }
        for point in points
    ]
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)


def sure_front_json(points: Sequence[SurePoint], currency: str) -> str:
    """What sureness costs. `asked` is the chance of each limit: null as it is, 1 as sure as can be."""
    data = [
        {
            "asked": point.asked,
            "together": round(point.together, 4),
            "cost": {"amount": None if point.cost is None else str(point.cost), "currency": currency or None},
            "supplements": point.supplements,
            "used": [id_ for id_, _ in point.used],
            "unsure": list(point.unsure),
        }
        for point in points
    ]
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)
