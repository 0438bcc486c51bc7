"""All that is known of one food as text, for a terminal, a pipe or a phone."""

from collections.abc import Iterable

from rich import box
from rich.table import Table
from rich.text import Text

from catalog.queries.profile import FoodProfile, ProfileValue
from catalog.records import Catalog
from optimizer.render.text.console import NARROW, printed
from optimizer.render.text.foods import origin_text
from optimizer.sheet.numbers import amount_text, percent_text


def food_text(facts: FoodProfile, catalog: Catalog, width: int = 100, colour: bool = False) -> str:
    """The food: what it is and is made of, its measures, every figure with its source, what is unknown, cautions."""
    references: dict[str, int] = {}
    parts: list[Table | Text] = [*_head(facts, catalog, references), Text()]
    parts += _lines(facts, references) if width < NARROW else [_table(facts, references)]
    if facts.unknown:
        names = ", ".join(catalog.nutrients[id_].name for id_ in facts.unknown)
        parts += [Text("Not known, in all or in part", style="bold"), Text(names), Text()]
    if facts.cautions:
        parts.append(Text("Cautions", style="bold"))
        parts += [Text(f"{'!' if c.level == 'warning' else '-'} {c.text}") for c in facts.cautions]
        parts.append(Text())
    parts.append(Text("Sources", style="bold"))
    for source, number in references.items():
        citation = catalog.sources.get(source.partition(":")[0], "")
        parts.append(Text(f"[{number}] {source}: {citation}"))
    return printed(parts, width, colour)


def _head(facts: FoodProfile, catalog: Catalog, references: dict[str, int]) -> Iterable[Text]:
    food = facts.food
    yield Text(f"{food.name} ({food.id})", style="bold")
    yield Text(f"{food.role}; counts as {food.counts_as}" + (f"; {food.species}" if food.species else ""))
    if food.ndb_no:
        yield Text(f"USDA NDB {food.ndb_no}: {food.description}")
    if origin_text(food):
        yield Text(origin_text(food))
    if food.note:
        yield Text(food.note)
    if food.purposes:
        yield Text("dosed for: " + ", ".join(catalog.nutrients[id_].name for id_ in food.purposes))
    if food.tags:
        yield Text("tags: " + ", ".join(sorted(food.tags)))
    for part in food.parts:
        span = ""
        if part.share_low < part.share_high:
            span = f" (published: {percent_text(part.share_low)} to {percent_text(part.share_high)})"
        yield Text(f"{percent_text(part.share)} {part.food}{span} {_marks([part.source], references)}")
    for measure in food.measures.values():
        span = ""
        if measure.grams_low is not None and measure.grams_high is not None:
            span = f" ({measure.grams_low:g} to {measure.grams_high:g} g)"
        yield Text(f"1 {measure.unit} = {measure.grams:g} g{span} {_marks([measure.source], references)}")


def _table(facts: FoodProfile, references: dict[str, int]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, title="In 100 g", title_justify="left", title_style="bold", padding=(0, 1))
    table.add_column("Nutrient", ratio=2, overflow="fold")
    table.add_column("There is", justify="right", ratio=1)
    table.add_column("Unit", no_wrap=True)
    table.add_column("Spread (sd)", justify="right", ratio=1)
    table.add_column("Known by", ratio=1)
    table.add_column("Source", no_wrap=True)
    for value in facts.values:
        marks = _marks(value.sources, references)
        cells = [value.nutrient.name, _amount(value), value.nutrient.unit, _spread(value), _known_by(value), marks]
        table.add_row(*(Text(cell) for cell in cells))
    return table


def _lines(facts: FoodProfile, references: dict[str, int]) -> list[Table | Text]:
    lines: list[Table | Text] = [Text("In 100 g", style="bold")]
    for value in facts.values:
        marks = _marks(value.sources, references)
        lines.append(Text(f"{value.nutrient.name}: {_amount(value)} {value.nutrient.unit}"))
        spread = _spread(value)
        lines.append(Text("  " + ", ".join(text for text in (spread, _known_by(value)) if text) + f" {marks}"))
    return [*lines, Text()]


def _amount(value: ProfileValue) -> str:
    """The figure, and its range where each end counts on its own side."""
    text = amount_text(value.value)
    if value.low < value.high:
        text += f" ({amount_text(value.low)} to {amount_text(value.high)})"
    return text


def _spread(value: ProfileValue) -> str:
    if value.sd is None or (value.sd == 0 and value.sd_assumed):
        return ""
    n = f", n {value.n}" if value.n else ""
    return f"± {amount_text(value.sd)}" + (" assumed" if value.sd_assumed else n)


def _known_by(value: ProfileValue) -> str:
    text = value.kind + (", from memory" if value.confidence == "memory" else "")
    if value.unknown_share > 0.0005:
        text += f"; {percent_text(value.unknown_share)} without a figure"
    return text


def _marks(sources: Iterable[str], references: dict[str, int]) -> str:
    """The numbers of sources in the list at the end."""
    return "".join(f"[{references.setdefault(source, len(references) + 1)}]" for source in sources)
