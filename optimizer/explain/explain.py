"""Everything that is said of one choice."""

from collections.abc import Sequence

from catalog.records import Catalog
from optimizer.assess.batch import Amount
from optimizer.explain.conflicts import find_conflicts
from optimizer.explain.doses import why_each_dose
from optimizer.explain.losses import what_losses_change
from optimizer.explain.priced_remedies import find_priced_remedies
from optimizer.explain.probe import differences
from optimizer.explain.remedies import find_remedies
from optimizer.explain.shadow_prices import price_of_limits
from optimizer.market.known_prices import KnownPrices
from optimizer.model.deadline import Deadline
from optimizer.model.solve import Choice, choose
from optimizer.model.solver import DEFAULT_SECONDS
from optimizer.scenario.records import Scenario
from optimizer.sheet.amount_words import amount_words
from optimizer.sheet.reasons import Reasons, Remedy

PATIENCE = 8.0  # seconds for reasons: somebody stands at the counter
NO_TIME = "Time ran out before everything was looked at; allow more with --seconds."


def what_would_help(scenario: Scenario, catalog: Catalog, written: Sequence[Amount]) -> Reasons:
    """What would help amounts as written that miss limits: other doses of what is on hand, else what `plan` tells."""
    deadline = Deadline.within(DEFAULT_SECONDS)
    choice = choose(scenario, catalog, deadline.left)
    if not choice.in_reach:
        remedies, note = find_remedies(choice, catalog, deadline)
        return Reasons(remedies=remedies, note=note)
    changes = differences(written, choice.amounts)
    line = f"With other amounts of what is on hand every limit is met: {', '.join(changes)}."
    changed = [a for w, a in zip(written, choice.amounts, strict=True) if w.count != a.count]
    what = tuple((amount.item.id, amount_words(amount)) for amount in changed)
    return Reasons(remedies=(Remedy(what, None, f"{line} `plan` prints them.", options=()),))


def explain(
    choice: Choice,
    catalog: Catalog,
    doses: bool,
    conflicts: bool,
    prices: KnownPrices | None = None,
    deadline: Deadline | None = None,
) -> Reasons:
    """The reasons for each dose and limit (`doses`), and what stands in the way and would help (`conflicts`): with
    known `prices` also the cheapest. What the deadline leaves no time for is left out, and the note says so."""
    deadline = deadline or Deadline.within(DEFAULT_SECONDS)
    if prices is None:
        deadline = Deadline.within(min(deadline.left, PATIENCE))
    if conflicts and prices is not None:
        found = find_conflicts(choice, deadline)
        remedies, note = find_priced_remedies(choice, catalog, prices, deadline)
        return Reasons(conflicts=found, remedies=remedies, note=note)
    if conflicts:
        found = find_conflicts(choice, deadline)
        remedies, note = find_remedies(choice, catalog, deadline)
        return Reasons(conflicts=found, remedies=remedies, note=note)
    if doses:
        why, limits = why_each_dose(choice, catalog, deadline), price_of_limits(choice, deadline)
        losses = tuple(what_losses_change(choice, catalog, deadline))
        return Reasons(doses=why, limits=limits, losses=losses, note=NO_TIME if deadline.is_over else "")
    return Reasons()
