"""Amounts -> nutrients against a standard. Plans and checks are judged here; no solver is known here."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from math import fsum, inf

from catalog.kinds import Basis
from catalog.nutrition.composition import ENERGY_METHODS, Blend, kcal_by_method
from catalog.nutrition.guards import guards
from catalog.records import Catalog, Limit, Nutrient, minimum_per_1000_kcal
from optimizer.assess.batch import Amount, BatchSums, applies, blend_of, bone_interval, legal_amount, sums_of
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
    LimitStatus,
    NutrientLine,
    RatioLine,
    Totals,
    figure,
)
from optimizer.assess.shares import uncommon_shares
from optimizer.errors import NothingToAssess
from optimizer.scenario.records import Scenario

# Relative; far below what any kitchen scale shows, far above the rounding of floating-point sums.
TOLERANCE = 1e-6
PARTS = {"bone": "bone is", "liver": "liver is", "secreting-organ": "secreting organs are"}
TIGHT = Fraction(99, 100)  # of the budget: a plan that costs more than this is held by it


def assess(scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount]) -> Assessment:
    """The assessment of amounts against the scenario's standard and own limits.

    Raises NothingToAssess when the amounts weigh nothing or bring no energy: nothing holds per 1000 kcal then.
    """
    used = [(amount, blend_of(amount, scenario, catalog)) for amount in amounts if amount.count > 0]
    batch = sums_of(used, catalog)
    if batch.food.kcal <= 0:
        raise NothingToAssess(f"{scenario.file}: no food in this batch brings energy, so nothing can be assessed")
    limits = [limit for limit in (*scenario.standard.mandatory, *scenario.limits) if applies(limit.condition, batch)]
    totals = _totals(scenario, catalog, used, batch)
    ends = _bone_ends(scenario, catalog, used)
    found = Assessment(
        totals=totals,
        nutrients=tuple(_line(n, limits, batch) for n in catalog.nutrients.values()),
        ratios=tuple(_ratio(limit, batch, catalog) for limit in limits if limit.basis == Basis.RATIO),
        cap_kept=totals.non_meat_share <= scenario.non_meat_cap * (1 + TOLERANCE),
        bone_range=_bone_range(ends),
        above_guards=_above_guards(scenario, catalog, limits, used, batch),
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


def _above_guards(
    scenario: Scenario,
    catalog: Catalog,
    limits: Sequence[Limit],
    used: Sequence[tuple[Amount, Blend]],
    batch: BatchSums,
) -> tuple[GuardLine, ...]:
    """The guards that are passed. One that the standard's own ceiling is below is not told again: who passes it misses
    the standard."""
    found = []
    for guard in guards(catalog, scenario.standard):
        if not applies(guard.condition, batch):
            continue
        most = _at_most(guard, batch)
        there = legal_amount(guard.nutrient, used) if guard.is_legal else batch.high[guard.nutrient]
        if there <= most * (1 + TOLERANCE) or _own_ceiling(guard.nutrient, limits, batch) <= most:
            continue
        whole = batch.food.of(guard.basis)
        nutrient = catalog.nutrients[guard.nutrient]
        found.append(GuardLine(nutrient, there / whole, most / whole, guard.basis, guard.maximum_kind, guard.source))
    return tuple(found)


def _own_ceiling(nutrient: str, limits: Sequence[Limit], batch: BatchSums) -> float:
    """The standard's own lowest ceiling as an amount in this batch; infinite where it sets none."""
    own = [
        _at_most(limit, batch)
        for limit in limits
        if limit.nutrient == nutrient and limit.maximum is not None and limit.basis != Basis.RATIO
        if limit.source != "scenario"
    ]
    return min(own, default=inf)


def _at_most(limit: Limit, batch: BatchSums) -> float:
    """A ceiling as an amount in this batch: jars are no food, and widen no ceiling."""
    return (limit.maximum or 0.0) * batch.food.of(limit.basis)


def _at_least(limit: Limit, limits: Sequence[Limit], batch: BatchSums) -> float:
    """A target as an amount in this batch."""
    bound = limit.minimum or 0.0
    if limit.basis == Basis.INCREMENT:
        base = minimum_per_1000_kcal(limit.nutrient, limits)
        of = batch.value[limit.of] if limit.of in batch.value else batch.tagged.get(limit.of, 0.0)
        kcal = batch.mix.kcal
        return base * kcal / 1000 + bound * (of - limit.above * kcal / 1000)
    return bound * batch.mix.of(limit.basis)


