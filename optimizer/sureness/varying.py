"""Amounts -> what the room in each limit is made of: its mean, and every independent thing that moves it.

What varies is each figure of each lot of food (tied to others of the lot where the tables tie them), the share of bone
in each cut, and what a measure really holds. These add up, but for what multiplies: what is in a part of a cut moves
with the share of the part, and what is in a measure with what it really holds.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalog.records import Catalog, Limit
from optimizer.assess.batch import Amount, blend_of, sums_of
from optimizer.scenario.records import Scenario
from optimizer.sureness.causes import Block, Cause
from optimizer.sureness.forms import Floats, Form, forms_of
from optimizer.sureness.item import VaryingItem


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
            sources = tuple(replace(s, moves=0 * s.moves) if s.cause in causes else s for s in block.sources)
            times = tuple(factor for factor in block.times if factor.cause not in causes)
            blocks.append(replace(block, sources=sources, times=times))
        return replace(self, blocks=tuple(blocks))


def _deviations(blocks: Sequence[Block]) -> Iterator[Floats]:
    """By how much a standard deviation of each independent thing moves each limit, a matrix for each block."""
    single = [b.sources[0].spread.sd * b.sources[0].moves for b in blocks if len(b.sources) == 1]
    if single:
        yield np.array(single)
    for block in blocks:
        if len(block.sources) > 1:
            yield block.lower.T @ np.array([source.spread.sd * source.moves for source in block.sources])


def varying(scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount]) -> Varying:
    """What the room in each limit of these amounts is made of. Unknown figures stay on their safe side: nothing towards
    a target, the class value towards a ceiling. Draws go by the order of ids: that of a file changes no chance."""
    used = sorted((amount for amount in amounts if amount.count > 0), key=lambda amount: amount.item.id)
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
    scenario: Scenario,
    catalog: Catalog,
    amounts: Sequence[Amount],
    batch: Sequence[Amount] | None = None,
    also: Collection[Limit] = (),
) -> Parts:
    """What each of these amounts, none of them nothing, adds to the room in the limits that hold for `batch`, and in
    those of `also`."""
    used = [(amount, blend_of(amount, scenario, catalog)) for amount in amounts]
    whole = [(a, blend_of(a, scenario, catalog)) for a in batch or amounts if a.count > 0]
    forms = forms_of(scenario, catalog, used, sums_of(whole, catalog), also)
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
        item = VaryingItem(amount, content, catalog, forms, {key: weights[i, k] for key, k in place.items()})
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
