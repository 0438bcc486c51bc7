"""Feasibility relaxation of doses set by hand: the nearest to them that leave a mix possible."""

from collections.abc import Iterator
from dataclasses import replace

from catalog.records import Catalog
from catalog.units.quantities import Quantity, read_quantity
from optimizer.assess.batch import Amount
from optimizer.explain.probe import SECONDS_A_PLAN, all_met, replanned
from optimizer.model.deadline import Deadline
from optimizer.scenario.aims import USUAL
from optimizer.scenario.records import Item, Scenario
from optimizer.sheet.amount_words import amount_words
from optimizer.sheet.reasons import Remedy


def relax_doses(scenario: Scenario, catalog: Catalog, deadline: Deadline) -> Iterator[Remedy]:
    """One remedy that changes doses set by hand for the batch, as little as can be, where that alone is enough; planned
    with the words to type before it is told."""
    by_hand = {item.id: dose for item in scenario.items if item.is_jar and (dose := _by_hand(item)) is not None}
    if not by_hand or deadline.is_over:
        return
    opened = tuple(_opened(item, by_hand.get(item.id)) for item in scenario.items)
    found = _planned(replace(scenario, aim=USUAL, items=opened), catalog, deadline)
    changed = [a for a in found if a.item.id in by_hand and a.count != a.item.units(by_hand[a.item.id])]
    if not changed:
        return
    amounts = {a.item.id: a for a in changed}
    items = tuple(
        _set_to(item, amounts[item.id]) if item.id in amounts else item
        for item in scenario.items
        if item.id not in amounts or amounts[item.id].count
    )
    if not _planned(replace(scenario, items=items), catalog, deadline):
        return
    words = [f"{amount_words(a) if a.count else 'none'} of the {a.item.food.name}" for a in changed]
    options = [f'--set "{a.item.id}={amount_words(a)}"' if a.count else f"--without {a.item.id}" for a in changed]
    line = f"Change what you set by hand: {', '.join(words)}."
    yield Remedy(tuple((a.item.id, amount_words(a)) for a in changed), None, line, options=tuple(options))


def _by_hand(item: Item) -> Quantity | None:
    """The dose that is set for the batch, whatever the plan is."""
    dose = item.exactly or item.at_least
    return dose if isinstance(dose, Quantity) else None


def _opened(item: Item, dose: Quantity | None) -> Item:
    """A dose set by hand as a wish; of all others none."""
    if dose is None:
        return replace(item, usual=None)
    return replace(item, usual=dose, at_least=None, exactly=None)


def _set_to(item: Item, amount: Amount) -> Item:
    return replace(item, at_least=None, at_most=None, exactly=read_quantity(amount_words(amount)))


def _planned(scenario: Scenario, catalog: Catalog, deadline: Deadline) -> tuple[Amount, ...]:
    """The amounts of a plan that meets every limit; nothing where there is none."""
    choice = replanned(scenario, catalog, deadline.at_most(SECONDS_A_PLAN))
    return choice.amounts if choice is not None and all_met(choice, catalog) else ()
