"""What a person must be told about this batch: the catalog's cautions that apply, and what the figures lack."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from catalog.kinds import Basis
from catalog.nutrition.composition import blend
from catalog.nutrition.guards import MOST_TIMES_THE_TARGET, RULE_OF_THUMB
from catalog.records import Catalog
from optimizer.assess.batch import Amount
from optimizer.assess.result import Assessment, GuardLine, NutrientLine, UncommonShare, figure
from optimizer.scenario.records import Scenario

MOST_OF_THIS_BATCH = 7  # on screen and on page 1 of the sheet; all of them follow on the last page and in JSON
MOST_OF_ONE_KIND = 2  # among those, so that one kind leaves room for others
GENERAL_LINES = 3
WORTH_TELLING = 0.02  # of the mix: a nutrient unknown for less of it is no news

# Jars that nobody should need without a reason: it is told what asks for them.
TO_BE_JUSTIFIED = ("iron", "selenium")


@dataclass(frozen=True, slots=True)
class Notice:
    """A caution as printed. `level` is info or warning; `of_this_batch` tells it from what holds for every batch."""

    level: str
    code: str
    text: str
    source: str
    of_this_batch: bool = True


def notices(
    scenario: Scenario, catalog: Catalog, used: Sequence[Amount], assessment: Assessment, proven: bool
) -> tuple[Notice, ...]:
    """All cautions of a batch: those of this batch, then the general ones, each by how much harm they prevent (the
    order of the table)."""
    found = [
        *_of_figures(scenario, used, assessment),
        *([] if proven else [_unproven()]),
        *_of_catalog(scenario, catalog, used, assessment),
    ]
    place = {caution.code: number for number, caution in enumerate(catalog.cautions)}
    return tuple(sorted(found, key=lambda notice: (not notice.of_this_batch, place.get(notice.code, len(place)))))


def foremost(found: Sequence[Notice]) -> tuple[Notice, ...]:
    """The cautions for a screen or a first page, of all in their order: the first few of this batch, and the short
    form of the general ones."""
    kinds = Counter[str]()
    chosen = []
    for notice in found:
        kinds[notice.code] += 1
        if notice.of_this_batch and kinds[notice.code] <= MOST_OF_ONE_KIND:
            chosen.append(notice)
    general = [notice for notice in found if not notice.of_this_batch]
    return (*chosen[:MOST_OF_THIS_BATCH], *general[:GENERAL_LINES])


def _of_catalog(
    scenario: Scenario, catalog: Catalog, used: Sequence[Amount], assessment: Assessment
) -> Iterator[Notice]:
    tags = set[str]()
    for amount in used:
        foods = [amount.item.food, *(catalog.foods[part.food] for part in amount.item.food.parts)]
        tags.update(tag for food in foods for tag in food.tags)
    standard = scenario.standard
    stages = [f"{standard.life_stage}-of:{id_}" for id_ in (standard.id, standard.base)]
    own = "no-standard" if not standard.mandatory else "own-standard" if standard.file else "standard"
    applies = {own, "always", f"life-stage:{standard.life_stage}", *stages, *(f"tag:{tag}" for tag in tags)}
    for caution in catalog.cautions:
        if caution.level == "refuse" or caution.when not in applies:
            continue
        if caution.code == "bone-uncertain" and assessment.bone_range is not None:
            continue  # the range itself is told
        text, tag = caution.text, caution.when.removeprefix("tag:")
        if tag in TO_BE_JUSTIFIED:
            text += " " + _asked_for(tag, scenario, catalog, used, assessment)
        citation = catalog.sources.get(caution.source.partition(":")[0], caution.source)
        yield Notice(caution.level, caution.code, text, citation, caution.when != "always")


def _asked_for(
    nutrient: str, scenario: Scenario, catalog: Catalog, used: Sequence[Amount], assessment: Assessment
) -> str:
    """What asks for a jar of a nutrient, and what the other standards ask of it for the same life stage."""
    [line] = [line for line in assessment.nutrients if line.nutrient.id == nutrient]
    standard, unit = scenario.standard, line.nutrient.unit
    jars = [amount for amount in used if nutrient in amount.item.food.tags]
    brought = sum(
        amount.grams * blend(amount.item.food, catalog, scenario.energy_method).contents[nutrient].low
        for amount in jars
    )
    without = max(line.total - brought, 0.0) * 1000 / assessment.totals.energy_kcal
    others = [
        (id_, limit.minimum)
        for (id_, stage), other in catalog.standards.items()
        for limit in other.mandatory
        if stage == standard.life_stage and id_ != standard.id
        if limit.nutrient == nutrient and limit.minimum and limit.basis == Basis.PER_1000_KCAL and not limit.condition
    ]
    ask = ", ".join(f"{id_.upper()} {figure(least)}" for id_, least in others)
    words = _what_asks(line, without, standard.id) + "."
    return f"{words} Others ask: {ask} {unit}." if ask else words


def _what_asks(line: NutrientLine, without: float, standard: str) -> str:
    """Whether a limit asks for a jar: "AAFCO's 20 mg per 1000 kcal is what asks for it: …"."""
    unit, there = line.nutrient.unit, f"there are {figure(without)} {line.nutrient.unit}"
    if line.minimum is None:
        return f"Nothing asks for it: {standard.upper()} wants none"
    least = f"{figure(line.minimum)} {unit} per 1000 kcal"
    own = line.minimum_source == "scenario"
    if without >= line.minimum:
        return f"Nothing asks for it: {'you want' if own else f'{standard.upper()} wants'} {least}, and {there} without"
    whose = f"Your own limit of {least}" if own else f"{standard.upper()}'s {least}"
    return f"{whose} is what asks for it: without this jar {there}"


def _of_figures(scenario: Scenario, used: Sequence[Amount], assessment: Assessment) -> Iterator[Notice]:
    if assessment.bone_range is not None:
        bone = assessment.bone_range
        totals = assessment.totals
        yield Notice(
            "warning",
            "bone-share-uncertain",
            f"Bone is the least certain figure: by published shares it is {totals.bone_share_low:.0%} to "
            f"{totals.bone_share_high:.0%} of this mix, calcium {bone.calcium_low:.2f} to {bone.calcium_high:.2f} g "
            f"per 1000 kcal and calcium : phosphorus {bone.ratio_low:.2f} to {bone.ratio_high:.2f}. Bone a cut, weigh "
            "both, and write bone_share.",
            "computed from the intervals in the catalog",
        )
    yield from _of_unknowns(assessment)
    yield from _of_guards(assessment, used)
    yield from _of_shares(assessment.above_shares)
    unpriced = [amount.item for amount in used if amount.item.price_per_gram is None and amount.item.id != "water"]
    if unpriced and scenario.currency:
        text = "Without a price, and so not in the cost: " + ", ".join(item.id for item in unpriced) + "."
        if any(item.is_jar for item in unpriced):
            text += " A plan counts each jar among them as dear as such jars usually are."
        yield Notice("info", "no-price", text, "the scenario")
    remembered = sorted({limit.nutrient for limit in scenario.standard.limits if limit.confidence == "memory"})
    if remembered:
        yield Notice(
            "warning",
            "limits-from-memory",
            f"{len(remembered)} of the limits of {scenario.standard.name} were entered from memory and are to be "
            f"verified: `weighout standards {scenario.standard.id}` marks them.",
            "the catalog",
        )


def _of_unknowns(assessment: Assessment) -> Iterator[Notice]:
    limited = [line for line in assessment.nutrients if line.minimum is not None or line.maximum is not None]
    partly = [line for line in limited if line.unknown_share >= WORTH_TELLING]
    partly.sort(key=lambda line: -line.unknown_share)
    if partly:
        listed = ", ".join(f"{line.nutrient.name} {line.unknown_share:.0%}" for line in partly[:5])
        rest = f" and {len(partly) - 5} more" if len(partly) > 5 else ""
        yield Notice(
            "info",
            "unknown-figures",
            f"Of some of the mix figures are unknown: {listed}{rest}. They count nothing towards a target, and towards "
            "a ceiling the high end of their class of food where one is known.",
            "the catalog",
        )


def _of_guards(assessment: Assessment, used: Sequence[Amount]) -> Iterator[Notice]:
    own = {line.nutrient.id: line.maximum for line in assessment.nutrients}
    parts = []
    for line in assessment.above_guards:
        if line.kind == "legal":
            yield _above_legal(line, used)
        else:
            parts.append(_above_guard(line, own.get(line.nutrient.id)))
    if parts:
        sources = dict.fromkeys(line.source for line in assessment.above_guards if line.kind != "legal")
        text = "More per 1000 kcal than another ceiling allows: " + ", ".join(parts) + "."
        yield Notice("warning", "above-another-ceiling", text, " ; ".join(sources))


def _above_guard(line: GuardLine, own: float | None) -> str:
    """What there is, what the guard is, and what the standard itself says."""
    unit, ceiling = line.nutrient.unit, figure(line.ceiling)
    if line.source == RULE_OF_THUMB:
        whose = f"by a rule of thumb, {MOST_TIMES_THE_TARGET:g} times the target"
    else:
        whose = "by " + line.source.partition(":")[0]
    says = "" if own is None else f"; this standard allows {figure(own)}"
    return f"{line.nutrient.name} {figure(line.amount)} {unit} (at most {ceiling} {whose}{says})"


def _above_legal(line: GuardLine, used: Sequence[Amount]) -> Notice:
    """What the law says of it, and no more: for feed on sale, for the total, where the substance is added."""
    jars = ", ".join(amount.item.food.name for amount in used if line.nutrient.id in amount.item.food.tags)
    unit, name = line.nutrient.unit, line.nutrient.name
    text = (
        f"{name}: {figure(line.amount)} {unit} per kg of dry matter; the legal maximum of the EU is "
        f"{figure(line.ceiling)} {unit} per kg of dry matter, for the total in feed on sale to which {name} is added "
        "as an additive."
    )
    if jars:
        text += f" Added here with: {jars}."
    return Notice("warning", "above-legal-maximum", text, line.source)


HARM = {
    "bone": "Much bone hardens the stool and blocks the gut, and brings calcium and phosphorus far above any target.",
    "liver": "Much liver over weeks is too much vitamin A and copper, and loosens the stool.",
    "secreting-organ": "Much liver, kidney or spleen brings much vitamin A, copper and iron, and loosens the stool.",
}


def _of_shares(shares: Sequence[UncommonShare]) -> Iterator[Notice]:
    for part in shares:
        text = f"{part.of.replace('-', ' ')} is {part.share:.0%} of the meat; {part.common:.0%} is the most that is "
        text += f"usual (common practice, no source). {HARM[part.of]}"
        yield Notice("warning", "above-common-share", text[0].upper() + text[1:], RULE_OF_THUMB)


def _unproven() -> Notice:
    return Notice(
        "warning",
        "not-proven-best",
        "Time ran out: a better mix may exist.",
        "the solver",
    )
