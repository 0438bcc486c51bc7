"""Published standards as text: a list, one of them with every limit, or all side by side."""

from collections.abc import Sequence

from rich import box
from rich.table import Table
from rich.text import Text

from catalog.kinds import Basis
from catalog.queries.side_by_side import ComparedRow
from catalog.records import Catalog, Condition, Limit, Standard
from optimizer.render.text.console import NARROW, printed
from optimizer.sheet.numbers import amount_text

FROM_MEMORY = "* entered from memory, still to be verified against the publication"
KINDS = {"legal": "legal maximum", "safe-upper": "safe upper limit"}


def standards_text(catalog: Catalog, width: int = 100, colour: bool = False) -> str:
    """The standards, one line each, with how many limits they have and which share of these is verified."""
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    table.add_column("Id", no_wrap=True)
    table.add_column("Standard", ratio=1)
    table.add_column("Limits", ratio=1)
    by_id: dict[str, list[Standard]] = {}
    for (id_, _), standard in catalog.standards.items():
        by_id.setdefault(id_, []).append(standard)
    for id_, stages in by_id.items():
        counts = [f"{standard.life_stage} {len(standard.limits)} ({verified_text(standard)})" for standard in stages]
        table.add_row(Text(id_), Text(f"{stages[0].name}, {stages[0].edition}"), Text(", ".join(counts)))
    hint = "`weighout standards ID` prints one, `weighout standards --compare` sets all side by side."
    return printed([table, Text(hint)], width, colour)


def verified_text(standard: Standard) -> str:
    """Which share of a standard's limits was seen in a source: "47 % verified"."""
    if not standard.limits:
        return "no limits"
    return f"{100 * standard.verified / len(standard.limits):.0f} % verified"


def standard_text(stages: Sequence[Standard], catalog: Catalog, width: int = 100, colour: bool = False) -> str:
    """One standard: every limit of each life stage with its basis, condition, source and confidence, and its notes."""
    first = stages[0]
    verified = ", ".join(
        f"{standard.life_stage} {standard.verified} of {len(standard.limits)} limits ({verified_text(standard)})"
        for standard in stages
    )
    parts: list[Table | Text] = [Text(f"{first.id}: {first.name}, {first.edition}", style="bold")]
    if any(standard.limits for standard in stages):
        parts.append(Text(f"Seen in a source: {verified}"))
    parts.append(Text(first.note))
    references: dict[str, int] = {}
    for standard in stages:
        parts.append(Text())
        if width < NARROW:
            parts.append(Text(standard.life_stage, style="bold"))
            parts += [Text(_limit_line(limit, catalog, references)) for limit in standard.limits]
        else:
            parts.append(_limits_table(standard, catalog, references))
        notes = [f"- {catalog.nutrients[n.nutrient].name}: {n.note}" for n in standard.limits if n.note]
        if notes:
            parts += [Text(f"Notes, {standard.life_stage}", style="bold"), *(Text(note) for note in notes)]
    parts += [Text(), Text(FROM_MEMORY), Text("Sources", style="bold")]
    for source, number in references.items():
        citation = catalog.sources.get(source.partition(":")[0], "")
        parts.append(Text(f"[{number}] {source}: {citation}"))
    return printed(parts, width, colour)


