"""One entry of a person's own standards at the border: its fields by pydantic."""

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from catalog.mistakes import did_you_mean
from catalog.nutrition.composition import ENERGY_METHODS
from catalog.own.schema import new_id, one_of, safe_name
from catalog.reading.standards import LIFE_STAGES
from catalog.reading.toml_fields import NotAllowed, TableFields, short_text, with_context


def _nutrient(value: Any, context: Mapping[str, Any]) -> str:
    known = [*context["catalog"].nutrients, "calcium-phosphorus"]
    if value in known:
        return str(value)
    raise NotAllowed("no such nutrient", "a nutrient such as phosphorus or taurine", did_you_mean(str(value), known))


def _published(value: Any, context: Mapping[str, Any]) -> str:
    known = sorted({id_ for id_, _ in context["catalog"].standards})
    if value in known:
        return str(value)
    raise NotAllowed("no such standard", ", ".join(known), did_you_mean(str(value), known))


class OwnLimitTable(TableFields):
    """The keys of one [[standards.limits]]."""

    nutrient: Annotated[str | None, with_context(_nutrient)] = None
    life_stage: Annotated[str | None, one_of(*LIFE_STAGES)] = None
    at_least: str | float | None = None
    at_most: str | float | None = None
    drop: bool = False
    source: Annotated[str | None, BeforeValidator(short_text)] = None
    note: Annotated[str | None, BeforeValidator(short_text)] = None


class OwnStandardTable(TableFields):
    """The keys of one [[standards]] but its limits."""

    id: Annotated[str | None, with_context(new_id)] = None
    name: Annotated[str | None, with_context(safe_name)] = None
    from_: Annotated[str | None, with_context(_published), Field(alias="from")] = None
    energy: Annotated[str | None, one_of(*ENERGY_METHODS)] = None
    source: Annotated[str | None, BeforeValidator(short_text)] = None
    note: Annotated[str | None, BeforeValidator(short_text)] = None
