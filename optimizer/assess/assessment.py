"""Amounts -> nutrients against a standard. Plans and checks are judged here; no solver is known here."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import fsum, inf

from catalog.nutrition.composition import ENERGY_METHODS, Blend, blend, bone_interval_of, kcal_by_method
from catalog.nutrition.guards import guards
from catalog.records import Catalog, Condition, Limit, Nutrient
from optimizer.assess.result import (
    BUDGET,
    CAP,
    GUARD,
    MET,
    NO_LIMIT,
    OVER,
    RANGE,
    SHARE,
    SHORT,
    UNKNOWN,
    Assessment,
    BoneRange,
    Dependence,
    GuardLine,
    NutrientLine,
    RatioLine,
    Totals,
    figure,
)
from optimizer.assess.shares import uncommon_shares
from optimizer.errors import NothingToAssess
from optimizer.scenario.records import Item, Scenario

# Relative; far below what any kitchen scale shows, far above the rounding of floating-point sums.
TOLERANCE = 1e-6
PARTS = {"bone": "bone is", "liver": "liver is", "secreting-organ": "secreting organs are"}
TIGHT = Fraction(99, 100)  # of the budget: a plan that costs more than this is held by it


@dataclass(frozen=True, slots=True)
class Amount:
    """What goes in of one item: a count of its measure, exact."""

    item: Item
    count: Fraction

    @property
    def grams(self) -> float:
        """The mass of it."""
        return float(self.count * self.item.grams_per_unit)


@dataclass(frozen=True, slots=True)
class _Batch:
    """Sums over the batch, by nutrient and by tag. What is `food_` leaves out what comes from jars: it is what ceilings
    are a share of. `legal` counts food by its best figures and jars by their high ones: what food may hold beyond what
    is known of it is no additive."""

    kcal: float
    dry_matter: float
    mass: float
    food_kcal: float
    food_dry_matter: float
    food_mass: float
    low: Mapping[str, float]
    value: Mapping[str, float]
    high: Mapping[str, float]
    legal: Mapping[str, float]
    unknown: Mapping[str, float]
    tagged: Mapping[str, float]
    tagged_dry: Mapping[str, float]


def assess(scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount]) -> Assessment:
    """The assessment of amounts against the scenario's standard and own limits.

    Raises NothingToAssess when the amounts weigh nothing or bring no energy: nothing holds per 1000 kcal then.
    """
    used = [(amount, _blend_of(amount, scenario, catalog)) for amount in amounts if amount.count > 0]
    batch = _sum(used, catalog)
    if batch.food_kcal <= 0:
        raise NothingToAssess(f"{scenario.file}: no food in this batch brings energy, so nothing can be assessed")
    limits = [limit for limit in (*scenario.standard.binding, *scenario.limits) if _applies(limit.condition, batch)]
    totals = _totals(scenario, catalog, used, batch)
    ends = _bone_ends(scenario, catalog, used)
    found = Assessment(
        totals=totals,
        nutrients=tuple(_line(n, limits, batch) for n in catalog.nutrients.values()),
        ratios=tuple(_ratio(limit, batch, catalog) for limit in limits if limit.basis == "ratio"),
        cap_kept=totals.non_meat_share <= scenario.non_meat_cap * (1 + TOLERANCE),
        bone_range=_bone_range(ends),
        above_guards=_above_guards(scenario, catalog, limits, batch),
        above_shares=tuple(uncommon_shares([(a.item, a.grams) for a, _ in used], scenario, catalog)),
        cost=_cost(used),
        budget=scenario.budget,
        currency=scenario.currency,
    )
    return replace(found, depends_on=tuple(_depends_on(found, limits, ends, catalog)))


def _cost(used: Sequence[tuple[Amount, Blend]]) -> Fraction | None:
    """What everything with a price costs, exactly."""
    priced = [a for a, _ in used if a.item.price_per_gram is not None]
    costs = (a.count * a.item.grams_per_unit * (a.item.price_per_gram or 0) for a in priced)
    return sum(costs, Fraction()) if priced else None


def _blend_of(amount: Amount, scenario: Scenario, catalog: Catalog, bone_share: float | None = None) -> Blend:
    share = amount.item.bone_share if bone_share is None else bone_share
    return blend(amount.item.food, catalog, scenario.energy_method, share)


def _sum(used: Sequence[tuple[Amount, Blend]], catalog: Catalog) -> _Batch:
    contents = [(amount.grams, content) for amount, content in used]
    food = [(amount.grams, content) for amount, content in used if not amount.item.is_jar]

    def figures(side: str) -> dict[str, float]:
        return {
            id_: fsum(grams * float(getattr(content.contents[id_], side)) for grams, content in contents)
            for id_ in catalog.nutrients
        }

    tagged: dict[str, float] = {}
    tagged_dry: dict[str, float] = {}
    for grams, content in contents:
        for tag, share in content.tag_shares.items():
            tagged[tag] = tagged.get(tag, 0.0) + grams * share
            tagged_dry[tag] = tagged_dry.get(tag, 0.0) + grams * share * content.dry_matter
    return _Batch(
        kcal=fsum(grams * content.kcal for grams, content in contents),
        dry_matter=fsum(grams * content.dry_matter for grams, content in contents),
        mass=fsum(grams for grams, _ in contents),
        food_kcal=fsum(grams * content.kcal for grams, content in food),
        food_dry_matter=fsum(grams * content.dry_matter for grams, content in food),
        food_mass=fsum(grams for grams, _ in food),
        low=figures("low") | _destroyed(used, catalog, tagged),
        value=figures("value"),
        high=figures("high"),
        legal={
            id_: fsum(
                amount.grams * (content.contents[id_].high if amount.item.is_jar else content.contents[id_].value)
                for amount, content in used
            )
            for id_ in catalog.nutrients
        },
        unknown=figures("unknown_share"),
        tagged=tagged,
        tagged_dry=tagged_dry,
    )


def _destroyed(used: Sequence[tuple[Amount, Blend]], catalog: Catalog, tagged: Mapping[str, float]) -> dict[str, float]:
    """What counts of the nutrients that some raw food in the mix destroys: what is given apart."""
    return {
        nutrient.id: fsum(a.grams * content.contents[nutrient.id].low for a, content in used if a.item.apart)
        for nutrient in catalog.nutrients.values()
        if nutrient.destroyed_by and tagged.get(nutrient.destroyed_by)
    }


def _applies(condition: Condition | None, batch: _Batch) -> bool:
    if condition is None:
        return True
    if condition.of == "mass":
        return batch.tagged.get(condition.tag, 0.0) > condition.share * batch.mass
    return batch.tagged_dry.get(condition.tag, 0.0) > condition.share * batch.dry_matter


def _above_guards(
    scenario: Scenario, catalog: Catalog, limits: Sequence[Limit], batch: _Batch
) -> tuple[GuardLine, ...]:
    """The guards that are passed. One that the standard's own ceiling is below is not told again: who passes it misses
    the standard."""
    found = []
    for guard in guards(catalog, scenario.standard):
        if not _applies(guard.condition, batch):
            continue
        most = _at_most(guard, batch)
        there = batch.legal[guard.nutrient] if guard.maximum_kind == "legal" else batch.high[guard.nutrient]
        if there <= most * (1 + TOLERANCE) or _own_ceiling(guard.nutrient, limits, batch) <= most:
            continue
        whole = (batch.food_dry_matter if guard.basis == "per_kg_dry_matter" else batch.food_kcal) / 1000
        nutrient = catalog.nutrients[guard.nutrient]
        found.append(GuardLine(nutrient, there / whole, most / whole, guard.basis, guard.maximum_kind, guard.source))
    return tuple(found)


def _own_ceiling(nutrient: str, limits: Sequence[Limit], batch: _Batch) -> float:
    """The standard's own lowest ceiling as an amount in this batch; infinite where it sets none."""
    own = [
        _at_most(limit, batch)
        for limit in limits
        if limit.nutrient == nutrient and limit.maximum is not None and limit.basis != "ratio"
        if limit.source != "scenario"
    ]
    return min(own, default=inf)


