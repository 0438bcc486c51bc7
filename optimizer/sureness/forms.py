"""Limits as linear forms: what a gram of each figure of each item adds to the room in a limit.

The room in a target is what is there less what has to be, in a ceiling what may be less what is there; a limit is kept
where the room is not below zero. Energy is counted from its constituents, so that it varies with them.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from catalog.kinds import Basis
from catalog.nutrition.composition import ENERGY_METHODS, Blend
from catalog.records import Catalog, Limit, minimum_per_1000_kcal
from optimizer.assess.batch import Amount, BatchSums, applies
from optimizer.scenario.records import Scenario

Floats = NDArray[np.float64]
MINIMUM, MAXIMUM = "minimum", "maximum"
MASS, TAG = "mass", "tag:"


@dataclass(frozen=True, slots=True)
class Form:
    """One side of one limit. `weights[i]` is what a gram of each figure of item i adds to the room: by nutrient, by
    "tag:" and a tag of foods, by "mass". `constant` is added once. `id` is the limit's nutrient, of a ratio both
    ("calcium-phosphorus")."""

    id: str
    name: str
    bound: str
    limit: Limit
    weights: tuple[Mapping[str, float], ...]
    constant: float = 0.0


def forms_of(
    scenario: Scenario,
    catalog: Catalog,
    used: Sequence[tuple[Amount, Blend]],
    batch: BatchSums,
    also: Collection[Limit] = (),
) -> tuple[Form, ...]:
    """Every side of every limit that holds for this batch, and of those in `also` whether or not they hold. Guards,
    legal maxima, the cap and the budget are left out: they are no targets of a standard, or do not vary."""
    every = (*scenario.standard.mandatory, *scenario.limits)
    limits = [limit for limit in every if limit in also or applies(limit.condition, batch)]
    energy = [_energy(content, scenario.energy_method) for _, content in used]
    found = []
    for limit in limits:
        for bound, value in ((MINIMUM, limit.minimum), (MAXIMUM, limit.maximum)):
            if value is not None:
                found.append(_form(limit, bound, value, limits, catalog, used, energy, batch))
    return tuple(found)


def form_of(
    limit: Limit,
    bound: str,
    scenario: Scenario,
    catalog: Catalog,
    used: Sequence[tuple[Amount, Blend]],
    batch: BatchSums,
) -> Form:
    """One side of a limit that is not among the scenario's own, such as a guard."""
    value = limit.minimum if bound == MINIMUM else limit.maximum
    energy = [_energy(content, scenario.energy_method) for _, content in used]
    return _form(limit, bound, value or 0.0, [limit], catalog, used, energy, batch)


def _form(
    limit: Limit,
    bound: str,
    value: float,
    limits: Sequence[Limit],
    catalog: Catalog,
    used: Sequence[tuple[Amount, Blend]],
    energy: Sequence[Mapping[str, float]],
    batch: BatchSums,
) -> Form:
    nutrient = catalog.nutrients[limit.nutrient]
    sign = 1.0 if bound == MINIMUM else -1.0
    destroyed = (
        bound == MINIMUM and limit.basis != Basis.RATIO and bool(batch.tagged.get(nutrient.destroyed_by or "", 0.0))
    )
    weights = []
    for (amount, _), kcal in zip(used, energy, strict=True):
        own: dict[str, float] = {}
        if not destroyed or amount.item.apart:
            own[limit.nutrient] = sign
        if bound == MINIMUM or limit.basis == Basis.RATIO or not amount.item.is_jar:  # jars make no ceiling wider
            for id_, need in _needs(limit, value, limits, kcal, catalog).items():
                own[id_] = own.get(id_, 0.0) - sign * need
        weights.append(own)
    ratio = limit.basis == Basis.RATIO
    id_ = f"{limit.nutrient}-{limit.of}" if ratio else limit.nutrient
    name = f"{nutrient.name} : {catalog.nutrients[limit.of].name}" if ratio else nutrient.name
    return Form(id_, name, bound, limit, tuple(weights), -sign * value if limit.basis == Basis.PER_BATCH else 0.0)


def _needs(
    limit: Limit, value: float, limits: Sequence[Limit], kcal: Mapping[str, float], catalog: Catalog
) -> dict[str, float]:
    """What a gram of each figure of an item adds to the amount that a limit asks for: one formula for each basis."""
    per = value / 1000
    if limit.basis == Basis.PER_1000_KCAL:
        return {id_: per * factor for id_, factor in kcal.items()}
    if limit.basis == Basis.PER_KG_DRY_MATTER:
        return {MASS: per, "water": -per}
    if limit.basis == Basis.PER_KG:
        return {MASS: per}
    if limit.basis == Basis.RATIO:
        return {limit.of: value}
    if limit.basis == Basis.INCREMENT:
        base = minimum_per_1000_kcal(limit.nutrient, limits)
        each = (base - value * limit.above) / 1000
        found = {id_: each * factor for id_, factor in kcal.items()}
        of = limit.of if limit.of in catalog.nutrients else TAG + limit.of
        found[of] = found.get(of, 0.0) + value
        return found
    return {}


def _energy(content: Blend, method: str) -> dict[str, float]:
    """Kilocalories for each gram of a constituent, as a food's own energy counts them."""
    per_protein, per_fat, per_extract = ENERGY_METHODS[method]
    found = {"protein": per_protein, "fat": per_fat}
    if content.contents["carbohydrate"].value > content.contents["fibre"].value:
        found |= {"carbohydrate": per_extract, "fibre": -per_extract}
    return found
