"""Everything that is said of one choice."""

from catalog.records import Catalog
from optimizer.choice import Choice
from optimizer.reasons.clashes import find_clashes
from optimizer.reasons.doses import why_each_dose
from optimizer.reasons.limits import price_of_limits
from optimizer.reasons.priced import find_priced_remedies
from optimizer.reasons.records import Prices, Reasons
from optimizer.reasons.remedies import find_remedies
from optimizer.solver import DEFAULT_SECONDS


def explain(
    choice: Choice,
    catalog: Catalog,
    doses: bool,
    clashes: bool,
    prices: Prices | None = None,
    seconds: float = DEFAULT_SECONDS,
) -> Reasons:
    """The reasons for each dose and limit (`doses`), and what stands in the way and would help (`clashes`): with
    known `prices` also the cheapest, sought for so many seconds."""
    if clashes and prices is not None:
        found = find_clashes(choice)
        remedies, note = find_priced_remedies(choice, catalog, prices, seconds)
        return Reasons(clashes=found, remedies=remedies, note=note)
    if clashes:
        remedies, note = find_remedies(choice, catalog)
        return Reasons(clashes=find_clashes(choice), remedies=remedies, note=note)
    if doses:
        return Reasons(doses=why_each_dose(choice, catalog, seconds), limits=price_of_limits(choice))
    return Reasons()
