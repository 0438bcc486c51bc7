"""A batch laid open for a professional: printable HTML that can be checked without this program."""

from dataclasses import dataclass

from catalog.records import Nutrient
from optimizer.assess.result import NutrientLine, RatioLine
from optimizer.render.headline import headline
from optimizer.render.html.nutrient_report import verdict_text
from optimizer.render.html.pages import page
from optimizer.render.losses import losses_text
from optimizer.render.marks import ENERGY, missed_by
from optimizer.render.origin import Origin
from optimizer.render.sureness import chance_rows, sureness_lines
from optimizer.sheet.numbers import amount_text, percent_text, ratio_text
from optimizer.sheet.vet_report import FoodFacts, IngredientFacts, Judgement, VetReport
from optimizer.sureness.chances import SURE_ENOUGH

LEAST_SHARE = 0.01  # of the mix: of an ingredient below it, unknown figures are counted and not listed
METHOD = (
    "Each figure has a low and a high end. The low end counts towards a target, the high end towards a ceiling. "
    "Ceilings are per 1000 kcal of the food alone: what comes from jars widens none. A figure that no source has "
    "counts nothing towards a target and the high end of its class of food towards a ceiling, where one is known; a "
    "ratio uses best figures on both sides.",
    "Bone-in cuts are flesh and bone by published shares, or by a share weighed at home. Vitamin A is retinol only. "
    "Legal maxima for additives in feed are not limits here.",
    "Spread is one standard deviation of the batch: ingredients vary on their own, the parts of one together. Where no "
    "spread was published, one typical of the nutrient is assumed; of what has no figure there is no spread.",
    "Computed from tables, not analysed. Amounts are those on the sheet, in whole kitchen measures.",
)


@dataclass(frozen=True, slots=True)
class VetRow:
    """A nutrient as text: amounts, and the verdict of each standard."""

    id: str
    name: str
    unit: str
    there: str
    high: str
    spread: str
    per_kg_dry: str
    unknown: str
    verdicts: tuple[str, ...]
    missed: bool


def vet_page(report: VetReport, origin: Origin, paper: str = "A4", batches: int = 1) -> str:
    """The report as a whole HTML file; `batches` tells an average of several from a single batch."""
    sheet = report.sheet
    totals = sheet.assessment.totals
    nutrients = [line.nutrient for line in sheet.assessment.nutrients]
    ratio_ids = dict.fromkeys(line.id for j in report.judgements for line in j.assessment.ratios)
    solution = sheet.solution
    return page(
        "vet.html",
        sheet=sheet,
        headline=headline(sheet),
        sure=sureness_lines(sheet),
        unsure=chance_rows(sheet),
        sure_enough=f"{100 * SURE_ENOUGH:g}",
        batches=batches,
        totals=totals,
        per_kg=f"{totals.energy_kcal / totals.mass_g * 1000:.0f}",
        energy=ENERGY[sheet.energy_method],
        losses=losses_text(sheet),
        analysis=report.contributions.analysis,
        ingredients=report.ingredients,
        facts_text=facts_text,
        standards=[_standard_text(j) for j in report.judgements],
        rows=[
            _row(report, position, nutrient, 1000 / totals.energy_kcal) for position, nutrient in enumerate(nutrients)
        ],
        ratios=[_ratio_row(report, id_) for id_ in ratio_ids],
        columns=[j.standard.id for j in report.judgements],
        cautions=sheet.cautions,
        method=METHOD,
        solver=f"Amounts chosen by {solution.solver} through {solution.modeller}" if solution else "Amounts as written",
        citations=report.citations,
        origin=origin,
        paper=f"{paper} landscape",
    )


def facts_text(ingredient: IngredientFacts) -> list[str]:
    """How the foods of one ingredient are known, a line each."""
    return [_food_text(facts, ingredient) for facts in ingredient.foods]


def _food_text(facts: FoodFacts, ingredient: IngredientFacts) -> str:
    parts = []
    if len(ingredient.foods) > 1:
        parts.append(f"{percent_text(facts.share)} {facts.food.name}")
    if facts.food.ndb_no:
        parts.append(f"USDA SR28 {facts.food.ndb_no} ({facts.food.description})")
    counts = f"{facts.figures} figures"
    for number, word in ((facts.from_memory, "from memory"), (facts.estimated, "estimated or assumed")):
        counts += f", {number} {word}" if number else ""
    parts.append(counts)
    if facts.unknown and facts.food.counts_as != "water":
        listed = ingredient.share_of_mass * facts.share >= LEAST_SHARE
        names = ": " + ", ".join(facts.unknown) if listed else ""
        parts.append(f"{len(facts.unknown)} unknown{names}")
    if facts.sources:
        parts.append("sources " + ", ".join(facts.sources))
    return "; ".join(parts)


def _standard_text(judgement: Judgement) -> str:
    standard = judgement.standard
    missed = judgement.assessment.misses
    words = (
        "every limit met"
        if not missed
        else "misses "
        + ", ".join(f"{m.name} ({'over' if m.status == 'over' else 'short'} {missed_by(m)})" for m in missed)
    )
    memory = (
        f"; {judgement.from_memory} of its limits were entered from memory, to be verified"
        if judgement.from_memory
        else ""
    )
    return f"{standard.id}: {standard.name}, {standard.edition}, {standard.life_stage}: {words}{memory}"


def _row(report: VetReport, position: int, nutrient: Nutrient, per: float) -> VetRow:
    own = report.sheet.assessment.nutrients[position]
    found = [(j, j.assessment.nutrients[position]) for j in report.judgements]
    spread = report.contributions.spread(nutrient.id) * per
    return VetRow(
        id=nutrient.id,
        name=nutrient.name,
        unit=nutrient.unit,
        there=amount_text(own.per_1000_kcal),
        high=_high(own),
        spread=f"± {amount_text(spread)}" if spread else "",
        per_kg_dry=amount_text(own.per_kg_dry_matter),
        unknown=percent_text(own.unknown_share) if own.unknown_share >= 0.0005 else "",
        verdicts=tuple(_cell(j, line, nutrient.id) for j, line in found),
        missed=any(line.status in ("short", "over", "unknown") for _, line in found),
    )


def _high(line: NutrientLine) -> str:
    """What counts towards ceilings, where that is another figure."""
    text = amount_text(line.high_per_1000_kcal)
    return "" if text == amount_text(line.per_1000_kcal) else text


def _cell(judgement: Judgement, line: NutrientLine | RatioLine, id_: str) -> str:
    """One standard's limits and verdict: "2.60 to 3.75 ok"."""
    if line.minimum is None and line.maximum is None:
        return ""
    if line.maximum is None:
        limits = f"≥ {amount_text(line.minimum or 0)}"
    elif line.minimum is None:
        limits = f"≤ {amount_text(line.maximum)}"
    else:
        limits = f"{amount_text(line.minimum)} to {amount_text(line.maximum)}"
    miss = next((m for m in judgement.assessment.misses if m.id == id_), None)
    return f"{limits} {verdict_text(line.status, miss)}"


def _ratio_row(report: VetReport, id_: str) -> VetRow:
    found = [(j, next((r for r in j.assessment.ratios if r.id == id_), None)) for j in report.judgements]
    known = next(line for _, line in found if line is not None)
    return VetRow(
        id=id_,
        name=known.name,
        unit="",
        there=ratio_text(known, report.sheet.assessment.bone_range),
        high="",
        spread="",
        per_kg_dry="",
        unknown="",
        verdicts=tuple("" if line is None else _cell(j, line, id_) for j, line in found),
        missed=any(line is not None and line.status in ("short", "over") for _, line in found),
    )
