"""The weigh-out sheet as Markdown and as plain text, in the order of work."""

from collections.abc import Sequence

from optimizer.render.headline import headline
from optimizer.render.losses import losses_text
from optimizer.render.marks import misses_text
from optimizer.render.origin import Origin
from optimizer.render.portions import portions_lines
from optimizer.sheet.numbers import grams_text, percent_text, running_text, tolerance_text
from optimizer.sheet.portions import Portions
from optimizer.sheet.sheet import Sheet
from optimizer.sheet.work_order import Weighing, WorkOrder, tolerance_rule

COLUMNS = ("Done", "Measure", "Grams", "Within", "Of", "On the scale", "Really, lot")


def sheet_markdown(sheet: Sheet, order: WorkOrder, portions: Portions | None, origin: Origin) -> str:
    """The sheet as Markdown with a table for each bowl."""
    out = [f"# {_plain(sheet.title)}", "", f"{sheet.standard_name}; {sheet.life_stage}. {headline(sheet)}", ""]
    if sheet.assessment.misses:
        out += [f"**{misses_text(sheet)}**", ""]
    out += _warnings(order, "## ")
    for number, stage in enumerate(order.stages, start=1):
        out += [f"## {number}. {stage.title}", "", *(f"- [ ] {text}" for text in stage.first)]
        for part, lines in stage.weighings:
            out += ["", f"### {part}", "", _row(COLUMNS), "|---|---|--:|--:|---|--:|---|"]
            out += [_row(("☐", *_cells(weighing), "")) for weighing in lines]
        out += [*([""] if stage.weighings else []), *(f"- [ ] {text}" for text in stage.then)]
        out += [f"- Should weigh {running_text(stage.total_g)}.", ""] if stage.total_g is not None else [""]
    out += _tail(sheet, order, portions, origin, "## ")
    return "\n".join(out).rstrip() + "\n"


def sheet_plain(sheet: Sheet, order: WorkOrder, portions: Portions | None, origin: Origin) -> str:
    """The sheet as plain text in columns."""
    rows = [_cells(w) for stage in order.stages for _, lines in stage.weighings for w in lines]
    widths = [max(len(row[i]) for row in rows) for i in range(5)]
    out = [
        sheet.title,
        f"{sheet.standard_name}; {sheet.life_stage}. {headline(sheet)}",
        misses_text(sheet),
        "",
        *_warnings(order, ""),
    ]
    for number, stage in enumerate(order.stages, start=1):
        out += [f"{number}. {stage.title}", *(f"  [ ] {text}" for text in stage.first)]
        for part, lines in stage.weighings:
            out += [f"   {part}", *("  [ ] " + _padded(_cells(weighing), widths) for weighing in lines)]
        out += [f"  [ ] {text}" for text in stage.then]
        out += [f"      Should weigh {running_text(stage.total_g)}.", ""] if stage.total_g is not None else [""]
    out += _tail(sheet, order, portions, origin, "")
    return "\n".join(line.rstrip() for line in out).rstrip() + "\n"


def _cells(weighing: Weighing) -> tuple[str, ...]:
    line = weighing.line
    grams, within = grams_text(line.grams), tolerance_text(weighing.tolerance_g, line.grams)
    return line.text, grams, within, line.name, running_text(weighing.running_g)


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(_plain(cell) for cell in cells) + " |"


def _plain(text: str) -> str:
    """Text that Markdown leaves as it is."""
    return text.replace("\\", "\\\\").replace("|", "\\|").replace("<", "&lt;")


def _padded(cells: Sequence[str], widths: Sequence[int]) -> str:
    measure, grams, within, name, running = cells
    return (
        f"{measure:<{widths[0]}}  {grams:>{widths[1]}}  {within:>{widths[2]}}  {name:<{widths[3]}}  "
        f"{running:>{widths[4]}}  ________"
    )


def _tail(sheet: Sheet, order: WorkOrder, portions: Portions | None, origin: Origin, heading: str) -> list[str]:
    """Portions, all cautions, and where it comes from."""
    out: list[str] = []
    if portions:
        out += [f"{heading}Portions", "", *(f"- {line}" for line in portions_lines(portions)), ""]
    if len(order.warnings) < len(sheet.cautions):
        out += [f"{heading}All cautions", "", *(f"- {notice.text}" for notice in sheet.cautions), ""]
    totals = sheet.assessment.totals
    per_kg = totals.energy_kcal / totals.mass_g * 1000
    whole = f"Whole mix {grams_text(totals.mass_g)}; {totals.energy_kcal:.0f} kcal, {per_kg:.0f} kcal per kg; "
    whole += f"bone {percent_text(totals.bone_share)}; non-meat {percent_text(totals.non_meat_share)}."
    if losses := losses_text(sheet):
        whole += f" Taken off for {losses}."
    return [*out, f"{whole} Within: {tolerance_rule(sheet)}.", "", origin.text]


def _warnings(order: WorkOrder, heading: str) -> list[str]:
    """What to read before the work."""
    return [f"{heading}Before you feed it", "", *(f"- {notice.text}" for notice in order.warnings), ""]
