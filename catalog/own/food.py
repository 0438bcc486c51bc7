"""One entry of a person's own foods -> Food: its label's amounts as figures per 100 g, its measures in grams."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from catalog.mistakes import did_you_mean
from catalog.nutrition.refusals import refusal
from catalog.own.label_amounts import PER, LabelAmount, Per, read_label_amount
from catalog.own.purposes import own_purposes, own_usual_price
from catalog.own.schema import OwnEntry, category_of, tags_of
from catalog.own.spread import LabelSpread, spreads, with_spread
from catalog.reading.figures import MICROGRAMS, summed_figures
from catalog.reading.toml_fields import shown
from catalog.records import Figure, Food, Measure, Nutrient
from catalog.units.quantities import read_quantity
from catalog.units.spelling import QuantityError, canonical_unit, unit_kind

SPOONS = ("ml", "l", "tsp", "tbsp", "cup", "fl oz")  # the volumes that amounts in a scenario can be weighed by
PROXIMATES = ("water", "protein", "fat", "ash", "carbohydrate")
MOST_OF_A_LABEL, MOST_OF_A_TABLE = 103.0, 110.0  # grams in 100 g: a published table is off by more, and stays as it is
# What labels call a nutrient -> its id here, for hints.
LABEL_WORDS = {
    "retinol": "vitamin-a",
    "vitamin-d3": "vitamin-d",
    "tocopherol": "vitamin-e",
    "vitamin-k1": "vitamin-k",
    "vitamin-b1": "thiamine",
    "thiamin": "thiamine",
    "vitamin-b2": "riboflavin",
    "vitamin-b3": "niacin",
    "niacinamide": "niacin",
    "vitamin-b5": "pantothenic-acid",
    "pyridoxine": "vitamin-b6",
    "vitamin-b7": "biotin",
    "vitamin-b9": "folate",
    "folic-acid": "folate",
    "cobalamin": "vitamin-b12",
    "omega-6": "linoleic-acid",
    "moisture": "water",
    "crude-protein": "protein",
    "crude-fat": "fat",
    "crude-ash": "ash",
    "fiber": "fibre",
    "crude-fibre": "fibre",
    "sodium-chloride": "sodium",
    "salt": "sodium",
}


def own_food(entry: OwnEntry) -> Food | None:
    """The food of an entry; None when it has a mistake, which is then in `entry.mistakes`."""
    for check in (like_can_be_followed, per_is_needed):
        check(entry)
    amounts = _amounts(entry)
    measures = _measures(entry, amounts)
    figures = _figures(entry, amounts, measures)
    for look in WEIGHINGS:
        look(entry, figures)
    summed, category, tags = summed_figures(figures, entry.catalog.nutrients), category_of(entry), tags_of(entry)
    purposes = own_purposes(entry, summed, tags)
    table, like = entry.table, entry.table.like
    if entry.mistakes or table.id is None:
        return None
    return Food(
        id=table.id,
        name=table.name or (like.name if like else ""),
        role=table.role or (like.role if like else ""),
        counts_as=table.counts_as or (like.counts_as if like else ""),
        category=category,
        species=table.species or (like.species if like else ""),
        tags=tags,
        note=_note(entry, amounts),
        figures=summed,
        measures=measures,
        parts=like.parts if like else (),
        file=entry.file,
        line=entry.line(),
        purposes=purposes,
        usual_price_per_gram=own_usual_price(entry, category),
    )


def like_can_be_followed(entry: OwnEntry) -> None:
    """A composite has no figures to replace, and no food is a part of itself."""
    like, id_ = entry.table.like, entry.table.id
    if like is None or not like.parts:
        return
    if entry.table.amounts:
        allowed = "a food with figures of its own: " + ", ".join(part.food for part in like.parts)
        entry.wrong(("like",), f"{shown(like.id)} (a composite)", allowed)
    if id_ in _all_parts(like, entry.catalog.foods):
        entry.wrong(("like",), f"{shown(like.id)} (of which {id_} is a part)", "a food that is not made of this one")


def _all_parts(food: Food, foods: Mapping[str, Food]) -> set[str]:
    return {part.food for part in food.parts}.union(*(_all_parts(foods[part.food], foods) for part in food.parts))


def per_is_needed(entry: OwnEntry) -> None:
    """Amounts are in something."""
    if entry.table.amounts and "per" not in entry.written:
        stated = all(isinstance(text, str) and ("%" in text or "/" in text) for text in entry.table.amounts.values())
        if not stated:
            entry.wrong(("per",), "nothing", PER)


def _amounts(entry: OwnEntry) -> dict[str, LabelAmount]:
    """The label's amounts by nutrient id."""
    nutrients = entry.catalog.nutrients
    found: dict[str, LabelAmount] = {}
    for id_, text in entry.table.amounts.items():
        nutrient = nutrients.get(id_)
        if nutrient is None:
            _no_such_nutrient(entry, id_)
            continue
        given = [term for term in nutrient.sum_of if term in entry.table.amounts]
        if given:
            entry.wrong(("amounts", id_), f"{shown(text)} besides {given[0]}", "the sum, or what it is made of")
            continue
        try:
            found[id_] = read_label_amount(text, nutrient, entry.forms)
        except QuantityError as error:
            entry.wrong(("amounts", id_), f"{shown(text)} ({error})", error.allowed, error.hint)
    return found


