"""The short pipeline: scenario -> amounts as written -> assessment -> sheet.

What would help is planned only where a limit is missed.
"""

from fractions import Fraction

from catalog.records import Catalog
from catalog.units.quantities import Rate
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.scenario.records import Dose, Item, Scenario
from optimizer.scenario.steps import nearest_step
from optimizer.sheet.sheet import ASSESSED, Sheet, make_sheet


def check(scenario: Scenario, catalog: Catalog, explained: bool = True) -> Sheet:
    """The sheet of the amounts as written: what is on hand in full, each supplement's exact dose, else its
    usual dose, else none of it. Not `explained`: neither what would help is told nor how sure it is."""
    amounts = [Amount(item, _as_written(item, _meat_grams(scenario))) for item in scenario.items]
    assessment = assess(scenario, catalog, amounts)
    if not explained:
        return make_sheet(scenario, catalog, amounts, assessment, ASSESSED, None)
    reasons = None
    if not assessment.all_met:
        from optimizer.explain.explain import what_would_help  # the solver loads only where something is missed

        reasons = what_would_help(scenario, catalog, amounts)
    from optimizer.sureness.told import told_of_check

    sureness = told_of_check(scenario, catalog, amounts)
    return make_sheet(scenario, catalog, amounts, assessment, ASSESSED, None, reasons, sureness)


def _meat_grams(scenario: Scenario) -> Fraction:
    """The meat that is there, for doses by weight of meat."""
    meat = [item for item in scenario.items if item.is_meat]
    return sum((_as_written(item, Fraction()) * item.grams_per_unit for item in meat), Fraction())


def _as_written(item: Item, meat_grams: Fraction) -> Fraction:
    if item.fixed is not None:
        return item.fixed
    dose: Dose | None = item.exactly or item.usual
    if dose is None:
        return Fraction() if item.is_supplement or item.available is None else item.available
    if isinstance(dose, Rate):
        return nearest_step(item, item.units(dose.quantity) * meat_grams / dose.per_grams) / item.grams_per_unit
    return item.units(dose)
