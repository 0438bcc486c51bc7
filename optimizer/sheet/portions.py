"""A finished batch -> portions: what each cat eats in a day, scoops, trays, bags, use-by dates, a thaw plan."""

import calendar
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from catalog.mistakes import Mistake
from catalog.nutrition import energy_needs
from catalog.nutrition.energy_needs import Need
from catalog.reading.holding_times import HoldingTime, holding_time
from optimizer.errors import InputErrors
from optimizer.scenario.cats import Cat, Packing
from optimizer.scenario.records import Scenario
from optimizer.sheet.sheet import Sheet

# What thaws through in a day in a refrigerator: 4 lb of 4 to 5 lb (FSIS, recollected).
THAW_GRAMS_A_DAY = 1814
LEAST_BAG_DAYS = 0.1  # less than this is put into the bag before it


@dataclass(frozen=True, slots=True)
class CatPortion:
    """What one cat eats in a day. `kcal` is what comes from this food; scoops are None without a scoop."""

    cat: Cat
    need: Need
    kcal: float
    grams_per_day: float
    grams_per_meal: float
    scoops_per_day: float | None


@dataclass(frozen=True, slots=True)
class Bag:
    """One bag: food for all cats for `days` days, fed from `feed_from` to `feed_to`, both included.

    It is moved from the freezer to the refrigerator on `thaw_on`; None: it is never frozen.
    """

    number: int
    grams: float
    days: float
    feed_from: date
    feed_to: date
    thaw_on: date | None
    thawed_use_by: date


@dataclass(frozen=True, slots=True)
class Portions:
    """A batch in portions. Without cats there are no days and no bags; without a tray or scoop, none of these.

    `net_g` is the mix less what evaporates and what sticks to bowls; a loss that was not stated is None.
    Energy is per gram of the mix as it is fed.
    """

    made: date
    mass_g: float
    evaporation_g: float | None
    sticking_g: float | None
    net_g: float
    kcal_per_g: float
    meals: int
    cats: tuple[CatPortion, ...]
    grams_per_day: float | None
    days: float | None
    scoop_g: float | None
    scoop_text: str
    scoops: float | None
    tray_g: float | None
    tray_text: str
    trays: int | None
    bag_days: int
    bags: tuple[Bag, ...]
    holding: HoldingTime
    frozen_use_by: date
    fresh_use_by: date
    notes: tuple[str, ...]


def portions_of(scenario: Scenario, sheet: Sheet, made: date, times: Sequence[HoldingTime]) -> Portions | None:
    """The portions of a batch made on a day; None where the scenario has neither cats nor [portions].

    Raises InputErrors where the losses leave nothing.
    """
    if not scenario.cats and scenario.packing is None:
        return None
    packing = scenario.packing or Packing()
    totals = sheet.assessment.totals
    evaporation = _loss(packing.evaporation, packing.evaporation_is_share, totals.mass_g)
    sticking = _loss(packing.sticking, packing.sticking_is_share, totals.mass_g)
    fed = totals.mass_g - (evaporation or 0.0)
    net = fed - (sticking or 0.0)
    if net <= 0:
        read = f"losses of {totals.mass_g - net:.0f} g"
        raise InputErrors([Mistake(scenario.file, 0, "portions", read, f"less than the mix, {totals.mass_g:.0f} g")])
    kcal_per_g = totals.energy_kcal / fed  # what evaporates is water: the energy stays
    cats = tuple(_portion(cat, kcal_per_g, packing) for cat in scenario.cats)
    a_day = sum(portion.grams_per_day for portion in cats) if cats else None
    holding = holding_time((line.role for line in sheet.lines), times)
    bags = _bags(net, a_day, packing, made, holding) if a_day else ()
    use_by = _months_later(made, holding.freezer_months_low)
    return Portions(
        made=made,
        mass_g=totals.mass_g,
        evaporation_g=evaporation,
        sticking_g=sticking,
        net_g=net,
        kcal_per_g=kcal_per_g,
        meals=packing.meals,
        cats=cats,
        grams_per_day=a_day,
        days=net / a_day if a_day else None,
        scoop_g=packing.scoop_g,
        scoop_text=packing.scoop_text,
        scoops=net / packing.scoop_g if packing.scoop_g else None,
        tray_g=packing.tray_g,
        tray_text=packing.tray_text,
        trays=math.ceil(net / packing.tray_g - 1e-9) if packing.tray_g else None,
        bag_days=packing.bag_days,
        bags=bags,
        holding=holding,
        frozen_use_by=use_by,
        fresh_use_by=made + timedelta(days=holding.fridge_days_high),
        notes=tuple(_notes(scenario, packing, sheet, bags, holding, made, use_by)),
    )


