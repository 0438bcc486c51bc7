"""Parts of the meat by mass: of a tag (liver, bone), a species, a role or a food; and what is common practice."""

from collections.abc import Iterable, Sequence

from catalog.nutrition.composition import Blend, blend
from catalog.nutrition.guards import COMMON_SHARES
from catalog.records import Catalog
from optimizer.assess.result import UncommonShare
from optimizer.scenario.records import Item, Scenario

SLIP = 1e-6  # relative: a share that is passed by less is kept

Grams = Sequence[tuple[Item, float]]


def share_of(content: Blend, item: Item, of: str) -> float:
    """How much of a gram of an item is meant by `of`: an id, a species, a role or a tag."""
    if of in (item.id, item.food.species, item.food.role):
        return 1.0
    return content.tag_shares.get(of, 0.0)


def grams_of_part(amounts: Grams, of: str, scenario: Scenario, catalog: Catalog) -> tuple[float, float]:
    """The grams of a part in these amounts, and of all of them."""
    return _part(_with_contents(amounts, scenario, catalog), of)


def _with_contents(amounts: Grams, scenario: Scenario, catalog: Catalog) -> list[tuple[Blend, Item, float]]:
    """The amounts with what a gram of each holds, which takes long to sum up."""
    method = scenario.energy_method
    return [(blend(item.food, catalog, method, item.bone_share), item, grams) for item, grams in amounts]


def _part(amounts: Sequence[tuple[Blend, Item, float]], of: str) -> tuple[float, float]:
    part = sum(share_of(content, item, of) * grams for content, item, grams in amounts)
    return part, sum(grams for _, _, grams in amounts)


def whole(items: Iterable[Item]) -> list[tuple[Item, float]]:
    """What goes in whole, in grams."""
    return [(item, float(item.fixed * item.grams_per_unit)) for item in items if item.fixed is not None]


def is_eaten_as_meat(item: Item) -> bool:
    """Whether an item is part of the meat for common practice, however the scenario lists it."""
    return item.counts_as == "meat" and item.food.role not in ("supplement", "oil")


def uncommon_shares(amounts: Grams, scenario: Scenario, catalog: Catalog) -> list[UncommonShare]:
    """The parts of the meat in a mix that pass `COMMON_SHARES`."""
    eaten = [(item, grams) for item, grams in amounts if is_eaten_as_meat(item)]
    meat = _with_contents(eaten, scenario, catalog)
    found = []
    for of, common in COMMON_SHARES.items():
        part, every = _part(meat, of)
        if part > common * every * (1 + SLIP):
            found.append(UncommonShare(of, part / every, common))
    return found
