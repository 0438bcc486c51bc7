"""The JSON that `plan`, `check`, `journal repeat` or `amend` printed, read for the journal and not believed: what it
says of its amounts is worked out again with this catalog."""

import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, StrictStr, ValidationError

from catalog.bounds import MOST_BYTES
from catalog.mistakes import Mistake
from catalog.reading.toml_fields import field_name
from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.journal.recipes import Recipe, as_weighed, recipe_of
from optimizer.journal.records import SheetData
from optimizer.sheet.sheet import OUT_OF_REACH, OUT_OF_TIME, PLANNED, Sheet

ALLOWED = "the JSON that `weighout plan --json` prints"
FIGURES = ("standard", "life_stage", "totals", "amounts", "nutrients", "ratios")
OFF = 1e-6  # of a number: JSON keeps every digit


class PlannedLine(BaseModel):
    """One amount of the plan."""

    model_config = ConfigDict(frozen=True)
    id: StrictStr
    text: StrictStr
    grams: float = Field(gt=0, lt=1e9, allow_inf_nan=False, strict=True)


class PlannedFile(BaseModel):
    """What is read of the file: the amounts, and the scenario from which everything else follows."""

    model_config = ConfigDict(frozen=True)
    amounts: tuple[PlannedLine, ...] = Field(min_length=1)
    recipe: dict[str, Any]


@dataclass(frozen=True, slots=True)
class PlanRead:
    """The recipe of a file and the amounts in it, by id and as text; `sheet` is what the file says of them, `assessed`
    what they come to with this catalog."""

    recipe: Recipe
    texts: dict[str, str]
    sheet: SheetData
    assessed: Sheet


def read_plan(path: Path, catalog: Catalog) -> PlanRead:
    """The plan in a file. Raises InputErrors with everything in it that cannot be used."""
    whole = _loaded(path)
    sheet = whole.get("plan", whole)
    if not isinstance(sheet, dict):
        raise InputErrors([Mistake(str(path), 0, "plan", f"{sheet!r:.60}", ALLOWED)])
    try:
        found = PlannedFile.model_validate({"amounts": sheet.get("amounts"), "recipe": whole.get("recipe")})
    except ValidationError as problem:
        raise InputErrors([_mistake(path, error) for error in problem.errors()]) from problem
    recipe = recipe_of(found.recipe, str(path), Lines({}), catalog)
    known = {item.id for item in recipe.scenario.items}
    mistakes = [
        Mistake(str(path), 0, f"amounts[{n}].id", f'"{line.id}"', "what the recipe in the same file lists")
        for n, line in enumerate(found.amounts, 1)
        if line.id not in known
    ]
    if mistakes:
        raise InputErrors(mistakes)
    texts = {line.id: line.text for line in found.amounts}
    try:
        assessed = as_weighed(recipe, catalog, texts, ())
    except InputErrors as wrong:
        told = [replace(one, file=str(path), field=f"amounts of {one.field}") for one in wrong.mistakes]
        raise InputErrors(told) from wrong
    grams = {line.id: line.grams for line in assessed.lines}
    for n, line in enumerate(found.amounts, 1):
        there = grams.get(line.id, 0.0)
        if abs(there - line.grams) > OFF * max(there, line.grams):
            read, allowed = f"{line.grams:g}", f'what "{line.text}" weighs, {there:g} g'
            mistakes.append(Mistake(str(path), 0, f"amounts[{n}].grams", read, allowed))
    if mistakes:
        raise InputErrors(mistakes)
    return PlanRead(recipe, texts, sheet, assessed)


def says_the_same(told: SheetData, assessed: SheetData) -> bool:
    """Whether a file says of its amounts what they come to: the same totals, nutrients, ratios and lines."""
    return all(_same(told.get(key), assessed[key]) for key in FIGURES)


def recorded_as(told: SheetData, assessed: SheetData) -> SheetData:
    """The sheet for the journal: what the amounts come to, under the file's title; with its own word for
    them, such as planned, where it says just that of them."""
    scenario = told.get("scenario")
    named = isinstance(scenario, dict) and all(isinstance(scenario.get(key), str) for key in ("title", "file"))
    as_told = told.get("status") in (PLANNED, OUT_OF_REACH, OUT_OF_TIME) and says_the_same(told, assessed)
    status = told["status"] if as_told else assessed["status"]
    return {**assessed, "scenario": scenario if named else assessed["scenario"], "status": status}


def _same(one: Any, other: Any) -> bool:
    """Whether two pieces of JSON agree: numbers to a millionth, all else exactly."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(_same(a, b) for a, b in zip(one, other, strict=True))
    if isinstance(one, float | int) and isinstance(other, float | int) and not isinstance(one, bool):
        return abs(one - other) <= OFF * max(abs(one), abs(other)) + 1e-9
    return bool(one == other)


def _loaded(path: Path) -> dict[str, Any]:
    try:
        raw = path.read_bytes()
        if len(raw) > MOST_BYTES:
            raise InputErrors([Mistake(str(path), 0, "", f"a file of {len(raw) / 1e6:.1f} MB", ALLOWED)])
        read = json.loads(raw)
    except OSError as problem:
        raise InputErrors([Mistake(str(path), 0, "", problem.strerror or "nothing", ALLOWED)]) from problem
    except (ValueError, RecursionError) as problem:
        raise InputErrors([Mistake(str(path), 0, "", f"no JSON ({problem})", ALLOWED)]) from problem
    if not isinstance(read, dict):
        raise InputErrors([Mistake(str(path), 0, "", f"{read!r:.60}", ALLOWED)])
    return read


def _mistake(path: Path, error: Any) -> Mistake:
    field, allowed = field_name(error["loc"]), "grams above zero" if error["loc"][-1] == "grams" else ALLOWED
    nothing = error["type"] == "missing" or error["input"] is None
    return Mistake(str(path), 0, field, "nothing" if nothing else f"{error['input']!r:.60}", allowed)
