"""One entry of a person's own foods at the border: its fields by pydantic, then the Food they describe."""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, InstanceOf

from catalog.catalog import ROLES
from catalog.mistakes import Mistake, did_you_mean
from catalog.nutrition.refusals import refusal
from catalog.own.label_amounts import Forms, Per, read_per
from catalog.reading.figures import KINDS
from catalog.reading.names import food_hint, named_food
from catalog.reading.toml_fields import NotAllowed, TableFields, field_name, read_fields, short_text, with_context
from catalog.reading.toml_lines import Lines, Path_
from catalog.records import Catalog, Food

OWN_ROLES = tuple(role for role in ROLES if role != "water")
REQUIRED = {
    "id": 'an id of its own, lower-case words joined by hyphens, such as "my-multivitamin"',
    "name": "a name, as it is to be printed",
    "role": ", ".join(OWN_ROLES),
    "counts_as": "meat (anything of an animal) or non-meat",
}
# What an entry is classed as where it names no category, by its role; words of its name come first.
CATEGORIES = {
    "organ": "other-organ",
    "fat": "animal-fat",
    "oil": "plant-oil",
    "prey": "whole-prey",
    "cut": "red-muscle",
    "fibre": "grain",
}
SECRETING = {"liver", "kidney", "kidneys", "spleen", "pancreas", "thymus"}
NO_ORGAN = {"oil", "bean", "beans"}  # cod liver oil, kidney beans
WORD_CATEGORIES = ("liver", "heart", "kidney", "gizzard", "spleen", "skin")
POULTRY = {"chicken", "turkey", "duck", "goose", "quail", "hen", "poultry"}


def one_of(*words: str) -> BeforeValidator:
    """A field that is one of `words`."""

    def read(value: Any) -> str:
        if value in words:
            return str(value)
        raise NotAllowed("not one of them", ", ".join(words), did_you_mean(str(value), words))

    return BeforeValidator(read)


def new_id(value: Any, context: Mapping[str, Any]) -> str:
    """An id of a person's own; what is refused by name is no id. Raises NotAllowed."""
    if not isinstance(value, str) or not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", value) or len(value) > 60:
        raise NotAllowed("no id", "up to 60 lower-case letters and digits, words joined by hyphens")
    if value == "water":
        raise NotAllowed("water is water", "another id")
    return _safe(value, context)


def safe_name(value: Any, context: Mapping[str, Any]) -> str:
    """A name that is not refused. Raises NotAllowed."""
    return _safe(short_text(value), context)


def _safe(name: str, context: Mapping[str, Any]) -> str:
    refused = refusal(name, context["catalog"].cautions)
    if refused:
        raise NotAllowed(f"refused: {refused.text}", "a food that is safe for cats")
    return name


def _like(value: Any, context: Mapping[str, Any]) -> Food:
    catalog: Catalog = context["catalog"]
    food = named_food(value, catalog) if isinstance(value, str) else None
    if food and food.id != "water":
        return food
    raise NotAllowed("no such food", "the id of a food; `weighout foods` lists them", food_hint(str(value), catalog))


def _category(value: Any, context: Mapping[str, Any]) -> str:
    known = known_categories(context["catalog"])
    if value in known:
        return str(value)
    raise NotAllowed("no such category", ", ".join(known), did_you_mean(str(value), known))


def _tags(value: Any, context: Mapping[str, Any]) -> frozenset[str]:
    known = known_tags(context["catalog"])
    if not isinstance(value, list) or not all(isinstance(tag, str) for tag in value):
        raise NotAllowed("no list of words", 'a list such as ["fish-oil"]')
    for tag in value:
        if tag not in known:
            allowed = "words that rules and cautions look for, such as fish-oil, liver, kelp, raw-egg-white or pork"
            raise NotAllowed(f"nothing looks for {tag!r}", allowed, did_you_mean(tag, known))
    return frozenset(value)


def _purposes(value: Any, context: Mapping[str, Any]) -> tuple[str, ...]:
    nutrients = context["catalog"].nutrients
    if not isinstance(value, list) or not all(isinstance(id_, str) for id_ in value):
        raise NotAllowed("no list of words", 'a list of nutrients such as ["iodine"]')
    for id_ in value:
        if id_ not in nutrients:
            raise NotAllowed("no such nutrient", "nutrients such as iodine or vitamin-e", did_you_mean(id_, nutrients))
        if nutrients[id_].group == "proximate":
            raise NotAllowed(f"{id_} is in all food", "a vitamin, mineral, amino acid or fatty acid")
    return tuple(dict.fromkeys(value))


def _lines(example: str) -> BeforeValidator:
    def read(value: Any) -> dict[str, Any]:
        if isinstance(value, dict):
            return value
        raise NotAllowed("no table", f"a table with lines such as {example}")

    return BeforeValidator(read)


def known_categories(catalog: Catalog) -> list[str]:
    """The classes of food that class values are known for."""
    return sorted({category for category, _ in catalog.class_values} | {f.category for f in catalog.foods.values()})


def known_tags(catalog: Catalog) -> list[str]:
    """The tags that foods bear and that cautions and limits look for."""
    tags = {tag for food in catalog.foods.values() for tag in food.tags}
    return sorted(tags | {c.when.removeprefix("tag:") for c in catalog.cautions if c.when.startswith("tag:")})


