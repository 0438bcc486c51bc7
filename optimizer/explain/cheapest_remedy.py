"""The remedy that costs least in whole packages: a mixed-integer problem over what has a known price."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from optimizer.explain.probe import SECONDS_A_PLAN
from optimizer.explain.remedy_bills import counts_for
from optimizer.explain.remedy_search import RemedySearch
from optimizer.market.offers import Offer
from optimizer.model.deadline import Deadline
from optimizer.model.kinds import Kind, Tier
from optimizer.model.objectives import Objective
from optimizer.model.problem import Column, NewColumn, NewRow, Problem, Row
from optimizer.model.solver import FOR_PACKAGES, Changes, Model

PROVEN = 1e-6  # a remedy is called the cheapest only within this relative gap


@dataclass(frozen=True, slots=True)
class CheapestRemedy:
    """What is changed, by its ids; the grams of each thing to get that its packages hold; what these cost; whether
    nothing cheaper exists."""

    ids: frozenset[str]
    grams: dict[str, Fraction]
    pay: Fraction
    proven: bool


def cheapest_remedy(search: RemedySearch, offers: Sequence[Offer], seconds: float) -> CheapestRemedy | None:
    """The cheapest packages that make a mix possible; among equals the fewest changes, then the least mass. None
    where none was found: every one of `search.added` has to be bought from `offers`."""
    problem, bought = with_packages(search, offers)
    width = len(problem.columns) - len(search.problem.columns)
    later = [replace(o, weights=np.append(o.weights, np.zeros(width))) for o in search.objectives()]
    deadline, model, paid = Deadline.within(seconds), Model(problem, FOR_PACKAGES), payment(problem, bought)
    solution = model.solve([paid], seconds)
    if not solution.found:
        return None
    gap = solution.gap
    # which of equals is told is worth less time than whether it is the cheapest
    chosen = model.solve(later, deadline.at_most(SECONDS_A_PLAN), Changes(held=((paid, solution.objectives[0]),)))
    solution = chosen if chosen.found else solution
    ids = search.changed(solution.values)
    grams: dict[str, Fraction] = {}
    pay = Fraction()
    for offer, column in bought:
        count = round(float(solution.values[column]))
        pay += count * offer.price
        if offer.food.id in ids:
            grams[offer.food.id] = grams.get(offer.food.id, Fraction()) + count * offer.grams
    return CheapestRemedy(ids, grams, pay, gap <= PROVEN)


def payment(problem: Problem, bought: Sequence[tuple[Offer, int]]) -> Objective:
    """What the packages cost."""
    weights = np.zeros(len(problem.columns))
    for offer, column in bought:
        weights[column] = float(offer.price)
    return Objective("payment", weights)


def with_packages(search: RemedySearch, offers: Sequence[Offer]) -> tuple[Problem, list[tuple[Offer, int]]]:
    """The problem of `search` in which what is got comes out of packages, and the column of each offer's packages."""
    problem = search.problem
    columns: list[NewColumn] = []
    rows: list[NewRow] = []
    bought: list[tuple[Offer, int]] = []
    added = {item.id for item in search.added}
    for j, column in enumerate(problem.columns):
        if column.kind != Kind.AMOUNT or column.id not in added:
            continue
        most = Fraction(problem.upper[j]) * Fraction(column.grams)
        supply = {j: column.grams}
        for offer in offers:
            if offer.food.id != column.id or not most:
                continue
            count = max(counts_for(offer, most))
            place = len(problem.columns) + len(columns)
            columns.append(NewColumn(Column(offer.id, Kind.PACKAGE), upper=float(count), integer=True))
            bought.append((offer, place))
            # of a package that holds more than ever goes in, that much counts: the tighter, the faster solved
            supply[place] = -float(min(offer.grams, most))
            if offer.loose:
                columns.append(NewColumn(Column(offer.id, Kind.ASKED), upper=1.0, integer=True))
                rows += _asked(offer, place, count)
        scale = float(most) or 1.0
        row = Row(f"supply:{column.id}", Tier.NEVER, f"{column.id} comes out of packages", scale)
        rows.append(NewRow(row, {c: value / scale for c, value in supply.items()}, upper=0.0))
    return problem.extended(columns, rows), bought


def _asked(offer: Offer, package: int, most: int) -> Iterator[NewRow]:
    """What is sold by weight is bought in no less than is worth asking for."""
    least = -int(-offer.least_grams // offer.grams)
    row = Row(f"asked:{offer.id}", Tier.NEVER, f"{offer.id} is asked for", float(most or 1))
    yield NewRow(row, {package: 1 / (most or 1), package + 1: -1.0}, upper=0.0)
    row = Row(f"least:{offer.id}", Tier.NEVER, f"{offer.id} is worth asking for", float(least))
    yield NewRow(row, {package: 1 / least, package + 1: -1.0}, lower=0.0)
