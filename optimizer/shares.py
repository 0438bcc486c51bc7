"""Parts of the meat by mass: of a tag (liver, bone), a species, a role or a food; and what is common practice."""

from collections.abc import Sequence
from dataclasses import dataclass

from catalog.blends import Blend, blend
from catalog.ceilings import COMMON_SHARES
from catalog.records import Catalog
from optimizer.assessment import TOLERANCE, Amount
from optimizer.scenario import Item, Scenario


@dataclass(frozen=True, slots=True)
class UncommonShare:
    """A part of the meat that is larger than common practice has it, as fractions."""

    of: str
    share: float
    common: float


def share_of(content: Blend, item: Item, of: str) -> float:
    """How much of a gram of an item is meant by `of`: an id, a species, a role or a tag."""
    if of in (item.id, item.food.species, item.food.role):
        return 1.0
    return content.tag_shares.get(of, 0.0)


def grams_of_part(amounts: Sequence[Amount], of: str, scenario: Scenario, catalog: Catalog) -> tuple[float, float]:
    """The grams of a part in the meat of these amounts, and of all their meat."""
    part = whole = 0.0
    for amount in amounts:
        if amount.item.is_meat:
            content = blend(amount.item.food, catalog, scenario.energy_method, amount.item.bone_share)
            part += share_of(content, amount.item, of) * amount.grams
            whole += amount.grams
    return part, whole


def uncommon_shares(amounts: Sequence[Amount], scenario: Scenario, catalog: Catalog) -> list[UncommonShare]:
    """The parts of the meat that pass `COMMON_SHARES`."""
    found = []
    for of, common in COMMON_SHARES.items():
        part, whole = grams_of_part(amounts, of, scenario, catalog)
        if part > common * whole * (1 + TOLERANCE):
            found.append(UncommonShare(of, part / whole, common))
    return found
