"""What was read from a release of USDA's, and what was found in one, as text and as JSON."""

import json
from collections.abc import Mapping, Sequence

from rich.table import Table
from rich.text import Text

from catalog.records import Food
from catalog.releases.importing import Imported
from optimizer.render.listing_text import printed

Listed = Sequence[Mapping[str, str]]  # rows of Release.foods with the number that `import` takes


def found_text(found: Listed, name: str, width: int = 100, colour: bool = False) -> str:
    """The foods that a search found: number and description, one line each."""
    if not found:
        return f"No food of {name} has all of these words.\n"
    lines: list[Table | Text] = [Text(f"{food['number']}  {food['description']}") for food in found]
    return printed(lines, width, colour)


def found_json(found: Listed) -> str:
    """A list of objects: number (what `import` takes), ndb_no and fdc_id (null where there is none), description."""
    keys = ("number", "ndb_no", "fdc_id", "description", "source")
    return _json([{key: food[key] or None for key in keys} for food in found])


def imported_text(
    foods: Sequence[Food], imported: Sequence[Imported], path: str, width: int = 100, colour: bool = False
) -> str:
    """Each food that was written, where it stands, and what the release does not say of it."""
    lines: list[Table | Text] = []
    for food, one in zip(foods, imported, strict=True):
        count = len(one.entry["amounts"])
        lines.append(Text(f"{food.id} is in {path}, line {food.line}: {count} figures of {one.entry['source']}."))
        lines.append(
            Text(f"  Listed as {food.role}, counts as {food.counts_as}; tags: {' '.join(sorted(food.tags)) or '-'}.")
        )
        if food.note:
            lines.append(Text(f"  {food.note}."))
        lines.append(Text(f"  Not in the release, so unknown: {', '.join(one.missing) or 'nothing'}."))
        if one.same_as:
            lines.append(Text(f"  The catalog has this food as {one.same_as}, with figures where USDA has none."))
    return printed(lines, width, colour)


def imported_json(foods: Sequence[Food], imported: Sequence[Imported], refused: Sequence[Imported], path: str) -> str:
    """An object: the file, `foods` as written with their `missing` nutrients, and `refused` foods with the reason."""
    written = [
        {
            "id": food.id,
            "line": food.line,
            "number": one.number,
            "description": one.description,
            "source": one.entry["source"],
            "role": food.role,
            "counts_as": food.counts_as,
            "tags": sorted(food.tags),
            "note": food.note or None,
            "figures": len(one.entry["amounts"]),
            "missing": list(one.missing),
            "same_as": one.same_as or None,
        }
        for food, one in zip(foods, imported, strict=True)
    ]
    kept_out = [{"number": r.number, "description": r.description, "reason": r.refused} for r in refused]
    return _json({"file": path if written else None, "foods": written, "refused": kept_out})


def _json(found: object) -> str:
    return json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)
