"""What a gram of a food holds and what a limit asks of a batch, worked out a second time.

The judge and the rebuilt model stand on this file. It takes records from the catalog (figures, parts, limits) and what a
scenario says, and shares no code with `catalog/nutrition/composition.py` or with how `optimizer/` chooses and assesses.
"""

from collections.abc import Mapping
from functools import cached_property

import numpy as np
import numpy.typing as npt

from catalog.nutrition.guards import guards
from catalog.records import Catalog, Condition, Food, Limit
from optimizer.scenario.records import Dose, Item, Scenario

Floats = npt.NDArray[np.float64]

# kcal of metabolisable energy per gram of protein, fat and carbohydrate less fibre: AAFCO regulation PF9 (modified
# Atwater) and FEDIAF's factors for natural foods; written down here again.
FACTORS = {"modified-atwater": (3.5, 8.5, 3.5), "natural-foods": (4.0, 8.5, 4.0)}
# Common practice, no source: the most of the meat that is bone, liver, or organs that secrete.
SHARES = {"bone": 0.15, "liver": 0.10, "secreting-organ": 0.15}
MOST_WITHOUT_A_PURPOSE = 0.03  # of all that is on hand; common practice, no source


def parts_of(food: Food, foods: Mapping[str, Food]) -> dict[str, float]:
    """The simple foods in a gram of a food, by id."""
    if not food.parts:
        return {food.id: 1.0}
    found: dict[str, float] = {}
    for part in food.parts:
        for id_, share in parts_of(foods[part.food], foods).items():
            found[id_] = found.get(id_, 0.0) + part.share * share
    return found


def with_bone(parts: Mapping[str, float], foods: Mapping[str, Food], bone: float | None) -> dict[str, float]:
    """The same parts with another share of bone, everything else in its proportion."""
    known = sum(share for id_, share in parts.items() if "bone" in foods[id_].tags)
    if bone is None or not 0 < known < 1:
        return dict(parts)
    scale = {True: bone / known, False: (1 - bone) / (1 - known)}
    return {id_: share * scale["bone" in foods[id_].tags] for id_, share in parts.items()}


def bone_ends(food: Food, foods: Mapping[str, Food]) -> tuple[float, float]:
    """The lowest and the highest published share of bone."""
    if not food.parts:
        return (1.0, 1.0) if "bone" in food.tags else (0.0, 0.0)
    low = high = 0.0
    for part in food.parts:
        inner = bone_ends(foods[part.food], foods)
        pure = inner == (1.0, 1.0)
        low += (part.share_low if pure else part.share) * inner[0]
        high += (part.share_high if pure else part.share) * inner[1]
    return low, high


def per_gram(food: Food, nutrient: str, catalog: Catalog) -> tuple[float, float, float]:
    """A simple food's figure towards targets, at its best, and towards ceilings. What is unknown is not zero there."""
    if food.counts_as == "water":
        return (1.0, 1.0, 1.0) if nutrient == "water" else (0.0, 0.0, 0.0)
    of_class = catalog.class_values.get((food.category, nutrient))
    most = of_class.high_per_100_g if of_class else 0.0
    figure = food.figures.get(nutrient)
    if figure is None:
        return 0.0, 0.0, most / 100
    high = max(figure.high, most) if figure.kind == "partial" else figure.high  # partial: some of a sum is unknown
    return figure.low / 100, figure.value / 100, high / 100


