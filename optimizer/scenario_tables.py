"""The scenario file at the border: pydantic tables, whose fields are read with the catalog at hand."""

import math
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, InstanceOf, StrictStr, ValidationError
from pydantic_core import ErrorDetails

from catalog.blends import ENERGY_METHODS
from catalog.mistakes import Mistake, did_you_mean
from catalog.money import Price, read_price
from catalog.quantities import Quantity, Rate, read_quantity, read_rate, read_share
from catalog.records import Catalog, Food, Nutrient
from optimizer.toml_text import Lines, Path_


class NotAllowed(ValueError):
    """A field's text that cannot be used: what could stand there, and a likely intention."""

    def __init__(self, message: str, allowed: str, hint: str = "") -> None:
        self.allowed, self.hint = allowed, hint
        super().__init__(message)


def _with_context(read: Callable[[Any, Mapping[str, Any]], Any]) -> BeforeValidator:
    """A field that is read with the catalog and the currency of the scenario."""

    def validate(value: Any, info: Any) -> Any:
        return read(value, info.context)

    return BeforeValidator(validate)


def _food(value: Any, context: Mapping[str, Any]) -> Food:
    catalog: Catalog = context["catalog"]
    if isinstance(value, str) and value in catalog.foods:
        return catalog.foods[value]
    allowed = "the id of a food or supplement; `weighout foods` lists them"
    words = set(str(value).lower().replace("_", "-").split("-"))
    for caution in catalog.cautions:
        refused = caution.when.removeprefix("name:")
        if caution.level == "refuse" and (set(refused.replace(" ", "-").split("-")) <= words):
            raise NotAllowed(f"refused: {caution.text}", "a food that is safe for cats")
    raise NotAllowed("no such food", allowed, did_you_mean(str(value), catalog.foods))


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


def _water(value: Any) -> Quantity:
    quantity = read_quantity(value)
    if quantity.kind == "count":
        raise NotAllowed("neither a mass nor a volume", 'water such as "2 cups", "500 ml" or "500 g"')
    return quantity


def _currency(value: Any) -> str:
    if isinstance(value, str) and len(value) == 3 and value.isascii() and value.isalpha() and value.isupper():
        return value
    raise NotAllowed("no currency", 'three capital letters such as "USD" or "EUR"')


def _price(value: Any, context: Mapping[str, Any]) -> Price:
    return read_price(value, context["currency"])


def _text(value: Any) -> str:
    if isinstance(value, str) and value.strip() and len(value) <= 200:
        return value.strip()
    raise NotAllowed("no text", "a text of 1 to 200 characters")


def _bound(value: Any) -> str | float:
    """A limit's bound: read later, when its nutrient is known."""
    if isinstance(value, str):
        return value
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value) and value > 0:
        return float(value)
    raise NotAllowed("no amount", 'an amount such as "1 g per 1000 kcal"; a number above zero for calcium-phosphorus')


Table = TypeVar("Table", bound=BaseModel)

FoodField = Annotated[InstanceOf[Food] | None, _with_context(_food)]
QuantityField = Annotated[InstanceOf[Quantity] | None, BeforeValidator(_quantity)]
DoseField = Annotated[InstanceOf[Quantity] | InstanceOf[Rate] | None, BeforeValidator(_dose)]
MassField = Annotated[InstanceOf[Fraction] | None, BeforeValidator(_mass)]
ShareField = Annotated[InstanceOf[Fraction] | None, BeforeValidator(read_share)]
PriceField = Annotated[InstanceOf[Price] | None, _with_context(_price)]
BoundField = Annotated[str | float | None, BeforeValidator(_bound)]
CountsAs = Literal["meat", "non-meat", "water"]


class _Table(BaseModel):
    """A table of the file: a misspelt key is a mistake, never a silent default."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class EntryTable(_Table):
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


class SupplementTable(EntryTable):
    """A supplement: the measure it comes in, its smallest step, how much is left."""

    food: FoodField = Field(default=None, alias="supplement")
    measure: StrictStr | None = None
    measure_grams: MassField = None
    left: QuantityField = None


class LimitTable(_Table):
    """An extra target or ceiling."""

    nutrient: Annotated[str | None, _with_context(_nutrient)] = None
    at_least: BoundField = None
    at_most: BoundField = None
    note: StrictStr | None = None


class ScenarioTable(_Table):
    """The top of the file; its entries are read one by one."""

    title: Annotated[str | None, BeforeValidator(_text)] = None
    standard: Annotated[str, _with_context(_standard)] = "aafco"
    life_stage: Literal["adult", "growth"] = "adult"
    aim: Literal["cost", "fewest", "usual"] = "cost"
    energy: str = Field(default="modified-atwater", pattern="^(" + "|".join(ENERGY_METHODS) + ")$")
    non_meat_cap: Annotated[InstanceOf[Fraction] | None, BeforeValidator(read_share)] = None
    currency: Annotated[str, BeforeValidator(_currency)] = ""
    meat_at_least: MassField = None
    water: Annotated[InstanceOf[Quantity] | None, BeforeValidator(_water)] = None
    note: StrictStr | None = None


def read_fields(
    model: type[Table], raw: Mapping[str, Any], where: Path_, file: str, lines: Lines, context: Mapping[str, Any]
) -> tuple[Table, list[Mistake]]:
    """A table with every field that can be read, and a mistake for each one that cannot."""
    mistakes: list[Mistake] = []
    usable = dict(raw)
    try:
        return model.model_validate(usable, context=context), mistakes
    except ValidationError as problem:
        for error in problem.errors():
            key = str(error["loc"][0])
            usable.pop(key, None)
            mistakes.append(_mistake(error, key, model, where, file, lines))
    mistakes = list({(m.line, m.field): m for m in mistakes}.values())
    return model.model_validate(usable, context=context), mistakes


def _mistake(error: ErrorDetails, key: str, model: type[BaseModel], where: Path_, file: str, lines: Lines) -> Mistake:
    path = (*where, key)
    read = shown(error["input"])
    keys = [field.alias or name for name, field in model.model_fields.items()]
    if error["type"] == "extra_forbidden":
        return Mistake(file, lines[path], field_name(path), f'the key "{key}"', _listed(keys), did_you_mean(key, keys))
    cause = error.get("ctx", {}).get("error")
    if cause is not None and hasattr(cause, "allowed"):
        return Mistake(file, lines[path], field_name(path), f"{read} ({cause})", cause.allowed, cause.hint)
    if error["type"] == "literal_error":
        expected = str(error["ctx"]["expected"]).replace("'", "")
        hint = did_you_mean(str(error["input"]), expected.replace(" or ", ", ").split(", "))
        return Mistake(file, lines[path], field_name(path), read, expected, hint)
    if error["type"] == "string_pattern_mismatch":
        return Mistake(file, lines[path], field_name(path), read, " or ".join(ENERGY_METHODS))
    return Mistake(file, lines[path], field_name(path), read, "a text in quotation marks")


def _listed(keys: list[str]) -> str:
    return "the keys " + ", ".join(keys)


def field_name(path: Path_) -> str:
    """A path as a person would point at it: on_hand[2].amount, counting from 1."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def shown(value: Any) -> str:
    """What was read, short enough for a message."""
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 80 else text[:77] + "…" + ('"' if isinstance(value, str) else "")
