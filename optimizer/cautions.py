"""What a person must be told about this batch: the catalog's cautions that apply, and what the figures lack."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from catalog.ceilings import MOST_TIMES_THE_TARGET, RULE_OF_THUMB
from catalog.records import Catalog
from optimizer.assessment import Amount
from optimizer.scenario import Scenario
from optimizer.shares import UncommonShare, uncommon_shares
from optimizer.verdicts import Assessment, GuardLine


@dataclass(frozen=True, slots=True)
class Notice:
    """A caution as printed. `level` is info or warning."""

    level: str
    code: str
    text: str
    source: str


def notices(
    scenario: Scenario, catalog: Catalog, used: Sequence[Amount], assessment: Assessment, proven: bool
) -> tuple[Notice, ...]:
    """The cautions of a batch, warnings first."""
    found = [
        *_of_figures(scenario, catalog, used, assessment),
        *([] if proven else [_unproven()]),
        *_of_catalog(scenario, catalog, used),
    ]
    return tuple(sorted(found, key=lambda notice: notice.level != "warning"))


def _of_catalog(scenario: Scenario, catalog: Catalog, used: Sequence[Amount]) -> Iterator[Notice]:
    tags = set[str]()
    for amount in used:
        foods = [amount.item.food, *(catalog.foods[part.food] for part in amount.item.food.parts)]
        tags.update(tag for food in foods for tag in food.tags)
    applies = {"always", f"life-stage:{scenario.standard.life_stage}", *(f"tag:{tag}" for tag in tags)}
    for caution in catalog.cautions:
        if caution.level != "refuse" and caution.when in applies:
            citation = catalog.sources.get(caution.source.partition(":")[0], caution.source)
            yield Notice(caution.level, caution.code, caution.text, citation)


def _of_figures(
    scenario: Scenario, catalog: Catalog, used: Sequence[Amount], assessment: Assessment
) -> Iterator[Notice]:
    if assessment.bone_range is not None:
        bone = assessment.bone_range
        totals = assessment.totals
        yield Notice(
            "warning",
            "bone-share-uncertain",
            f"Bone is the least certain figure: published shares put it at {totals.bone_share_low:.0%} to "
            f"{totals.bone_share_high:.0%} of this mix, calcium at {bone.calcium_low:.2f} to {bone.calcium_high:.2f} g "
            f"per 1000 kcal and calcium : phosphorus at {bone.ratio_low:.2f} to {bone.ratio_high:.2f}. To be surer, "
            "weigh a cut, bone it, weigh the bone and state bone_share in the scenario.",
            "computed from the intervals in the catalog",
        )
    yield from _of_unknowns(assessment)
    yield from _of_guards(assessment, used)
    yield from _of_shares(uncommon_shares([(a.item, a.grams) for a in used], scenario, catalog))
    unpriced = [amount.item.id for amount in used if amount.item.price_per_gram is None and amount.item.id != "water"]
    if unpriced and scenario.currency:
        yield Notice(
            "info", "no-price", "Without a price, and so not in the cost: " + ", ".join(unpriced) + ".", "the scenario"
        )
    remembered = sorted({limit.nutrient for limit in scenario.standard.limits if limit.confidence == "memory"})
    if remembered:
        yield Notice(
            "warning",
            "limits-from-memory",
            f"{len(remembered)} of the limits of {scenario.standard.name} were entered from recollection and still "
            "have to be verified against the publication; `weighout standards ID` marks them.",
            "the catalog",
        )


def _of_unknowns(assessment: Assessment) -> Iterator[Notice]:
    limited = [line for line in assessment.nutrients if line.minimum is not None or line.maximum is not None]
    partly = sorted((line for line in limited if line.unknown_share >= 0.02), key=lambda line: -line.unknown_share)
    if partly:
        listed = ", ".join(f"{line.nutrient.name} {line.unknown_share:.0%}" for line in partly[:8])
        rest = f" and {len(partly) - 8} more" if len(partly) > 8 else ""
        yield Notice(
            "info",
            "unknown-figures",
            f"Unknown figures count nothing towards a target. Share of the mix without one: {listed}{rest}.",
            "the catalog",
        )
    ceilings = [line.nutrient.name for line in limited if line.maximum is not None and line.unknown_share >= 0.02]
    if ceilings:
        yield Notice(
            "info",
            "unknown-towards-ceiling",
            "Towards a ceiling, what is unknown counts the high end of its class of food where one is known: "
            f"{', '.join(ceilings)}.",
            "the catalog",
        )


def _of_guards(assessment: Assessment, used: Sequence[Amount]) -> Iterator[Notice]:
    for line in assessment.above_guards:
        unit, ceiling = line.nutrient.unit, _figure(line.ceiling)
        if line.kind == "legal":
            yield _above_legal(line, used)
            continue
        if line.source == RULE_OF_THUMB:
            why = f"no publication here sets a ceiling, but {ceiling} {unit} is {MOST_TIMES_THE_TARGET:g} times"
            why += " the target (common practice, no source)"
        else:
            why = f"this standard sets no ceiling, but another publication's is {ceiling} {unit}"
        text = f"{line.nutrient.name}: {_figure(line.amount)} {unit} per 1000 kcal; {why}."
        yield Notice("warning", "above-another-ceiling", text, line.source)


def _above_legal(line: GuardLine, used: Sequence[Amount]) -> Notice:
    """What the law says of it, and no more: for feed on sale, for the total, where the substance is added."""
    jars = ", ".join(amount.item.food.name for amount in used if line.nutrient.id in amount.item.food.tags)
    unit, name = line.nutrient.unit, line.nutrient.name
    text = (
        f"{name}: {_figure(line.amount)} {unit} per kg of dry matter; the legal maximum of the EU is "
        f"{_figure(line.ceiling)} {unit} per kg of dry matter, for the total in feed on sale to which {name} is added "
        "as an additive."
    )
    if jars:
        text += f" Added here with: {jars}."
    return Notice("warning", "above-legal-maximum", text, line.source)


def _figure(value: float) -> str:
    """A figure to three digits; a large one whole, without an exponent."""
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


HARM = {
    "bone": "Much bone hardens the stool and blocks the gut, and brings calcium and phosphorus far above any target.",
    "liver": "Much liver over weeks is too much vitamin A and copper, and loosens the stool.",
    "secreting-organ": "Much liver, kidney or spleen brings much vitamin A, copper and iron, and loosens the stool.",
}


def _of_shares(shares: Sequence[UncommonShare]) -> Iterator[Notice]:
    for part in shares:
        text = f"{part.of.replace('-', ' ')} is {part.share:.0%} of the meat; {part.common:.0%} is the most that is "
        text += f"usual (common practice, no source), whether or not a standard limits it. {HARM[part.of]}"
        yield Notice("warning", "above-common-share", text[0].upper() + text[1:], RULE_OF_THUMB)


def _unproven() -> Notice:
    return Notice(
        "warning",
        "not-proven-best",
        "Time ran out: the limits above are kept as printed, but a better mix may exist.",
        "the solver",
    )
