"""What is known of prices, to tell what additions cost."""

from collections.abc import Sequence
from pathlib import Path

from catalog.records import Catalog
from optimizer.explain.candidates import on_sale
from optimizer.market.known_prices import KnownPrices
from optimizer.market.offers import make_offers
from optimizer.market.price_sources import LastPaid, all_lines, by_place, no_currency
from optimizer.scenario.records import Scenario


def known_prices(
    scenario: Scenario,
    catalog: Catalog,
    price_lists: Sequence[Path],
    decimal_comma: bool = False,
    last_paid: LastPaid | None = None,
) -> KnownPrices | None:
    """What is known of prices, to tell what additions cost: in the stores of the scenario's market, if it names any,
    without what it leaves out. None where no prices are given, or only the scenario's own and of nothing that could
    be added. Raises InputErrors with every mistake in them."""
    asked = bool(price_lists) or last_paid is not None
    if not asked and not scenario.market.offers:
        return None
    scenario, lines, mistakes = all_lines(scenario, catalog, price_lists, decimal_comma, last_paid)
    offers, wrong = make_offers(lines, scenario, scenario.market, catalog)
    mistakes += wrong
    if lines and not scenario.currency and not mistakes:
        mistakes.append(no_currency(scenario))
    if mistakes:
        raise by_place(mistakes)
    if not asked and not on_sale(scenario, catalog, {offer.food.id for offer in offers}):
        return None
    return KnownPrices(scenario.currency, offers)
