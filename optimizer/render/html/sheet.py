"""The weigh-out sheet as one page of HTML to print: no request goes out, black on white, big type."""

from optimizer.render.headline import headline
from optimizer.render.html.pages import page
from optimizer.render.losses import losses_text
from optimizer.render.marks import misses_text
from optimizer.render.origin import Origin
from optimizer.render.portions import summary_lines
from optimizer.sheet.portions import Portions
from optimizer.sheet.sheet import Sheet
from optimizer.sheet.work_order import WorkOrder, tolerance_rule

TYPE_PT = (
    10.3  # measures and grams are larger; with this the longest demo sheets keep what is weighed on the first A4 page
)


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
        losses=losses_text(sheet),
        energy=f"{totals.energy_kcal:.0f} kcal, {totals.energy_kcal / totals.mass_g * 1000:.0f} kcal per kg",
        rule=tolerance_rule(sheet),
        handling="Handling: US FDA (2018) and USDA FSIS guidance.",
        origin=origin,
        paper=paper,
        type_pt=TYPE_PT,
    )
