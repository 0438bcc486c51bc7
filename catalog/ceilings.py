"""The guards under their former name, until nothing asks for it."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from catalog.guards import COMMON_SHARES, MOST_TIMES_THE_TARGET, RULE_OF_THUMB
from catalog.guards import guards as guard_ceilings
from catalog.records import Catalog, Limit, Standard

__all__ = ["COMMON_SHARES", "MOST_TIMES_THE_TARGET", "NO_SHARES", "RULE_OF_THUMB", "guard_ceilings"]

NO_SHARES: Mapping[str, float] = MappingProxyType({})


def guard_steps(catalog: Catalog, standard: Standard) -> Iterator[tuple[Limit, ...]]:
    """All guards, those that are no law on feed for sale, none."""
    every = guard_ceilings(catalog, standard)
    borrowed = tuple(limit for limit in every if limit.maximum_kind != "legal")
    yield every
    if borrowed != every:
        yield borrowed
    if borrowed:
        yield ()


def plan_guards(catalog: Catalog, standard: Standard) -> Iterator[tuple[tuple[Limit, ...], Mapping[str, float]]]:
    """Guards and shares of the meat, step by step."""
    steps = list(guard_steps(catalog, standard))
    yield from ((each, COMMON_SHARES) for each in steps if each)
    yield from ((each, NO_SHARES) for each in steps)
