"""Ceilings that do not bind: borrowed from other publications, a rule of thumb, or the law on feed for sale.

They guard what comes from jars. No mix has to keep them to meet its standard: a plan keeps them where it can, and is
told apart from a mix that misses its standard.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from catalog.records import Catalog, Condition, Limit, Standard

# Minerals and vitamins only. What meat itself holds (fat, amino and fatty acids) passes some publications'
# ceilings in ordinary cuts.
GUARDED_GROUPS = ("mineral", "vitamin")

# Where no publication sets a ceiling: common practice, no source. It keeps a plan from filling one small gap
# with dozens of capsules that are meant for something else.
MOST_TIMES_THE_TARGET = 30.0
RULE_OF_THUMB = "common-practice"

# What no standard here limits, though too much of it harms: parts of the meat by mass. Common practice, no source.
COMMON_SHARES: Mapping[str, float] = {"bone": 0.15, "liver": 0.10, "secreting-organ": 0.15}
NO_SHARES: Mapping[str, float] = MappingProxyType({})


def guard_ceilings(catalog: Catalog, standard: Standard) -> tuple[Limit, ...]:
    """A ceiling per 1000 kcal for each mineral and vitamin on which `standard` sets none; its legal maxima besides.

    The lowest that any other standard sets for the same life stage, else for any; where there is none,
    `MOST_TIMES_THE_TARGET` times the standard's own target. The standard's legal maxima come on top, per kg of dry
    matter, each on condition that something in the batch is tagged as its substance (`_legal`).
    """
    own = {limit.nutrient for limit in standard.limits if limit.maximum is not None and limit.basis == "per_1000_kcal"}
    open_ = {n.id for n in catalog.nutrients.values() if n.group in GUARDED_GROUPS} - own
    same = [s.limits for (_, stage), s in catalog.standards.items() if stage == standard.life_stage]
    every = [s.limits for s in catalog.standards.values()]
    found = _lowest(limit for limits in every for limit in limits) | _lowest(
        limit for limits in same for limit in limits
    )
    for limit in standard.limits:
        if limit.minimum is not None and limit.basis == "per_1000_kcal" and limit.nutrient not in found:
            thumb = MOST_TIMES_THE_TARGET * limit.minimum
            found[limit.nutrient] = replace(limit, maximum=thumb, source=RULE_OF_THUMB, confidence="memory")
    borrowed = [replace(limit, minimum=None, note="", condition=None) for id_, limit in found.items() if id_ in open_]
    return (*borrowed, *_legal(standard))


def guard_steps(catalog: Catalog, standard: Standard) -> Iterator[tuple[Limit, ...]]:
    """Guards to keep, to be tried in this order until something keeps them: all, those that are no law on feed for
    sale, none."""
    guards = guard_ceilings(catalog, standard)
    borrowed = tuple(limit for limit in guards if limit.maximum_kind != "legal")
    yield guards
    if borrowed != guards:
        yield borrowed
    if borrowed:
        yield ()


def plan_guards(catalog: Catalog, standard: Standard) -> Iterator[tuple[tuple[Limit, ...], Mapping[str, float]]]:
    """Guards and shares of the meat for a plan to keep, to be tried in this order until something keeps them."""
    steps = list(guard_steps(catalog, standard))
    yield from ((guards, COMMON_SHARES) for guards in steps if guards)
    yield from ((guards, NO_SHARES) for guards in steps)


def _legal(standard: Standard) -> Iterator[Limit]:
    """The legal maxima of a standard, where the law has them hold: for the total of what is added as an additive.

    What food holds by itself is no additive, and meat and fish pass some of these maxima (selenium, vitamin D). So
    each is asked for only where a jar of the substance goes in: foods are tagged by what they are a supplement of.
    Kelp and cod liver oil count as such too, though the law may call them feed materials: that is the cautious side.
    """
    for limit in standard.limits:
        if limit.maximum_kind == "legal":
            yield replace(limit, minimum=None, condition=Condition(limit.nutrient, 0.0, "mass"))


def _lowest(limits: Iterable[Limit]) -> dict[str, Limit]:
    """The limit with the lowest ceiling per 1000 kcal for each nutrient."""
    found: dict[str, Limit] = {}
    for limit in limits:
        if limit.maximum is None or limit.basis != "per_1000_kcal" or limit.condition:
            continue
        known = found.get(limit.nutrient)
        if known is None or known.maximum is None or limit.maximum < known.maximum:
            found[limit.nutrient] = limit
    return found