def _no_such_nutrient(entry: OwnEntry, id_: str) -> None:
    read = f'"{id_}"'
    refused = refusal(id_, entry.catalog.cautions)
    if refused:
        entry.wrong(("amounts", id_), f"{read} (refused: {refused.text})", "a product without it")
        return
    if id_ in ("energy", "kcal", "calories"):
        allowed = "no energy: it is computed from protein, fat and carbohydrate"
        entry.wrong(("amounts", id_), read, allowed)
        return
    hint = did_you_mean(id_, entry.catalog.nutrients)
    hint = f"Did you mean {LABEL_WORDS[id_]}?" if id_ in LABEL_WORDS else hint
    allowed = "a nutrient such as taurine, vitamin-e or zinc; leave out what no standard asks for"
    entry.wrong(("amounts", id_), f"{read} (no such nutrient)", allowed, hint)


def _measures(entry: OwnEntry, amounts: Mapping[str, LabelAmount]) -> dict[str, Measure]:
    """The measures written, that of `per`, and those of `like`."""
    like = entry.table.like
    own: dict[str, Measure] = {}
    for name, text in entry.table.measures.items():
        try:
            unit, weight = canonical_unit(name), read_quantity(text)
        except QuantityError as error:
            entry.wrong(("measures", name), f"{shown(text)} ({error})", error.allowed, error.hint)
            continue
        if unit_kind(unit) == "mass" or (unit_kind(unit) == "volume" and unit not in SPOONS) or weight.kind != "mass":
            allowed = 'what one of it weighs, such as tsp = "4 g" or "pump stroke" = "1.4 g"'
            entry.wrong(("measures", name), shown(text), allowed)
            continue
        own[unit] = Measure(unit, float(weight.amount), entry.source, "read")
    per = entry.table.per
    if per is not None and per.quantity.kind != "mass":
        unit, count = _unit_of(per)
        grams = float(per.grams) / count if per.grams is not None else own[unit].grams if unit in own else None
        if grams is not None and unit in own and abs(own[unit].grams / grams - 1) > 0.001:
            allowed = f"the same mass of one {unit} as in per, {grams:g} g"
            entry.wrong(("measures", unit), f"{own[unit].grams:g} g", allowed)
        if grams is not None:
            labelled = any(amount.in_grams is None for amount in amounts.values())
            own[unit] = Measure(unit, grams, entry.source, "read", labelled=labelled)
    for unit, measure in own.items():
        known = like.measures.get(unit) if like else None
        if known and known.labelled and abs(known.grams / measure.grams - 1) > 0.001 and _inherits(entry):
            allowed = (
                f"{known.grams:g} g, since the figures of {like.id if like else ''} hold for one {unit} of that mass"
            )
            key: tuple[str, ...] = ("measures", unit) if unit in entry.table.measures else ("per",)
            entry.wrong(key, f"{measure.grams:g} g", allowed, "Give every amount on the label, or leave out like.")
    return {**(like.measures if like else {}), **own}


def _unit_of(per: Per) -> tuple[str, float]:
    """The measure that a serving is counted in, and how many of them it is."""
    unit = per.quantity.unit
    if per.quantity.kind == "volume" and unit not in SPOONS:
        return "ml", float(per.quantity.amount)
    return unit, float(per.quantity.count)


def _inherits(entry: OwnEntry) -> bool:
    """Whether figures of `like` remain that are not on the label."""
    like = entry.table.like
    return like is not None and any(f.value and id_ not in entry.table.amounts for id_, f in like.figures.items())


