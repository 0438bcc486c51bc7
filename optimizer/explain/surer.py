"""What is told of how sure a plan is: its chances, what helps most, and what a surer plan would come to."""

from dataclasses import replace
from fractions import Fraction

from catalog.records import Catalog
from catalog.units.money import cents
from optimizer.assess.assessment import assess
from optimizer.model.climb import Rules
from optimizer.model.deadline import Deadline
from optimizer.model.kinds import Kind
from optimizer.model.levels import Surely
from optimizer.model.solve import Choice
from optimizer.model.sure import ALL, surely
from optimizer.scenario.records import Item
from optimizer.sureness.chances import sureness_of
from optimizer.sureness.helps import helps
from optimizer.sureness.told import Surer, ToldSureness, unsure_of

UNSURE = 0.5  # a plan that is less sure than this of all limits at once says what a surer one would come to
SURER = 0.8  # how sure that one is of each limit


def told_of_plan(choice: Choice, catalog: Catalog, found: Surely | None, deadline: Deadline) -> ToldSureness:
    """Of a plan; `found` is what was planned for a chance that was asked for."""
    scenario = choice.scenario
    chances = (found.sureness if found else None) or sureness_of(scenario, catalog, choice.amounts)
    if not choice.in_reach:
        return ToldSureness(chances)
    columns = choice.problem.places(Kind.AMOUNT)
    values = choice.solution.values
    rules: list[Rules] = []  # made when they are asked for: most mixes have no step that helps

    def allowed(item: Item, count: Fraction) -> bool:
        tried = values.copy()
        tried[columns[item.id]] = float(count / (item.step or 1))
        if not rules:
            rules.append(Rules(choice.problem, values, deadline))
        return rules[0].kept_by(tried)

    told = ToldSureness(chances, helps(scenario, catalog, choice.amounts, chances, allowed))
    if found is not None:
        return replace(
            told,
            asked=scenario.sure,
            at_once=scenario.together,
            unsure=unsure_of(chances, found.unsure),
            reached=ALL not in found.unsure,
        )
    if scenario.sure is not None:  # time ran out before such a mix was found
        return replace(told, asked=scenario.sure, at_once=scenario.together, reached=False, out_of_time=True)
    if chances.together >= UNSURE or deadline.is_over:
        return told
    return replace(told, surer=_surer(choice, catalog, deadline))


def _surer(choice: Choice, catalog: Catalog, deadline: Deadline) -> Surer | None:
    """What a plan that holds each limit with the chance `SURER` comes to."""
    found = surely(choice, catalog, SURER, False, deadline)
    if found is None:
        return None
    amounts = found.choice.amounts
    assessment = assess(choice.scenario, catalog, amounts)
    chances = found.sureness or sureness_of(choice.scenario, catalog, amounts)
    return Surer(
        SURER,
        chances.together,
        None if assessment.cost is None else cents(assessment.cost),
        sum(1 for amount in amounts if amount.count > 0 and amount.item.is_supplement),
        unsure_of(chances, found.unsure),
    )
