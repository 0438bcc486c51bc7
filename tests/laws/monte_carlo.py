"""How often amounts keep their limits, by plain Monte Carlo: every figure of every food is drawn and the batch summed up
anew, with nothing linearised and nothing shared with the optimizer but the records of the catalog.

It is written from README, "How sure a plan is".
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from catalog.records import Catalog, Condition, Figure, Food, Limit
from optimizer.assess.batch import Amount
from optimizer.scenario.records import Item, Scenario

Floats = NDArray[np.float64]
FACTORS = {"modified-atwater": (3.5, 8.5, 3.5), "natural-foods": (4.0, 8.5, 4.0)}
MASS_UNITS = ("ug", "mg", "g", "kg", "oz", "lb")
VOLUMES = ("ml", "l", "tsp", "tbsp", "cup", "fl oz")
NORMAL_ENDS = 1.959964


class Drawn:
    """A batch, drawn so many times: masses in grams and amounts of each nutrient, as arrays over the draws."""

    def __init__(self, scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount], draws: int, seed: int) -> None:
        self.catalog, self.draws = catalog, draws
        self.random = np.random.default_rng(seed)
        self.scenario = scenario
        self.items = [self._item(amount) for amount in amounts if amount.count > 0]

    def _item(self, amount: Amount) -> "DrawnItem":
        item = amount.item
        grams = self._grams(item, amount.count)
        shares = self._shares(item)
        known: dict[str, Floats] = {}
        extra: dict[str, Floats] = {}
        for id_, share in shares.items():
            food = self.catalog.foods[id_]
            lot = self._lot(food, item.lots)
            for nutrient in self.catalog.nutrients.values():
                own = lot.get(nutrient.id)
                if own is not None:
                    known[nutrient.id] = known.get(nutrient.id, np.zeros(self.draws)) + share * own
                more = self._unknown(food, nutrient.id)
                if more:
                    extra[nutrient.id] = extra.get(nutrient.id, np.zeros(self.draws)) + share * more
        return DrawnItem(item, grams, known, extra, self.scenario.energy_method, self._tags(item, shares))

    def _tags(self, item: Item, shares: Mapping[str, Floats]) -> dict[str, Floats]:
        found: dict[str, Floats] = {tag: np.ones(self.draws) for tag in item.food.tags}
        for id_, share in shares.items():
            for tag in self.catalog.foods[id_].tags - item.food.tags:
                found[tag] = found.get(tag, np.zeros(self.draws)) + share
        return found

    def _shares(self, item: Item) -> dict[str, Floats]:
        """The shares of the simple foods that an item is made of, its bone drawn between its published ends."""
        bone = _bone_of(_flat(item.food, self.catalog.foods), self.catalog.foods)
        if item.bone_share is not None:
            drawn = np.full(self.draws, item.bone_share)
        else:
            low, high = _bone_ends(item.food, self.catalog.foods)
            drawn = self.random.triangular(low, bone, high, self.draws) if low < high else np.full(self.draws, bone)
        return _with_bone(item.food, self.catalog.foods, drawn)

    def _lot(self, food: Food, lots: int) -> dict[str, Floats]:
        """A gram of a simple food: each figure drawn, those that are tied with their correlation (Gaussian copula)."""
        if food.counts_as == "water":
            return {"water": np.ones(self.draws)}
        simple = [id_ for id_ in food.figures if not any(t in food.figures for t in self.catalog.nutrients[id_].sum_of)]
        groups = food.tags | {food.category, food.role, "any"}
        ties = {}
        for tie in self.catalog.variation.ties:
            if tie.of in groups:
                ties.setdefault((tie.nutrient, tie.other), tie.correlation)
        correlation = np.eye(len(simple))
        for (one, other), value in ties.items():
            if one in simple and other in simple:
                i, j = simple.index(one), simple.index(other)
                correlation[i, j] = correlation[j, i] = value
        free = self.random.multivariate_normal(np.zeros(len(simple)), correlation, self.draws)
        found = {id_: self._figure(id_, food.figures[id_], groups, free[:, i], lots) for i, id_ in enumerate(simple)}
        for nutrient in self.catalog.nutrients.values():
            terms = [found[term] for term in nutrient.sum_of if term in found]
            if terms:
                found[nutrient.id] = np.sum(terms, axis=0)
        return found

    def _figure(self, id_: str, figure: Figure, groups: frozenset[str], z: Floats, lots: int) -> Floats:
        value, low, high = figure.value / 100, figure.low / 100, figure.high / 100
        variation = self.catalog.variation
        skewed = any(s.of in groups and s.nutrient == id_ and s.shape == "lognormal" for s in variation.shapes)
        published = figure.sd / 100 if figure.sd and not figure.sd_assumed else 0.0
        if low < high:
            low, high = max(0.0, min(low, value - 2 * published)), max(high, value + 2 * published)
            if skewed and low > 0:
                return np.exp((np.log(low) + np.log(high)) / 2 + z * np.log(high / low) / (2 * NORMAL_ENDS))
            mode = (value - low) / (high - low)
            return np.asarray(stats.triang.ppf(stats.norm.cdf(z), mode, low, high - low))
        sd = published
        if figure.sd_assumed:
            cvs = [
                row.cv
                for row in variation.assumed
                if row.of in groups and row.kind == figure.kind and row.nutrient in ("", id_)
            ]
            sd = value * (cvs[0] if cvs else self.catalog.nutrients[id_].assumed_cv)
        if sd <= 0 or value <= 0:
            return np.full(self.draws, value)
        lognormal = skewed or sd > value / 3
        sd /= lots**0.5
        if lognormal:
            sigma = np.log1p((sd / value) ** 2) ** 0.5
            return np.asarray(stats.lognorm.ppf(stats.norm.cdf(z), sigma, scale=value / np.exp(sigma**2 / 2)))
        return value + sd * z

    def _unknown(self, food: Food, id_: str) -> float:
        """What a gram may hold of what there is no figure of, towards ceilings."""
        figure = food.figures.get(id_)
        if food.counts_as == "water" or (figure is not None and figure.kind != "partial"):
            return 0.0
        class_value = self.catalog.class_values.get((food.category, id_))
        most = class_value.high_per_100_g if class_value else 0.0
        return max(0.0, max(most, figure.high if figure else 0.0) - (figure.value if figure else 0.0)) / 100

    def _grams(self, item: Item, count: Fraction) -> Floats:
        """What is really weighed or spooned."""
        meant = float(count * item.grams_per_unit)
        errors = {(unit, str(each)): row.share for (unit, each), row in self.catalog.variation.errors.items()}
        one = np.ones(self.draws)
        if item.unit in MASS_UNITS:
            if item.fixed is None and item.step:
                half = min(float(item.step * item.grams_per_unit), 1.0) / 2
                return meant + self.random.normal(0, 2 * half / 12**0.5, self.draws)
            return meant * (one + self.random.normal(0, errors["mass", "amount"], self.draws))
        unit = "volume" if item.unit in VOLUMES and (item.unit, "amount") not in errors else item.unit
        off = one + self.random.normal(0, errors.get((unit, "amount"), 0.0), self.draws)
        pieces = errors.get((unit, "piece"), 0.0) / max(1.0, float(count)) ** 0.5
        off += self.random.normal(0, pieces, self.draws)
        off += self.random.normal(0, errors.get((unit, "half"), 0.0) * float(count % 1) / float(count), self.draws)
        measure = item.food.measures.get(item.unit)
        if measure and not measure.labelled and measure.grams_low and measure.grams_high:
            low, mode, high = measure.grams_low, measure.grams, measure.grams_high
            same = abs(float(item.grams_per_unit) - mode) < 1e-9 * mode
            if same and low <= mode <= high and low < high:
                return meant * off + float(count) * (self.random.triangular(low, mode, high, self.draws) - mode)
        return meant * off

    def total(self, id_: str, food_only: bool = False, apart_only: bool = False, ceiling: bool = False) -> Floats:
        """A nutrient of the batch, in its unit."""
        found = np.zeros(self.draws)
        for item in self.items:
            if (food_only and item.item.is_jar) or (apart_only and not item.item.apart):
                continue
            found += item.grams * (item.known.get(id_, 0.0) + (item.extra.get(id_, 0.0) if ceiling else 0.0))
        return found

    def kcal(self, food_only: bool) -> Floats:
        """Kilocalories of the batch."""
        return np.sum([i.grams * i.kcal() for i in self.items if not (food_only and i.item.is_jar)], axis=0)

    def mass(self, food_only: bool, dry: bool) -> Floats:
        """Grams of the batch, or of its dry matter."""
        own = [i for i in self.items if not (food_only and i.item.is_jar)]
        return np.sum([i.grams * (1 - i.known.get("water", 0.0) * dry) for i in own], axis=0)

    def tagged(self, tag: str) -> Floats:
        """Grams of what bears a tag."""
        return np.sum([i.grams * i.tags.get(tag, 0.0) for i in self.items], axis=0)


class DrawnItem:
    """One item of the batch."""

    def __init__(
        self,
        item: Item,
        grams: Floats,
        known: Mapping[str, Floats],
        extra: Mapping[str, Floats],
        method: str,
        tags: Mapping[str, Floats],
    ) -> None:
        self.item, self.grams, self.known, self.extra, self.method, self.tags = item, grams, known, extra, method, tags

    def kcal(self) -> Floats:
        """Kilocalories of a gram."""
        protein, fat, extract = FACTORS[self.method]
        rest = np.maximum(0.0, self.known.get("carbohydrate", 0.0) - self.known.get("fibre", np.zeros(1)))
        return protein * self.known.get("protein", 0.0) + fat * self.known.get("fat", 0.0) + extract * rest


def kept(
    scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount], draws: int, seed: int
) -> dict[tuple[str, str], NDArray[np.bool_]]:
    """Which draws keep each side of what is asked of each nutrient, by (id, bound)."""
    batch = Drawn(scenario, catalog, amounts, draws, seed)
    limits = [
        limit
        for limit in (*scenario.standard.mandatory, *scenario.limits)
        if _applies(limit.condition, amounts, catalog)
    ]
    found: dict[tuple[str, str], NDArray[np.bool_]] = {}
    for limit in limits:
        id_ = f"{limit.nutrient}-{limit.of}" if limit.basis == "ratio" else limit.nutrient
        for bound, value in (("minimum", limit.minimum), ("maximum", limit.maximum)):
            if value is not None:
                met = _met(limit, bound, value, limits, batch)
                found[id_, bound] = found.get((id_, bound), np.ones(draws, dtype=bool)) & met
    return found


def _applies(condition: Condition | None, amounts: Sequence[Amount], catalog: Catalog) -> bool:
    """Whether a limit with this condition holds, on average figures."""
    if condition is None:
        return True
    tagged = total = 0.0
    for amount in amounts:
        food, own = amount.item.food, amount.item.bone_share
        bone = _bone_of(_flat(food, catalog.foods), catalog.foods) if own is None else own
        for id_, share in _with_bone(food, catalog.foods, np.array([bone])).items():
            part = catalog.foods[id_]
            grams = float(share[0]) * float(amount.count * amount.item.grams_per_unit)
            grams *= 1 - _water(part) if condition.of == "dry_matter" else 1
            total += grams
            tagged += grams if condition.tag in part.tags | food.tags else 0.0
    return tagged > condition.share * total


def _water(food: Food) -> float:
    if food.counts_as == "water":
        return 1.0
    return food.figures["water"].value / 100 if "water" in food.figures else 0.0


def _met(limit: Limit, bound: str, value: float, limits: Sequence[Limit], batch: Drawn) -> NDArray[np.bool_]:
    over = bound == "maximum"
    if limit.basis == "ratio":
        ratio = batch.total(limit.nutrient) / batch.total(limit.of)
        return np.asarray(ratio <= value * (1 + 1e-6) if over else ratio >= value * (1 - 1e-6))
    spoilt_by = batch.catalog.nutrients[limit.nutrient].destroyed_by
    spoilt = not over and bool(spoilt_by) and bool(batch.tagged(spoilt_by).mean() > 0)
    there = batch.total(limit.nutrient, apart_only=spoilt, ceiling=over)
    asked: Floats = np.full(batch.draws, value)
    if limit.basis == "increment":
        base = max(
            (o.minimum for o in limits if o.nutrient == limit.nutrient and o.basis == "per_1000_kcal" and o.minimum),
            default=0.0,
        )
        of = batch.total(limit.of) if limit.of in batch.catalog.nutrients else batch.tagged(limit.of)
        kcal = batch.kcal(False) / 1000
        asked = base * kcal + value * (of - limit.above * kcal)
    elif limit.basis == "per_1000_kcal":
        asked = value * batch.kcal(over) / 1000
    elif limit.basis == "per_kg_dry_matter":
        asked = value * batch.mass(over, True) / 1000
    elif limit.basis == "per_kg":
        asked = value * batch.mass(over, False) / 1000
    return np.asarray(there <= asked * (1 + 1e-6) if over else there >= asked * (1 - 1e-6))


def _flat(food: Food, foods: Mapping[str, Food]) -> dict[str, float]:
    if not food.parts:
        return {food.id: 1.0}
    found: dict[str, float] = {}
    for part in food.parts:
        for id_, share in _flat(foods[part.food], foods).items():
            found[id_] = found.get(id_, 0.0) + part.share * share
    return found


def _with_bone(food: Food, foods: Mapping[str, Food], bone_share: Floats) -> dict[str, Floats]:
    """The shares of the simple foods that a food is made of, with these shares of bone."""
    flat = _flat(food, foods)
    bone = _bone_of(flat, foods)
    if not 0 < bone < 1:
        return {id_: np.full(len(bone_share), share) for id_, share in flat.items()}
    return {
        id_: share * (bone_share / bone if "bone" in foods[id_].tags else (1 - bone_share) / (1 - bone))
        for id_, share in flat.items()
    }


def _bone_of(flat: Mapping[str, float], foods: Mapping[str, Food]) -> float:
    return sum(share for id_, share in flat.items() if "bone" in foods[id_].tags)


def _bone_ends(food: Food, foods: Mapping[str, Food]) -> tuple[float, float]:
    if not food.parts:
        return (1.0, 1.0) if "bone" in food.tags else (0.0, 0.0)
    low = high = 0.0
    for part in food.parts:
        inner = _bone_ends(foods[part.food], foods)
        whole = inner == (1.0, 1.0)
        low += (part.share_low if whole else part.share) * inner[0]
        high += (part.share_high if whole else part.share) * inner[1]
    return low, high
