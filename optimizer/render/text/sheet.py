"""A sheet as text for a terminal, a pipe or a phone: it fits the width it is given."""

from math import isfinite

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimizer.assess.cautions import Notice, foremost
from optimizer.assess.result import BoneRange, NutrientLine, RatioLine
from optimizer.model.problem import OPTIMAL
from optimizer.render.headline import headline
from optimizer.render.losses import losses_text
from optimizer.render.marks import ENERGY, MARKS
from optimizer.render.portions import portions_lines
from optimizer.render.sureness import sureness_lines
from optimizer.render.text.console import console_of, marked, trimmed
from optimizer.sheet.numbers import amount_text, grams_text, money_text, percent_text, ratio_text, there_text
from optimizer.sheet.portions import Portions
from optimizer.sheet.reasons import Remedy
from optimizer.sheet.sheet import GROUPS, Sheet, SheetLine

WIDE = 72  # columns from which tables have room; below, lines are written out


def sheet_text(
    sheet: Sheet,
    portions: Portions | None = None,
    width: int = 100,
    colour: bool = False,
    all_cautions: bool = False,
) -> str:
    """The sheet as text of at most `width` columns; `colour` adds terminal colours, never meaning. Of the cautions the
    foremost unless `all_cautions`."""
    out, console = console_of(width, colour)
    _head(console, sheet)
    _batch(console, sheet)
    _weigh_out(console, sheet)
    if portions is not None:
        console.print()
        console.print(Text("Portions", style="bold"))
        console.print(marked([("-", line) for line in portions_lines(portions)]))
    _sureness(console, sheet)
    _misses(console, sheet)
    _reasons(console, sheet)
    _nutrients(console, sheet)
    _cautions(console, sheet, all_cautions)
    _foot(console, sheet)
    return trimmed(out)


def _head(console: Console, sheet: Sheet) -> None:
    console.print(Text(sheet.title, style="bold"))
    console.print(Text(f"{sheet.standard_name}; {sheet.life_stage}"))
    console.print(Text(headline(sheet), style="bold"))
    console.print()


def _batch(console: Console, sheet: Sheet) -> None:
    totals = sheet.assessment.totals
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
    table.add_row("Mix", grams_text(totals.mass_g))
    table.add_row("Meat", f"{grams_text(totals.meat_g)}, {percent_text(totals.meat_g / totals.mass_g)} of the mix")
    cap = f"(at most {percent_text(totals.non_meat_cap)})"
    table.add_row(
        "Non-meat", f"{grams_text(totals.non_meat_g)}, {percent_text(totals.non_meat_share)} of the mix {cap}"
    )
    if totals.bone_g:
        interval = ""
        if totals.bone_share_low < totals.bone_share_high:
            interval = f" (published: {percent_text(totals.bone_share_low)} to {percent_text(totals.bone_share_high)})"
        table.add_row("Bone", f"{grams_text(totals.bone_g)}, {percent_text(totals.bone_share)} of the mix{interval}")
    per_kg = totals.energy_kcal / totals.mass_g * 1000
    table.add_row("Energy", f"{totals.energy_kcal:.0f} kcal, {per_kg:.0f} kcal per kg ({ENERGY[sheet.energy_method]})")
    if losses := losses_text(sheet):
        table.add_row("Taken off", losses)
    if sheet.cost is not None:
        table.add_row("Cost", money_text(sheet.cost, sheet.currency) + unpriced_words(sheet))
    table.add_row("Supplements", str(sheet.supplement_count))
    console.print(table)


def unpriced_words(sheet: Sheet) -> str:
    """What the cost leaves out, and how it counted while the plan was chosen."""
    jars = {line.id: line.name for line in sheet.lines if line.id in sheet.unpriced}
    return f", without what has no price: {', '.join(jars.values())}" if jars else ""


def _weigh_out(console: Console, sheet: Sheet) -> None:
    for group in GROUPS:
        lines = [line for line in sheet.lines if line.group == group]
        if not lines:
            continue
        console.print()
        if console.width < WIDE:
            console.print(Text(group, style="bold"))
            console.print(marked([("[ ]", _line_words(line, sheet.currency)) for line in lines]))
            continue
        table = Table(box=box.SIMPLE_HEAD, title=group, title_justify="left", title_style="bold", padding=(0, 1))
        table.add_column("", no_wrap=True)
        table.add_column("Take", no_wrap=True)
        table.add_column("Grams", justify="right", no_wrap=True)
        table.add_column("Of", ratio=1)
        if sheet.cost is not None:
            table.add_column(sheet.currency, justify="right", no_wrap=True)
        for line in lines:
            cells = ["[ ]", line.text, grams_text(line.grams), line.name + _bone(line)]
            if sheet.cost is not None:
                cells.append("" if line.cost is None else str(line.cost))
            table.add_row(*(Text(cell) for cell in cells))
        console.print(table)


def _sureness(console: Console, sheet: Sheet) -> None:
    lines = sureness_lines(sheet)
    if lines:
        console.print()
        for line in lines:
            console.print(Text(line))


def _line_words(line: SheetLine, currency: str) -> str:
    """One thing to weigh out as a sentence, for a narrow screen."""
    cost = "" if line.cost is None else f"; {money_text(line.cost, currency)}"
    return f"{line.text} ({grams_text(line.grams)}) {line.name}{_bone(line)}{cost}"


def _bone(line: SheetLine) -> str:
    """A cut's share of bone, and the interval in which it has been found."""
    if line.bone_share is None or line.bone_low is None or line.bone_high is None:
        return ""
    if line.bone_measured:
        return f"; bone {percent_text(line.bone_share)}, as measured"
    if line.bone_low == line.bone_high:
        return f"; bone {percent_text(line.bone_share)}"
    span = f"{percent_text(line.bone_low)} to {percent_text(line.bone_high)}"
    return f"; bone {percent_text(line.bone_share)}, published {span}"


