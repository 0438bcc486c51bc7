"""What thawing, freezing and cooking at home take off the figures of meat, organs and fish.

Targets count what is left after the most that may be lost, ceilings after the least. Water is not taken off: what is
weighed is what is left, and its other figures hold for a gram of that. What is unknown stays unknown.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from catalog.records import Figure, Food
from catalog.treatments import Loss, Treatment

ROLES = ("cut", "organ", "prey", "fish", "shellfish")
NOT_COUNTED = "water"


def may_be_treated(food: Food) -> bool:
    """Whether something can be lost of it: raw meat, organs and fish. The figures of cooked food are after cooking."""
    return food.role in ROLES and "cooked" not in food.tags


def treated(food: Food, treatments: Sequence[Treatment]) -> Food:
    """The food after these treatments, one after the other; the same where nothing can be lost of it."""
    return replace(food, treatments=tuple(treatments)) if treatments and may_be_treated(food) else food


def lessened(part: Food, treatments: Sequence[Treatment]) -> Food:
    """A simple food with its figures after the treatments; bone keeps its own."""
    if not treatments or "bone" in part.tags:
        return part
    return replace(part, figures=_left(part.figures, treatments))


def _left(figures: Mapping[str, Figure], treatments: Sequence[Treatment]) -> dict[str, Figure]:
    found = dict(figures)
    for loss in (loss for treatment in treatments for loss in treatment.losses):
        if loss.nutrient in found and loss.nutrient != NOT_COUNTED:
            found[loss.nutrient] = _less(found[loss.nutrient], loss)
    return found


def _less(figure: Figure, loss: Loss) -> Figure:
    kept = 1 - loss.share
    return replace(
        figure,
        value=figure.value * kept,
        low=figure.low * (1 - loss.share_high),
        high=figure.high * (1 - loss.share_low),
        sd=None if figure.sd is None else figure.sd * kept,
    )
