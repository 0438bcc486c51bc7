"""What was asked on the command line and in the scenario -> a market whose size, cats and offers are settled."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from catalog.mistakes import Mistake, did_you_mean
from catalog.prices.lines import PriceLine
from catalog.reading.toml_fields import NotAllowed
from catalog.records import Catalog
from catalog.units.quantities import QuantityError
from optimizer.errors import InputErrors
from optimizer.market.offers import Offer, make_offers
from optimizer.market.price_sources import LastPaid, all_lines, by_place, no_currency
from optimizer.market.rules import size_of
from optimizer.scenario.market import Market
from optimizer.scenario.market_schema import SIZES, read_energy, read_meat
from optimizer.scenario.records import Scenario
from optimizer.sheet.portions import need_of


def prepare(
    scenario: Scenario,
    catalog: Catalog,
    price_lists: Sequence[Path],
    sizes: Mapping[str, Any],
    stores: Sequence[str] = (),
    decimal_comma: bool = False,
    last_paid: LastPaid | None = None,
) -> tuple[Scenario, Market, list[Offer]]:
    """The scenario with its currency, its market and the offers to choose from.

    `sizes` and `stores` from the command line replace the scenario's; `last_paid` gives lines for foods that are on
    no list. Raises InputErrors with every mistake in the price lists and in what was asked.
    """
    scenario, lines, mistakes = all_lines(scenario, catalog, price_lists, decimal_comma, last_paid)
    if not lines and not mistakes:
        allowed = "a price list (--prices FILE), tables headed [[offers]], or --last-prices"
        mistakes.append(Mistake(scenario.file, 0, "offers", "nothing on sale", allowed))
    market = _market(scenario, sizes, stores, mistakes)
    mistakes += _unknown_stores(market, scenario, lines, bool(stores))
    offers, wrong = make_offers(lines, scenario, market, catalog)
    mistakes += wrong
    if not scenario.currency and not mistakes:
        mistakes.append(no_currency(scenario))
    if mistakes:
        raise by_place(mistakes)
    return scenario, market, offers


def _market(scenario: Scenario, sizes: Mapping[str, Any], stores: Sequence[str], mistakes: list[Mistake]) -> Market:
    """The scenario's market with what was asked on the command line, and what its cats eat."""
    market = scenario.market
    asked = {key: value for key, value in sizes.items() if value is not None}
    if len(asked) > 1:
        names = " and ".join(f"--{key}" for key in asked)
        mistakes.append(Mistake("command line", 0, "", names, "one of " + ", ".join(f"--{key}" for key in SIZES)))
    if asked:
        market = replace(market, meat_grams=None, energy_kcal=None, days=None)
    for key, value in asked.items():
        try:
            if key == "meat":
                market = replace(market, meat_grams=read_meat(value))
            elif key == "energy":
                market = replace(market, energy_kcal=read_energy(value))
            else:
                market = replace(market, days=Fraction(value))
        except (QuantityError, NotAllowed) as error:
            mistakes.append(Mistake("command line", 0, f"--{key}", f"{value!r} ({error})", error.allowed, error.hint))
            return market
    if stores:
        market = replace(market, stores=tuple(stores))
    eaten = sum((Fraction(need_of(cat).kcal) * Fraction(cat.share) for cat in scenario.cats), Fraction())
    market = replace(market, cats=len(scenario.cats), kcal_per_day=eaten)
    if market.days is not None and not market.cats:
        allowed = "a table [[cats]] for each cat, with its weight"
        mistakes.append(Mistake(scenario.file, market.lines.get("days", 0), "days", "days, but no cats", allowed))
    elif not size_of(scenario, market)[1] and not any(i.fixed for i in scenario.items if i.is_meat):
        allowed = "how large the batch is to be: --meat, --energy or --days, the same under [market], or meat on hand"
        mistakes.append(Mistake(scenario.file, 0, "market", "no size", allowed))
    return market


def _unknown_stores(
    market: Market, scenario: Scenario, lines: Sequence[PriceLine], from_command_line: bool
) -> list[Mistake]:
    """Stores that are named but sell nothing are a slip of the pen."""
    known = {line.store.casefold(): line.store for line in lines}
    found = []
    for store in (*market.stores, *market.visits):
        if lines and store.casefold() not in known:
            key = "stores" if store in market.stores else "visits"
            file, line = (scenario.file, market.lines.get("stores", 0))
            if from_command_line and key == "stores":
                file, key, line = "command line", "--store", 0
            allowed = ", ".join(sorted(known.values()))
            found.append(Mistake(file, line, key, repr(store), allowed, did_you_mean(store, known.values())))
    return found


def known_foods(foods: Sequence[str], offers: Sequence[Offer]) -> None:
    """Raises InputErrors where a food that alternatives are asked for is not on sale."""
    known = {offer.food.id for offer in offers}
    unknown = [food for food in foods if food not in known]
    if unknown:
        allowed = "the id of a food on sale"
        raise InputErrors(
            [Mistake("command line", 0, "--of", repr(f), allowed, did_you_mean(f, known)) for f in unknown]
        )