def _at_most(limit: Limit, batch: _Batch) -> float:
    """A ceiling as an amount in this batch: jars are no food, and widen no ceiling."""
    wholes = {
        "per_1000_kcal": batch.food_kcal / 1000,
        "per_kg_dry_matter": batch.food_dry_matter / 1000,
        "per_kg": batch.food_mass / 1000,
        "per_batch": 1.0,
    }
    return (limit.maximum or 0.0) * wholes[limit.basis]


def _at_least(limit: Limit, limits: Sequence[Limit], batch: _Batch) -> float:
    """A target as an amount in this batch."""
    bound = limit.minimum or 0.0
    if limit.basis == "increment":
        base = [o.minimum for o in limits if o.nutrient == limit.nutrient and o.basis == "per_1000_kcal" and o.minimum]
        of = batch.value[limit.of] if limit.of in batch.value else batch.tagged.get(limit.of, 0.0)
        return max(base, default=0.0) * batch.kcal / 1000 + bound * (of - limit.above * batch.kcal / 1000)
    wholes = {
        "per_1000_kcal": batch.kcal / 1000,
        "per_kg_dry_matter": batch.dry_matter / 1000,
        "per_kg": batch.mass / 1000,
        "per_batch": 1.0,
    }
    return bound * wholes[limit.basis]


