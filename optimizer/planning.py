"""The pipeline: scenario -> problem -> solver -> assessment -> reasons -> sheet. Read it from top to bottom."""

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from catalog.records import Catalog
from optimizer.assess.assessment import assess
from optimizer.errors import UnverifiedPlan
from optimizer.market.known_prices import KnownPrices
from optimizer.model.deadline import Asked, Deadline, never
from optimizer.model.solve import Choice, choose
from optimizer.model.solver import DEFAULT_SECONDS
from optimizer.scenario.aims import AIMS
from optimizer.scenario.records import Scenario
from optimizer.sheet.reasons import Reasons
from optimizer.sheet.sheet import OUT_OF_REACH, OUT_OF_TIME, PLANNED, Sheet, make_sheet

if TYPE_CHECKING:
    from optimizer.model.levels import Surely
    from optimizer.sureness.told import ToldSureness


def plan(
    scenario: Scenario,
    catalog: Catalog,
    seconds: float = DEFAULT_SECONDS,
    why: bool = False,
    prices: KnownPrices | None = None,
    explained: bool = True,
    cancelled: Asked = never,
) -> Sheet:
    """The sheet of the best mix that meets every limit, or of the nearest mix when none does.

    The sheet's amounts are whole steps of real measures, and its figures are assessed from those amounts.
    `why` adds the reasons for each dose and limit; what stands in the way of a mix is always told.
    Not `explained`: nothing is told of what stands in the way, which takes longer than the plan.
    `cancelled` is asked between questions: whoever cancels gets the plan and what was found by then.
    With `prices`, what would help is told with what it costs, and the cheapest of it sought for up to `seconds`.
    Raises UnverifiedPlan if the amounts do not keep what the plan claims.
    """
    deadline = Deadline.within(seconds, cancelled)
    plain = choose(scenario, catalog, deadline.left * (1 - FOR_REASONS) if why else deadline.left)
    found = _as_sure_as_asked(plain, catalog, deadline)
    choice = found.choice if found else plain
    assessment = assess(scenario, catalog, choice.amounts)
    if choice.in_reach and not assessment.all_met:
        missed = "; ".join(f"{miss.name} {miss.status}" for miss in assessment.misses)
        raise UnverifiedPlan(f"{scenario.file}: the amounts found do not keep every limit after rounding: {missed}")
    status = PLANNED if choice.in_reach else OUT_OF_REACH if choice.ruled_out else OUT_OF_TIME
    reasons = _reasons(plain, catalog, why, prices, deadline) if explained else Reasons()
    if found and why:
        reasons = replace(reasons, note=PLAIN_REASONS)
    sureness = _sureness(choice, catalog, found, deadline) if explained else None
    return make_sheet(scenario, catalog, choice.amounts, assessment, status, choice.solution, reasons, sureness)


def _as_sure_as_asked(choice: Choice, catalog: Catalog, deadline: Deadline) -> "Surely | None":
    """The plan for the chance that was asked for, or the surest; None where neither was, or nothing is in reach."""
    scenario = choice.scenario
    as_sure = AIMS[scenario.aim].as_sure
    if not choice.in_reach or (scenario.sure is None and not as_sure):
        return None
    from optimizer.model.sure import surely, surest  # only where it is asked for

    if scenario.sure is not None:
        return surely(choice, catalog, scenario.sure, scenario.together, deadline)
    return surest(choice, catalog, _extra_cost(choice, catalog), deadline)


def _extra_cost(choice: Choice, catalog: Catalog) -> float | None:
    """What the surest mix may cost beyond the cheapest, in the scenario's currency; None: whatever it costs."""
    extra = choice.scenario.extra_cost
    if extra is None or isinstance(extra, Decimal):
        return None if extra is None else float(extra)
    return float(extra * (assess(choice.scenario, catalog, choice.amounts).cost or 0))


def _sureness(choice: Choice, catalog: Catalog, found: "Surely | None", deadline: Deadline) -> "ToldSureness":
    from optimizer.explain.surer import told_of_plan

    return told_of_plan(choice, catalog, found, deadline)


PLAIN_REASONS = "These are the reasons of the plan as it is without sureness asked for."
FOR_REASONS = 0.5  # of the time, where reasons are asked for


def _reasons(choice: Choice, catalog: Catalog, why: bool, prices: KnownPrices | None, deadline: Deadline) -> Reasons:
    if not choice.ruled_out and not (why and choice.in_reach):
        return Reasons()
    from optimizer.explain.explain import explain  # only where something is to be explained: a plan starts faster

    return explain(choice, catalog, choice.in_reach, choice.ruled_out, prices, deadline)
