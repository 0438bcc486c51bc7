"""Who eats the batch and how it is packed: plain frozen records, as read from a scenario."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Cat:
    """A cat: `weight_kg` now (pregnant: at mating), and what its energy need depends on.

    `stage` is adult, kitten, pregnant or nursing; `activity` quiet, active or None (not stated); `condition` lean,
    normal or overweight.

    `share` is the part of its energy that comes from this food. `kcal_per_day`, if known from what keeps its
    weight steady, replaces every equation. `kittens` and `week` are of a nursing queen, `mature_kg` of a kitten.
    """

    name: str
    weight_kg: float
    stage: str = "adult"
    neutered: bool = True
    activity: str | None = None
    condition: str = "normal"
    mature_kg: float | None = None
    kittens: int | None = None
    week: int | None = None
    kcal_per_day: float | None = None
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Packing:
    """How the finished mix is measured out and packed.

    A scoop is `scoop_g` grams; `scoop_assumed` tells that it was taken from its volume at 1 g per ml. `bag_days`
    is how many days of food for all cats a bag holds. Losses are shares of the mix, or grams; None: not stated.
    """

    scoop_g: float | None = None
    scoop_text: str = ""
    scoop_assumed: bool = False
    tray_g: float | None = None
    tray_text: str = ""
    bag_days: int = 1
    meals: int = 2
    evaporation: float | None = None
    evaporation_is_share: bool = True
    sticking: float | None = None
    sticking_is_share: bool = True
    feed_from: date | None = None
