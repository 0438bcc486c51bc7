"""Amounts -> what the room in each limit is made of: its mean, and every independent thing that moves it.

What varies is each figure of each lot of food (tied to others of the lot where the tables tie them), the share of bone
in each cut, and what a measure really holds. To first order these add up: of two errors that multiply, a tenth of a
tenth is left out.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import sqrt

import numpy as np

from catalog.kinds import Basis
from catalog.nutrition.composition import Blend, simple_parts
from catalog.nutrition.spread import Spread, spread_of, ties_of, triangular
from catalog.records import Catalog, Food
from catalog.variation import Each, Shape
from optimizer.assess.batch import Amount, blend_of, bone_interval, sums_of
from optimizer.scenario.items import MASS_UNITS
from optimizer.scenario.records import VOLUMES, Item, Scenario
from optimizer.sureness.forms import MASS, MAXIMUM, TAG, Floats, Form, forms_of

WEIGHED, VOLUME = "mass", "volume"  # rows of the table of measuring errors
FIGURE, BONE, MEASURE = "figure", "bone", "measure"


@dataclass(frozen=True, slots=True)
class Cause:
    """What varies: a `figure` of a nutrient in the lots of a food, the `bone` of a cut, or the `measure` that a food is
    taken in. `item` is the id of the item, `of` that of the nutrient; `assumed` tells that its spread is."""

    kind: str
    item: str
    of: str = ""
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Source:
    """One thing that varies. `moves` is by how much one unit of it moves the room in each limit."""

    cause: Cause
    spread: Spread
    moves: Floats


@dataclass(frozen=True, slots=True)
class Block:
    """Things that vary together; `factor` is the lower Cholesky factor of their correlations. What is in a part of a
    cut moves with the share of that part: by `slope` times how far the share of `bone` is from its mean."""

    sources: tuple[Source, ...]
    factor: Floats
    bone: Cause | None = None
    slope: float = 0.0


@dataclass(frozen=True, slots=True)
class Varying:
    """The room in each limit of `forms`, as shares of the limit in this batch (`scale` is that limit, in the unit of
    the nutrient): `mean`, and the blocks that move it."""

    forms: tuple[Form, ...]
    scale: Floats
    mean: Floats
    blocks: tuple[Block, ...]

    @property
    def covariance(self) -> Floats:
        """Of the room in each limit with that in each other."""
        found = np.zeros((len(self.mean), len(self.mean)))
        for moves in _deviations(self.blocks):
            found += moves.T @ moves
        return found

    def without(self, *causes: Cause) -> "Varying":
        """The same, if these things were known exactly, at their means."""
        blocks = []
        for block in self.blocks:
            if any(source.cause in causes for source in block.sources):
                known = tuple(replace(s, moves=0 * s.moves) if s.cause in causes else s for s in block.sources)
                block = replace(block, sources=known)
            blocks.append(block)
        return replace(self, blocks=tuple(blocks))


def _deviations(blocks: Sequence[Block]) -> Iterator[Floats]:
    """By how much a standard deviation of each independent thing moves each limit, a matrix for each block."""
    single = [b.sources[0].spread.sd * b.sources[0].moves for b in blocks if len(b.sources) == 1]
    if single:
        yield np.array(single)
    for block in blocks:
        if len(block.sources) > 1:
            yield block.factor.T @ np.array([source.spread.sd * source.moves for source in block.sources])


def varying(scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount]) -> Varying:
    """What the room in each limit of these amounts is made of. Unknown figures stay on their safe side: nothing towards
    a target, the class value towards a ceiling."""
    used = [amount for amount in amounts if amount.count > 0]
    return together(parts_of(scenario, catalog, used))


@dataclass(frozen=True, slots=True)
class ItemPart:
    """What one item adds to the room in each limit, in the nutrient's unit: `room` and what moves it."""

    room: Floats
    blocks: tuple[Block, ...]

    @property
    def deviation(self) -> Floats:
        """The standard deviation of what it adds, for each limit."""
        squares = [(moves**2).sum(axis=0) for moves in _deviations(self.blocks)]
        return np.sqrt(np.sum(squares, axis=0)) if squares else 0.0 * self.room