class OwnFoodTable(TableFields):
    """The keys of one [[foods]]."""

    id: Annotated[str | None, with_context(new_id)] = None
    name: Annotated[str | None, with_context(safe_name)] = None
    role: Annotated[str | None, one_of(*OWN_ROLES)] = None
    counts_as: Annotated[str | None, one_of("meat", "non-meat")] = None
    like: Annotated[InstanceOf[Food] | None, with_context(_like)] = None
    category: Annotated[str | None, with_context(_category)] = None
    species: Annotated[str | None, BeforeValidator(short_text)] = None
    tags: Annotated[InstanceOf[frozenset[str]] | None, with_context(_tags)] = None
    purposes: Annotated[InstanceOf[tuple[str, ...]] | None, with_context(_purposes)] = None
    per: Annotated[InstanceOf[Per] | None, BeforeValidator(read_per)] = None
    kind: Annotated[str, one_of(*KINDS)] = "label"
    source: Annotated[str | None, BeforeValidator(short_text)] = None
    note: Annotated[str | None, BeforeValidator(short_text)] = None
    amounts: Annotated[dict[str, Any], _lines('taurine = "1000 mg"')] = Field(default_factory=dict)
    measures: Annotated[dict[str, Any], _lines('tsp = "4 g"')] = Field(default_factory=dict)
    kinds: Annotated[dict[str, Any], _lines('zinc = "analysed"')] = Field(default_factory=dict)
    spread: Annotated[dict[str, Any], _lines('zinc = "0.4 mg"')] = Field(default_factory=dict)
    samples: Annotated[dict[str, Any], _lines("zinc = 4")] = Field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OwnEntry:
    """A table of an own file with its place, what could be read of it, and the mistakes found so far."""

    table: OwnFoodTable
    where: Path_
    file: str
    lines: Lines
    written: frozenset[str]
    catalog: Catalog
    forms: Forms
    mistakes: list[Mistake]

    def line(self, *keys: str) -> int:
        """The line of a key, or of the table where the key is absent."""
        return self.lines[(*self.where, *keys)]

    def wrong(self, keys: tuple[str, ...], read: str, allowed: str, hint: str = "") -> None:
        """Notes a mistake in a key of this entry."""
        path = (*self.where, *keys)
        self.mistakes.append(Mistake(self.file, self.lines[path], field_name(path), read, allowed, hint))

    @property
    def source(self) -> str:
        """The source cell of what this entry states: its file and line, and where the person has it from."""
        origin = f" ({self.table.source})" if self.table.source else ""
        return f"own:{self.file}:{self.line()}{origin}"


def read_entry(raw: Any, where: Path_, file: str, lines: Lines, catalog: Catalog, forms: Forms) -> OwnEntry | None:
    """An entry's fields and every mistake in them; None when it is no table at all (then there is no entry)."""
    if not isinstance(raw, dict):
        return None
    table, mistakes = read_fields(OwnFoodTable, raw, where, file, lines, {"catalog": catalog})
    entry = OwnEntry(table, where, file, lines, frozenset(raw), catalog, forms, mistakes)
    for key, allowed in REQUIRED.items():
        if key not in raw and (key == "id" or "like" not in raw):
            entry.wrong((key,), "nothing", allowed)
    if not raw.get("amounts") and "like" not in raw:
        entry.wrong(("amounts",), "nothing", 'amounts such as taurine = "1000 mg", or like = "ID" of a food')
    return entry


def category_of(entry: OwnEntry) -> str:
    """The class of food that stands in for what is unknown towards ceilings: as written, as `like`, else guessed."""
    table = entry.table
    if table.category is not None or table.like is not None:
        return table.category or (table.like.category if table.like else "")
    words = _words(entry)
    if words & {"kelp", "seaweed"}:
        return "seaweed"
    if table.role in ("supplement", "oil") and "fish-oil" in tags_of(entry):
        return "liver-oil" if "liver" in words else "fish-oil"
    if table.role == "supplement":
        return ""
    named = [word for word in WORD_CATEGORIES if word in words]
    if table.role in ("organ", "cut", "fat") and named:
        return named[0]
    if table.role == "cut" and words & {*POULTRY, "rabbit"}:
        return "rabbit-muscle" if "rabbit" in words else "poultry-mixed-muscle"
    return CATEGORIES.get(table.role or "", table.role or "")


def tags_of(entry: OwnEntry) -> frozenset[str]:
    """The tags as written or as `like`; else those that its role, id and name speak of, lest a caution is missed.

    "bone" is never taken from a name: it would make all of a bone-in cut count as bone.
    """
    table = entry.table
    if table.tags is not None:
        return table.tags
    if table.like is not None:
        return table.like.tags
    words = _words(entry)
    found = tags_of_words(words, entry.catalog)
    if table.role in ("fish", "shellfish", "egg", "bone"):
        found.add(table.role)
    if table.role in ("oil", "supplement"):
        found |= _tags_of_contents(table.amounts.keys(), known_tags(entry.catalog))
    return frozenset(found)


def tags_of_words(words: Collection[str], catalog: Catalog) -> set[str]:
    """The tags that the words of a name speak of."""
    found = {tag for tag in known_tags(catalog) if tag != "bone" and set(tag.split("-")) <= set(words)}
    if SECRETING & set(words) and not NO_ORGAN & set(words):
        found.add("secreting-organ")
    return found | ({"poultry"} if POULTRY & set(words) else set())


def _tags_of_contents(nutrients: Collection[str], known: Collection[str]) -> set[str]:
    """The tags of what a supplement is of: cautions about vitamin A, iodine or iron look for them."""
    found = set(nutrients) & set(known)
    if "phosphorus" in nutrients:
        found.add("phosphate")
    if {"epa", "dha", "epa-dha"} & set(nutrients):
        found.add("fish-oil")
    if {"thiamine", "riboflavin", "niacin"} <= set(nutrients):
        found.add("b-complex")
    return found


def _words(entry: OwnEntry) -> set[str]:
    return set(re.findall(r"[a-z0-9]+", f"{entry.table.id} {entry.table.name}".casefold()))