def _line(nutrient: Nutrient, limits: Sequence[Limit], batch: _Batch) -> NutrientLine:
    own = [limit for limit in limits if limit.nutrient == nutrient.id and limit.basis != "ratio"]
    least = [(_at_least(limit, limits, batch), limit) for limit in own if limit.minimum is not None]
    most = [(_at_most(limit, batch), limit) for limit in own if limit.maximum is not None]
    minimum, low_limit = max(least, key=lambda pair: pair[0], default=(None, None))
    maximum, high_limit = min(most, key=lambda pair: pair[0], default=(None, None))
    low, high, unknown = batch.low[nutrient.id], batch.high[nutrient.id], batch.unknown[nutrient.id] / batch.mass
    per_kcal, per_food_kcal = 1000 / batch.kcal, 1000 / batch.food_kcal
    return NutrientLine(
        nutrient=nutrient,
        total=low,
        total_high=high,
        per_1000_kcal=low * per_kcal,
        high_per_1000_kcal=high * per_food_kcal,
        per_kg_dry_matter=low * 1000 / batch.dry_matter if batch.dry_matter > 0 else 0.0,
        minimum=None if minimum is None else minimum * per_kcal,
        maximum=None if maximum is None else maximum * per_food_kcal,
        status=_status(low, high, minimum, maximum, unknown),
        unknown_share=unknown,
        minimum_source=low_limit.source if low_limit else "",
        maximum_source=high_limit.source if high_limit else "",
        note=" ".join(dict.fromkeys(limit.note for limit in (low_limit, high_limit) if limit and limit.note)),
    )


def _status(low: float, high: float, minimum: float | None, maximum: float | None, unknown: float) -> str:
    if minimum is None and maximum is None:
        return NO_LIMIT
    if maximum is not None and high > maximum * (1 + TOLERANCE):
        return OVER
    if minimum is not None and low < minimum * (1 - TOLERANCE):
        return UNKNOWN if unknown > 1 - TOLERANCE else SHORT
    return MET


def _ratio(limit: Limit, batch: _Batch, catalog: Catalog) -> RatioLine:
    above, below = batch.value[limit.nutrient], batch.value[limit.of]
    value = above / below if below > 0 else None
    status = MET
    if value is None:
        status = UNKNOWN
    elif limit.maximum is not None and value > limit.maximum * (1 + TOLERANCE):
        status = OVER
    elif limit.minimum is not None and value < limit.minimum * (1 - TOLERANCE):
        status = SHORT
    name = f"{catalog.nutrients[limit.nutrient].name} : {catalog.nutrients[limit.of].name}"
    return RatioLine(
        f"{limit.nutrient}-{limit.of}", name, value, limit.minimum, limit.maximum, status, limit.source, limit.note
    )


def _totals(scenario: Scenario, catalog: Catalog, used: Sequence[tuple[Amount, Blend]], batch: _Batch) -> Totals:
    by_class = {
        kind: fsum(amount.grams for amount, _ in used if amount.item.counts_as == kind)
        for kind in ("meat", "non-meat", "water")
    }
    intervals = [(amount.grams, *_bone_interval(amount, catalog)) for amount, _ in used]
    return Totals(
        mass_g=batch.mass,
        meat_g=by_class["meat"],
        non_meat_g=by_class["non-meat"],
        water_added_g=by_class["water"],
        bone_g=fsum(amount.grams * content.bone_share for amount, content in used),
        energy_kcal=batch.kcal,
        dry_matter_g=batch.dry_matter,
        non_meat_cap=scenario.non_meat_cap,
        bone_share_low=fsum(grams * low for grams, low, _ in intervals) / batch.mass,
        bone_share_high=fsum(grams * high for grams, _, high in intervals) / batch.mass,
        kcal_by_method={
            method: fsum(amount.grams * kcal_by_method(content)[method] for amount, content in used)
            for method in ENERGY_METHODS
        },
    )


