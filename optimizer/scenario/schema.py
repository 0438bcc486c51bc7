"""The scenario file at the border: pydantic tables, whose fields are read with the catalog at hand."""

import math
import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, InstanceOf, StrictBool, StrictStr

from catalog.mistakes import did_you_mean
from catalog.nutrition.composition import ENERGY_METHODS
from catalog.nutrition.refusals import refusal
from catalog.reading.names import food_hint, named_food
from catalog.reading.toml_fields import NotAllowed, TableFields, short_text, with_context
from catalog.records import Catalog, Food, Nutrient
from catalog.treatments import Treatment
from catalog.units.money import Price, read_price
from catalog.units.quantities import Quantity, Rate, canonical_unit, read_quantity, read_rate, read_share
from optimizer.scenario.aims import AIMS, COST


def _food(value: Any, context: Mapping[str, Any]) -> Food:
    catalog: Catalog = context["catalog"]
    named = named_food(value, catalog) if isinstance(value, str) else None
    if named:
        return named
    allowed = "the id of a food or supplement; `weighout foods` lists them"
    refused = refusal(str(value), catalog.cautions)
    if refused:
        raise NotAllowed(f"refused: {refused.text}", "a food that is safe for cats")
    raise NotAllowed("no such food", allowed, food_hint(str(value), catalog))


def _nutrient(value: Any, context: Mapping[str, Any]) -> str:
    known: Mapping[str, Nutrient] = context["catalog"].nutrients
    if isinstance(value, str) and (value in known or value == "calcium-phosphorus"):
        return value
    hint = did_you_mean(str(value), [*known, "calcium-phosphorus"])
    raise NotAllowed("no such nutrient", "a nutrient such as taurine, vitamin-e or calcium-phosphorus", hint)


def _standard(value: Any, context: Mapping[str, Any]) -> str:
    known = sorted({id_ for id_, _ in context["catalog"].standards})
    if value in known:
        return str(value)
    raise NotAllowed("no such standard", ", ".join(known), did_you_mean(str(value), known))


def _quantity(value: Any) -> Quantity:
    return read_quantity(value)


def _dose(value: Any) -> Quantity | Rate:
    return read_rate(value) if isinstance(value, str) and " per " in value else read_quantity(value)


def _mass(value: Any) -> Fraction:
    quantity = read_quantity(value)
    if quantity.kind != "mass":
        raise NotAllowed("not a mass", 'a mass such as "2 lb 3 oz" or "1.2 kg"')
    return quantity.amount


def _treatments(value: Any, context: Mapping[str, Any]) -> tuple[Treatment, ...]:
    """What was done to food before it is weighed."""
    known: Mapping[str, Treatment] = context["catalog"].treatments
    allowed = f"a list of: {', '.join(known)}"
    if not isinstance(value, list):
        raise NotAllowed("no list", f'{allowed}, such as ["{next(iter(known), "")}"]')
    for word in value:
        if not isinstance(word, str) or word not in known:
            raise NotAllowed("no such loss", allowed, did_you_mean(str(word), known))
    if len(set(value)) < len(value):
        raise NotAllowed("one of them twice", "each once")
    return tuple(known[word] for word in value)


def _measure(value: Any) -> str:
    if not isinstance(value, str):
        raise NotAllowed("no text", 'a measure such as "tsp", "capsule" or "drop"')
    return canonical_unit(value)


def _water(value: Any) -> Quantity:
    quantity = read_quantity(value)
    if quantity.kind == "count":
        raise NotAllowed("neither a mass nor a volume", 'water such as "2 cups", "500 ml" or "500 g"')
    return quantity


def is_currency(value: Any) -> bool:
    """Whether a value is a currency's code: three capital letters."""
    return isinstance(value, str) and len(value) == 3 and value.isascii() and value.isalpha() and value.isupper()


def _currency(value: Any) -> str:
    if is_currency(value):
        return str(value)
    raise NotAllowed("no currency", 'three capital letters such as "USD" or "EUR"')


def _money(value: Any) -> Decimal:
    """An amount of money in the scenario's currency, above zero."""
    plain = isinstance(value, str | int) and not isinstance(value, bool)
    if plain and re.fullmatch(r"[0-9]{1,9}(\.[0-9]{1,2})?", str(value)) and Decimal(str(value)) > 0:
        return Decimal(str(value))
    raise NotAllowed("no amount of money", 'an amount such as "6.00", in the scenario\'s currency')


def _price(value: Any, context: Mapping[str, Any]) -> Price:
    return read_price(value, context["currency"])


def _aim(value: Any) -> str:
    if isinstance(value, str) and value in AIMS:
        return value
    *most, last = AIMS
    raise NotAllowed("no such aim", f"{', '.join(most)} or {last}", did_you_mean(str(value), AIMS))


def _energy(value: Any) -> str:
    if isinstance(value, str) and value in ENERGY_METHODS:
        return value
    raise NotAllowed("no such way to count energy", " or ".join(ENERGY_METHODS))


