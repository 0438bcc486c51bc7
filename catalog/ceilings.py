"""Ceilings that a standard does not set: borrowed from other publications, or a rule of thumb.

They guard what comes from jars. They are no part of the standard: a plan keeps them where it can, and is told
apart from a mix that misses its standard.
"""

from collections.abc import Iterable
from dataclasses import replace

from catalog.records import Catalog, Limit, Standard

# Minerals and vitamins only. What meat itself holds (fat, amino and fatty acids) passes some publications'
# ceilings in ordinary cuts.
GUARDED_GROUPS = ("mineral", "vitamin")

# Where no publication sets a ceiling: common practice, no source. It keeps a plan from filling one small gap
# with dozens of capsules that are meant for something else.
MOST_TIMES_THE_TARGET = 30.0
RULE_OF_THUMB = "common-practice"


def guard_ceilings(catalog: Catalog, standard: Standard) -> tuple[Limit, ...]:
    """A ceiling per 1000 kcal for each mineral and vitamin on which `standard` sets none.

    The lowest that any other standard sets for the same life stage, else for any; where there is none,
    `MOST_TIMES_THE_TARGET` times the standard's own target. The standard's legal maxima come on top.
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
    return tuple(replace(limit, minimum=None, note="", condition=None) for id_, limit in found.items() if id_ in open_)


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
