"""What was read from a release of USDA's, and what was found in one, as text."""

from collections.abc import Sequence

from rich.table import Table
from rich.text import Text

from catalog.records import Food
from catalog.usda.importing import Imported, Listed
from optimizer.render.text.console import printed


def found_text(found: Listed, name: str, width: int = 100, colour: bool = False) -> str:
    """The foods that a search found: number and description, one line each."""
    if not found:
        return f"No food of {name} has all of these words.\n"
    lines: list[Table | Text] = [Text(f"{food['number']}  {food['description']}") for food in found]
    return printed(lines, width, colour)


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
