"""Portions in words: short lines that every printed form shows."""

from datetime import date

from optimizer.sheet.numbers import amount_text, grams_text
from optimizer.sheet.portions import Bag, CatPortion, Portions


def day_text(day: date) -> str:
    """A date as people read it without mistaking month for day: "Wed 25 Nov 2026"."""
    names = "Mon Tue Wed Thu Fri Sat Sun".split()
    months = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()
    return f"{names[day.weekday()]} {day.day} {months[day.month - 1]} {day.year}"


def days_text(days: float) -> str:
    """A number of days to the tenth."""
    text = f"{days:.1f}".removesuffix(".0")
    return f"{text} day" if text == "1" else f"{text} days"


def cat_text(portion: CatPortion, portions: Portions) -> str:
    """What one cat gets: "Minka: 154 g a day, 2 meals of 77 g; 196 kcal (75 x kg^0.67)"."""
    scoops = f" ({portion.scoops_per_day:.1f} scoops)" if portion.scoops_per_day is not None else ""
    part = f", {portion.cat.share:.0%} of its food" if portion.cat.share < 1 else ""
    return (
        f"{portion.cat.name}, {amount_text(portion.cat.weight_kg)} kg: {portion.grams_per_day:.0f} g a day{scoops}, "
        f"{portions.meals} meals of {portion.grams_per_meal:.0f} g; {portion.kcal:.0f} kcal{part} "
        f"({portion.need.equation})"
    )


def bag_text(bag: Bag) -> str:
    """When one bag is thawed and fed."""
    how = "kept in the refrigerator" if bag.thaw_on is None else f"freezer to refrigerator {day_text(bag.thaw_on)}"
    span = day_text(bag.feed_from)
    if bag.feed_to != bag.feed_from:
        span += f" to {day_text(bag.feed_to)}"
    return f"Bag {bag.number}: {bag.grams:.0f} g, {days_text(bag.days)}; {how}; feed {span}"


def loss_text(portions: Portions) -> str:
    """The losses, each as stated or as not stated."""
    parts = []
    for name, loss in (("evaporation", portions.evaporation_g), ("sticking", portions.sticking_g)):
        parts.append(f"{name} not stated" if loss is None else f"{name} {grams_text(loss)}")
    return ", ".join(parts)


def keeping_text(portions: Portions) -> str:
    """How long it keeps, and until when."""
    holding = portions.holding
    return (
        f"Refrigerator (4 °C, 40 °F) {holding.fridge_days_low} to {holding.fridge_days_high} days, fresh until "
        f"{day_text(portions.fresh_use_by)}; freezer (-18 °C, 0 °F) {holding.freezer_months_low} to "
        f"{holding.freezer_months_high} months, best until {day_text(portions.frozen_use_by)}; thawed the same "
        f"{holding.fridge_days_low} to {holding.fridge_days_high} days"
    )


def summary_lines(portions: Portions) -> list[str]:
    """The portions without bags: cats, days, scoops, trays, keeping."""
    lines = [cat_text(portion, portions) for portion in portions.cats]
    net = f"{grams_text(portions.net_g)} to feed ({loss_text(portions)}), {portions.kcal_per_g * 1000:.0f} kcal per kg"
    if portions.days is not None:
        net += f": {days_text(portions.days)} at {portions.grams_per_day:.0f} g a day, {len(portions.bags)} bags"
    lines.append(net)
    if portions.scoops is not None and portions.scoop_g is not None:
        lines.append(f"{portions.scoops:.0f} scoops of {portions.scoop_text} ({grams_text(portions.scoop_g)} each)")
    if portions.trays is not None:
        lines.append(f"{portions.trays} trays of {portions.tray_text}")
    lines.append(keeping_text(portions))
    return lines


def portions_lines(portions: Portions) -> list[str]:
    """Everything that is said of the portions, a line each."""
    return [*summary_lines(portions), *(bag_text(bag) for bag in portions.bags), *portions.notes]
