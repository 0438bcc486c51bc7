"""A scenario file -> Scenario, or every mistake in it at once."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from catalog.kinds import Basis
from catalog.mistakes import Mistake, did_you_mean
from catalog.nutrition.losses import treated
from catalog.reading.names import named_food
from catalog.reading.toml_fields import field_name, read_fields, shown
from catalog.reading.toml_lines import Lines, Path_, read_toml
from catalog.records import Catalog, Limit
from catalog.treatments import Treatment
from catalog.units.limits import read_limit, read_ratio
from catalog.units.quantities import Quantity, QuantityError, read_quantity, read_rate
from optimizer.errors import InputErrors
from optimizer.scenario.checks import CHECKS, Reading, something_to_feed
from optimizer.scenario.edit import WhatIf, altered
from optimizer.scenario.items import Entry, read_item
from optimizer.scenario.margin import with_margin
from optimizer.scenario.records import DEFAULT_NON_MEAT_CAP, Dose, Item, Scenario
from optimizer.scenario.schema import EntryTable, LimitTable, OnHandTable, ScenarioTable, SupplementTable, is_currency
from optimizer.scenario.steps import in_countable_steps

LISTS = ("on_hand", "supplements", "limits")
OWN_READERS = ("usual", "cats", "portions", "market", "offers", "rates")


def load_scenario(
    path: Path,
    catalog: Catalog,
    *,
    aim: str | None = None,
    standard: str | None = None,
    what_if: WhatIf | None = None,
    stock: Callable[[str], Mapping[str, Any]] | None = None,
    shopping: bool = False,
) -> Scenario:
    """The scenario in a file; `aim`, `standard` and the changes of `what_if` replace what the file says.

    Where the file says `on_hand = "stock"` (or supplements), `stock` gives those lists for a currency.
    `shopping`: the meat may all be still to buy.

    Raises InputErrors with every mistake in the file and in the changes, each with its line.
    """
    data, lines, mistakes = read_toml(path)
    if mistakes:
        raise InputErrors(mistakes)
    return scenario_in(data, str(path), lines, catalog, what_if or WhatIf(aim=aim, standard=standard), stock, shopping)


def scenario_in(
    data: dict[str, Any],
    file: str,
    lines: Lines,
    catalog: Catalog,
    what_if: WhatIf,
    stock: Callable[[str], Mapping[str, Any]] | None = None,
    shopping: bool = False,
) -> Scenario:
    """The scenario in parsed TOML, which may be changed here; else as `load_scenario`."""
    if stock and "stock" in (data.get("on_hand"), data.get("supplements")):
        data.update({k: v for k, v in stock(data.get("currency", "")).items() if data.get(k) == "stock"})
    _name_by_id(data, catalog)
    data, mistakes = altered(data, what_if, catalog)
    scenario, wrong = read_scenario(data, file, lines, catalog, shopping)
    mistakes += wrong
    if mistakes or scenario is None:
        raise InputErrors(sorted(mistakes, key=lambda mistake: mistake.line))
    return scenario


def _name_by_id(data: Mapping[str, Any], catalog: Catalog) -> None:
    """Puts the id where an entry names a food by its printed name: what asks "what if" knows ids only."""
    for key in ("on_hand", "supplements"):
        entries = data.get(key)
        for entry in entries if isinstance(entries, list) else []:
            for name in ("food", "supplement"):
                if isinstance(entry, dict) and isinstance(entry.get(name), str):
                    food = named_food(entry[name], catalog)
                    entry[name] = food.id if food else entry[name]


def read_scenario(
    data: Mapping[str, Any], file: str, lines: Lines, catalog: Catalog, shopping: bool = False
) -> tuple[Scenario | None, list[Mistake]]:
    """The scenario in parsed TOML, and what is wrong with it; None when nothing can be planned with it.

    `shopping`: the meat may all be still to buy.
    """
    mistakes: list[Mistake] = []
    currency = data.get("currency")
    context = {"catalog": catalog, "currency": currency if is_currency(currency) else ""}

    def entries(key: str, model: type[Any]) -> list[Entry[Any]]:
        return _entries(data, key, model, file, lines, context, mistakes)

    tables = {key: data[key] for key in data if key not in (*LISTS, *OWN_READERS)}
    top, wrong = read_fields(ScenarioTable, tables, (), file, lines, context)
    mistakes += wrong
    found: list[Entry[EntryTable]] = entries("on_hand", OnHandTable) + entries("supplements", SupplementTable)
    usual = _usual(data.get("usual", {}), found, file, lines, mistakes)
    items: list[Item] = []
    for entry in found:
        item, wrong = read_item(entry, usual.get(entry.table.food.id) if entry.table.food else None)
        mistakes += wrong
        item = item and _treated(item, entry, top.losses or ())
        if item:
            items.append(item)
    if top.water:
        items.append(_water(catalog, top.water, lines[("water",)]))
    limits = [
        limit for entry in entries("limits", LimitTable) if (limit := _limit(entry, catalog, mistakes)) is not None
    ]
    feeding: dict[str, Any] = {}
    if "cats" in data or "portions" in data:
        from optimizer.scenario.cats_schema import (
            read_cats,  # data models take long to build, and many files have no cats
        )

        feeding["cats"], feeding["packing"], wrong = read_cats(data, file, lines)
        mistakes += wrong
    if data.keys() & {"market", "offers", "rates"}:
        from optimizer.scenario.market_schema import read_market  # the same

        feeding["market"], wrong = read_market(data, file, lines, catalog, top.currency)
        mistakes += wrong
    standard = catalog.standards[top.standard, top.life_stage]
    margin = float(top.margin or 0)
    scenario = Scenario(
        title=top.title or Path(file).stem,
        file=file,
        standard=replace(standard, limits=with_margin(standard.limits, margin)),
        aim=top.aim,
        energy_method=top.energy or standard.energy_method,
        non_meat_cap=DEFAULT_NON_MEAT_CAP if top.non_meat_cap is None else float(top.non_meat_cap),
        currency=top.currency,
        items=in_countable_steps(items),
        limits=with_margin(limits, margin),
        meat_at_least_grams=top.meat_at_least,
        budget=top.budget,
        sure=None if top.sure is None else float(top.sure),
        together=top.together,
        margin=margin,
        extra_cost=top.extra_cost,
        treatments=top.losses or (),
        **feeding,
        lines={key: lines[(key,)] for key in ScenarioTable.model_fields},
        data=data,
    )
    for check in CHECKS:
        if not (shopping and check is something_to_feed):
            mistakes += check(Reading(scenario, found, bool(usual), "currency" in data, catalog.foods))
    return scenario, mistakes


def _entries(
    data: Mapping[str, Any],
    key: str,
    model: type[Any],
    file: str,
    lines: Lines,
    context: Mapping[str, Any],
    mistakes: list[Mistake],
) -> list[Entry[Any]]:
    """The entries of one list of tables."""
    raw = data.get(key, [])
    if not isinstance(raw, list):
        mistakes.append(Mistake(file, lines[(key,)], key, shown(raw), f"a list of tables, each headed [[{key}]]"))
        return []
    found: list[Entry[Any]] = []
    for position, table in enumerate(raw):
        where: Path_ = (key, position)
        if table is None:  # left out by a what-if
            continue
        if not isinstance(table, dict):
            mistakes.append(Mistake(file, lines[where], field_name(where), shown(table), f"a table headed [[{key}]]"))
            continue
        fields, wrong = read_fields(model, table, where, file, lines, context)
        mistakes += wrong
        found.append(Entry(fields, where, file, lines, frozenset(table)))
    return found


def _usual(
    raw: Any, found: list[Entry[EntryTable]], file: str, lines: Lines, mistakes: list[Mistake]
) -> dict[str, Dose]:
    """The usual recipe: doses by the id of something on hand."""
    if not isinstance(raw, dict):
        mistakes.append(Mistake(file, lines[("usual",)], "usual", shown(raw), 'lines such as kelp-powder = "1/2 tsp"'))
        return {}
    known = [entry.table.food.id for entry in found if entry.table.food]
    doses: dict[str, Dose] = {}
    for id_, value in raw.items():
        where: Path_ = ("usual", id_)
        if id_ not in known:
            allowed = "the id of something listed under on_hand or supplements"
            hint = did_you_mean(id_, known)
            mistakes.append(Mistake(file, lines[where], field_name(where), f'"{id_}"', allowed, hint))
            continue
        try:
            doses[id_] = read_rate(value) if isinstance(value, str) and " per " in value else read_quantity(value)
        except QuantityError as error:
            read = f"{shown(value)} ({error})"
            mistakes.append(Mistake(file, lines[where], field_name(where), read, error.allowed, error.hint))
    return doses


def _water(catalog: Catalog, quantity: Quantity, line: int) -> Item:
    return Item(
        food=catalog.foods["water"],
        is_supplement=False,
        counts_as="water",
        unit=quantity.unit,
        grams_per_unit=quantity.amount / quantity.count,  # 1 ml of water weighs 1 g
        fixed=quantity.count,
        text=quantity.text,
        lines={"amount": line},
    )


def _treated(item: Item, entry: Entry[EntryTable], for_all: Sequence[Treatment]) -> Item:
    """The item after what was done to it by its own entry, else by the whole file."""
    own = entry.table.losses if isinstance(entry.table, OnHandTable) else None
    return replace(item, food=treated(item.food, for_all if own is None else own))


def _limit(entry: Entry[LimitTable], catalog: Catalog, mistakes: list[Mistake]) -> Limit | None:
    """An extra target or ceiling of the scenario."""
    table = entry.table
    if table.nutrient is None:
        if "nutrient" not in entry.written:
            mistakes.append(entry.mistake("nutrient", "nothing", "a nutrient such as taurine or calcium-phosphorus"))
        return None
    if table.at_least is None and table.at_most is None and not {"at_least", "at_most"} & entry.written:
        mistakes.append(entry.mistake("at_least", "nothing", "at_least, at_most or both"))
    ratio = table.nutrient == "calcium-phosphorus"
    nutrient = catalog.nutrients["calcium" if ratio else table.nutrient]
    bounds: dict[str, tuple[float, Basis]] = {}
    for key in ("at_least", "at_most"):
        written = getattr(table, key)
        if written is None:
            continue
        try:
            if ratio:
                bounds[key] = (read_ratio(written), Basis.RATIO)
            else:
                bounds[key] = read_limit(written, nutrient.unit, nutrient.iu_per_ug)
        except QuantityError as error:
            mistakes.append(entry.mistake(key, f"{shown(written)} ({error})", error.allowed, error.hint))
    bases = {basis for _, basis in bounds.values()}
    if len(bases) > 1:
        mistakes.append(entry.mistake("at_most", shown(table.at_most), "the same basis as at_least"))
        return None
    if not bases:
        return None
    low, high = (bounds[key][0] if key in bounds else None for key in ("at_least", "at_most"))
    if low is not None and high is not None and low > high:
        mistakes.append(entry.mistake("at_most", shown(table.at_most), f"not less than at_least, {table.at_least}"))
        return None
    return Limit(
        nutrient=nutrient.id,
        basis=bases.pop(),
        minimum=low,
        maximum=high,
        of="phosphorus" if ratio else "",
        source="scenario",
        confidence="read",
        note=table.note or "",
        file=entry.file,
        line=entry.line("nutrient"),
    )
