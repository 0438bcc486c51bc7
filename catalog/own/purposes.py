"""What a person's own jar is for, and what such a jar usually costs."""

from collections.abc import Mapping

from catalog.mistakes import did_you_mean
from catalog.own.schema import OwnEntry
from catalog.reading.jars import median_price
from catalog.records import Figure

JAR_ROLES = ("supplement", "oil")


def own_purposes(entry: OwnEntry, figures: Mapping[str, Figure], tags: frozenset[str]) -> tuple[str, ...]:
    """The nutrients that an own jar is bought for, in the order of nutrients.csv; none for a food.

    As `purposes` has them, each of them on the label; else those of `like` and every nutrient that the label names.
    Proximates are no purpose. EPA and DHA, each named, are also named together.
    """
    table, nutrients = entry.table, entry.catalog.nutrients
    if table.purposes is not None:
        for id_ in table.purposes:
            if id_ not in table.amounts and not _holds(figures, id_):
                pool = [known for known in figures if nutrients[known].group != "proximate"]
                allowed = "a nutrient on its label: " + (", ".join(pool) or "none")
                entry.wrong(("purposes",), f'"{id_}"', allowed, did_you_mean(id_, pool))
        return table.purposes
    like, role = table.like, table.role or (table.like.role if table.like else "")
    if role not in JAR_ROLES and "fish-oil" not in tags:
        return ()
    named = {*table.amounts, *(like.purposes if like else ())}
    named |= {id_ for id_, nutrient in nutrients.items() if named.intersection(nutrient.sum_of)}
    held = [id_ for id_ in nutrients if id_ in named and _holds(figures, id_)]
    return tuple(id_ for id_ in held if nutrients[id_].group != "proximate")


def _holds(figures: Mapping[str, Figure], id_: str) -> bool:
    return id_ in figures and figures[id_].high > 0


def own_usual_price(entry: OwnEntry, category: str) -> float | None:
    """What a gram of an own jar usually costs: as the jar of the catalog that it replaces or is like, else the median
    of the catalog's jars of its category, else of all; None for a food."""
    table, foods = entry.table, entry.catalog.foods
    role = table.role or (table.like.role if table.like else "")
    replaced = foods.get(table.id or "")
    for known in (replaced, table.like):
        if known is not None and known.usual_price_per_gram is not None:
            return known.usual_price_per_gram
    shipped = (food for food in foods.values() if not food.file.endswith(".toml"))
    return median_price(category, shipped) if role in JAR_ROLES else None
