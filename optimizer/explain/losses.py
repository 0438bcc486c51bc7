"""What thawing, freezing and cooking change: the plan solved again as if nothing were lost."""

from collections.abc import Iterator
from dataclasses import replace

from catalog.nutrition.losses import NOT_COUNTED
from catalog.records import Catalog
from catalog.treatments import Treatment
from optimizer.explain.probe import SECONDS_A_PLAN, cents, cost_of, differences, replanned
from optimizer.model.deadline import Deadline
from optimizer.model.solve import Choice
from optimizer.scenario.records import Item, Scenario
from optimizer.sheet.numbers import percent_text
from optimizer.sheet.reasons import LossReason


def what_losses_change(choice: Choice, catalog: Catalog, deadline: Deadline) -> Iterator[LossReason]:
    """Of each treatment what it takes, and what the plan is without it."""
    scenario = choice.scenario
    treatments = {one.id: one for item in scenario.items for one in item.food.treatments}
    for treatment in treatments.values():
        if deadline.is_over:
            return
        other = replanned(_without(scenario, treatment), catalog, deadline.at_most(SECONDS_A_PLAN))
        took = ", ".join(
            f"{percent_text(loss.share)} of the {catalog.nutrients[loss.nutrient].name}"
            for loss in treatment.losses
            if loss.share_high and loss.nutrient != NOT_COUNTED
        )
        words = f"{treatment.name[0].upper()}{treatment.name[1:]} takes {took or 'nothing that was measured'}"
        if other is None or not other.in_reach:
            yield LossReason(treatment.id, f"{words}. Without it no plan was found.", (), None)
            continue
        changes = differences(choice.amounts, other.amounts)
        less = cents(cost_of(choice.problem, choice.solution.values) - cost_of(other.problem, other.solution.values))
        money = f", {less} {scenario.currency} less" if scenario.currency and less > 0 else ""
        then = f"without it: {', '.join(changes)}{money}" if changes else "the plan is the same without it"
        yield LossReason(treatment.id, f"{words}; {then}.", changes, less)


def _without(scenario: Scenario, treatment: Treatment) -> Scenario:
    left = tuple(one for one in scenario.treatments if one.id != treatment.id)
    return replace(scenario, treatments=left, items=tuple(_spared(item, treatment) for item in scenario.items))


def _spared(item: Item, treatment: Treatment) -> Item:
    left = tuple(one for one in item.food.treatments if one.id != treatment.id)
    return item if left == item.food.treatments else replace(item, food=replace(item.food, treatments=left))
