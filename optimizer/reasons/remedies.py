"""What to get, or to use less of: changes that make a mix possible, each solved and assessed before it is said."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import numpy as np

from catalog.ceilings import guard_ceilings
from catalog.records import Catalog
from optimizer.aims import AIMS, Objective
from optimizer.arrays import Column, Floats, Problem, Row
from optimizer.assessment import Amount, assess
from optimizer.choice import Choice, amounts_of, choose
from optimizer.entries import DEFAULT_CUT_STEPS
from optimizer.nearest import with_slack
from optimizer.problem import build
from optimizer.reasons.candidates import candidates
from optimizer.reasons.records import Remedy
from optimizer.scenario import Item, Scenario
from optimizer.solver import Changes, Model, solve
from optimizer.words import amount_words

MOST_REMEDIES = 3
SECONDS_EACH = 4.0
MOST_OF_THE_MEAT = Fraction(3, 4)


def find_remedies(choice: Choice, catalog: Catalog) -> tuple[Remedy, ...]:
    """Up to three ways that differ: fewest things to get; where that is not enough, also less of what was to go
    in whole; and the person's own rules given up, where that alone helps. Empty where nothing helps."""
    scenario = choice.scenario
    added = candidates(scenario, catalog, assess(scenario, catalog, choice.amounts).misses)
    found = list(_own_rules(scenario, catalog))
    for opened in (False, True):
        if len(found) < 2:
            found += _ways(scenario, catalog, added, opened, MOST_REMEDIES - len(found))
    return tuple(found[:MOST_REMEDIES])


