"""Checks over a whole scenario: functions of one shape, each giving the mistakes it finds."""

import difflib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from catalog.mistakes import Mistake
from catalog.nutrition.composition import bone_share_of
from catalog.nutrition.losses import may_be_treated
from catalog.reading.toml_fields import shown
from catalog.records import Food
from catalog.units.quantities import Rate
from optimizer.scenario.aims import AIMS, SUREST, USUAL
from optimizer.scenario.items import Entry, name_key
from optimizer.scenario.records import Dose, Item, Scenario
from optimizer.scenario.schema import EntryTable, OnHandTable


@dataclass(frozen=True, slots=True)
class Reading:
    """A scenario as read so far, the entries it came from, whether the file has a usual recipe and says anything of a
    currency, and all foods by id."""

    scenario: Scenario
    entries: Sequence[Entry[EntryTable]]
    has_usual: bool
    has_currency: bool
    foods: Mapping[str, Food]


Check = Callable[[Reading], Iterator[Mistake]]


def all_or_up_to(reading: Reading) -> Iterator[Mistake]:
    """What is on hand goes in whole (`amount`) or `up_to` a quantity: one of the two."""
    for entry in reading.entries:
        if isinstance(entry.table, OnHandTable):
            written = entry.written & {"amount", "up_to"}
            if not written:
                yield entry.mistake("amount", "nothing", 'an amount such as "2 lb 3 oz" (all of it), or up_to')
            elif len(written) == 2:
                yield entry.mistake("up_to", "both amount and up_to", "one of them: amount is all of it")


def once_each(reading: Reading) -> Iterator[Mistake]:
    """A food stands in one entry only."""
    seen: dict[str, Entry[EntryTable]] = {}
    for entry in reading.entries:
        if entry.table.food:
            id_ = entry.table.food.id
            first = seen.setdefault(id_, entry)
            if first is not entry:
                allowed = f"one entry for each food; it stands on line {first.line(name_key(first))} already"
                yield entry.mistake(name_key(entry), f'"{id_}" a second time', allowed)


def bounds_in_order(reading: Reading) -> Iterator[Mistake]:
    """Bounds are the right way up, and within what there is."""
    for item in reading.scenario.items:
        low, high, exact = (_comparable(item, d) for d in (item.at_least, item.at_most, item.exactly))
        if item.exactly and (item.at_least or item.at_most):
            yield _wrong(reading.scenario, item, "exactly", item.exactly, "no at_least or at_most beside it")
        if item.fixed is not None and (item.at_least or item.at_most or item.exactly):
            key = next(k for k in ("at_least", "at_most", "exactly") if getattr(item, k))
            yield _wrong(
                reading.scenario, item, key, getattr(item, key), "no bound beside amount (all of it); use up_to"
            )
        if low and high and low[0] == high[0] and low[1] > high[1]:
            yield _wrong(
                reading.scenario, item, "at_most", item.at_most, f"not less than at_least, {_text(item.at_least)}"
            )
        for key, bound in (("at_least", low), ("exactly", exact)):
            if bound and bound[0] == "batch" and item.available is not None and bound[1] > item.available:
                there = "left" if item.is_supplement else "up_to"
                yield _wrong(reading.scenario, item, key, getattr(item, key), f"not more than what there is ({there})")