def _limits_table(standard: Standard, catalog: Catalog, references: dict[str, int]) -> Table:
    title = standard.life_stage
    table = Table(box=box.SIMPLE_HEAD, title=title, title_justify="left", title_style="bold", padding=(0, 1))
    table.add_column("Nutrient", ratio=1, overflow="fold")
    for name in ("At least", "At most"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("Unit", no_wrap=True)
    table.add_column("Basis", ratio=1)
    table.add_column("Source", no_wrap=True)
    for limit in standard.limits:
        nutrient = catalog.nutrients[limit.nutrient]
        cells = [
            nutrient.name,
            "" if limit.minimum is None else amount_text(limit.minimum),
            "" if limit.maximum is None else amount_text(limit.maximum),
            "" if limit.basis == Basis.RATIO else nutrient.unit,
            basis_text(limit),
            _mark(limit, references),
        ]
        table.add_row(*(Text(cell) for cell in cells))
    return table


def _limit_line(limit: Limit, catalog: Catalog, references: dict[str, int]) -> str:
    nutrient = catalog.nutrients[limit.nutrient]
    unit = "" if limit.basis == Basis.RATIO else f" {nutrient.unit}"
    return f"{nutrient.name}: {_bounds(limit)}{unit} {basis_text(limit)} {_mark(limit, references)}"


def _mark(limit: Limit, references: dict[str, int]) -> str:
    number = references.setdefault(limit.source, len(references) + 1)
    return f"[{number}]" + ("*" if limit.confidence == "memory" else "")


def compared_text(rows: Sequence[ComparedRow], catalog: Catalog, width: int = 100, colour: bool = False) -> str:
    """All standards side by side: what is at least and at most, per 1000 kcal where no other basis is named."""
    ids = list(dict.fromkeys(id_ for (id_, _), standard in catalog.standards.items() if standard.limits))
    parts: list[Table | Text] = []
    for stage in dict.fromkeys(row.life_stage for row in rows):
        of_stage = [row for row in rows if row.life_stage == stage]
        title = f"{stage}, per 1000 kcal"
        if width < NARROW:
            parts += [Text(title, style="bold"), *(_compared_line(row, ids) for row in of_stage), Text()]
            continue
        table = Table(box=box.SIMPLE_HEAD, title=title, title_justify="left", title_style="bold", padding=(0, 1))
        table.add_column("Nutrient", ratio=2, overflow="fold")
        table.add_column("Unit", no_wrap=True)
        for id_ in ids:
            table.add_column(id_, justify="right", ratio=1)
        for row in of_stage:
            unit = "" if row.basis == Basis.RATIO else row.nutrient.unit
            cells = [_row_name(row), unit, *(_cell(row.limits.get(id_)) for id_ in ids)]
            table.add_row(*(Text(cell) for cell in cells))
        parts.append(table)
    return printed([*parts, Text(FROM_MEMORY)], width, colour)


def _compared_line(row: ComparedRow, ids: Sequence[str]) -> Text:
    unit = "" if row.basis == Basis.RATIO else f", {row.nutrient.unit}"
    cells = [f"{id_} {_cell(row.limits[id_])}" for id_ in ids if id_ in row.limits]
    return Text(f"{_row_name(row)}{unit}\n  " + "; ".join(cells))


def _row_name(row: ComparedRow) -> str:
    name = row.nutrient.name
    if row.basis == Basis.RATIO:
        return f"{name} : {row.of}"
    if row.basis == Basis.INCREMENT:
        return f"{name}, more for each g of {row.of}"
    return name + (", per kg dry matter" if row.basis == Basis.PER_KG_DRY_MATTER else "")


def _cell(limit: Limit | None) -> str:
    if limit is None:
        return ""
    text = _bounds(limit)
    if limit.above:
        text += f" above {limit.above:g} g"
    if limit.condition:
        text += f" if {_condition(limit.condition)}"
    if limit.is_legal:
        text += " (legal)"
    return text + ("*" if limit.confidence == "memory" else "")


def _bounds(limit: Limit) -> str:
    if limit.minimum is None:
        return "" if limit.maximum is None else f"≤ {amount_text(limit.maximum)}"
    return amount_text(limit.minimum) + ("" if limit.maximum is None else f" to {amount_text(limit.maximum)}")


def basis_text(limit: Limit) -> str:
    """A limit's basis and condition in words."""
    words = {
        "per_1000_kcal": "per 1000 kcal",
        "per_kg_dry_matter": "per kg dry matter",
        "per_kg": "per kg of mix",
        "per_batch": "per batch",
        "ratio": f"for 1 of {limit.of}",
        "increment": f"more for each g of {limit.of}"
        + (f" above {limit.above:g} g per 1000 kcal" if limit.above else ""),
    }[limit.basis]
    if limit.maximum_kind in KINDS:
        words += f"; {KINDS[limit.maximum_kind]}"
    if limit.condition:
        words += f", if {_condition(limit.condition)}"
    return words


def _condition(condition: Condition) -> str:
    of = condition.of.replace("_", " ")
    return (
        f"there is {condition.tag}" if not condition.share else f"{condition.tag} > {100 * condition.share:g} % of {of}"
    )
