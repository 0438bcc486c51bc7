"""Guards and common shares as rows: soft, each with a slack of its own, and never passed by jars.

With F what food holds of a nutrient and what was set by hand, J what open jars add, and G the guard of this batch:
F + J <= G + slack, and either F + J <= G, or food passes it by itself (F >= G) and jars add traces only.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from catalog.kinds import Basis
from catalog.nutrition.guards import COMMON_SHARES, guards
from catalog.records import Catalog, Condition, Limit
from catalog.units.quantities import Rate
from optimizer.assess.shares import is_eaten_as_meat, share_of
from optimizer.model.affine import NOTHING, Affine, at_most_zero_if
from optimizer.model.columns import Ingredient, grams_by_meat
from optimizer.model.kinds import PASSED, Kind, Tier
from optimizer.model.limit_terms import counted, limit_text, needs_of
from optimizer.model.problem import Column, Draft, Row
from optimizer.scenario.records import Scenario

# What jars may bring along of what food holds too much of already, as a share of the guard: our own choice, no source.
TRACES, TOXIC_TRACES = 0.05, 0.01


def guard_rows(
    draft: Draft,
    scenario: Scenario,
    catalog: Catalog,
    ingredients: Sequence[Ingredient],
    own_shares: Sequence[str] = (),
) -> None:
    """The rows of every guard of the scenario's standard and of every common share but those that the person set."""
    limits = (*scenario.standard.mandatory, *scenario.limits)
    for number, guard in enumerate(guards(catalog, scenario.standard)):
        words = f"{limit_text(guard, 'maximum', guard.maximum or 0.0, catalog)} (a guard, not the standard's)"
        row = Row(f"guard:{number}:{guard.nutrient}", Tier.GUARD, words, 1.0, guard)
        toxic = catalog.nutrients[guard.nutrient].toxic
        if guard.condition is not None and not _set_by_hand(draft, guard.condition, ingredients):
            _only_within(draft, row, guard, guard.condition, limits, ingredients)
        else:
            soft_ceiling(draft, row, guard, limits, ingredients, toxic)
    for of, most in COMMON_SHARES.items():
        if of not in own_shares:
            _common_share(draft, of, most, ingredients)


def soft_ceiling(
    draft: Draft,
    row: Row,
    limit: Limit,
    limits: Sequence[Limit],
    ingredients: Sequence[Ingredient],
    toxic: bool,
    kind: Kind | None = None,
) -> None:
    """The rows of one ceiling that food may pass and open jars may not. `kind` is that of its slack, for ceilings of
    the standard, which give way to nothing else."""
    sums = _sums(draft, limit, limits, ingredients)
    whole = sums.guard.most(draft) or 1.0
    row = replace(row, scale=whole, rule=row.id)
    over, every = sums.food - sums.guard, sums.food + sums.jars - sums.guard
    if over.most(draft) <= NOTHING * whole:
        _at_most_zero(draft, replace(row, tier=Tier.NEVER) if kind else row, every, sums.guard)
        return
    slack = draft.column(
        Column(row.id, kind or (Kind.PASSED_TOXIC if toxic else Kind.PASSED), row=row.id),
        0,
        float("inf"),
        integer=False,
    )
    _at_most_zero(draft, row, every + Affine({slack: -whole}), sums.guard)
    _counted(draft, row, slack, (over + sums.jars).most(draft) / whole, must=over.least(draft) > NOTHING * whole)
    if not sums.jars.terms:
        return
    traces = sums.jars - sums.guard.times(TOXIC_TRACES if toxic else TRACES)
    meant = [i for i in ingredients if toxic and _is_open_jar(draft, i) and limit.nutrient in i.item.food.purposes]
    more = [(f"{i.column}", Affine({i.column: i.grams}, -i.grams * draft.lower[i.column])) for i in meant]
    no_more = [(replace(row, id=f"{row.id}:{name}"), total) for name, total in (("traces", traces), *more)]
    if over.least(draft) >= 0:
        for each, total in no_more:
            _at_most_zero(draft, each, total, sums.guard)
        return
    by_food = draft.column(Column(row.id, Kind.BY_FOOD), 0, 1, integer=True)
    _unless(draft, replace(row, id=f"{row.id}:kept"), every, by_food)
    at_most_zero_if(draft, replace(row, id=f"{row.id}:by_food"), over.times(-1.0), by_food)
    for each, total in no_more:
        at_most_zero_if(draft, each, total, by_food)


@dataclass(frozen=True, slots=True)
class _Sums:
    """A ceiling over the columns: what food holds and what was set by hand, what open jars add, the ceiling itself."""

    food: Affine
    jars: Affine
    guard: Affine


