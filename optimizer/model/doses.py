"""How much of a jar may go in: no more than what it is for asks of it, whatever else it brings."""

from collections.abc import Collection, Iterator, Sequence

from catalog.kinds import Basis
from catalog.records import Catalog, Customary, Food, Limit
from catalog.units.quantities import Rate
from optimizer.model.affine import Affine, at_most_zero_if
from optimizer.model.columns import Ingredient, grams_by_meat
from optimizer.model.kinds import Kind, Tier
from optimizer.model.limit_terms import needs_of
from optimizer.model.problem import Column, Draft, Row
from optimizer.scenario.records import Dose, Item, Scenario

SALT = "salt-table"
ROUNDED_UP = 1 - 1e-6  # of a step: what is asked for, rounded up to whole steps, is less than one step above it


def dose_rows(draft: Draft, scenario: Scenario, catalog: Catalog, ingredients: Sequence[Ingredient]) -> None:
    """For each jar whose dose is open: no more than what by itself brings the whole target of the purpose that asks
    for most of it, rounded up to one step, and no more than is customary of the jar as such; or what the person wrote,
    where that is more."""
    limits = (*scenario.standard.mandatory, *scenario.limits)
    jars = [i for i in ingredients if i.item.is_jar]
    open_jars = {i.column for i in jars if draft.lower[i.column] < draft.upper[i.column]}
    energy = Affine({i.column: i.blend.kcal * i.grams / 1000 for i in ingredients})
    for id_ in dict.fromkeys(i.item.id for i in jars):
        own = [i for i in jars if i.item.id == id_]
        if all(i.column not in open_jars for i in own):
            continue
        written = list(_written(own[0].item, ingredients))
        asked = list(_asked_for(own[0], limits, catalog, ingredients, open_jars, energy))
        if asked:
            _bound(draft, own, _largest([*asked, *written]))
        customary = _customary(own[0].item.food, catalog)
        if customary is not None:
            _bound(draft, own, _largest([energy.times(customary.per_1000_kcal), *written]), "customary")


def _asked_for(
    jar: Ingredient,
    limits: Sequence[Limit],
    catalog: Catalog,
    ingredients: Sequence[Ingredient],
    open_jars: Collection[int],
    energy: Affine,
) -> Iterator[Affine]:
    """The grams of a jar that each of its purposes asks for in this batch; `open_jars` are columns, `energy` is that of
    everything, in 1000 kcal."""
    food = jar.item.food
    own_columns = {i.column for i in ingredients if i.item.id == jar.item.id}
    for purpose in food.purposes:
        content = jar.blend.contents[purpose]
        brings = content.low or content.value
        if brings <= 0:
            continue
        targets = [
            limit for limit in limits if limit.nutrient == purpose and limit.minimum and _can_hold(limit, ingredients)
        ]
        for limit in targets:
            least = limit.minimum or 0.0
            constant = least if limit.basis == Basis.PER_BATCH else 0.0
            needs = needs_of(limit, "minimum", least, limits, ingredients)
            if limit.basis == Basis.RATIO:  # what jars bring of the other side asks for no more of one that is for both
                left_out = open_jars if limit.of in food.purposes else own_columns
                needs = {j: need for j, need in needs.items() if j not in left_out}
            yield Affine(needs, constant).times(1 / brings)
        customary = catalog.customary.get(purpose)
        if not targets and customary is not None:
            yield energy.times(customary.per_1000_kcal / brings)


def _customary(food: Food, catalog: Catalog) -> Customary | None:
    """What is customary of a jar as such; a salt of the person's own is salt."""
    return catalog.customary.get(food.id) or (catalog.customary.get(SALT) if "salt" in food.tags else None)


def _can_hold(limit: Limit, ingredients: Sequence[Ingredient]) -> bool:
    """Whether a target can apply to this batch at all."""
    condition = limit.condition
    return condition is None or any(i.blend.tag_shares.get(condition.tag) for i in ingredients)


def _written(item: Item, ingredients: Sequence[Ingredient]) -> Iterator[Affine]:
    """The grams of a jar that the person wrote."""
    doses: tuple[Dose | None, ...] = (item.at_least, item.exactly, item.usual)
    for dose in doses:
        if isinstance(dose, Rate):
            yield grams_by_meat(item, dose, ingredients)
        elif dose is not None:
            yield Affine({}, float(item.units(dose) * item.grams_per_unit))


def _largest(sums: Sequence[Affine]) -> list[Affine]:
    """Those sums that no other is always as large as."""
    found: list[Affine] = []
    for one in sums:
        if any(_covers(other, one) for other in found):
            continue
        found = [other for other in found if not _covers(one, other)] + [one]
    return found


def _covers(large: Affine, small: Affine) -> bool:
    """Whether a sum over columns that are never negative is always as large as another."""
    columns = large.terms.keys() | small.terms.keys()
    return large.constant >= small.constant and all(large.terms.get(j, 0.0) >= small.terms.get(j, 0.0) for j in columns)


def _bound(draft: Draft, own: Sequence[Ingredient], asked: Sequence[Affine], name: str = "dose") -> None:
    """The rows that keep a jar at or below the largest of what is asked for."""
    item = own[0].item
    dose = Affine({i.column: i.grams for i in own})
    step = max((i.grams for i in own if draft.integer[i.column]), default=0.0) * ROUNDED_UP
    words = f"{item.food.name}: no more than what it is for asks of it"
    # by what is asked for, not by what could be poured in: no coefficient is too small for the solver then
    scale = max((most.most(draft) for most in asked), default=0.0) or dose.most(draft) or 1.0
    over = [dose - most - Affine({}, step) for most in asked]
    if any(each.most(draft) <= 0 for each in over):
        return
    if len(over) == 1:
        draft.row(Row(f"{name}:{item.id}", Tier.NEVER, words, scale), over[0].terms, upper=-over[0].constant)
        return
    chosen: dict[int, float] = {}
    for number, each in enumerate(over):
        switch = draft.column(Column(f"{name}:{item.id}:{number}", Kind.SWITCH), 0, 1, integer=True)
        chosen[switch] = 1.0
        at_most_zero_if(draft, Row(f"{name}:{item.id}:{number}", Tier.NEVER, words, scale), each, switch)
    draft.row(Row(f"{name}:{item.id}", Tier.NEVER, words), chosen, lower=1.0)
