"""A sheet as JSON: the object that other programs read."""

import json
from collections.abc import Mapping
from decimal import Decimal
from math import isfinite
from typing import Any

from catalog.nutrition.guards import RULE_OF_THUMB
from optimizer.assess.cautions import Notice
from optimizer.assess.result import GuardLine, NutrientLine, RatioLine, UncommonShare
from optimizer.model.problem import Solution
from optimizer.render.headline import headline
from optimizer.render.json.portions import portions_object
from optimizer.render.json.reasons import reasons_object
from optimizer.render.json.sureness import sureness_object
from optimizer.sheet.portions import Portions
from optimizer.sheet.sheet import Sheet, SheetLine

NO_SOURCES: Mapping[str, str] = {}


def sheet_json(sheet: Sheet, portions: Portions | None = None, sources: Mapping[str, str] = NO_SOURCES) -> str:
    """The sheet as one JSON object: money as decimal text, mass in grams, energy in kilocalories (ME)."""
    return json.dumps(whole_sheet_object(sheet, portions, sources), indent=2, ensure_ascii=False, allow_nan=False)


def whole_sheet_object(sheet: Sheet, portions: Portions | None, sources: Mapping[str, str]) -> dict[str, Any]:
    """The sheet with its portions, as plain data."""
    return sheet_object(sheet) | {"portions": portions_object(portions, sources)}


def sheet_object(sheet: Sheet) -> dict[str, Any]:
    """The sheet as plain data."""
    totals = sheet.assessment.totals
    return {
        "status": sheet.status,
        "scenario": {"title": sheet.title, "file": sheet.file},
        "standard": sheet.standard,
        "life_stage": sheet.life_stage,
        "aim": sheet.aim,
        "headline": headline(sheet),
        "guards_passed": [*map(_guard, sheet.assessment.above_guards), *map(_share, sheet.assessment.above_shares)],
        "depends_on": [{"kind": d.kind, "id": d.id, "text": d.text} for d in sheet.assessment.depends_on],
        "catalog_version": sheet.catalog_version,
        "solver": _solver(sheet.solution),
        "totals": {
            "mass_g": totals.mass_g,
            "meat_g": totals.meat_g,
            "non_meat_g": totals.non_meat_g,
            "non_meat_share": totals.non_meat_share,
            "non_meat_cap": totals.non_meat_cap,
            "bone_share": totals.bone_share,
            "bone_share_low": totals.bone_share_low,
            "bone_share_high": totals.bone_share_high,
            "dry_matter_g": totals.dry_matter_g,
            "energy_kcal": totals.energy_kcal,
            "energy_kcal_per_kg": totals.energy_kcal / totals.mass_g * 1000,
            "energy_method": sheet.energy_method,
            "energy_kcal_by_method": dict(totals.kcal_by_method),
            "cost": {
                "amount": _money(sheet.cost),
                "currency": sheet.currency or None,
                "unpriced": list(sheet.unpriced),
            },
            "supplement_count": sheet.supplement_count,
        },
        "amounts": [_amount(line) for line in sheet.lines],
        "losses": _losses(sheet),
        "nutrients": [_nutrient(line) for line in sheet.assessment.nutrients],
        "ratios": [_ratio(line) for line in sheet.assessment.ratios],
        "cautions": [_caution(notice) for notice in sheet.cautions],
        "portions": {},
        "reasons": reasons_object(sheet.reasons),
        "sureness": sureness_object(sheet.sureness),
        "recipe": recipe_object(sheet.scenario.data),
        "nearest": _nearest(sheet) if sheet.is_nearest else {},
    }


def recipe_object(data: Mapping[str, Any]) -> dict[str, Any]:
    """The scenario that a sheet was made of, as its file has it: from it `journal record` rebuilds the scenario. Dates
    are text, and what was left out of a list is gone."""
    found: dict[str, Any] = json.loads(json.dumps(data, default=str))
    for key, value in found.items():
        if isinstance(value, list):
            found[key] = [entry for entry in value if entry is not None]
    return found


def _losses(sheet: Sheet) -> dict[str, list[str]]:
    """What was done to each food that can lose by it."""
    foods = [amount.item.food for amount in sheet.amounts]
    return {food.id: [one.id for one in food.treatments] for food in foods if food.treatments}


def _solver(solution: Solution | None) -> dict[str, Any] | None:
    if solution is None:
        return None
    name, _, number = solution.solver.partition(" ")
    return {
        "name": name,
        "version": f"{number} through {solution.modeller}",
        "seconds": round(solution.seconds, 4),
        "gap": solution.gap if isfinite(solution.gap) else None,
    }


def _guard(line: GuardLine) -> dict[str, Any]:
    return {
        "kind": "legal" if line.kind == "legal" else "guard",
        "id": line.nutrient.id,
        "name": line.nutrient.name,
        "amount": line.amount,
        "guard": line.ceiling,
        "unit": line.nutrient.unit,
        "basis": line.basis,
        "source": line.source,
    }


def _share(part: UncommonShare) -> dict[str, Any]:
    return {
        "kind": "share",
        "id": part.of,
        "name": part.of.replace("-", " "),
        "amount": part.share,
        "guard": part.common,
        "unit": "",
        "basis": "share_of_meat",
        "source": RULE_OF_THUMB,
    }


def _caution(notice: Notice) -> dict[str, Any]:
    return {
        "level": notice.level,
        "code": notice.code,
        "of_this_batch": notice.of_this_batch,
        "text": notice.text,
        "source": notice.source,
    }


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def _amount(line: SheetLine) -> dict[str, Any]:
    return {
        "id": line.id,
        "name": line.name,
        "role": line.role,
        "counts_as": line.counts_as,
        "fixed": line.fixed,
        "grams": line.grams,
        "within_g": line.within_g,
        "measure": {"count": float(line.count), "unit": line.unit},
        "text": line.text,
        "cost": _money(line.cost),
        "bone_share": line.bone_share,
        "bone_share_low": line.bone_low,
        "bone_share_high": line.bone_high,
    }


def _nutrient(line: NutrientLine) -> dict[str, Any]:
    return {
        "id": line.nutrient.id,
        "name": line.nutrient.name,
        "unit": line.nutrient.unit,
        "total": line.total,
        "total_high": line.total_high,
        "per_1000_kcal": line.per_1000_kcal,
        "high_per_1000_kcal": line.high_per_1000_kcal,
        "per_kg_dry_matter": line.per_kg_dry_matter,
        "minimum": line.minimum,
        "maximum": line.maximum,
        "percent_of_minimum": line.percent_of_minimum,
        "percent_of_maximum": line.percent_of_maximum,
        "status": line.status,
        "unknown_share": line.unknown_share,
        "source": line.source,
    }


def _ratio(line: RatioLine) -> dict[str, Any]:
    return {
        "id": line.id,
        "name": line.name,
        "value": line.value,
        "minimum": line.minimum,
        "maximum": line.maximum,
        "status": line.status,
        "source": line.source,
    }


def _nearest(sheet: Sheet) -> dict[str, Any]:
    """What the nearest mix misses, each by amount (per 1000 kcal) and percent of its limit."""
    return {
        "misses": [
            {
                "id": miss.id,
                "name": miss.name,
                "status": miss.status,
                "unit": miss.unit,
                "amount": miss.amount,
                "limit": miss.limit,
                "by": miss.by,
                "percent": miss.percent,
            }
            for miss in sheet.assessment.misses
        ]
    }
