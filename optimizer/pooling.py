"""Several batches as one: their amounts put together, so that every figure is the average by mass."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from catalog.mistakes import Mistake
from catalog.nutrition.composition import bone_share_of
from catalog.records import Catalog
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.errors import InputErrors
from optimizer.scenario.records import Item, Scenario
from optimizer.sheet.sheet import ASSESSED, Sheet, make_sheet
from optimizer.sureness.chances import sureness_of
from optimizer.sureness.told import ToldSureness


def pooled(batches: Sequence[tuple[Scenario, Sheet]], catalog: Catalog) -> tuple[Scenario, Sheet]:
    """One scenario and sheet of all batches together, judged by the first one's standard and cap.

    An ingredient of several batches becomes one line, in grams. Where a share of bone was weighed at home in some of
    them, the average by mass counts, with the published share for the others. Raises InputErrors where something was
    thawed or cooked in other ways.
    """
    first = batches[0][0]
    found: dict[str, list[Amount]] = {}
    for _, sheet in batches:
        for amount in sheet.amounts:
            found.setdefault(amount.item.id, []).append(amount)
    _check_treatments(found.values(), first.file)
    amounts = [_together(same, catalog) for same in found.values()]
    scenario = replace(
        first,
        title=f"Average of {len(batches)} batches: " + ", ".join(dict.fromkeys(s.title for s, _ in batches)),
        file=", ".join(dict.fromkeys(s.file for s, _ in batches)),
        items=tuple(amount.item for amount in amounts),
        cats=(),
        packing=None,
    )
    sure = ToldSureness(sureness_of(scenario, catalog, amounts))
    assessment = assess(scenario, catalog, amounts)
    return scenario, make_sheet(scenario, catalog, amounts, assessment, ASSESSED, None, sureness=sure)


def _check_treatments(ingredients: Iterable[Sequence[Amount]], file: str) -> None:
    mistakes = [
        Mistake(
            file, 0, "losses", f"{same[0].item.food.name} with other losses than in another batch", "the same in all"
        )
        for same in ingredients
        if len({amount.item.food.treatments for amount in same}) > 1
    ]
    if mistakes:
        raise InputErrors(mistakes)


def _together(same: Sequence[Amount], catalog: Catalog) -> Amount:
    item = same[0].item
    if len(same) == 1:
        return same[0]
    grams = sum((amount.count * amount.item.grams_per_unit for amount in same), Fraction())
    return Amount(
        Item(
            food=item.food,
            is_supplement=item.is_supplement,
            counts_as=item.counts_as,
            unit="g",
            grams_per_unit=Fraction(1),
            bone_share=_bone_share(same, catalog),
            lots=sum(amount.item.lots for amount in same),
        ),
        grams,
    )


def _bone_share(same: Sequence[Amount], catalog: Catalog) -> float | None:
    if all(amount.item.bone_share is None for amount in same):
        return None
    published = bone_share_of(same[0].item.food, catalog.foods)
    shares = [published if amount.item.bone_share is None else amount.item.bone_share for amount in same]
    whole = sum(amount.grams for amount in same)
    return sum(amount.grams * share for amount, share in zip(same, shares, strict=True)) / whole
