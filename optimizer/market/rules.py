"""Rules of a batch that is bought: its size, shares and kinds of meat, the stores that are visited, the budget."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

from optimizer.assess.shares import share_of
from optimizer.market.offers import Offer
from optimizer.model.columns import Ingredient
from optimizer.model.kinds import Kind, Tier
from optimizer.model.problem import Column, Draft, Row
from optimizer.scenario.market import Market
from optimizer.scenario.records import Scenario


def add_market_rules(
    draft: Draft,
    scenario: Scenario,
    market: Market,
    offers: Sequence[Offer],
    ingredients: Sequence[Ingredient],
    packages: Mapping[str, int],
    most_meat: float,
) -> dict[str, int]:
    """The rows of these rules over the columns of ingredients and packages; `most_meat` in grams keeps the search
    small. Gives the column of each store that costs something to visit."""
    _size_row(draft, scenario, market, ingredients)
    meat = [i for i in ingredients if i.item.is_meat]
    row = Row("largest", Tier.NEVER, f"no more than {most_meat:.0f} g of meat", most_meat or 1.0)
    draft.row(row, {i.column: i.grams for i in meat}, upper=most_meat)
    _share_rows(draft, scenario, market, meat)
    _kind_rows(draft, scenario, market, meat)
    visits = _visit_columns(draft, market, offers, packages)
    _budget_row(draft, scenario)
    return visits


def size_of(scenario: Scenario, market: Market) -> tuple[str, Fraction]:
    """What the batch's size is measured in ("meat" in grams, "energy" in kcal), and the least of it."""
    if market.meat_grams is not None:
        return "meat", market.meat_grams
    if market.energy_kcal is not None:
        return "energy", market.energy_kcal
    if market.days is not None:
        return "energy", market.days * market.kcal_per_day
    return "meat", scenario.meat_at_least_grams or Fraction()


def _size_row(draft: Draft, scenario: Scenario, market: Market, ingredients: Sequence[Ingredient]) -> None:
    measure, exact = size_of(scenario, market)
    least = float(exact)
    if not least:
        return
    coefficients = {i.column: i.blend.kcal * i.grams for i in ingredients}
    if measure == "meat":
        coefficients = {i.column: i.grams for i in ingredients if i.item.is_meat}
    words = f"at least {least:.0f} " + ("g of meat" if measure == "meat" else "kcal")
    line = market.lines.get(measure, 0)
    # never gives way: an empty bowl would break no ceiling
    row = Row("size", Tier.NEVER, words, least, None, scenario.file, line)
    draft.row(row, coefficients, lower=least, need_constant=least)


def _share_rows(draft: Draft, scenario: Scenario, market: Market, meat: Sequence[Ingredient]) -> None:
    for number, share in enumerate(market.shares):
        for side, bound in (("at least", share.at_least), ("at most", share.at_most)):
            if bound is None:
                continue
            needs = {i.column: float(bound) * i.grams for i in meat}
            counted = {i.column: share_of(i.blend, i.item, share.of) * i.grams for i in meat}
            scale = draft.most(needs) or 1.0
            words = f"{share.of} {side} {100 * float(bound):g} % of the meat"
            row = Row(f"share:{number}:{side}", Tier.WISH, words, scale, None, scenario.file, share.line)
            coefficients = {j: grams - needs[j] for j, grams in counted.items()}
            if side == "at least":
                draft.row(row, coefficients, lower=0.0, needs=needs)
            else:
                draft.row(row, coefficients, upper=0.0, needs=needs)


def _kind_rows(draft: Draft, scenario: Scenario, market: Market, meat: Sequence[Ingredient]) -> None:
    """A species counts as a kind when it is a large enough share of the meat."""
    if market.kinds_at_least < 2:
        return
    share = float(market.kind_share)
    kinds: dict[int, float] = {}
    for species in dict.fromkeys(i.item.food.species for i in meat if i.item.food.species):
        counts = draft.column(Column(species, Kind.SPECIES), 0, 1, integer=True)
        kinds[counts] = 1.0
        enough = {i.column: ((i.item.food.species == species) - share) * i.grams for i in meat}
        worst = -draft.least(enough)
        row = Row(f"kind:{species}", Tier.NEVER, f"{species} is a kind of meat here", worst or 1.0)
        draft.row(row, {**enough, counts: -worst}, lower=-worst)
    words = f"at least {market.kinds_at_least} kinds of meat"
    row = Row("kinds", Tier.WISH, words, 1.0, None, scenario.file, market.lines.get("kinds_at_least", 0))
    draft.row(row, kinds, lower=float(market.kinds_at_least), need_constant=float(market.kinds_at_least))


def _visit_columns(
    draft: Draft, market: Market, offers: Sequence[Offer], packages: Mapping[str, int]
) -> dict[str, int]:
    """For each store where it matters: 1 as soon as anything is bought there."""
    visits: dict[str, int] = {}
    for store in dict.fromkeys(offer.store for offer in offers):
        if not market.visit(store) and market.stores_at_most is None:
            continue
        visits[store] = draft.column(Column(store, Kind.VISIT), 0, 1, integer=True, price=float(market.visit(store)))
        for offer in offers:
            if offer.store == store and offer.id in packages:
                most = draft.upper[packages[offer.id]] or 1.0
                row = Row(f"visit:{offer.id}", Tier.NEVER, f"{store} is visited", most)
                draft.row(row, {packages[offer.id]: 1.0, visits[store]: -most}, upper=0.0)
    if market.stores_at_most is not None:
        row = Row("stores", Tier.NEVER, f"at most {market.stores_at_most} stores")
        draft.row(row, dict.fromkeys(visits.values(), 1.0), upper=float(market.stores_at_most))
    return visits


def _budget_row(draft: Draft, scenario: Scenario) -> None:
    """What may be spent, with the supplements on hand that are used."""
    if scenario.budget is not None:
        most = float(scenario.budget)
        words = f"cost at most {scenario.budget:.2f} {scenario.currency}"
        row = Row("budget", Tier.WISH, words, most, None, scenario.file, scenario.lines.get("budget", 0))
        draft.row(row, {j: price for j, price in enumerate(draft.price) if price}, upper=most, need_constant=most)