@dataclass(frozen=True, slots=True)
class Parts:
    """What each item adds, in the order of the amounts; `scale` is each limit as an amount in the batch."""

    forms: tuple[Form, ...]
    items: tuple[ItemPart, ...]
    scale: Floats


def parts_of(
    scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount], batch: Sequence[Amount] | None = None
) -> Parts:
    """What each of these amounts, none of them nothing, adds to the room in the limits that hold for `batch`."""
    used = [(amount, blend_of(amount, scenario, catalog)) for amount in amounts]
    whole = [(a, blend_of(a, scenario, catalog)) for a in batch or amounts if a.count > 0]
    forms = forms_of(scenario, catalog, used, sums_of(whole, catalog))
    keys = list(dict.fromkeys(key for form in forms for own in form.weights for key in own))
    weights = np.zeros((len(used), len(keys), len(forms)))
    place = {key: k for k, key in enumerate(keys)}
    for number, form in enumerate(forms):
        for i, own in enumerate(form.weights):
            for key, weight in own.items():
                weights[i, place[key], number] = weight
    items, inside = [], {amount.item.id for amount, _ in whole}
    scale = np.abs([form.constant for form in forms])
    for i, (amount, content) in enumerate(used):
        item = _Item(amount, content, catalog, forms, {key: weights[i, k] for key, k in place.items()})
        room = item.grams * item.per_gram
        items.append(ItemPart(room, tuple(item.blocks())))
        if amount.item.id in inside:
            scale = scale + item.grams * item.need()
    return Parts(forms, tuple(items), np.where(scale > 0, scale, 1.0))


def together(parts: Parts) -> Varying:
    """The parts of a batch as one, in shares of each limit."""
    scale = parts.scale
    mean = np.array([form.constant for form in parts.forms]) + sum(item.room for item in parts.items)
    blocks = [block for item in parts.items for block in scaled(item.blocks, scale)]
    return Varying(parts.forms, scale, mean / scale, tuple(blocks))


def scaled(blocks: Sequence[Block], scale: Floats) -> list[Block]:
    """The blocks in shares of each limit, without those that move none."""
    found = [replace(b, sources=tuple(replace(s, moves=s.moves / scale) for s in b.sources)) for b in blocks]
    return [block for block in found if any(source.moves.any() for source in block.sources)]


class _Item:
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
        bone = Cause(BONE, self.item.id)
        if self.bone is not None:
            low, high = self.bone.low, self.bone.high
            per_share = self.grams * (self.room(high) - self.room(low)) / (high - low)
            yield _alone(Source(bone, self.bone, per_share))
        for food, share in simple_parts(self.item.food, self.catalog.foods, self.mean_bone):
            for block in self._lot(food, share):
                if self.bone is None:
                    yield block
                else:
                    slope = 1 / self.bone.mean if "bone" in food.tags else -1 / (1 - self.bone.mean)
                    yield replace(block, bone=bone, slope=slope)
        yield from self._measured()

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

    def _measured(self) -> Iterator[Block]:
        """What a measure holds more or less than meant, and what its mass is not known by."""
        item, count = self.item, self.amount.count
        each = self.per_gram
        cause = Cause(MEASURE, item.id)
        share = measuring_error(item, count, self.catalog)
        if share > 0:
            yield _alone(Source(cause, Spread(Shape.NORMAL, 0.0, share * self.grams), each))
        if self.measure is not None:
            yield _alone(Source(cause, self.measure, each))


def measuring_error(item: Item, count: Fraction, catalog: Catalog) -> float:
    """The standard deviation of what is measured, as a share of the amount."""
    errors = catalog.variation.errors
    if item.unit in MASS_UNITS:
        if item.fixed is None and item.step:
            return float(item.step / count) / sqrt(12)
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
