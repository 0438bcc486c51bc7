"""The rules of a batch that is bought, checked on its amounts: exact, and without the arrays that it was found with."""

from collections.abc import Sequence
from fractions import Fraction

from catalog.records import Catalog
from optimizer.assess.assessment import TOLERANCE
from optimizer.assess.batch import Amount
from optimizer.assess.result import Assessment
from optimizer.assess.shares import grams_of_part
from optimizer.market.rules import size_of
from optimizer.scenario.market import Market, MeatShare
from optimizer.scenario.records import Scenario


def broken_rules(
    scenario: Scenario,
    market: Market,
    amounts: Sequence[Amount],
    assessment: Assessment,
    catalog: Catalog,
    stores: int,
) -> list[str]:
    """Every rule that these amounts do not keep, in words."""
    found: list[str] = []
    meat = [amount for amount in amounts if amount.item.is_meat]
    grams = sum((_grams(amount) for amount in meat), Fraction())
    measure, least = size_of(scenario, market)
    there = grams if measure == "meat" else Fraction(assessment.totals.energy_kcal)
    if there < least * (1 - Fraction(TOLERANCE)):
        found.append(f"the size asked for, {float(least):.0f} {'g of meat' if measure == 'meat' else 'kcal'}")
    for share in market.shares:
        found += _share(share, meat, scenario, catalog)
    kinds: dict[str, Fraction] = {}
    for amount in meat:
        species = amount.item.food.species
        kinds[species] = kinds.get(species, Fraction()) + _grams(amount)
    enough = [s for s, mass in kinds.items() if s and mass >= market.kind_share * grams * (1 - Fraction(TOLERANCE))]
    if market.kinds_at_least > 1 and len(enough) < market.kinds_at_least:
        found.append(f"at least {market.kinds_at_least} kinds of meat")
    if market.stores_at_most is not None and stores > market.stores_at_most:
        found.append(f"at most {market.stores_at_most} stores")
    return found


def _grams(amount: Amount) -> Fraction:
    return amount.count * amount.item.grams_per_unit


def _share(share: MeatShare, meat: Sequence[Amount], scenario: Scenario, catalog: Catalog) -> list[str]:
    part, grams = grams_of_part([(a.item, a.grams) for a in meat], share.of, scenario, catalog)
    found = []
    if share.at_least is not None and part < float(share.at_least) * grams * (1 - TOLERANCE):
        found.append(f"{share.of} at least {float(share.at_least):.1%} of the meat")
    if share.at_most is not None and part > float(share.at_most) * grams * (1 + TOLERANCE):
        found.append(f"{share.of} at most {float(share.at_most):.1%} of the meat")
    return found