def _line(nutrient: Nutrient, limits: Sequence[Limit], batch: BatchSums) -> NutrientLine:
    own = [limit for limit in limits if limit.nutrient == nutrient.id and limit.basis != Basis.RATIO]
    least = [(_at_least(limit, limits, batch), limit) for limit in own if limit.minimum is not None]
    most = [(_at_most(limit, batch), limit) for limit in own if limit.maximum is not None]
    minimum, low_limit = max(least, key=lambda pair: pair[0], default=(None, None))
    maximum, high_limit = min(most, key=lambda pair: pair[0], default=(None, None))
    low, high, unknown = batch.low[nutrient.id], batch.high[nutrient.id], batch.unknown[nutrient.id] / batch.mix.mass
    per_kcal, per_food_kcal = 1000 / batch.mix.kcal, 1000 / batch.food.kcal
    return NutrientLine(
        nutrient=nutrient,
        total=low,
        total_high=high,
        per_1000_kcal=low * per_kcal,
        high_per_1000_kcal=high * per_food_kcal,
        per_kg_dry_matter=low * 1000 / batch.mix.dry_matter if batch.mix.dry_matter > 0 else 0.0,
        minimum=None if minimum is None else minimum * per_kcal,
        maximum=None if maximum is None else maximum * per_food_kcal,
        status=_status(low, high, minimum, maximum, unknown),
        unknown_share=unknown,
        minimum_source=low_limit.source if low_limit else "",
        maximum_source=high_limit.source if high_limit else "",
        note=" ".join(dict.fromkeys(limit.note for limit in (low_limit, high_limit) if limit and limit.note)),
    )


def _status(low: float, high: float, minimum: float | None, maximum: float | None, unknown: float) -> LimitStatus:
    if minimum is None and maximum is None:
        return NO_LIMIT
    if maximum is not None and high > maximum * (1 + TOLERANCE):
        return OVER
    if minimum is not None and low < minimum * (1 - TOLERANCE):
        return UNKNOWN if unknown > 1 - TOLERANCE else SHORT
    return MET


def _ratio(limit: Limit, batch: BatchSums, catalog: Catalog) -> RatioLine:
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


def _totals(scenario: Scenario, catalog: Catalog, used: Sequence[tuple[Amount, Blend]], batch: BatchSums) -> Totals:
    by_class = {
        kind: fsum(amount.grams for amount, _ in used if amount.item.counts_as == kind)
        for kind in ("meat", "non-meat", "water")
    }
    intervals = [(amount.grams, *bone_interval(amount, catalog)) for amount, _ in used]
    return Totals(
        mass_g=batch.mix.mass,
        meat_g=by_class["meat"],
        non_meat_g=by_class["non-meat"],
        bone_g=fsum(amount.grams * content.bone_share for amount, content in used),
        energy_kcal=batch.mix.kcal,
        dry_matter_g=batch.mix.dry_matter,
        non_meat_cap=scenario.non_meat_cap,
        bone_share_low=fsum(grams * low for grams, low, _ in intervals) / batch.mix.mass,
        bone_share_high=fsum(grams * high for grams, _, high in intervals) / batch.mix.mass,
        kcal_by_method={
            method: fsum(amount.grams * kcal_by_method(content)[method] for amount, content in used)
            for method in ENERGY_METHODS
        },
    )


def _bone_ends(scenario: Scenario, catalog: Catalog, used: Sequence[tuple[Amount, Blend]]) -> tuple[BatchSums, ...]:
    """The batch at the low and at the high end of every cut's bone share; nothing without a range."""
    if not any(low < high for low, high in (bone_interval(amount, catalog) for amount, _ in used)):
        return ()
    return tuple(
        sums_of([(a, blend_of(a, scenario, catalog, bone_interval(a, catalog)[end])) for a, _ in used], catalog)
        for end in (0, 1)
    )


def _bone_range(ends: Sequence[BatchSums]) -> BoneRange | None:
    """Calcium and Ca:P at both ends of the bone."""
    if not ends or any(batch.value["phosphorus"] <= 0 for batch in ends):
        return None
    calcium = [batch.value["calcium"] * 1000 / batch.mix.kcal for batch in ends]
    ratio = [batch.value["calcium"] / batch.value["phosphorus"] for batch in ends]
    return BoneRange(calcium[0], calcium[1], ratio[0], ratio[1])


def _depends_on(
    found: Assessment, limits: Sequence[Limit], ends: Sequence[BatchSums], catalog: Catalog
) -> Iterator[Dependence]:
    """What decides beside the limits."""
    told = set[str]()
    for guard in found.above_guards:
        if guard.nutrient.id in told:
            continue
        told.add(guard.nutrient.id)
        whole = "kg of dry matter" if guard.basis == Basis.PER_KG_DRY_MATTER else "1000 kcal"
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
            yield Dependence(
                RANGE, here.nutrient.id, f"{here.nutrient.name} depends on the bone ({span})", here.nutrient.name
            )
    of_ratios = [limit for limit in limits if limit.basis == Basis.RATIO]
    ratios = [[_ratio(limit, batch, catalog) for limit in of_ratios] for batch in ends]
    for ratio, least, most in zip(found.ratios, *ratios, strict=True):
        if ratio.status == MET and {least.status, most.status} != {MET}:
            span = " to ".join(f"{value:.2f}" for value in sorted((least.value or 0.0, most.value or 0.0)))
            yield Dependence(RANGE, ratio.id, f"{ratio.name} depends on the bone ({span})", ratio.name)
