"""All that is known of one food, to be shown: each figure with its source and spread, and what is unknown."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from catalog.mistakes import Mistake
from catalog.nutrition.composition import ENERGY_METHODS, Blend, blend, simple_parts
from catalog.nutrition.refusals import refusal
from catalog.reading.names import food_hint, named_food
from catalog.records import Catalog, Caution, ClassValue, Figure, Food, Nutrient

KNOWN_BY_MEASURING = ("analysed", "calculated", "label")


@dataclass(frozen=True, slots=True)
class ProfileValue:
    """How much of a nutrient 100 g of a food hold, in the nutrient's unit, and how that is known.

    `low` counts towards targets and `high` towards ceilings. `kind` is analysed, calculated, estimated, label
    or assumed; `sources` are source cells (KEY or KEY:LOCATOR). `sd` is None where none is known, and
    `sd_assumed` tells that it follows from the class of nutrient. `unknown_share` is the share of the food
    that has no figure: then `value` is what is known of it, a lower bound.
    """

    nutrient: Nutrient
    value: float
    low: float
    high: float
    kind: str
    sources: tuple[str, ...]
    confidence: str
    sd: float | None
    sd_assumed: bool
    n: int | None
    unknown_share: float


@dataclass(frozen=True, slots=True)
class FoodProfile:
    """A food, its figures in the order of the nutrients, the nutrients of which not all is known, its cautions.

    `parts` are the simple foods it is made of, with their shares by mass. `blends` is what a plan counts of it, by
    energy method, and `class_values` what stands in for its unknown figures towards ceilings, by (part, nutrient).
    """

    food: Food
    values: tuple[ProfileValue, ...]
    unknown: tuple[str, ...]
    cautions: tuple[Caution, ...]
    parts: tuple[tuple[Food, float], ...]
    blends: Mapping[str, Blend]
    class_values: Mapping[tuple[str, str], ClassValue]


def profile_of(food: Food, catalog: Catalog) -> FoodProfile:
    """What is known of a food; a composite's figures are those of its parts, by their shares."""
    parts = simple_parts(food, catalog.foods)
    values = [value for n in catalog.nutrients.values() if (value := _value(n, parts)) is not None]
    complete = {value.nutrient.id for value in values if value.unknown_share < 1e-9}
    tags = {tag for simple, _ in parts for tag in simple.tags} | food.tags
    return FoodProfile(
        food=food,
        values=tuple(values),
        unknown=tuple(id_ for id_ in catalog.nutrients if id_ not in complete),
        cautions=tuple(c for c in catalog.cautions if c.when.startswith("tag:") and c.when[4:] in tags),
        parts=parts,
        blends={method: blend(food, catalog, method) for method in ENERGY_METHODS},
        class_values={
            (simple.id, id_): found
            for simple, _ in parts
            for id_ in catalog.nutrients
            if (id_ not in simple.figures or simple.figures[id_].kind == "partial")
            if (found := catalog.class_values.get((simple.category, id_))) and simple.counts_as != "water"
        },
    )


def find_food(id_: str, catalog: Catalog) -> Food | Mistake:
    """The food of an id or a printed name, or why there is none."""
    found = named_food(id_, catalog)
    if found:
        return found
    refused = refusal(id_, catalog.cautions)
    if refused:
        return Mistake("command line", 0, "ID", f'"{id_}" (refused: {refused.text})', "a food that is safe for cats")
    hint = food_hint(id_, catalog)
    return Mistake("command line", 0, "ID", f'"{id_}"', "the id of a food; `weighout foods` lists them", hint)


def _value(nutrient: Nutrient, parts: Sequence[tuple[Food, float]]) -> ProfileValue | None:
    """The figure of one nutrient over the parts of a food; None when no part has one."""
    known = [(food.figures[nutrient.id], share) for food, share in parts if nutrient.id in food.figures]
    if not known:
        return None
    figures = [figure for figure, _ in known]
    has_spread = all(figure.sd is not None for figure in figures)
    return ProfileValue(
        nutrient=nutrient,
        value=sum(figure.value * share for figure, share in known),
        low=sum(figure.low * share for figure, share in known),
        high=sum(figure.high * share for figure, share in known),
        kind=_kind(figures, blended=len(parts) > 1),
        sources=tuple(dict.fromkeys(source for figure in figures for source in figure.source.split(" + "))),
        confidence="memory" if any(figure.confidence == "memory" for figure in figures) else "read",
        # spreads of parts add as if they always went together, as in nutrition/composition.py
        sd=sum((figure.sd or 0.0) * share for figure, share in known) if has_spread else None,
        sd_assumed=any(figure.sd_assumed for figure in figures),
        n=figures[0].n if len(parts) == 1 else None,
        unknown_share=max(0.0, 1 - sum(share for figure, share in known if figure.kind != "partial")),
    )


def _kind(figures: Sequence[Figure], blended: bool) -> str:
    """How the weakest of the figures is known; a blend of measured ones is calculated."""
    kinds = {"calculated" if figure.kind == "partial" else figure.kind for figure in figures}
    if len(kinds) == 1 and (not blended or kinds <= {"assumed", "estimated"}):
        return kinds.pop()
    return "calculated" if kinds <= set(KNOWN_BY_MEASURING) else "estimated"
