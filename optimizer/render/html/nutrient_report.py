"""The nutrient report as one page of HTML: every limit as a bar, amounts on three bases, charts inside."""

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass

from optimizer.assess.result import BoneRange, Miss, NutrientLine, RatioLine, Totals
from optimizer.render.bars import Bar, bar
from optimizer.render.headline import headline
from optimizer.render.html.pages import page
from optimizer.render.losses import losses_text
from optimizer.render.marks import ENERGY, MARKS, missed_by
from optimizer.render.origin import Origin
from optimizer.render.sureness import chance_rows, sureness_lines
from optimizer.sheet.contributions import Contributions, per_kg_as_fed
from optimizer.sheet.numbers import amount_text, percent_text, ratio_text, there_text
from optimizer.sheet.sheet import Sheet
from optimizer.sureness.chances import SURE_ENOUGH


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart as SVG text, what it shows for those who cannot see it, and its caption."""

    svg: str
    alt: str
    caption: str

    @property
    def src(self) -> str:
        """The chart inside the page, so that no request goes out."""
        return "data:image/svg+xml;base64," + b64encode(self.svg.encode()).decode("ascii")


@dataclass(frozen=True, slots=True)
class NutrientRow:
    """One line of the report, every cell as text."""

    id: str
    name: str
    unit: str
    there: str
    minimum: str
    maximum: str
    verdict: str
    missed: bool
    per_kg_dry: str
    per_kg_fed: str
    unknown: str
    bar: Bar
    label: str


def report_page(
    sheet: Sheet, contributions: Contributions, charts: Sequence[Chart], origin: Origin, paper: str = "A4"
) -> str:
    """The report as a whole HTML file; `paper` is A4 or letter."""
    totals = sheet.assessment.totals
    misses = {miss.id: miss for miss in sheet.assessment.misses}
    rows = [nutrient_row(line, totals, misses.get(line.nutrient.id)) for line in sheet.assessment.nutrients]
    ratios = [_ratio_row(line, misses.get(line.id), sheet.assessment.bone_range) for line in sheet.assessment.ratios]
    return page(
        "report.html",
        sheet=sheet,
        headline=headline(sheet),
        sure=sureness_lines(sheet),
        unsure=chance_rows(sheet),
        sure_enough=f"{100 * SURE_ENOUGH:g}",
        analysis=contributions.analysis,
        energy=energy_text(sheet),
        losses=losses_text(sheet),
        limited=[row for row in rows if row.minimum or row.maximum] + ratios,
        others=[row for row in rows if not (row.minimum or row.maximum)],
        charts=charts,
        origin=origin,
        paper=paper,
    )


def energy_text(sheet: Sheet) -> str:
    """The energy as it was counted, and what it would be by the other methods."""
    totals = sheet.assessment.totals
    per_kg = {method: kcal / totals.mass_g * 1000 for method, kcal in totals.kcal_by_method.items()}
    others = [f"{per_kg[method]:.0f} by {ENERGY[method]}" for method in per_kg if method != sheet.energy_method]
    counted = f"{totals.energy_kcal / totals.mass_g * 1000:.0f} kcal per kg as fed ({ENERGY[sheet.energy_method]})"
    return "; ".join([counted, *others])


def verdict_text(status: str, miss: Miss | None) -> str:
    """The verdict in a word, and by how much a limit is missed."""
    word = MARKS[status]
    return f"{word} {missed_by(miss)}" if miss else word


def nutrient_row(line: NutrientLine, totals: Totals, miss: Miss | None) -> NutrientRow:
    """A nutrient as a row of text."""
    there = there_text(line.per_1000_kcal, line.high_per_1000_kcal, line.maximum)
    minimum = "" if line.minimum is None else amount_text(line.minimum)
    maximum = "" if line.maximum is None else amount_text(line.maximum)
    verdict = verdict_text(line.status, miss)
    return NutrientRow(
        id=line.nutrient.id,
        name=line.nutrient.name,
        unit=line.nutrient.unit,
        there=there,
        minimum=minimum,
        maximum=maximum,
        verdict=verdict,
        missed=miss is not None,
        per_kg_dry=amount_text(line.per_kg_dry_matter),
        per_kg_fed=amount_text(per_kg_as_fed(line, totals)),
        unknown=percent_text(line.unknown_share) if line.unknown_share >= 0.0005 else "",
        bar=bar(line.per_1000_kcal, line.high_per_1000_kcal, line.minimum, line.maximum, line.status),
        label=_label(line.nutrient.name, there, minimum, maximum, verdict),
    )


def _ratio_row(line: RatioLine, miss: Miss | None, bone: BoneRange | None) -> NutrientRow:
    there = ratio_text(line, bone)
    minimum = "" if line.minimum is None else amount_text(line.minimum)
    maximum = "" if line.maximum is None else amount_text(line.maximum)
    verdict = verdict_text(line.status, miss)
    return NutrientRow(
        id=line.id,
        name=line.name,
        unit="",
        there=there,
        minimum=minimum,
        maximum=maximum,
        verdict=verdict,
        missed=miss is not None,
        per_kg_dry="",
        per_kg_fed="",
        unknown="",
        bar=bar(line.value or 0.0, line.value or 0.0, line.minimum, line.maximum, line.status),
        label=_label(line.name, there, minimum, maximum, verdict),
    )


def _label(name: str, there: str, minimum: str, maximum: str, verdict: str) -> str:
    """A bar in words."""
    limits = [f"at least {minimum}" if minimum else "", f"at most {maximum}" if maximum else ""]
    return ", ".join(part for part in (f"{name} {there}", *limits, verdict) if part)