def _bound(value: Any) -> str | float:
    """A limit's bound: read later, when its nutrient is known. A ratio may be a number or its text."""
    if isinstance(value, str):
        return value
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value) and value > 0:
        return float(value)
    raise NotAllowed("no amount", 'an amount such as "1 g per 1000 kcal"; a number above zero for calcium-phosphorus')


def _chance(value: Any) -> Fraction:
    """How sure a plan is to be of each limit."""
    share = read_share(value)
    if not LEAST_SURE <= share <= MOST_SURE:
        raise NotAllowed("no chance that can be planned for", 'a chance from 50 % to 99.9 %, such as "90 %"')
    return share


def _cap(value: Any) -> Fraction:
    """A share of the mix; as a bare number not more than a half, which nobody means."""
    share = read_share(value)
    if share > MOST_BARE_CAP and "%" not in str(value):
        raise NotAllowed(
            "more than half of the mix", 'a share such as "5 %"; above a half with its sign, such as "60 %"'
        )
    return share


def _margin(value: Any) -> Fraction:
    share = read_share(value)
    if share > MOST_MARGIN:
        raise NotAllowed("too wide", 'a margin of up to 50 %, such as "5 %"')
    return share


def _extra_cost(value: Any) -> Decimal | Fraction:
    """Money, or a share of the cheapest plan's cost."""
    return read_share(value) if isinstance(value, str) and "%" in value else _money(value)


MOST_BARE_CAP = Fraction(1, 2)
LEAST_SURE, MOST_SURE, MOST_MARGIN = Fraction(1, 2), Fraction(999, 1000), Fraction(1, 2)
FoodField = Annotated[InstanceOf[Food] | None, with_context(_food)]
QuantityField = Annotated[InstanceOf[Quantity] | None, BeforeValidator(_quantity)]
DoseField = Annotated[InstanceOf[Quantity] | InstanceOf[Rate] | None, BeforeValidator(_dose)]
MassField = Annotated[InstanceOf[Fraction] | None, BeforeValidator(_mass)]
ShareField = Annotated[InstanceOf[Fraction] | None, BeforeValidator(read_share)]
PriceField = Annotated[InstanceOf[Price] | None, with_context(_price)]
TreatmentsField = Annotated[tuple[InstanceOf[Treatment], ...] | None, with_context(_treatments)]
BoundField = Annotated[str | float | None, BeforeValidator(_bound)]
CountsAs = Literal["meat", "non-meat", "water"]


class EntryTable(TableFields):
    """What `on_hand` and `supplements` entries share."""

    food: FoodField = None
    counts_as: CountsAs | None = None
    step: QuantityField = None
    at_least: DoseField = None
    at_most: DoseField = None
    exactly: DoseField = None
    price: PriceField = None
    note: StrictStr | None = None


class OnHandTable(EntryTable):
    """A cut, an organ, an egg, a vegetable: "all of it" (`amount`) or `up_to`."""

    amount: QuantityField = None
    up_to: QuantityField = None
    bone_share: ShareField = None
    losses: TreatmentsField = None


class SupplementTable(EntryTable):
    """A supplement: the measure it comes in, its smallest step, how much is left."""

    food: FoodField = Field(default=None, alias="supplement")
    measure: Annotated[str | None, BeforeValidator(_measure)] = None
    measure_grams: MassField = None
    left: QuantityField = None
    apart: StrictBool = False


class LimitTable(TableFields):
    """An extra target or ceiling."""

    nutrient: Annotated[str | None, with_context(_nutrient)] = None
    at_least: BoundField = None
    at_most: BoundField = None
    note: StrictStr | None = None


class ScenarioTable(TableFields):
    """The top of the file; its entries are read one by one."""

    title: Annotated[str | None, BeforeValidator(short_text)] = None
    standard: Annotated[str, with_context(_standard)] = "aafco"
    life_stage: Literal["adult", "growth"] = "adult"
    aim: Annotated[str, BeforeValidator(_aim)] = COST
    energy: Annotated[str | None, BeforeValidator(_energy)] = None
    non_meat_cap: Annotated[InstanceOf[Fraction] | None, BeforeValidator(_cap)] = None
    currency: Annotated[str, BeforeValidator(_currency)] = ""
    meat_at_least: MassField = None
    budget: Annotated[InstanceOf[Decimal] | None, BeforeValidator(_money)] = None
    sure: Annotated[InstanceOf[Fraction] | None, BeforeValidator(_chance)] = None
    together: StrictBool = False
    margin: Annotated[InstanceOf[Fraction] | None, BeforeValidator(_margin)] = None
    extra_cost: Annotated[InstanceOf[Decimal] | InstanceOf[Fraction] | None, BeforeValidator(_extra_cost)] = None
    water: Annotated[InstanceOf[Quantity] | None, BeforeValidator(_water)] = None
    losses: TreatmentsField = None
    note: StrictStr | None = None