def _ways(scenario: Scenario, catalog: Catalog, added: tuple[Item, ...], opened: bool, most: int) -> Iterator[Remedy]:
    """The fewest changes that make a mix possible; then the fewest of which not all are those, and so on."""
    items = [_opened(item) if opened else item for item in scenario.items]
    scenario = replace(scenario, meat_at_least_grams=_least_meat(scenario))
    extended = replace(scenario, items=(*items, *added))
    problem = _with_reductions(build(extended, catalog, guard_ceilings(catalog, scenario.standard)), items, scenario)
    changes = {c.id for c in problem.columns if c.kind == "less"} | {item.id for item in added}
    marks = [j for j, c in enumerate(problem.columns) if c.kind in ("less", "used") and c.id in changes]
    fewest = Objective("changes", _weights(problem, marks))
    objectives = [fewest, Objective("mass", problem.mass * [c.id in {i.id for i in added} for c in problem.columns])]
    model = Model(problem)
    tried: list[tuple[Objective, float]] = []
    for _ in range(most):
        solution = model.solve(objectives, SECONDS_EACH, Changes(held=tuple(tried)))
        if not solution.found:
            return
        chosen = [j for j in marks if solution.values[j] > 0.5]
        if not chosen:
            return
        ids = {problem.columns[j].id for j in chosen}
        kept = [_opened(item) if item.id in ids else item for item in scenario.items]
        remedy = _verified(replace(scenario, items=(*kept, *(i for i in added if i.id in ids))), scenario, catalog)
        if remedy:
            yield remedy
        # the next one has to differ in a third of its changes
        tried.append((Objective("tried", _weights(problem, chosen)), float(len(chosen) - max(1, len(chosen) // 3))))


def _verified(changed: Scenario, scenario: Scenario, catalog: Catalog) -> Remedy | None:
    """The remedy, if the changed scenario really is in reach: planned and assessed like any other."""
    # without prices: what is to be got has none, and must not take the place of what is paid for
    free = replace(changed, aim="cost", items=tuple(replace(item, price_per_gram=None) for item in changed.items))
    choice = choose(free, catalog, SECONDS_EACH)
    if not choice.in_reach or not assess(changed, catalog, choice.amounts).all_met:
        return None
    before = {item.id: item for item in scenario.items}
    get, less = [], []
    for amount in choice.amounts:
        old = before.get(amount.item.id)
        if old is None and amount.count:
            get.append((amount.item.id, amount_words(amount), amount.item.food.name))
        elif old is not None and old.fixed is not None and amount.count != old.fixed:
            left = f"only {amount_words(amount)}" if amount.count else "none"
            less.append((amount.item.id, left, amount.item.food.name))
    words = ["get " + _listed([f"{name} ({text})" for _, text, name in get])] if get else []
    for id_, text, name in less:
        all_of_it = amount_words(Amount(before[id_], before[id_].fixed or Fraction()))
        words.append(f"use {text} of the {name}, not {all_of_it}" if text != "none" else f"leave out the {name}")
    if not words:
        return None
    line = "; ".join(words)
    return Remedy(tuple((id_, text) for id_, text, _ in (*get, *less)), None, line[0].upper() + line[1:] + ".")


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def _own_rules(scenario: Scenario, catalog: Catalog) -> Iterator[Remedy]:
    """The person's own rules given up, as few and as little as it takes, where that alone is enough."""
    problem = with_slack(build(scenario, catalog, guard_ceilings(catalog, scenario.standard)))
    wish = np.array([c.kind == "slack" and c.id.startswith("wish:") for c in problem.columns])
    other = np.array([c.kind == "slack" for c in problem.columns]) & ~wish
    problem = replace(problem, upper=np.where(other, 0.0, problem.upper))
    aims = list(AIMS[scenario.aim](problem))
    solution = solve(problem, [Objective("own rules", wish.astype(float)), *aims], SECONDS_EACH)
    if not solution.found:
        return
    amounts = amounts_of(scenario, problem, solution)
    given_up = [problem.columns[j].id.removeprefix("wish:") for j in np.flatnonzero(wish) if solution.values[j] > 1e-7]
    totals = assess(scenario, catalog, amounts).totals
    labels = {row.id: row for row in problem.rows}
    words = []
    for id_ in given_up:
        row = labels[id_]
        where = f" (line {row.line})" if row.line else ""
        now = f"; it takes {100 * totals.non_meat_share:.1f} %" if id_ == "cap" else ""
        words.append(f"{row.label}{where}{now}")
    if words:
        yield Remedy(tuple((id_, "given up") for id_ in given_up), None, f"Give up your own rule: {'; '.join(words)}.")


def _least_meat(scenario: Scenario) -> Fraction:
    """A batch of which most is left over is no batch: what was to go in whole is to go in for the most part."""
    whole = sum((i.fixed * i.grams_per_unit for i in scenario.items if i.is_meat and i.fixed), Fraction())
    return max(scenario.meat_at_least_grams or Fraction(), whole * MOST_OF_THE_MEAT)


def _opened(item: Item) -> Item:
    """What was to go in whole, now up to that."""
    if item.fixed is None or not item.is_meat:
        return item
    step = DEFAULT_CUT_STEPS.get(item.unit, Fraction(1))
    return replace(item, fixed=None, available=item.fixed, step=step, text="")


def _with_reductions(problem: Problem, items: list[Item], scenario: Scenario) -> Problem:
    """A column that is 1 where less goes in of an item than was to."""
    whole = {item.id for item in scenario.items if item.fixed is not None}
    ids = {item.id for item in items if item.fixed is None and item.id in whole}
    where = [j for j, c in enumerate(problem.columns) if c.kind == "amount" and c.id in ids]
    count, rows = len(where), len(problem.rows)
    if not count:
        return problem
    below = np.zeros((count, len(problem.columns) + count))
    for k, j in enumerate(where):
        below[k, j], below[k, len(problem.columns) + k] = 1.0, problem.upper[j]
    wide = [np.hstack([m, np.zeros((rows, count))]) for m in (problem.matrix, problem.spread, problem.needs)]
    zeros = np.zeros(count)
    return replace(
        problem,
        columns=(*problem.columns, *(Column(problem.columns[j].id, "less") for j in where)),
        rows=(*problem.rows, *(Row(f"less:{problem.columns[j].id}", "", "less of it") for j in where)),
        matrix=np.vstack([wide[0], below]),
        spread=np.vstack([wide[1], np.zeros_like(below)]),
        needs=np.vstack([wide[2], np.zeros_like(below)]),
        need_constant=np.concatenate([problem.need_constant, zeros]),
        row_lower=np.concatenate([problem.row_lower, problem.upper[where]]),
        row_upper=np.concatenate([problem.row_upper, zeros + np.inf]),
        lower=np.concatenate([problem.lower, zeros]),
        upper=np.concatenate([problem.upper, zeros + 1]),
        integer=np.concatenate([problem.integer, np.ones(count, dtype=bool)]),
        price=np.concatenate([problem.price, zeros]),
        mass=np.concatenate([problem.mass, zeros]),
        listed=np.concatenate([problem.listed, zeros]),
    )


def _weights(problem: Problem, marked: list[int]) -> Floats:
    weights = np.zeros(len(problem.columns))
    weights[marked] = 1.0
    return weights
