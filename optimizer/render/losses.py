"""What was taken off the figures for thawing, freezing and cooking, in words."""

from optimizer.sheet.sheet import Sheet


def losses_text(sheet: Sheet) -> str:
    """Each treatment with the foods that went through it; nothing where nothing was taken off.

    "thaw juice poured off: ground turkey; turkey heart"
    """
    found: dict[str, list[str]] = {}
    for item in (amount.item for amount in sheet.amounts):
        for treatment in item.food.treatments:
            found.setdefault(treatment.name, []).append(item.food.name)
    return ". ".join(f"{name}: {'; '.join(foods)}" for name, foods in found.items())