def _sums(draft: Draft, limit: Limit, limits: Sequence[Limit], ingredients: Sequence[Ingredient]) -> _Sums:
    food = jars = Affine()
    for i in ingredients:
        holds = counted(i.blend, limit, "maximum", food=not i.item.is_jar)
        if not holds:
            continue
        own = Affine({i.column: holds * i.grams})
        if not _is_open_jar(draft, i):
            food += own
            continue
        by_hand = Affine({}, holds * i.grams * draft.lower[i.column])
        least = i.item.at_least
        if isinstance(least, Rate):
            by_hand += grams_by_meat(i.item, least, ingredients).times(holds)
        food, jars = food + by_hand, jars + own - by_hand
    bound = limit.maximum or 0.0
    constant = bound if limit.basis == Basis.PER_BATCH else 0.0
    return _Sums(food, jars, Affine(needs_of(limit, "maximum", bound, limits, ingredients), constant))


def _is_open_jar(draft: Draft, ingredient: Ingredient) -> bool:
    """Whether the plan chooses the dose; one that goes by weight of meat exactly is set by hand."""
    item = ingredient.item
    settled = draft.lower[ingredient.column] >= draft.upper[ingredient.column] or isinstance(item.exactly, Rate)
    return item.is_jar and not settled


def _set_by_hand(draft: Draft, condition: Condition, ingredients: Sequence[Ingredient]) -> bool:
    """Whether something that a ceiling depends on goes in whatever the plan is."""
    return any(
        i.blend.tag_shares.get(condition.tag)
        and (draft.lower[i.column] > 0 or isinstance(i.item.at_least or i.item.exactly, Rate))
        for i in ingredients
    )


def _only_within(
    draft: Draft,
    row: Row,
    limit: Limit,
    condition: Condition,
    limits: Sequence[Limit],
    ingredients: Sequence[Ingredient],
) -> None:
    """What a ceiling depends on goes in only where the ceiling is kept with it."""
    tagged = {i.column: i.grams for i in ingredients if i.blend.tag_shares.get(condition.tag)}
    most = draft.most(tagged)
    if most <= 0:
        return
    sums = _sums(draft, limit, limits, ingredients)
    every = sums.food + sums.jars - sums.guard
    whole = sums.guard.most(draft) or 1.0
    if every.most(draft) <= NOTHING * whole:
        return
    row = replace(row, scale=whole, rule=row.id)
    added = draft.column(Column(row.id, Kind.SWITCH), 0, 1, integer=True)
    at_most_zero_if(draft, row, every, added, sums.guard)
    words = replace(row, id=f"{row.id}:added", scale=most)
    draft.row(words, {**tagged, added: -most}, upper=0.0)


def _common_share(draft: Draft, of: str, most: float, ingredients: Sequence[Ingredient]) -> None:
    """The row of one common share; none where what goes in whole settles it, or nothing can pass it."""
    meat = [i for i in ingredients if is_eaten_as_meat(i.item)]
    whole = Affine({i.column: most * i.grams for i in meat})
    over = Affine({i.column: share_of(i.blend, i.item, of) * i.grams for i in meat}) - whole
    scale = whole.most(draft) or 1.0
    if over.most(draft) <= NOTHING * scale:
        return
    words = f"{of.replace('-', ' ')} at most {100 * most:g} % of the meat (common practice)"
    row = Row(f"common:{of}", Tier.GUARD, words, scale)
    slack = draft.column(Column(row.id, Kind.PASSED, row=row.id), 0, float("inf"), integer=False)
    _at_most_zero(draft, row, over + Affine({slack: -scale}), whole)
    _counted(draft, row, slack, over.most(draft) / scale, must=over.least(draft) > NOTHING * scale)


def _counted(draft: Draft, row: Row, slack: int, most: float, must: bool) -> None:
    """A column that is 1 where a guard is passed that could be kept: one that has to give takes no other with it."""
    column = draft.columns[slack]
    if must or column.kind not in PASSED:
        return
    given = draft.column(Column(row.id, PASSED[column.kind]), 0, 1, integer=True)
    draft.row(Row(f"{row.id}:given", Tier.NEVER, "passed at all"), {slack: 1.0, given: -max(most, 1e-6)}, upper=0.0)


def _at_most_zero(draft: Draft, row: Row, total: Affine, whole: Affine) -> None:
    """The row that keeps a sum at zero or below, where it is not there anyway."""
    if total.most(draft) > NOTHING * row.scale:
        draft.row(row, total.terms, upper=-total.constant, needs=whole.terms, need_constant=whole.constant)


def _unless(draft: Draft, row: Row, total: Affine, switch: int) -> None:
    """A sum is at zero or below where the switch is 0."""
    room = max(0.0, total.most(draft))
    if room > NOTHING * row.scale:
        draft.row(row, {**total.terms, switch: -room}, upper=-total.constant)
