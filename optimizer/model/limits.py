"""Published and own limits -> rows: one formula for each basis, a switch for each condition."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from catalog.kinds import Basis
from catalog.nutrition.composition import Blend
from catalog.records import Catalog, Limit
from optimizer.model.columns import Ingredient
from optimizer.model.guards import soft_ceiling
from optimizer.model.kinds import Kind, Tier
from optimizer.model.limit_terms import counted, grams_of, limit_text, needs_of
from optimizer.model.problem import Column, Draft, Row


def limit_rows(
    draft: Draft,
    number: int,
    limit: Limit,
    limits: Sequence[Limit],
    ingredients: Sequence[Ingredient],
    catalog: Catalog,
    soft_ceilings: bool = False,
) -> None:
    """The rows of one limit: a target, a ceiling or both, and the switch of a limit that is conditional.

    With `soft_ceilings` a ceiling may be passed by food, as a guard may.
    """
    if limit.basis == Basis.INCREMENT and not any(grams_of(i.blend, limit.of) for i in ingredients):
        return
    switch = None
    if limit.condition:
        if not any(i.blend.tag_shares.get(limit.condition.tag) for i in ingredients):
            return
        if not _kept_without_the_tagged(draft, limit, limits, ingredients):
            switch = _switch(draft, number, limit, ingredients)
    for side, bound in (("minimum", limit.minimum), ("maximum", limit.maximum)):
        if bound is None:
            continue
        toxic = catalog.nutrients[limit.nutrient].toxic and side == "maximum"
        row_id, words = f"{side}:{number}:{limit.nutrient}", limit_text(limit, side, bound, catalog)
        row = Row(row_id, Tier.SAFETY if toxic else Tier.TARGET, words, 1.0, limit, limit.file, limit.line)
        if soft_ceilings and side == "maximum" and limit.basis != Basis.RATIO and switch is None:
            soft_ceiling(draft, row, limit, limits, ingredients, toxic, Kind.CEILING_TOXIC if toxic else Kind.CEILING)
            continue
        needs = needs_of(limit, side, bound, limits, ingredients)
        coefficients = {i.column: counted(i.blend, limit, side) * i.grams - needs[i.column] for i in ingredients}
        constant = bound if limit.basis == Basis.PER_BATCH else 0.0
        scale = constant or sum(abs(need) * draft.upper[j] for j, need in needs.items()) or 1.0
        lower, upper = (constant, np.inf) if side == "minimum" else (-np.inf, constant)
        if side == "minimum" and switch is None:
            _given_apart(draft, replace(row, scale=scale), limit, needs, constant, ingredients, catalog)
        if switch is not None:
            coefficients, lower, upper = _switched(draft, coefficients, lower, upper, switch)
        draft.row(replace(row, scale=scale), coefficients, lower, upper, needs, constant)


def _given_apart(
    draft: Draft,
    row: Row,
    limit: Limit,
    needs: Mapping[int, float],
    constant: float,
    ingredients: Sequence[Ingredient],
    catalog: Catalog,
) -> None:
    """The row of a target whose nutrient some raw food destroys in the mix: where that goes in, only what is given
    apart counts."""
    tag = catalog.nutrients[limit.nutrient].destroyed_by
    tagged = {i.column: i.grams for i in ingredients if tag and i.blend.tag_shares.get(tag)}
    most = draft.most(tagged)
    if most <= 0:
        return
    row = replace(row, id=f"{row.id}:apart", label=f"{row.label} (raw fish here destroys it in the mix)")
    left = {
        i.column: counted(i.blend, limit, "minimum") * i.grams * i.item.apart - needs[i.column] for i in ingredients
    }
    if draft.least(tagged) > 0:
        draft.row(row, left, constant, np.inf, needs, constant)
        return
    goes_in = draft.column(Column(row.id, Kind.SWITCH), 0, 1, integer=True)
    draft.row(Row(f"{row.id}:goes_in", Tier.NEVER, f"{tag} goes in", most), {**tagged, goes_in: -most}, upper=0.0)
    room = max(0.0, constant - draft.least(left))
    draft.row(row, {**left, goes_in: -room}, constant - room, np.inf, needs, constant)


def _kept_without_the_tagged(
    draft: Draft, limit: Limit, limits: Sequence[Limit], ingredients: Sequence[Ingredient]
) -> bool:
    """Whether a ceiling that holds with any of what is tagged is kept by everything else anyway: then it needs no
    switch, and the solver is spared a loose row."""
    condition = limit.condition
    if condition is None or condition.share or limit.maximum is None or limit.minimum is not None:
        return False
    rest = [i for i in ingredients if not i.blend.tag_shares.get(condition.tag)]
    needs = needs_of(limit, "maximum", limit.maximum, limits, rest)
    most = draft.most({i.column: counted(i.blend, limit, "maximum") * i.grams - needs[i.column] for i in rest})
    return most <= (limit.maximum if limit.basis == Basis.PER_BATCH else 0.0)


def _switch(draft: Draft, number: int, limit: Limit, ingredients: Sequence[Ingredient]) -> int:
    """A column that has to be 1 when foods of the condition's tag are more than its share of the batch."""
    condition = limit.condition
    assert condition is not None
    switch = draft.column(Column(f"{limit.nutrient}:{number}", Kind.SWITCH), 0, 1, integer=True)
    excess = {i.column: i.grams * _excess(i.blend, condition.tag, condition.share, condition.of) for i in ingredients}
    most = max(draft.most(excess), 1e-9)
    draft.row(
        Row(f"switch:{number}", Tier.NEVER, f"{condition.tag} switches {limit.nutrient}", most),
        {**excess, switch: -most},
        upper=0.0,
    )
    return switch


def _excess(blend_: Blend, tag: str, share: float, of: str) -> float:
    tagged = blend_.tag_shares.get(tag, 0.0)
    return (tagged - share) if of == "mass" else (tagged - share) * blend_.dry_matter


def _switched(
    draft: Draft, coefficients: dict[int, float], lower: float, upper: float, switch: int
) -> tuple[dict[int, float], float, float]:
    """The same row, slack unless its switch is 1."""
    if np.isfinite(lower):
        room = max(0.0, lower - draft.least(coefficients))
        return {**coefficients, switch: -room}, lower - room, upper
    room = max(0.0, draft.most(coefficients) - upper)
    return {**coefficients, switch: room}, lower, upper + room
