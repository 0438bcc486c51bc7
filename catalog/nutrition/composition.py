"""What one gram of a food holds, composites included, counted on the safe side of what is not known."""

from collections.abc import Mapping
from dataclasses import dataclass

from catalog.nutrition.losses import lessened
from catalog.records import Catalog, Figure, Food

# kcal of metabolisable energy per gram of protein, fat and nitrogen-free extract.
# modified-atwater: AAFCO regulation PF9; natural-foods: FEDIAF nutritional guidelines, cats, foods in their
# natural state (meat, offal, milk products, cooked starch).
ENERGY_METHODS: Mapping[str, tuple[float, float, float]] = {
    "modified-atwater": (3.5, 8.5, 3.5),
    "natural-foods": (4.0, 8.5, 4.0),
}


@dataclass(frozen=True, slots=True)
class Content:
    """How much of a nutrient one gram of a food holds, in the nutrient's unit.

    `low` counts towards targets (what is unknown counts nothing), `high` towards ceilings (what is unknown
    counts its class value where there is one), `value` is the best figure of what is known, `sd` its
    standard deviation, `unknown_share` the share of the gram that has no figure.
    """

    low: float = 0.0
    value: float = 0.0
    high: float = 0.0
    sd: float = 0.0
    unknown_share: float = 0.0


@dataclass(frozen=True, slots=True)
class Blend:
    """One gram of a food: what it holds, its energy in kcal by one method, and its dry matter in grams."""

    contents: Mapping[str, Content]
    kcal: float
    dry_matter: float
    bone_share: float
    tag_shares: Mapping[str, float]


def blend(food: Food, catalog: Catalog, energy_method: str, bone_share: float | None = None) -> Blend:
    """The blend of a food; `bone_share` replaces the published share of bone in a bone-in cut.

    Composites sum over their parts. Energy counts protein, fat and carbohydrate less fibre; a constituent
    without a figure gives no energy. Food without a water figure counts as dry. Added water is water and
    nothing else: what a tap adds is left out. The catalog keeps what was worked out.
    """
    key = food.id, energy_method, bone_share
    known = catalog.compositions.get(key)
    if known is not None and known[0] is food:
        same: Blend = known[1]
        return same
    found = _blend(food, catalog, energy_method, bone_share)
    catalog.compositions[key] = food, found
    return found


def _blend(food: Food, catalog: Catalog, energy_method: str, bone_share: float | None) -> Blend:
    parts = simple_parts(food, catalog.foods, bone_share)
    contents = {id_: _content(id_, parts, catalog) for id_ in catalog.nutrients}
    tags: dict[str, float] = dict.fromkeys(food.tags, 1.0)
    for simple, share in parts:
        for tag in simple.tags - food.tags:
            tags[tag] = tags.get(tag, 0.0) + share
    return Blend(
        contents=contents,
        kcal=_kcal(contents, energy_method),
        dry_matter=1.0 - contents["water"].value,
        bone_share=tags.get("bone", 0.0) if not food.parts else _share_tagged(parts, "bone"),
        tag_shares=tags,
    )


def _kcal(contents: Mapping[str, Content], energy_method: str) -> float:
    per_protein, per_fat, per_extract = ENERGY_METHODS[energy_method]
    extract = max(0.0, contents["carbohydrate"].value - contents["fibre"].value)
    return per_protein * contents["protein"].value + per_fat * contents["fat"].value + per_extract * extract


def kcal_by_method(content: Blend) -> dict[str, float]:
    """The energy of one gram by each method, in kcal."""
    return {method: _kcal(content.contents, method) for method in ENERGY_METHODS}


def _share_tagged(parts: tuple[tuple[Food, float], ...], tag: str) -> float:
    return sum(share for simple, share in parts if tag in simple.tags)


def _content(nutrient: str, parts: tuple[tuple[Food, float], ...], catalog: Catalog) -> Content:
    """The content of one nutrient over the parts of a food. Spreads of parts add as fully dependent."""
    low = value = high = sd = unknown = 0.0
    for food, share in parts:
        if food.counts_as == "water":
            known = share * 100 if nutrient == "water" else 0.0
            low, value, high = low + known, value + known, high + known
            continue
        figure: Figure | None = food.figures.get(nutrient)
        class_value = catalog.class_values.get((food.category, nutrient))
        class_high = class_value.high_per_100_g if class_value else 0.0
        if figure is None:
            unknown += share
            high += share * class_high
            continue
        low += share * figure.low
        value += share * figure.value
        sd += share * (figure.sd or 0.0)
        if figure.kind == "partial":
            unknown += share
            high += share * max(figure.high, class_high)
        else:
            high += share * figure.high
    return Content(low / 100, value / 100, high / 100, sd / 100, unknown)


def simple_parts(
    food: Food, foods: Mapping[str, Food], bone_share: float | None = None
) -> tuple[tuple[Food, float], ...]:
    """The simple foods that a food is made of, with their shares by mass (a simple food: itself, 1.0), after what
    was done to it.

    `bone_share` replaces the share of parts tagged "bone"; the other parts keep their proportions.
    """
    if not food.parts:
        return ((lessened(food, food.treatments), 1.0),)
    known = bone_share_of(food, foods)
    scale_bone = scale_rest = 1.0
    if bone_share is not None and 0 < known < 1:
        scale_bone, scale_rest = bone_share / known, (1 - bone_share) / (1 - known)
    shares: dict[str, float] = {}
    for part in food.parts:
        for simple, share in simple_parts(foods[part.food], foods):
            scale = scale_bone if "bone" in simple.tags else scale_rest
            shares[simple.id] = shares.get(simple.id, 0.0) + part.share * share * scale
    return tuple((lessened(foods[id_], food.treatments), share) for id_, share in shares.items())


def bone_share_of(food: Food, foods: Mapping[str, Food]) -> float:
    """The share of a food's mass that is bone."""
    if not food.parts:
        return 1.0 if "bone" in food.tags else 0.0
    return sum(part.share * bone_share_of(foods[part.food], foods) for part in food.parts)


def bone_interval_of(food: Food, foods: Mapping[str, Food]) -> tuple[float, float]:
    """The lowest and highest published share of bone in a food, as shares of its mass."""
    if not food.parts:
        share = bone_share_of(food, foods)
        return share, share
    low = high = 0.0
    for part in food.parts:
        inner = bone_interval_of(foods[part.food], foods)
        bone = bone_share_of(foods[part.food], foods)
        low += (part.share_low if bone == 1 else part.share) * inner[0]
        high += (part.share_high if bone == 1 else part.share) * inner[1]
    return low, high