class Kitchen:
    """A scenario as arrays: one place for each item, one row of figures a gram for each nutrient."""

    def __init__(self, scenario: Scenario, catalog: Catalog, bone_end: int | None = None) -> None:
        """`bone_end` 0 or 1 takes the lowest or highest published share of bone of every cut not measured at home."""
        self.scenario, self.catalog = scenario, catalog
        self.items: tuple[Item, ...] = scenario.items
        self.ids = [item.id for item in self.items]
        self.place = {id_: j for j, id_ in enumerate(self.ids)}
        size = len(self.items)
        self.figures = {
            side: {n: np.zeros(size) for n in catalog.nutrients} for side in ("minimum", "value", "maximum")
        }
        self.tags: dict[str, Floats] = {}
        self.ones = np.ones(size)
        for j, item in enumerate(self.items):
            bone = item.bone_share
            if bone_end is not None and bone is None:
                bone = bone_ends(item.food, catalog.foods)[bone_end]
            self._fill(j, item.food, bone)
        value = self.figures["value"]
        protein, fat, extract = FACTORS[scenario.energy_method]
        starch = np.maximum(0.0, value["carbohydrate"] - value["fibre"])
        self.kcal: Floats = protein * value["protein"] + fat * value["fat"] + extract * starch
        self.dry: Floats = 1.0 - value["water"]
        self.jar = np.array([is_jar(item) for item in self.items])
        self.food = ~self.jar
        self.settled = np.array([item.fixed is not None or item.exactly is not None for item in self.items])
        self.open_jar = self.jar & ~self.settled
        self.meat = np.array([float(item.is_meat) for item in self.items])
        self.eaten = np.array([float(is_eaten_as_meat(item)) for item in self.items])
        self.non_meat = np.array([float(item.counts_as == "non-meat") for item in self.items])
        self.least, self.most = self._ends()
        self.step = np.array([float((item.step or 1) * item.grams_per_unit) for item in self.items])
        self.limits: tuple[Limit, ...] = (
            *(limit for limit in scenario.standard.limits if limit.maximum_kind != "legal"),
            *scenario.limits,
        )

    def _ends(self) -> tuple[Floats, Floats]:
        """The least and the most grams of each item, as far as that does not depend on the rest of the batch."""
        least, most = np.zeros(len(self.items)), np.full(len(self.items), np.inf)
        for j, item in enumerate(self.items):
            there = item.fixed if item.fixed is not None else item.available
            if there is not None:
                most[j] = float(there * item.grams_per_unit)
            if item.fixed is not None:
                least[j] = most[j]
            for key in ("at_least", "at_most", "exactly"):
                dose = getattr(item, key)
                if dose is None or hasattr(dose, "per_grams"):
                    continue
                grams = float(item.units(dose) * item.grams_per_unit)
                least[j] = max(least[j], grams) if key != "at_most" else least[j]
                most[j] = min(most[j], grams) if key != "at_least" else most[j]
        return least, most

    def _fill(self, j: int, food: Food, bone: float | None) -> None:
        foods = self.catalog.foods
        for id_, share in with_bone(parts_of(food, foods), foods, bone).items():
            for nutrient in self.catalog.nutrients:
                figures = per_gram(foods[id_], nutrient, self.catalog)
                for side, figure in zip(("minimum", "value", "maximum"), figures, strict=True):
                    self.figures[side][nutrient][j] += share * figure
            for tag in foods[id_].tags - food.tags:
                self.tagged(tag)[j] += share
        for tag in food.tags:
            self.tagged(tag)[j] = 1.0

    def tagged(self, tag: str) -> Floats:
        """How much of a gram of each item has a tag."""
        return self.tags.setdefault(tag, np.zeros(len(self.items)))

    @cached_property
    def guards(self) -> tuple[Limit, ...]:
        """The guards beside the standard."""
        return tuple(guards(self.catalog, self.scenario.standard))

    def amounts(self, grams: Mapping[str, float]) -> Floats:
        """Grams by id, in the order of the items."""
        return np.array([grams.get(id_, 0.0) for id_ in self.ids])

    def counted(self, limit: Limit, side: str) -> Floats:
        """What a gram of each item counts towards a side of a limit: the safe figure, of a ratio the best one.

        Towards a legal maximum food counts its best figure: what it may hold beyond that is no additive.
        """
        if limit.basis == "ratio":
            return self.figures["value"][limit.nutrient]
        safe = self.figures[side][limit.nutrient]
        return (
            np.where(self.food, self.figures["value"][limit.nutrient], safe) if limit.maximum_kind == "legal" else safe
        )

    def apart(self, nutrient: str) -> Floats | None:
        """What a gram of each item counts of a nutrient that raw food in the mix destroys: only what is given apart.

        None where nothing here destroys it.
        """
        tag = self.catalog.nutrients[nutrient].destroyed_by
        if not tag or not self.tagged(tag).any():
            return None
        return self.figures["minimum"][nutrient] * np.array([float(item.apart) for item in self.items])

    def low(self, nutrient: str, x: Floats) -> float:
        """How much of a nutrient counts towards targets in these amounts."""
        apart = self.apart(nutrient)
        if apart is not None and float(self.tagged(self.catalog.nutrients[nutrient].destroyed_by) @ x) > 0:
            return float(apart @ x)
        return float(self.figures["minimum"][nutrient] @ x)

    def asked(self, limit: Limit, side: str) -> tuple[Floats, float]:
        """What a limit asks for: so much for a gram of each item, and so much for the whole batch.

        A ceiling allows nothing for what comes from jars: they are no food. A ratio and a target go by everything.
        """
        bound = (limit.minimum if side == "minimum" else limit.maximum) or 0.0
        foods = self.food if side == "maximum" and limit.basis != "ratio" else self.ones
        if limit.basis == "per_1000_kcal":
            return bound / 1000 * self.kcal * foods, 0.0
        if limit.basis == "per_kg_dry_matter":
            return bound / 1000 * self.dry * foods, 0.0
        if limit.basis == "per_kg":
            return bound / 1000 * self.ones * foods, 0.0
        if limit.basis == "per_batch":
            return 0.0 * self.ones, bound
        if limit.basis == "ratio":
            return bound * self.figures["value"][limit.of], 0.0
        assert limit.basis == "increment"
        same = [o.minimum for o in self.limits if o.nutrient == limit.nutrient and o.basis == "per_1000_kcal"]
        base = max((minimum for minimum in same if minimum), default=0.0)
        of = self.figures["value"][limit.of] if limit.of in self.catalog.nutrients else self.tagged(limit.of)
        return base / 1000 * self.kcal + bound * (of - limit.above / 1000 * self.kcal), 0.0

    def asked_of(self, j: int, limit: Limit) -> tuple[Floats, float]:
        """What a limit's minimum asks of one jar.

        A ratio asks for no more because of what the jar brings itself of the other side; of a jar that is for both sides,
        nor because of what other open jars bring of it: two such jars would ask for ever more of each other.
        """
        per_gram, constant = self.asked(limit, "minimum")
        if limit.basis == "ratio":
            own = np.arange(len(per_gram)) == j
            both = limit.of in self.items[j].food.purposes
            per_gram = np.where(own | (self.open_jar & both), 0.0, per_gram)
        return per_gram, constant

    def beyond(self, condition: Condition) -> Floats:
        """How far a gram of each item brings the tagged foods past the share from which a limit holds."""
        of = self.ones if condition.of == "mass" else self.dry
        return (self.tagged(condition.tag) - condition.share) * of

    def holds(self, limit: Limit, x: Floats) -> bool:
        """Whether a limit holds for these amounts."""
        return self.can_hold(limit) and (limit.condition is None or float(self.beyond(limit.condition) @ x) > 1e-9)

    def can_hold(self, limit: Limit) -> bool:
        """Whether a limit can hold for some amounts of what is there, and asks for anything of its own."""
        if limit.basis == "increment" and limit.of not in self.catalog.nutrients:
            return bool(self.tagged(limit.of).any())
        return limit.condition is None or bool(self.tagged(limit.condition.tag).any())

    def is_toxic(self, nutrient: str) -> bool:
        """Whether too much of a nutrient poisons."""
        return self.catalog.nutrients[nutrient].toxic

    def share(self, of: str) -> tuple[Floats, Floats]:
        """A part of the meat by its tag, and the meat, in a gram of each item."""
        return self.tagged(of) * self.eaten, self.eaten

    def by_hand(self, key: str, j: int, x: Floats) -> float | None:
        """The grams that at_least, at_most, exactly or the usual recipe comes to; None where it says nothing."""
        item = self.items[j]
        dose: Dose | None = getattr(item, key)
        if dose is None:
            return None
        quantity = getattr(dose, "quantity", dose)
        grams = float(item.units(quantity) * item.grams_per_unit)
        per = getattr(dose, "per_grams", None)
        return grams if per is None else grams * float(self.meat @ x) / float(per)


def is_jar(item: Item) -> bool:
    """Whether an item is dosed for what it is for, and is no food."""
    return item.is_supplement or item.food.role == "supplement" or "fish-oil" in item.food.tags


def is_eaten_as_meat(item: Item) -> bool:
    """Whether an item is part of the meat that common shares are measured against."""
    return item.counts_as == "meat" and item.food.role not in ("supplement", "oil")
