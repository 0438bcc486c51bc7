"""All that a veterinarian needs to check a batch without this program: figures' sources, every standard, method."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from catalog.nutrition.composition import simple_parts
from catalog.records import Catalog, Food, Standard
from optimizer.assess.assessment import assess
from optimizer.assess.result import Assessment
from optimizer.scenario.records import Scenario
from optimizer.sheet.contributions import Contributions, contributions_of
from optimizer.sheet.sheet import Sheet, SheetLine


@dataclass(frozen=True, slots=True)
class FoodFacts:
    """How one food of the batch is known: its share of its line, figures by how they are known, and what is unknown."""

    food: Food
    share: float
    figures: int
    from_memory: int
    estimated: int
    spreads_assumed: int
    unknown: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class IngredientFacts:
    """A line of the batch with the simple foods it is made of."""

    line: SheetLine
    share_of_mass: float
    foods: tuple[FoodFacts, ...]


@dataclass(frozen=True, slots=True)
class Judgement:
    """The same amounts against one standard; `from_memory` of its limits were recollected."""

    standard: Standard
    assessment: Assessment
    from_memory: int


@dataclass(frozen=True, slots=True)
class VetReport:
    """A batch laid open. `judgements` has the chosen standard first; `citations` is every source used, by key."""

    sheet: Sheet
    contributions: Contributions
    ingredients: tuple[IngredientFacts, ...]
    judgements: tuple[Judgement, ...]
    citations: tuple[tuple[str, str], ...]


def vet_report_of(scenario: Scenario, catalog: Catalog, sheet: Sheet) -> VetReport:
    """The report on a sheet of this scenario."""
    amounts = sheet.amounts
    chosen = scenario.standard
    others = [
        s
        for (_, stage), s in sorted(catalog.standards.items())
        if stage == chosen.life_stage and s.id != chosen.id and s.limits
    ]
    judgements = [Judgement(chosen, sheet.assessment, _recollected(chosen))]
    for standard in others:
        judged = assess(replace(scenario, standard=standard, limits=()), catalog, amounts)
        judgements.append(Judgement(standard, judged, _recollected(standard)))
    items = {item.id: item for item in scenario.items}
    mass = sheet.assessment.totals.mass_g
    ingredients = tuple(
        IngredientFacts(
            line,
            line.grams / mass,
            tuple(
                _facts(food, share, catalog)
                for food, share in simple_parts(items[line.id].food, catalog.foods, items[line.id].bone_share)
            ),
        )
        for line in sheet.lines
    )
    return VetReport(
        sheet=sheet,
        contributions=contributions_of(scenario, catalog, sheet),
        ingredients=ingredients,
        judgements=tuple(judgements),
        citations=_citations(catalog, ingredients, judgements),
    )


def _recollected(standard: Standard) -> int:
    return sum(1 for limit in standard.limits if limit.confidence == "memory")


def _facts(food: Food, share: float, catalog: Catalog) -> FoodFacts:
    figures = food.figures.values()
    unknown = [n.name for id_, n in catalog.nutrients.items() if id_ not in food.figures and food.counts_as != "water"]
    return FoodFacts(
        food=food,
        share=share,
        figures=len(food.figures),
        from_memory=sum(1 for figure in figures if figure.confidence == "memory"),
        estimated=sum(1 for figure in figures if figure.kind in ("estimated", "assumed")),
        spreads_assumed=sum(1 for figure in figures if figure.sd_assumed),
        unknown=tuple(unknown),
        sources=tuple(dict.fromkeys(key for figure in figures for key in keys_of(figure.source))),
    )


def keys_of(source: str) -> list[str]:
    """The source keys in a source cell: "sr28:05096 + cofid-2021:18-1" -> sr28, cofid-2021."""
    parts = source.replace(" ; ", " + ").split(" + ")
    return [part.strip().partition(":")[0] for part in parts if part.strip()]


def _citations(
    catalog: Catalog, ingredients: Sequence[IngredientFacts], judgements: Iterable[Judgement]
) -> tuple[tuple[str, str], ...]:
    keys = [key for ingredient in ingredients for food in ingredient.foods for key in food.sources]
    for ingredient in ingredients:
        keys += [key for facts in ingredient.foods for m in facts.food.measures.values() for key in keys_of(m.source)]
        parts = catalog.foods[ingredient.line.id].parts if ingredient.line.id in catalog.foods else ()
        keys += [key for part in parts for key in keys_of(part.source)]
    for judgement in judgements:
        keys += [key for line in judgement.assessment.nutrients for key in keys_of(line.source)]
        keys += [key for line in judgement.assessment.ratios for key in keys_of(line.source)]
    return tuple((key, catalog.sources[key]) for key in sorted(set(keys)) if key in catalog.sources)