def _misses(console: Console, sheet: Sheet) -> None:
    if not sheet.assessment.misses:
        return
    console.print()
    console.print(Text("What is missed", style="bold"))
    for miss in sheet.assessment.misses:
        word = "over its ceiling" if miss.status == "over" else "short"
        unit = f" {miss.unit}" if miss.unit else ""
        basis = " per 1000 kcal" if miss.is_per_1000_kcal else ""
        percent = f"{miss.percent:.1f}" if miss.percent >= 0.05 else "less than 0.1"
        unknown = ", and no food on hand has a figure" if miss.status == "unknown" else ""
        console.print(
            Text(
                f"- {miss.name}: {amount_text(miss.amount)}{unit}{basis}, the limit is "
                f"{amount_text(miss.limit)}{unit}: {amount_text(miss.by)}{unit} {word} ({percent} %){unknown}"
            )
        )


def _reasons(console: Console, sheet: Sheet) -> None:
    reasons = sheet.reasons
    parts = (
        ("What stands in the way", [("-", conflict.line) for conflict in reasons.conflicts]),
        ("What would help", [line for remedy in reasons.remedies for line in _remedy_lines(remedy, sheet.file)]),
        ("Why each dose", [("-", dose.line) for dose in reasons.doses]),
        ("What each limit costs", [("-", limit.line) for limit in reasons.limits]),
        ("What is lost", [("-", loss.line) for loss in reasons.losses]),
    )
    for title, lines in parts:
        if lines:
            console.print()
            console.print(Text(title, style="bold"))
            console.print(marked(lines))
    if reasons.conflicts and not reasons.remedies:
        console.print()
        console.print(Text("Nothing was found to help."))
    if reasons.note:
        console.print()
        console.print(Text(reasons.note))


def _remedy_lines(remedy: Remedy, file: str) -> list[tuple[str, str]]:
    """A remedy, and below it what to type to see it planned."""
    typed = f"weighout plan {file} {' '.join(remedy.options)}"
    return [("-", remedy.line), *([("", typed)] if remedy.options else [])]


def _nutrients(console: Console, sheet: Sheet) -> None:
    console.print()
    rows = [
        _nutrient_cells(line)
        for line in sheet.assessment.nutrients
        if line.minimum is not None or line.maximum is not None
    ]
    rows += [_ratio_cells(ratio, sheet.assessment.bone_range) for ratio in sheet.assessment.ratios]
    if console.width < WIDE:
        console.print(Text("Per 1000 kcal", style="bold"))
        console.print(marked([(row[5], _nutrient_words(row)) for row in rows]))
        return
    table = Table(box=box.SIMPLE_HEAD, title="Per 1000 kcal", title_justify="left", title_style="bold", padding=(0, 1))
    table.add_column("Nutrient", ratio=1)
    for name in ("There is", "At least", "At most"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("Unit", no_wrap=True)
    table.add_column("", no_wrap=True)
    table.add_column("No figure", justify="right", no_wrap=True)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)


def _nutrient_words(row: list[str]) -> str:
    """A row of the nutrient table as a sentence, for a narrow screen."""
    name, there, least, most, unit, _, unknown = row
    words = f"{name}: {there} {unit}".rstrip()
    words += f", at least {least}" if least else ""
    words += f", at most {most}" if most else ""
    return words + (f"; no figure for {unknown}" if unknown else "")


def _nutrient_cells(line: NutrientLine) -> list[str]:
    return [
        line.nutrient.name,
        there_text(line.per_1000_kcal, line.high_per_1000_kcal, line.maximum),
        "" if line.minimum is None else amount_text(line.minimum),
        "" if line.maximum is None else amount_text(line.maximum),
        line.nutrient.unit,
        MARKS[line.status],
        percent_text(line.unknown_share) if line.unknown_share >= 0.005 else "",
    ]


def _ratio_cells(line: RatioLine, bone: BoneRange | None) -> list[str]:
    return [
        line.name,
        ratio_text(line, bone),
        "" if line.minimum is None else amount_text(line.minimum),
        "" if line.maximum is None else amount_text(line.maximum),
        "",
        MARKS[line.status],
        "",
    ]


def _cautions(console: Console, sheet: Sheet, all_of_them: bool) -> None:
    shown = sheet.cautions if all_of_them else foremost(sheet.cautions)
    for title, of_this_batch in (("Cautions for this batch", True), ("For every batch", False)):
        lines = [(mark_of(n), n.text) for n in shown if n.of_this_batch == of_this_batch]
        if lines:
            console.print()
            console.print(Text(title, style="bold"))
            console.print(marked(lines))
    if len(shown) < len(sheet.cautions):
        console.print()
        console.print(
            Text(f"These are {len(shown)} of {len(sheet.cautions)} cautions; --cautions all prints them all.")
        )


def mark_of(notice: Notice) -> str:
    """What stands before a caution: "!" before a warning."""
    return "!" if notice.level == "warning" else "-"


def _foot(console: Console, sheet: Sheet) -> None:
    console.print()
    solution = sheet.solution
    how = "amounts as written"
    if solution is not None:
        how = f"{solution.solver} through {solution.modeller}, {solution.seconds:.2f} s, "
        gap = f"{solution.gap:.2%}" if isfinite(solution.gap) else "unknown"
        how += f"proven within {gap}" if solution.proven else f"not proven best, gap {gap}"
        how += "" if solution.status == OPTIMAL else "; ties between equals were not settled in time"
    console.print(Text(f"{sheet.file}; catalog {sheet.catalog_version}; {how}", style="dim"))
