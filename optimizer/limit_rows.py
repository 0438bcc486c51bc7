"""Published and own limits -> rows: one formula for each basis, a switch for each condition."""

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from catalog.blends import Blend
from catalog.records import Catalog, Limit
from optimizer.arrays import Column, Draft, Row
from optimizer.ingredients import Ingredient

Weight = Callable[[Blend], float]


def limit_rows(
    draft: Draft,
    number: int,
    limit: Limit,
    limits: Sequence[Limit],
    ingredients: Sequence[Ingredient],
    catalog: Catalog,
    guard: bool = False,
) -> None:
    """The rows of one limit: a target, a ceiling or both, and the switch of a limit that is conditional.

    A `guard` gives way last, like the ceiling of a toxic nutrient.
    """
    if limit.basis == "increment" and not any(_grams_of(i.blend, limit.of) for i in ingredients):
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
        needs = _needs(limit, bound, limits, ingredients)
        coefficients = {i.column: _counted(i.blend, limit, side) * i.grams - needs[i.column] for i in ingredients}
        constant = bound if limit.basis == "per_batch" else 0.0
        spread = {i.column: i.blend.contents[limit.nutrient].sd * i.grams for i in ingredients}
        scale = constant or sum(abs(need) * draft.upper[j] for j, need in needs.items()) or 1.0
        toxic = guard or (catalog.nutrients[limit.nutrient].toxic and side == "maximum")
        tier = "safety" if toxic else "wish" if limit.source == "scenario" else "target"
        words = limit_text(limit, side, bound, catalog)
        row = Row(f"{side}:{number}:{limit.nutrient}", tier, words, scale, limit, limit.file, limit.line)
        lower, upper = (constant, np.inf) if side == "minimum" else (-np.inf, constant)
        if switch is not None:
            coefficients, lower, upper = _switched(draft, coefficients, lower, upper, switch)
        draft.row(row, coefficients, lower, upper, spread, needs, constant)


def limit_text(limit: Limit, side: str, bound: float, catalog: Catalog) -> str:
    """One side of a limit in words: "iodine at least 150 ug per 1000 kcal"."""
    nutrient = catalog.nutrients[limit.nutrient]
    words = "at least" if side == "minimum" else "at most"
    if limit.basis == "ratio":
        return f"{nutrient.name} : {catalog.nutrients[limit.of].name} {words} {bound:g}"
    basis = "more for each g of " + limit.of if limit.basis == "increment" else limit.basis.replace("_", " ")
    law = " (the legal maximum where it is added)" if limit.maximum_kind == "legal" and side == "maximum" else ""
    return f"{nutrient.name} {words} {bound:g} {nutrient.unit} {basis.replace('per batch', 'in the batch')}{law}"


def _counted(blend_: Blend, limit: Limit, side: str) -> float:
    """What a gram counts towards a limit: the low figure towards a target, the high one towards a ceiling."""
    content = blend_.contents[limit.nutrient]
    if limit.basis == "ratio":
        return content.value
    return content.low if side == "minimum" else content.high


def _against(limit: Limit, bound: float, limits: Sequence[Limit]) -> Weight:
    """What a gram adds to the amount that the limit asks for: one formula for each basis."""
    per_kcal = bound / 1000
    if limit.basis == "increment":
        base = [o.minimum for o in limits if o.nutrient == limit.nutrient and o.basis == "per_1000_kcal" and o.minimum]
        start = max(base, default=0.0) / 1000
        return lambda b: start * b.kcal + bound * (_grams_of(b, limit.of) - limit.above / 1000 * b.kcal)
    weights: Mapping[str, Weight] = {
        "per_1000_kcal": lambda b: per_kcal * b.kcal,
        "per_kg_dry_matter": lambda b: per_kcal * b.dry_matter,
        "per_kg": lambda _: per_kcal,
        "per_batch": lambda _: 0.0,
        "ratio": lambda b: bound * b.contents[limit.of].value,
    }
    return weights[limit.basis]


def _needs(limit: Limit, bound: float, limits: Sequence[Limit], ingredients: Sequence[Ingredient]) -> dict[int, float]:
    """What a step of each ingredient adds to the amount that the limit asks for."""
    against = _against(limit, bound, limits)
    return {i.column: against(i.blend) * i.grams for i in ingredients}


def _kept_without_the_tagged(
    draft: Draft, limit: Limit, limits: Sequence[Limit], ingredients: Sequence[Ingredient]
) -> bool:
    """Whether a ceiling that holds with any of what is tagged is kept by everything else anyway: then it needs no
    switch, and the solver is spared a loose row."""
    condition = limit.condition
    if condition is None or condition.share or limit.maximum is None or limit.minimum is not None:
        return False
    rest = [i for i in ingredients if not i.blend.tag_shares.get(condition.tag)]
    needs = _needs(limit, limit.maximum, limits, rest)
    most = draft.most({i.column: _counted(i.blend, limit, "maximum") * i.grams - needs[i.column] for i in rest})
    return most <= (limit.maximum if limit.basis == "per_batch" else 0.0)


def _grams_of(blend_: Blend, name: str) -> float:
    """Grams of a nutrient, or of foods with a tag, in a gram of food."""
    return blend_.contents[name].value if name in blend_.contents else blend_.tag_shares.get(name, 0.0)


def _switch(draft: Draft, number: int, limit: Limit, ingredients: Sequence[Ingredient]) -> int:
    """A column that has to be 1 when foods of the condition's tag are more than its share of the batch."""
    condition = limit.condition
    assert condition is not None
    switch = draft.column(Column(f"{limit.nutrient}:{number}", "switch"), 0, 1, integer=True)
    excess = {i.column: i.grams * _excess(i.blend, condition.tag, condition.share, condition.of) for i in ingredients}
    most = max(draft.most(excess), 1e-9)
    draft.row(
        Row(f"switch:{number}", "", f"{condition.tag} switches {limit.nutrient}", most),
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
