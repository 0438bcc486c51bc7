"""Ceilings that bind no mix: published by others, a rule of thumb, or the law on feed for sale.

They guard what comes from jars. No mix has to keep them to meet its standard; jars never pass them.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from catalog.kinds import Basis, MaximumKind
from catalog.records import Catalog, Condition, Limit, Standard

# A rule of thumb is for minerals and vitamins only: fat, amino and fatty acids are what meat itself is made of.
GUARDED_GROUPS = ("mineral", "vitamin")

# Where no publication sets a ceiling: common practice, no source. It keeps a plan from filling one small gap
# with dozens of capsules that are meant for something else.
MOST_TIMES_THE_TARGET = 30.0
RULE_OF_THUMB = "common-practice"

# What no standard here limits, though too much of it harms: parts of the meat by mass. Common practice, no source.
COMMON_SHARES: Mapping[str, float] = {"bone": 0.15, "liver": 0.10, "secreting-organ": 0.15}


def guards(catalog: Catalog, standard: Standard) -> tuple[Limit, ...]:
    """The ceilings that guard a mix for `standard`: those of guards.csv that its own do not make idle, a rule of
    thumb where there is none, and its own legal maxima.

    A published guard falls away where the standard's own ceiling is at or below it. Where guards.csv has none and the
    standard sets none, it is `MOST_TIMES_THE_TARGET` times the standard's own target. Legal maxima have a Condition:
    they hold where something in the batch is tagged as their substance. No other standard has a say.
    """
    published = [g.limit for g in catalog.guards if g.life_stage == standard.life_stage]
    kept = [guard for guard in published if not _idle(guard, standard)]
    known = {guard.nutrient for guard in published if not guard.is_legal}
    return (*kept, *_rule_of_thumb(catalog, standard, known), *_legal(standard))


def _idle(guard: Limit, standard: Standard) -> bool:
    """Whether the standard's own ceiling is as strict."""
    guarded = guard.maximum or 0.0
    kinds = {MaximumKind.LEGAL} if guard.is_legal else set(MaximumKind) - {MaximumKind.LEGAL}
    return any(
        own.maximum is not None
        and own.maximum <= guarded
        and (own.nutrient, own.basis) == (guard.nutrient, guard.basis)
        and own.maximum_kind in kinds
        and own.condition is None
        for own in standard.limits
    )


def _rule_of_thumb(catalog: Catalog, standard: Standard, known: Iterable[str]) -> Iterator[Limit]:
    """Of each mineral and vitamin without a ceiling, many times its target, asked for or not."""
    limits = [limit for limit in standard.limits if limit.basis == Basis.PER_1000_KCAL]
    done = {*known, *(limit.nutrient for limit in limits if limit.maximum is not None)}
    for limit in limits:
        group = catalog.nutrients[limit.nutrient].group
        if limit.minimum is None or limit.nutrient in done or group not in GUARDED_GROUPS:
            continue
        done.add(limit.nutrient)
        yield replace(
            limit,
            minimum=None,
            maximum=MOST_TIMES_THE_TARGET * limit.minimum,
            maximum_kind=MaximumKind.NUTRITIONAL,
            source=RULE_OF_THUMB,
            confidence="memory",
            condition=None,
            note="",
        )


def _legal(standard: Standard) -> Iterator[Limit]:
    """The legal maxima of a standard, where the law has them hold: for the total of what is added as an additive.

    What food holds by itself is no additive, and meat and fish pass some of these maxima (selenium, vitamin D). So
    each is asked for only where a jar of the substance goes in: foods are tagged by what they are a supplement of.
    Kelp and cod liver oil count as such too, though the law may call them feed materials: that is the cautious side.
    """
    for limit in standard.limits:
        if limit.is_legal:
            yield replace(limit, minimum=None, condition=Condition(limit.nutrient, 0.0, "mass"))
