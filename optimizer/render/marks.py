"""Marks and words of every output for a limit that is met or missed, and for the energy."""

from optimizer.assess.result import MET, NO_LIMIT, Miss
from optimizer.sheet.sheet import Sheet

ENERGY = {
    "modified-atwater": "modified Atwater: 3.5 / 8.5 / 3.5 kcal per g protein / fat / carbohydrate",
    "natural-foods": "natural foods: 4 / 8.5 / 4 kcal per g protein / fat / carbohydrate",
}
MARKS = {MET: "ok", "short": "SHORT", "over": "OVER", "unknown": "UNKNOWN", NO_LIMIT: ""}


def missed_by(miss: Miss) -> str:
    """By how much a limit is missed; a small miss is not rounded away."""
    return f"{miss.percent:.0f} %" if miss.percent >= 9.95 else f"{miss.percent:.1f} %"


def misses_text(sheet: Sheet) -> str:
    """What is missed, in one line; empty where nothing is."""
    parts = [
        f"{miss.name} {missed_by(miss)} {'over its ceiling' if miss.status == 'over' else 'short'}"
        for miss in sheet.assessment.misses
    ]
    return f"Not complete: {', '.join(parts)}." if parts else ""