def _figures(entry: OwnEntry, amounts: Mapping[str, LabelAmount], measures: Mapping[str, Measure]) -> dict[str, Figure]:
    """The label's amounts per 100 g, over those of `like`; what is on neither stays unknown."""
    nutrients, table = entry.catalog.nutrients, entry.table
    found: dict[str, Figure] = {}
    replaced = {term for id_ in amounts for term in nutrients[id_].sum_of}
    if table.like:
        kept = {id_: f for id_, f in table.like.figures.items() if not nutrients[id_].sum_of and id_ not in replaced}
        same = table.like.id == table.id
        found = {id_: f if same or f.kind == "assumed" else replace(f, kind="estimated") for id_, f in kept.items()}
    grams: float | None = None
    per = table.per
    if per is not None:
        unit, count = _unit_of(per)
        weighed = measures.get(unit)
        grams = float(per.grams) if per.grams is not None else weighed.grams * count if weighed else None
        if grams is None:
            allowed = f'the mass too, such as "{per.text} (1.3 g)": weigh ten and divide'
            entry.wrong(("per",), shown(per.text), allowed)
    known = spreads(entry, amounts)
    for id_, amount in amounts.items():
        mass = amount.in_grams or grams
        if mass is not None:
            figure = _figure(amount, 100 / mass, nutrients[id_], entry)
            found[id_] = with_spread(figure, known.get(id_, LabelSpread()), grams)
    return found


def _figure(amount: LabelAmount, times: float, nutrient: Nutrient, entry: OwnEntry) -> Figure:
    return Figure(
        value=amount.value * times,
        low=amount.low * times,
        high=amount.high * times,
        kind=entry.table.kind,
        source=entry.source,
        confidence="read",
        sd=amount.value * times * nutrient.assumed_cv,
        sd_assumed=True,
    )


def _note(entry: OwnEntry, amounts: Mapping[str, LabelAmount]) -> str:
    """The person's own note, and what to know of how amounts were counted."""
    nutrients, like = entry.catalog.nutrients, entry.table.like
    notes = [entry.table.note or ""]
    if like and not like.parts:
        notes.append(f"what is not on the label is as in {like.id}")
    notes += [f"{nutrients[id_].name}: {amount.note}" for id_, amount in amounts.items() if amount.note]
    return "; ".join(note for note in notes if note)


Weighing = Callable[[OwnEntry, Mapping[str, Figure]], None]


def seaweed_has_iodine(entry: OwnEntry, figures: Mapping[str, Figure]) -> None:
    """Seaweed without an iodine figure would count as none towards the ceiling."""
    if entry.table.id and {"kelp", "seaweed"} & tags_of(entry) and "iodine" not in {*figures, *entry.table.amounts}:
        allowed = 'iodine = "… ug" from its label, or like = "kelp-powder", which counts low and high'
        entry.wrong(("amounts",), "seaweed without iodine", allowed)


def no_more_than_all(entry: OwnEntry, figures: Mapping[str, Figure]) -> None:
    """No nutrient weighs more than the food that holds it."""
    for id_ in entry.table.amounts:
        grams = _grams(figures, id_, entry, high=True)
        if grams > 100.0001:
            text = shown(entry.table.amounts[id_])
            entry.wrong(("amounts", id_), f"{text} ({grams:.4g} g in 100 g)", "no more than the food weighs")


def parts_make_a_whole(entry: OwnEntry, figures: Mapping[str, Figure]) -> None:
    """Water, protein, fat, ash and carbohydrate are not more than the whole; neither are vitamins and minerals."""
    most = MOST_OF_A_LABEL if entry.table.kind == "label" else MOST_OF_A_TABLE
    groups = {
        "water, protein, fat, ash and carbohydrate": PROXIMATES,
        "minerals and vitamins": [n.id for n in entry.catalog.nutrients.values() if n.group in ("mineral", "vitamin")],
    }
    for name, ids in groups.items():
        total = sum(_grams(figures, id_, entry) for id_ in ids)
        written = [id_ for id_ in ids if id_ in entry.table.amounts]
        alone = any(_grams(figures, id_, entry) > 100 for id_ in written)  # told by no_more_than_all
        if written and total > most and not alone:
            entry.wrong(("amounts", written[0]), f"{name} of {total:.4g} g in 100 g", "together no more than 100 g")


def _grams(figures: Mapping[str, Figure], id_: str, entry: OwnEntry, high: bool = False) -> float:
    """Grams of a nutrient in 100 g, at the low end of a range or the high one; IU by the mass of the free vitamin."""
    nutrient = entry.catalog.nutrients.get(id_)
    if nutrient is None or id_ not in figures:
        return 0.0
    micrograms = MICROGRAMS.get(nutrient.unit) or 1 / (nutrient.iu_per_ug or 1.0)
    return (figures[id_].high if high else figures[id_].low) * micrograms / 1e6


WEIGHINGS: tuple[Weighing, ...] = (seaweed_has_iodine, no_more_than_all, parts_make_a_whole)
