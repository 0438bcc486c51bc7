"""One item of a batch: what it adds to the room in each limit, and all of it that varies."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import sqrt

import numpy as np

from catalog.kinds import Basis
from catalog.nutrition.composition import Blend, simple_parts
from catalog.nutrition.spread import Spread, spread_of, ties_of, triangular
from catalog.records import Catalog, Food
from catalog.variation import Each, Shape
from optimizer.assess.batch import Amount, bone_interval
from optimizer.scenario.items import MASS_UNITS
from optimizer.scenario.records import VOLUMES, Item
from optimizer.sureness.causes import BONE, FIGURE, MEASURE, Block, Cause, Factor, Source
from optimizer.sureness.forms import MASS, MAXIMUM, TAG, Floats, Form

SCALE_G = 1.0  # what a kitchen scale shows, where a plan takes larger steps (common practice)
MULTIPLIES = 0.05  # of the amount: what is measured less exactly multiplies what it holds
WEIGHED, VOLUME = "mass", "volume"  # rows of the table of measuring errors


class VaryingItem:
    """One item of the batch: what it adds to the room in each limit."""

    def __init__(
        self, amount: Amount, content: Blend, catalog: Catalog, forms: Sequence[Form], weights: Mapping[str, Floats]
    ) -> None:
        self.amount, self.content, self.catalog, self.forms, self.weights = amount, content, catalog, forms, weights
        self.item: Item = amount.item
        self.measure = self._measure()
        self.bone = self._bone()
        self.grams = self.measure.mean if self.measure else amount.grams
        self.nothing = np.zeros(len(forms))
        self.sums = [n for n in catalog.nutrients.values() if n.sum_of and n.id in weights]
        self.per_gram = self.room(self.mean_bone)

    def _measure(self) -> Spread | None:
        """What a measure weighs, where its mass is known as a range."""
        measure = self.item.food.measures.get(self.item.unit)
        if measure is None or measure.labelled or measure.grams_low is None or measure.grams_high is None:
            return None
        low, mode, high = measure.grams_low, measure.grams, measure.grams_high
        as_in_the_table = abs(float(self.item.grams_per_unit) - mode) < 1e-9 * mode
        if not (as_in_the_table and low <= mode <= high and low < high):
            return None
        return triangular(*(float(self.amount.count) * end for end in (low, mode, high)))

    def _bone(self) -> Spread | None:
        """The share of bone of a cut, where it is known as a range."""
        low, high = bone_interval(self.amount, self.catalog)
        return triangular(low, self.content.bone_share, high) if low < high else None

    @property
    def mean_bone(self) -> float | None:
        """The mean share of bone; None where it does not vary."""
        return self.bone.mean if self.bone else self.item.bone_share

    def room(self, bone_share: float | None) -> Floats:
        """What a gram adds to the room, at the means of its figures and this share of bone."""
        total = self.nothing + self.weights.get(MASS, 0.0)
        for tag, share in self.content.tag_shares.items():
            total = total + share * self.weights.get(TAG + tag, 0.0)
        for food, share in simple_parts(self.item.food, self.catalog.foods, bone_share):
            for _, spread, moves in self._figures(food):
                total = total + share * spread.mean * moves
            total = total + share * self._unknown(food)
        return total

    def need(self) -> Floats:
        """What a gram adds to the limit itself, roughly: the room at its best figures, its own nutrient left out."""
        total = self.nothing.copy()
        for key, weight in self.weights.items():
            there = self._there(key)
            for number, form in enumerate(self.forms):
                if key != form.limit.nutrient and weight[number] and there:
                    total[number] += there * weight[number]
        return np.abs(total)

    def _there(self, key: str) -> float:
        if key == MASS:
            return 1.0
        found = self.content.contents.get(key)
        return self.content.tag_shares.get(key.removeprefix(TAG), 0.0) if found is None else found.value

    def _figures(self, food: Food) -> Iterator[tuple[str, Spread, Floats]]:
        """The figures of a simple food that move a limit, with what a unit of each adds to the room in each."""
        if food.counts_as == "water":  # what a tap adds is left out
            if "water" in self.weights:
                yield "water", Spread(Shape.NORMAL, 1.0, 0.0), self.weights["water"]
            return
        for id_, figure in food.figures.items():
            nutrient = self.catalog.nutrients[id_]
            if any(term in food.figures for term in nutrient.sum_of):
                continue
            moves = self.weights.get(id_, self.nothing)
            for sum_ in self.sums:
                if id_ in sum_.sum_of:
                    moves = moves + self.weights[sum_.id]
            if moves.any():
                yield id_, spread_of(food, nutrient, figure, self.catalog.variation), moves

    def _unknown(self, food: Food) -> Floats:
        """What a gram of a simple food may hold of what it has no figure of, towards ceilings."""
        found = self.nothing.copy()
        for number, form in enumerate(self.forms):
            id_ = form.limit.nutrient
            if form.bound != MAXIMUM or form.limit.basis == Basis.RATIO or food.counts_as == "water":
                continue
            figure = food.figures.get(id_)
            if figure is not None and figure.kind != "partial":
                continue
            class_value = self.catalog.class_values.get((food.category, id_))
            most = class_value.high_per_100_g if class_value else 0.0
            known = figure.value if figure else 0.0
            found[number] = -max(0.0, most - known, (figure.high - known) if figure else 0.0) / 100
        return found

    def blocks(self) -> Iterator[Block]:
        """All that varies of this item."""
        measured = [Source(cause, spread, self.per_gram) for cause, spread in self._measured()]
        full = tuple(
            Factor(source.cause, 1 / self.grams) for source in measured if source.spread.sd > MULTIPLIES * self.grams
        )
        yield from map(_alone, measured)
        bone = Cause(BONE, self.item.id)
        if self.bone is not None:
            low, high = self.bone.low, self.bone.high
            per_share = self.grams * (self.room(high) - self.room(low)) / (high - low)
            yield replace(_alone(Source(bone, self.bone, per_share)), times=full)
        for food, share in simple_parts(self.item.food, self.catalog.foods, self.mean_bone):
            times = full
            if self.bone is not None:
                slope = 1 / self.bone.mean if "bone" in food.tags else -1 / (1 - self.bone.mean)
                times = (*full, Factor(bone, slope))
            for block in self._lot(food, share):
                yield replace(block, times=times)

    def _lot(self, food: Food, share: float) -> Iterator[Block]:
        """The figures of the lot of one simple food; of several packages, the mean of as many lots."""
        sources: dict[str, Source] = {}
        for id_, spread, moves in self._figures(food):
            if spread.sd > 0:
                if self.item.lots > 1 and not spread.low < spread.high:
                    spread = replace(spread, sd=spread.sd / sqrt(self.item.lots))
                cause = Cause(FIGURE, self.item.id, id_, spread.assumed)
                sources[id_] = Source(cause, spread, self.grams * share * moves)
        ties = {
            pair: value
            for pair, value in ties_of(food, self.catalog.variation).items()
            if pair[0] in sources and pair[1] in sources
        }
        tied = [id_ for id_ in sources if any(id_ in pair for pair in ties)]
        if tied:
            correlation = np.eye(len(tied))
            for (one, other), value in ties.items():
                a, b = tied.index(one), tied.index(other)
                correlation[a, b] = correlation[b, a] = value
            factor = np.asarray(np.linalg.cholesky(correlation), dtype=np.float64)
            yield Block(tuple(sources[id_] for id_ in tied), factor)
        yield from (_alone(source) for id_, source in sources.items() if id_ not in tied)

    def _measured(self) -> Iterator[tuple[Cause, Spread]]:
        """What a measure holds more or less than meant, and what its mass is not known by, in grams."""
        share = measuring_error(self.item, self.amount.count, self.catalog)
        if share > 0:
            yield Cause(MEASURE, self.item.id, "held"), Spread(Shape.NORMAL, 0.0, share * self.grams)
        if self.measure is not None:
            yield Cause(MEASURE, self.item.id, "mass"), self.measure


def measuring_error(item: Item, count: Fraction, catalog: Catalog) -> float:
    """The standard deviation of what is measured, as a share of the amount."""
    errors = catalog.variation.errors
    if item.unit in MASS_UNITS:
        if item.fixed is None and item.step:
            step_g = min(float(item.step * item.grams_per_unit), SCALE_G)
            return step_g / float(count * item.grams_per_unit) / sqrt(12)
        return errors[WEIGHED, Each.AMOUNT].share if (WEIGHED, Each.AMOUNT) in errors else 0.0
    unit = VOLUME if item.unit in VOLUMES and (item.unit, Each.AMOUNT) not in errors else item.unit
    variance = 0.0
    if (unit, Each.AMOUNT) in errors:
        variance += errors[unit, Each.AMOUNT].share ** 2
    if (unit, Each.PIECE) in errors:
        variance += errors[unit, Each.PIECE].share ** 2 / max(1.0, float(count))
    cut = count % 1
    if cut and (unit, Each.HALF) in errors:
        variance += (errors[unit, Each.HALF].share * float(cut / count)) ** 2
    return sqrt(variance)


def _alone(source: Source) -> Block:
    return Block((source,), np.eye(1))