def need_of(cat: Cat) -> Need:
    """A cat's energy in a day: as stated, else by the equation for its life stage, build and habits.

    An overweight adult gets the lower of NRC's equation for overweight cats and the one for its habits.
    """
    if cat.kcal_per_day is not None:
        return Need(cat.kcal_per_day, "as stated in the scenario", "own-count", "read")
    if cat.stage == "kitten":
        return energy_needs.growing(cat.weight_kg, cat.mature_kg or cat.weight_kg)
    if cat.stage == "pregnant":
        return energy_needs.pregnant(cat.weight_kg)
    if cat.stage == "nursing":
        return energy_needs.nursing(cat.weight_kg, cat.kittens or 1, cat.week or 1)
    calm = cat.activity == "quiet" or (cat.activity is None and cat.neutered)
    usual = energy_needs.quiet(cat.weight_kg) if calm else energy_needs.active(cat.weight_kg)
    if cat.condition != "overweight":
        return usual
    return min(usual, energy_needs.overweight(cat.weight_kg), key=lambda need: need.kcal)


def _loss(stated: float | None, is_share: bool, mass_g: float) -> float | None:
    return None if stated is None else stated * mass_g if is_share else stated


def _portion(cat: Cat, kcal_per_g: float, packing: Packing) -> CatPortion:
    need = need_of(cat)
    grams = need.kcal * cat.share / kcal_per_g
    return CatPortion(
        cat=cat,
        need=need,
        kcal=need.kcal * cat.share,
        grams_per_day=grams,
        grams_per_meal=grams / packing.meals,
        scoops_per_day=grams / packing.scoop_g if packing.scoop_g else None,
    )


def _bags(net_g: float, grams_per_day: float, packing: Packing, made: date, holding: HoldingTime) -> tuple[Bag, ...]:
    """Bags of `bag_days` days each; the last holds the rest."""
    whole_g = grams_per_day * packing.bag_days
    full, rest = divmod(net_g, whole_g)
    grams = [whole_g] * int(full)
    if rest >= LEAST_BAG_DAYS * grams_per_day or not grams:
        grams.append(rest)
    else:
        grams[-1] += rest
    start = packing.feed_from or made
    return tuple(
        _bag(
            position + 1, mass, mass / grams_per_day, start + timedelta(days=position * packing.bag_days), made, holding
        )
        for position, mass in enumerate(grams)
    )


def _bag(number: int, grams: float, days: float, feed_from: date, made: date, holding: HoldingTime) -> Bag:
    feed_to = feed_from + timedelta(days=max(math.ceil(days - LEAST_BAG_DAYS), 1) - 1)
    fresh = feed_to <= made + timedelta(days=holding.fridge_days_high)
    thaw_on = None if fresh else max(feed_from - timedelta(days=math.ceil(grams / THAW_GRAMS_A_DAY)), made)
    thawed = made if fresh else feed_from
    return Bag(number, grams, days, feed_from, feed_to, thaw_on, thawed + timedelta(days=holding.fridge_days_high))


def _months_later(day: date, months: int) -> date:
    """The same day so many months later; the last of the month where it has no such day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def _notes(
    scenario: Scenario,
    packing: Packing,
    sheet: Sheet,
    bags: Sequence[Bag],
    holding: HoldingTime,
    made: date,
    use_by: date,
) -> list[str]:
    """What a person must know about these portions."""
    notes = ["Energy needs are averages; single cats differ by tens of percent. Weigh the cats and follow the scale."]
    young = [cat.name for cat in scenario.cats if cat.stage != "adult"]
    if young and sheet.life_stage == "adult":
        notes.append(f"This batch was made for grown cats, but not: {', '.join(young)}. Plan it for growth.")
    if young:
        notes.append(
            f"The needs of kittens and queens change from week to week: {', '.join(young)}. Weigh and plan anew."
        )
    if any(cat.condition == "overweight" for cat in scenario.cats):
        notes.append(
            "These portions keep an overweight cat's weight or lower it slowly; leave a diet to a veterinarian."
        )
    if packing.evaporation is None or packing.sticking is None:
        notes.append("A loss that is not stated is not counted: weigh what is left on bowls and grinder, and state it.")
    if packing.scoop_assumed:
        notes.append("The scoop was not weighed: 1 g per ml is assumed. Weigh a level scoop and state scoop_grams.")
    if packing.bag_days > holding.fridge_days_high:
        notes.append(
            f"A bag holds {packing.bag_days} days, but thawed food keeps {holding.fridge_days_low} to "
            f"{holding.fridge_days_high}: make bags of at most {holding.fridge_days_high} days."
        )
    if packing.feed_from is not None and packing.feed_from < made:
        notes.append("Feeding is to start before the batch is made.")
    late = [bag for bag in bags if bag.thaw_on is not None and bag.feed_to > use_by]
    if late:
        notes.append(
            f"Bags {late[0].number} to {late[-1].number} would be fed after {use_by.isoformat()}, when frozen food has "
            "passed its best: make a smaller batch."
        )
    notes.append("Days in the freezer before the meat was ground count too, and freezing kills no germs.")
    return notes
