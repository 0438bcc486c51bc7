"""What a gram counts towards a limit, and what it adds to the limit itself: one formula for each basis."""

from collections.abc import Callable, Mapping, Sequence

from catalog.kinds import Basis
from catalog.nutrition.composition import Blend
from catalog.records import Catalog, Limit, minimum_per_1000_kcal
from optimizer.model.columns import Ingredient

Weight = Callable[[Blend], float]


def limit_text(limit: Limit, side: str, bound: float, catalog: Catalog) -> str:
    """One side of a limit in words: "iodine at least 150 ug per 1000 kcal"."""
    nutrient = catalog.nutrients[limit.nutrient]
    words = "at least" if side == "minimum" else "at most"
    if limit.basis == Basis.RATIO:
        return f"{nutrient.name} : {catalog.nutrients[limit.of].name} {words} {bound:g}"
    basis = "more for each g of " + limit.of if limit.basis == Basis.INCREMENT else limit.basis.replace("_", " ")
    law = " (the legal maximum where it is added)" if limit.is_legal and side == "maximum" else ""
    return f"{nutrient.name} {words} {bound:g} {nutrient.unit} {basis.replace('per batch', 'in the batch')}{law}"


def counted(blend_: Blend, limit: Limit, side: str, food: bool = False) -> float:
    """What a gram counts towards a limit: the low figure towards a target, the high one towards a ceiling. Towards a
    legal maximum `food` counts its best figure: what it may hold beyond what is known of it is no additive."""
    content = blend_.contents[limit.nutrient]
    if limit.basis == Basis.RATIO or (limit.is_legal and food):
        return content.value
    return content.low if side == "minimum" else content.high


def _against(limit: Limit, bound: float, limits: Sequence[Limit]) -> Weight:
    """What a gram adds to the amount that the limit asks for: one formula for each basis."""
    per_kcal = bound / 1000
    if limit.basis == Basis.INCREMENT:
        base = minimum_per_1000_kcal(limit.nutrient, limits)
        start = base / 1000
        return lambda b: start * b.kcal + bound * (grams_of(b, limit.of) - limit.above / 1000 * b.kcal)
    weights: Mapping[Basis, Weight] = {
        Basis.PER_1000_KCAL: lambda b: per_kcal * b.kcal,
        Basis.PER_KG_DRY_MATTER: lambda b: per_kcal * b.dry_matter,
        Basis.PER_KG: lambda _: per_kcal,
        Basis.PER_BATCH: lambda _: 0.0,
        Basis.RATIO: lambda b: bound * b.contents[limit.of].value,
    }
    return weights[limit.basis]


def needs_of(
    limit: Limit, side: str, bound: float, limits: Sequence[Limit], ingredients: Sequence[Ingredient]
) -> dict[int, float]:
    """What a step of each ingredient adds to the amount that the limit asks for. Jars are no food: nothing from them
    makes a ceiling wider."""
    against = _against(limit, bound, limits)
    thins = side == "maximum" and limit.basis != Basis.RATIO
    return {i.column: 0.0 if thins and i.item.is_jar else against(i.blend) * i.grams for i in ingredients}


def grams_of(blend_: Blend, name: str) -> float:
    """Grams of a nutrient, or of foods with a tag, in a gram of food."""
    return blend_.contents[name].value if name in blend_.contents else blend_.tag_shares.get(name, 0.0)
