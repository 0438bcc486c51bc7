"""Which ingredient brings which nutrient, from the grams on a sheet and the blends of the catalog."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from math import sqrt

from catalog.nutrition.composition import Blend, Content, blend
from catalog.records import Catalog
from optimizer.assess.result import NutrientLine, Totals
from optimizer.scenario.records import Scenario
from optimizer.sheet.sheet import Sheet, SheetLine


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one ingredient of the batch brings. `contents` is per gram of it, by nutrient id, in its unit.

    What `is_jar` is no food: its energy widens no ceiling.
    """

    line: SheetLine
    contents: Mapping[str, Content]
    kcal_per_g: float
    dry_matter_per_g: float
    share_of_mass: float
    price_per_g: float | None
    is_jar: bool

    def brings(self, nutrient: str) -> float:
        """What counts towards targets: the nutrient in all of the ingredient."""
        return self.line.grams * self.contents[nutrient].low

    def has_figure(self, nutrient: str) -> bool:
        """Whether any part of the ingredient has a figure of the nutrient: what has none is unknown, not zero."""
        return self.contents[nutrient].unknown_share < 1

    @property
    def cost(self) -> Decimal | None:
        """What all of it costs; None where it has no price."""
        return self.line.cost


@dataclass(frozen=True, slots=True)
class AnalysisLine:
    """A constituent as makers' labels state it: per cent as fed and of dry matter; unknown share of the mix."""

    name: str
    as_fed: float
    of_dry_matter: float
    unknown_share: float


@dataclass(frozen=True, slots=True)
class Contributions:
    """The ingredients of a batch in the sheet's order, and what they come to."""

    ingredients: tuple[Contribution, ...]
    analysis: tuple[AnalysisLine, ...]

    def shares(self, nutrient: str) -> tuple[float, ...]:
        """Each ingredient's share of a nutrient's total; all zero where there is none of it."""
        amounts = [ingredient.brings(nutrient) for ingredient in self.ingredients]
        total = sum(amounts)
        return tuple(amount / total if total > 0 else 0.0 for amount in amounts)

    def spread(self, nutrient: str) -> float:
        """One standard deviation of the batch's total: ingredients vary on their own, parts of one together."""
        return sqrt(sum((i.line.grams * i.contents[nutrient].sd) ** 2 for i in self.ingredients))


ANALYSIS = (("protein", "crude protein"), ("fat", "crude fat"), ("fibre", "fibre (dietary)"), ("ash", "ash"))


def contributions_of(scenario: Scenario, catalog: Catalog, sheet: Sheet) -> Contributions:
    """What each line of a sheet of this scenario brings."""
    items = {item.id: item for item in scenario.items}
    mass = sheet.assessment.totals.mass_g
    found = []
    for line in sheet.lines:
        item = items[line.id]
        price = None if item.price_per_gram is None else float(item.price_per_gram)
        content: Blend = blend(item.food, catalog, scenario.energy_method, item.bone_share)
        energy, share = content.kcal, line.grams / mass
        found.append(Contribution(line, content.contents, energy, content.dry_matter, share, price, item.is_jar))
    return Contributions(tuple(found), _analysis(sheet))


def per_kg_as_fed(line: NutrientLine, totals: Totals) -> float:
    """A nutrient per kg of the mix as it is fed, in its unit, counted as towards targets."""
    return line.total * 1000 / totals.mass_g


def _analysis(sheet: Sheet) -> tuple[AnalysisLine, ...]:
    totals = sheet.assessment.totals
    lines = {line.nutrient.id: line for line in sheet.assessment.nutrients}
    moisture = totals.mass_g - totals.dry_matter_g
    found = [AnalysisLine("moisture", 100 * moisture / totals.mass_g, 0.0, lines["water"].unknown_share)]
    for id_, name in ANALYSIS:
        total = lines[id_].total
        found.append(
            AnalysisLine(name, 100 * total / totals.mass_g, 100 * total / totals.dry_matter_g, lines[id_].unknown_share)
        )
    return tuple(found)