def steps_within_bounds(reading: Reading) -> Iterator[Mistake]:
    """A least amount is reached by whole steps of what there is and of the most that is allowed."""
    for item in reading.scenario.items:
        low, high = _comparable(item, item.at_least), _comparable(item, item.at_most)
        if low is None or low[0] != "batch" or item.step is None or item.fixed is not None:
            continue
        needed = -(-low[1] // item.step) * item.step
        there = "left" if item.is_supplement else "up_to"
        tops = [(there, item.available), ("at_most", high[1] if high and high[0] == "batch" else None)]
        for key, most in tops:
            if most is not None and needed > most >= low[1]:
                allowed = f"an amount that whole steps of {float(item.step):g} {item.unit} reach within {key}"
                yield _wrong(reading.scenario, item, "at_least", item.at_least, allowed)


def bone_in_what_has_bone(reading: Reading) -> Iterator[Mistake]:
    """A share of bone is stated of a cut that holds both meat and bone."""
    for item in reading.scenario.items:
        share = bone_share_of(item.food, reading.foods)
        if item.bone_share is None or 0 < share < 1:
            continue
        read = f"{100 * item.bone_share:g} % of {item.food.name}, which {'is all bone' if share else 'has no bone'}"
        allowed = "the share of bone in a bone-in cut, as weighed at home"
        hint = _bone_in(item.food, reading.foods)
        yield Mistake(reading.scenario.file, item.lines["bone_share"], f"{item.where}.bone_share", read, allowed, hint)


def _bone_in(food: Food, foods: Mapping[str, Food]) -> str:
    """A sentence that names the bone-in cuts of the same animal whose names are nearest."""
    cuts = [f.id for f in foods.values() if f.species == food.species and 0 < bone_share_of(f, foods) < 1]
    nearest = difflib.get_close_matches(food.id, sorted(cuts), n=3, cutoff=0.0) if food.species else []
    return f"Bone-in cuts of {food.species}: {', '.join(nearest)}." if nearest else ""


def priced_in_a_currency(reading: Reading) -> Iterator[Mistake]:
    """A price or a budget needs a currency. Told once; a currency that cannot be read has its own mistake."""
    scenario = reading.scenario
    if scenario.currency or reading.has_currency:
        return
    without = " in a scenario without a currency"
    allowed = 'an amount of money in a scenario that states its currency, such as currency = "USD" at the top'
    if scenario.budget is not None:
        yield Mistake(scenario.file, scenario.lines["budget"], "budget", f'"{scenario.budget}"{without}', allowed)
        return
    for entry in reading.entries:
        price = entry.table.price
        if price is not None:
            meant = allowed.replace("USD", price.currency or "USD")
            yield entry.mistake("price", f"{shown(price.text)}{without}", meant)
            return


def something_to_feed(reading: Reading) -> Iterator[Mistake]:
    """A batch needs meat whose amount is known, or a least amount of it."""
    meat = [item for item in reading.scenario.items if item.is_meat]
    fixed = any(item.fixed or item.exactly or item.at_least for item in meat)
    broken = len(reading.scenario.items) < len(reading.entries) or any(
        getattr(entry.table, key, None) is None
        for entry in reading.entries
        for key in entry.written & {"amount", "up_to"}
    )
    if not fixed and reading.scenario.meat_at_least_grams is None and not broken:
        allowed = "a cut with an amount, or meat_at_least for cuts that are all up_to"
        line = reading.entries[0].lines[("on_hand", 0)] if reading.entries else 0
        yield Mistake(reading.scenario.file, line, "on_hand", "no meat with an amount", allowed)
    enough = sum((i.available * i.grams_per_unit for i in meat if i.available), Fraction())
    enough += sum((i.fixed * i.grams_per_unit for i in meat if i.fixed), Fraction())
    if (
        reading.scenario.meat_at_least_grams is not None
        and enough < reading.scenario.meat_at_least_grams
        and not broken
    ):
        read = f"{float(reading.scenario.meat_at_least_grams):g} g"
        allowed = f"not more than the meat on hand, {float(enough):g} g"
        yield Mistake(reading.scenario.file, reading.scenario.lines["meat_at_least"], "meat_at_least", read, allowed)


def losses_where_they_can_be(reading: Reading) -> Iterator[Mistake]:
    """Only raw meat, organs and fish lose by what is done to them, and bone is never cooked."""
    scenario = reading.scenario
    for entry in reading.entries:
        table = entry.table
        if isinstance(table, OnHandTable) and table.losses and table.food and not may_be_treated(table.food):
            read = f"{', '.join(one.id for one in table.losses)} of {table.food.name}"
            yield entry.mistake(
                "losses", read, "raw meat, organs or fish; cooked food is listed as it is after cooking"
            )
    for item in scenario.items:
        cooked = [one.id for one in item.food.treatments if one.cooks]
        if cooked and bone_share_of(item.food, reading.foods):
            line = item.lines.get("losses") or scenario.lines["losses"] or item.lines.get("food", 0)
            read, allowed = f"{', '.join(cooked)}, with bone", "meat without bone: cooked bone splinters"
            yield Mistake(scenario.file, line, f"{item.where}.losses", read, allowed)


def some_limit(reading: Reading) -> Iterator[Mistake]:
    """A mix of which nothing is asked keeps every limit, and no cat lives on it."""
    scenario = reading.scenario
    if not scenario.standard.mandatory and "limits" not in scenario.data:
        read = f'"{scenario.standard.id}", which has no limits, and none of your own'
        allowed = "a published standard, or limits of your own under [[limits]]"
        yield Mistake(scenario.file, scenario.lines["standard"], "standard", read, allowed)


def usual_known(reading: Reading) -> Iterator[Mistake]:
    """The aim `usual` needs a usual recipe."""
    if reading.scenario.aim == USUAL and not reading.has_usual:
        allowed = 'a table [usual] with lines such as kelp-powder = "1/2 tsp per 5 kg"'
        yield Mistake(
            reading.scenario.file, reading.scenario.lines["aim"], "usual", "nothing, for the aim usual", allowed
        )


def sure_beside_its_aim(reading: Reading) -> Iterator[Mistake]:
    """The surest mix is as sure as can be: no chance can be asked for beside it. One that is to hold all limits at
    once needs a chance."""
    scenario = reading.scenario
    if AIMS[scenario.aim].as_sure and scenario.sure is not None:
        read = f"a chance, for the aim {SUREST}"
        allowed = f"one of the two: a chance that the mix is to have, or the aim {SUREST} for as sure as can be"
        yield Mistake(scenario.file, scenario.lines["sure"], "sure", read, allowed)
    elif scenario.together and scenario.sure is None and not AIMS[scenario.aim].as_sure:
        allowed = 'sure beside it, such as sure = "90 %"'
        yield Mistake(scenario.file, scenario.lines["together"], "together", "true, without sure", allowed)


CHECKS: tuple[Check, ...] = (
    all_or_up_to,
    once_each,
    bounds_in_order,
    steps_within_bounds,
    bone_in_what_has_bone,
    priced_in_a_currency,
    something_to_feed,
    losses_where_they_can_be,
    some_limit,
    usual_known,
    sure_beside_its_aim,
)


def _comparable(item: Item, dose: Dose | None) -> tuple[str, Fraction] | None:
    """A bound's basis and its size in the item's units."""
    if dose is None:
        return None
    if isinstance(dose, Rate):
        return "meat", item.units(dose.quantity) / dose.per_grams
    return "batch", item.units(dose)


def _text(dose: Dose | None) -> str:
    return f'"{dose.text}"' if dose else "nothing"


def _wrong(scenario: Scenario, item: Item, key: str, dose: Dose | None, allowed: str) -> Mistake:
    read = f"{_text(dose)} of {item.food.name}"
    return Mistake(scenario.file, item.lines.get(key, 0), f"{item.where}.{key}", read, allowed)