def _bone_interval(amount: Amount, catalog: Catalog) -> tuple[float, float]:
    """The interval of a cut's bone share; a share measured at home has none."""
    own = amount.item.bone_share
    return (own, own) if own is not None else bone_interval_of(amount.item.food, catalog.foods)


def _bone_ends(scenario: Scenario, catalog: Catalog, used: Sequence[tuple[Amount, Blend]]) -> tuple[_Batch, ...]:
    """The batch at the low and at the high end of every cut's bone share; nothing without a range."""
    if not any(low < high for low, high in (_bone_interval(amount, catalog) for amount, _ in used)):
        return ()
    return tuple(
        _sum([(a, _blend_of(a, scenario, catalog, _bone_interval(a, catalog)[end])) for a, _ in used], catalog)
        for end in (0, 1)
    )


def _bone_range(ends: Sequence[_Batch]) -> BoneRange | None:
    """Calcium and Ca:P at both ends of the bone."""
    if not ends or any(batch.value["phosphorus"] <= 0 for batch in ends):
        return None
    calcium = [batch.value["calcium"] * 1000 / batch.kcal for batch in ends]
    ratio = [batch.value["calcium"] / batch.value["phosphorus"] for batch in ends]
    return BoneRange(calcium[0], calcium[1], ratio[0], ratio[1])


def _depends_on(
    found: Assessment, limits: Sequence[Limit], ends: Sequence[_Batch], catalog: Catalog
) -> Iterator[Dependence]:
    """What decides beside the limits."""
    told = set[str]()
    for guard in found.above_guards:
        if guard.nutrient.id in told:
            continue
        told.add(guard.nutrient.id)
        whole = "kg of dry matter" if guard.basis == "per_kg_dry_matter" else "1000 kcal"
        amounts = f"{figure(guard.amount)} of at most {figure(guard.ceiling)} {guard.nutrient.unit} per {whole}"
        yield Dependence(GUARD, guard.nutrient.id, f"{guard.nutrient.name} passes a guard ({amounts})")
    for part in found.above_shares:
        close = part.share < part.common * 1.05
        share = f"{100 * part.share:.2f}" if close else f"{100 * part.share:.0f}"
        words = f"{PARTS[part.of]} {share} % of the meat, more than the usual {100 * part.common:.0f} %"
        yield Dependence(SHARE, part.of, words)
    if found.budget is not None and found.cost is not None and found.cost >= Fraction(found.budget) * TIGHT:
        kept = all(miss.id != BUDGET for miss in found.misses)
        words = "is used up" if kept else "is not enough"
        yield Dependence(BUDGET, BUDGET, f"the budget of {found.budget:.2f} {found.currency} {words}")
    if not found.cap_kept:
        totals = found.totals
        shares = (
            f"{100 * totals.non_meat_share:.3g} % of the mix, more than your cap of {100 * totals.non_meat_cap:.3g} %"
        )
        yield Dependence(CAP, CAP, f"non-meat is {shares}")
    if not ends:
        return
    at_ends = [[_line(line.nutrient, limits, batch) for line in found.nutrients] for batch in ends]
    for here, low, high in zip(found.nutrients, *at_ends, strict=True):
        if here.status == MET and {low.status, high.status} != {MET}:
            least, most = sorted((low.per_1000_kcal, high.per_1000_kcal))
            ends_of = (
                (figure(least), figure(most)) if figure(least) != figure(most) else (f"{least:.5g}", f"{most:.5g}")
            )
            span = f"{' to '.join(ends_of)} {here.nutrient.unit} per 1000 kcal"
            yield Dependence(RANGE, here.nutrient.id, f"{here.nutrient.name} depends on the bone ({span})")
    of_ratios = [limit for limit in limits if limit.basis == "ratio"]
    ratios = [[_ratio(limit, batch, catalog) for limit in of_ratios] for batch in ends]
    for ratio, least, most in zip(found.ratios, *ratios, strict=True):
        if ratio.status == MET and {least.status, most.status} != {MET}:
            span = " to ".join(f"{value:.2f}" for value in sorted((least.value or 0.0, most.value or 0.0)))
            yield Dependence(RANGE, ratio.id, f"{ratio.name} depends on the bone ({span})")
