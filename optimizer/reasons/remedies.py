"""What to get, or to use less of: changes that make a mix possible, each solved and assessed before it is said."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
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
from optimizer.reasons.grown import NewColumn, NewRow, grown
from optimizer.reasons.records import Remedy
from optimizer.scenario import Item, Scenario
from optimizer.shares import kept_shares, newly_uncommon, whole
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
    found = list(own_rules(scenario, catalog))
    told: list[frozenset[str]] = []
    for opened in (False, True):
        if len(found) < 2:
            fixes = Fixes(scenario, catalog, added, opened)
            for ids in told:
                fixes.differ_from(ids)
            found += alternatives(fixes, MOST_REMEDIES - len(found), told)
    return tuple(found[:MOST_REMEDIES])


def alternatives(fixes: "Fixes", most: int, told: list[frozenset[str]]) -> Iterator[Remedy]:
    """The fewest changes that make a mix possible; then the fewest of which not all are those, and so on. What is
    given is put among `told`."""
    for _ in range(most):
        ids = fixes.fewest()
        if not ids:
            return
        fix = fixes.verified(ids)
        if fix:
            told.append(ids)
            yield remedy_of(fix)
        fixes.differ_from(ids)


@dataclass(frozen=True, slots=True)
class Fix:
    """A mix that is possible: what has to be got for it, and what less of: the amount that still goes in, in words,
    with the one that was to."""

    get: tuple[Amount, ...]
    less: tuple[tuple[Amount, str], ...]


class Fixes:
    """Looks for changes that make a mix possible: some of `added` to get; where `opened`, also less of the meat.

    Among equally few changes, fewer of the `second_best` among what is added are preferred; `options` are the solver's.
    """

    def __init__(
        self,
        scenario: Scenario,
        catalog: Catalog,
        added: Sequence[Item],
        opened: bool,
        second_best: Collection[str] = (),
        options: Mapping[str, float | bool] | None = None,
    ) -> None:
        items = [_opened(item) if opened else item for item in scenario.items]
        self.before, self.added, self.catalog = scenario, tuple(added), catalog
        self.scenario = replace(scenario, meat_at_least_grams=_least_meat(scenario))
        extended = replace(self.scenario, items=(*items, *added))
        self._whole = whole(scenario.items)
        shares = kept_shares(self._whole, scenario, catalog)  # a remedy need not mend what the meat itself has
        problem = build(extended, catalog, guard_ceilings(catalog, scenario.standard), shares)
        self.problem = _with_reductions(problem, items, self.scenario)
        ids = {c.id for c in self.problem.columns if c.kind == "less"} | {item.id for item in added}
        self.marks = [j for j, c in enumerate(self.problem.columns) if c.kind in ("less", "used") and c.id in ids]
        self._second_best = [j for j in self.marks if self.problem.columns[j].id in second_best]
        self._model = Model(self.problem, options)
        self._tried: list[tuple[Objective, float]] = []
        self.proven = False  # whether what was found last has the fewest changes

    def objectives(self) -> list[Objective]:
        """Few changes, then little of what is added."""
        added = {item.id for item in self.added}
        mass = self.problem.mass * [c.id in added for c in self.problem.columns]
        second_best = [Objective("second best", _weights(self.problem, self._second_best))] if self._second_best else []
        return [Objective("changes", _weights(self.problem, self.marks)), *second_best, Objective("mass", mass)]

    def fewest(self, seconds: float = SECONDS_EACH) -> frozenset[str]:
        """What is changed in a mix of the fewest changes, by its ids; nothing where no such mix is found."""
        solution = self._model.solve(self.objectives(), seconds, Changes(held=tuple(self._tried)))
        self.proven = solution.found and solution.objectives[0] * solution.gap < 0.5  # changes are whole
        return self.changed(solution.values) if solution.found else frozenset()

    def changed(self, values: Floats) -> frozenset[str]:
        """What is changed at these values of the problem's columns, by its ids."""
        return frozenset(self.problem.columns[j].id for j in self.marks if values[j] > 0.5)

    def differ_from(self, ids: frozenset[str]) -> None:
        """What is found from now on differs from this in a third of its changes."""
        chosen = [j for j in self.marks if self.problem.columns[j].id in ids]
        if not chosen:
            return
        most = float(len(chosen) - max(1, len(chosen) // 3))
        self._tried.append((Objective("tried", _weights(self.problem, chosen)), most))

    def verified(self, ids: frozenset[str], most_grams: Mapping[str, Fraction] | None = None) -> Fix | None:
        """The mix of the least mass with these changes, if it really is in reach, planned and assessed like any
        other, and holds no more bone or organs than is common. `most_grams` of some of the things to get are what
        there is."""
        kept = [_opened(item) if item.id in ids else item for item in self.scenario.items]
        added = [_at_most(item, (most_grams or {}).get(item.id)) for item in self.added if item.id in ids]
        changed = replace(self.scenario, items=(*kept, *added))
        # without prices: what is to be got has none, and must not take the place of what is paid for
        free = replace(changed, aim="cost", items=tuple(replace(item, price_per_gram=None) for item in changed.items))
        choice = choose(free, self.catalog, SECONDS_EACH)
        if not choice.in_reach or not assess(changed, self.catalog, choice.amounts).all_met:
            return None
        mix = [(amount.item, amount.grams) for amount in choice.amounts]
        if newly_uncommon(self._whole, mix, self.before, self.catalog):
            return None
        before = {item.id: item for item in self.before.items}
        get, less = [], []
        for amount in choice.amounts:
            old = before.get(amount.item.id)
            if old is None and amount.count:
                get.append(amount)
            elif old is not None and old.fixed is not None and amount.count != old.fixed:
                less.append((amount, amount_words(Amount(old, old.fixed))))
        return Fix(tuple(get), tuple(less)) if get or less else None


def remedy_of(fix: Fix) -> Remedy:
    """What is to be done, in words."""
    line = "; ".join(fix_words(fix, [f"{got.item.food.name} ({amount_words(got)})" for got in fix.get]))
    return Remedy(changes_of(fix), None, line[0].upper() + line[1:] + ".")


def changes_of(fix: Fix) -> tuple[tuple[str, str], ...]:
    """What is changed, each with the amount that then goes in."""
    got = [(amount.item.id, amount_words(amount)) for amount in fix.get]
    return (*got, *((amount.item.id, _left_in(amount)) for amount, _ in fix.less))


def fix_words(fix: Fix, got: Sequence[str]) -> list[str]:
    """The parts of the sentence: what to get, in these words, and what to use less of."""
    words = ["get " + _listed(got)] if got else []
    for amount, before in fix.less:
        name = amount.item.food.name
        some = f"use {_left_in(amount)} of the {name}, not {before}"
        words.append(some if amount.count else f"leave out the {name}")
    return words


def _left_in(amount: Amount) -> str:
    return f"only {amount_words(amount)}" if amount.count else "none"


def _at_most(item: Item, grams: Fraction | None) -> Item:
    """An item of which no more than so many grams are there."""
    if grams is None or item.available is None or item.step is None:
        return item
    return replace(item, available=min(item.available, grams / item.grams_per_unit // item.step * item.step))


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def own_rules(scenario: Scenario, catalog: Catalog) -> Iterator[Remedy]:
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
    columns = [NewColumn(Column(problem.columns[j].id, "less"), 1.0) for j in where]
    rows = [
        NewRow(
            Row(f"less:{problem.columns[j].id}", "", "less of it"),
            {j: 1.0, len(problem.columns) + k: problem.upper[j]},
            lower=problem.upper[j],
        )
        for k, j in enumerate(where)
    ]
    return grown(problem, columns, rows)


def _weights(problem: Problem, marked: list[int]) -> Floats:
    weights = np.zeros(len(problem.columns))
    weights[marked] = 1.0
    return weights
