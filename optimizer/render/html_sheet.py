"""The weigh-out sheet as one page of HTML to print: no request goes out, black on white, big type."""

from optimizer.headline import headline
from optimizer.portions import Portions
from optimizer.render.pages import Origin, page
from optimizer.render.portions_words import summary_lines
from optimizer.sheet import Sheet
from optimizer.verdicts import Miss
from optimizer.work_order import TOLERANCE_RULE, WorkOrder

TYPE_PT = (
    10.3  # measures and grams are larger; with this the longest demo sheets keep what is weighed on the first A4 page
)


def missed_by(miss: Miss) -> str:
    """By how much a limit is missed; a small miss is not rounded away."""
    return f"{miss.percent:.0f} %" if miss.percent >= 9.95 else f"{miss.percent:.1f} %"


def misses_text(sheet: Sheet) -> str:
    """What is missed, in one line; empty where nothing is."""
    parts = [
        f"{miss.name} {missed_by(miss)} {'over its ceiling' if miss.status == 'over' else 'short'}"
        for miss in sheet.assessment.misses
    ]
    return f"Not complete: {', '.join(parts)}." if parts else ""


def sheet_page(sheet: Sheet, order: WorkOrder, portions: Portions | None, origin: Origin, paper: str = "A4") -> str:
    """The sheet as a whole HTML file; `paper` is A4 or letter."""
    totals = sheet.assessment.totals
    return page(
        "sheet.html",
        sheet=sheet,
        order=order,
        portions=portions,
        portion_lines=summary_lines(portions) if portions else [],
        headline=headline(sheet),
        bad=misses_text(sheet),
        totals=totals,
        energy=f"{totals.energy_kcal:.0f} kcal, {totals.energy_kcal / totals.mass_g * 1000:.0f} kcal per kg",
        rule=TOLERANCE_RULE,
        handling="Handling: US FDA (2018) and USDA FSIS guidance.",
        origin=origin,
        paper=paper,
        type_pt=TYPE_PT,
    )
