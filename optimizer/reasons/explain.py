"""Everything that is said of one choice."""

from catalog.records import Catalog
from optimizer.choice import Choice
from optimizer.reasons.clashes import find_clashes
from optimizer.reasons.doses import why_each_dose
from optimizer.reasons.limits import price_of_limits
from optimizer.reasons.records import Reasons
from optimizer.reasons.remedies import find_remedies


def explain(choice: Choice, catalog: Catalog, doses: bool, clashes: bool) -> Reasons:
    """The reasons for each dose and limit (`doses`), and what stands in the way and would help (`clashes`)."""
    if clashes:
        return Reasons(clashes=find_clashes(choice), remedies=find_remedies(choice, catalog))
    if doses:
        return Reasons(doses=why_each_dose(choice, catalog), limits=price_of_limits(choice))
    return Reasons()
