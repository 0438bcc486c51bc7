"""Two or more plans side by side: what differs between them, and how much is the same."""

from collections.abc import Sequence
from dataclasses import dataclass

from optimizer.sheet.numbers import amount_text, money_text, percent_text
from optimizer.sheet.sheet import Sheet

# Nutrients are set side by side when they differ by more than this share of the smaller one.
WORTH_SHOWING = 0.02


@dataclass(frozen=True, slots=True)
class Difference:
    """One row: what it is, its unit, and its value in each plan in words ("-" where it is absent)."""

    id: str
    name: str
    unit: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Plans side by side. `labels` name them; the counts say how much is the same in all of them."""

    labels: tuple[str, ...]
    sheets: tuple[Sheet, ...]
    overall: tuple[Difference, ...]
    amounts: tuple[Difference, ...]
    nutrients: tuple[Difference, ...]
    same_amounts: int
    same_nutrients: int


def compare(labels: Sequence[str], sheets: Sequence[Sheet]) -> Comparison:
    """What differs between plans; at least two of them."""
    amounts, same_amounts = _amounts(sheets)
    nutrients, same_nutrients = _nutrients(sheets)
    return Comparison(tuple(labels), tuple(sheets), _overall(sheets), amounts, nutrients, same_amounts, same_nutrients)


def _overall(sheets: Sequence[Sheet]) -> tuple[Difference, ...]:
    totals = [sheet.assessment.totals for sheet in sheets]
    rows = [
        ("status", "every limit met", "", ["yes" if s.assessment.all_met else "no" for s in sheets]),
        ("cost", "cost", "", ["-" if s.cost is None else money_text(s.cost, s.currency) for s in sheets]),
        ("supplement_count", "supplements", "", [str(s.supplement_count) for s in sheets]),
        ("mass_g", "mix", "g", [f"{t.mass_g:.0f}" for t in totals]),
        ("energy_kcal", "energy", "kcal", [f"{t.energy_kcal:.0f}" for t in totals]),
        ("non_meat_share", "non-meat", "", [percent_text(t.non_meat_share) for t in totals]),
        ("bone_share", "bone", "", [percent_text(t.bone_share) for t in totals]),
        ("standard", "standard", "", [f"{s.standard} {s.life_stage}" for s in sheets]),
        ("aim", "aim", "", [s.aim for s in sheets]),
    ]
    always = ("status", "cost", "supplement_count")
    return tuple(
        Difference(id_, name, unit, tuple(values))
        for id_, name, unit, values in rows
        if id_ in always or len(set(values)) > 1
    )


def _amounts(sheets: Sequence[Sheet]) -> tuple[tuple[Difference, ...], int]:
    names: dict[str, str] = {line.id: line.name for sheet in sheets for line in sheet.lines}
    by_id = [{line.id: line for line in sheet.lines} for sheet in sheets]
    rows = [
        Difference(id_, name, "", tuple(lines[id_].text if id_ in lines else "-" for lines in by_id))
        for id_, name in names.items()
    ]
    grams = {id_: {round(lines[id_].grams, 6) if id_ in lines else 0.0 for lines in by_id} for id_ in names}
    different = tuple(row for row in rows if len(grams[row.id]) > 1)
    return different, len(rows) - len(different)


def _nutrients(sheets: Sequence[Sheet]) -> tuple[tuple[Difference, ...], int]:
    """Nutrients with a limit in any of the plans, per 1000 kcal; a mark says where a limit is missed."""
    different, same = [], 0
    for lines in zip(*(sheet.assessment.nutrients for sheet in sheets), strict=True):
        if all(line.minimum is None and line.maximum is None for line in lines):
            continue
        amounts = [line.per_1000_kcal for line in lines]
        if max(amounts) - min(amounts) <= WORTH_SHOWING * min(amounts):
            same += 1
            continue
        marks = {"short": " short", "over": " over", "unknown": " unknown"}
        values = tuple(amount_text(line.per_1000_kcal) + marks.get(line.status, "") for line in lines)
        different.append(Difference(lines[0].nutrient.id, lines[0].nutrient.name, lines[0].nutrient.unit, values))
    return tuple(different), same
