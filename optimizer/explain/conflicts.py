"""What stands in the way: irreducible infeasible sets of rules, each verified by dropping its rules in turn."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from catalog.kinds import Basis
from catalog.units.quantities import Quantity
from optimizer.assess.batch import Amount
from optimizer.model.deadline import Deadline
from optimizer.model.kinds import PASSED, Tier
from optimizer.model.objectives import Objective
from optimizer.model.problem import INFEASIBLE, Problem
from optimizer.model.solve import Choice
from optimizer.model.solver import Changes
from optimizer.scenario.records import Item
from optimizer.sheet.amount_words import amount_words
from optimizer.sheet.reasons import Conflict

MOST_CONFLICTS = 60
SECONDS_EACH = 2.0
SLIP = 1e-7  # of a guard
RANGE = 1.1  # a high figure of so many times the low one is a range
# A stock that is dropped as a rule is this many times as large: jars can be bought, a batch is not turned over.
MORE_JARS, MORE_FOOD = 50.0, 2.0


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule that can be dropped: in words, where the person wrote it, how the model is without it, and its kind: the
    tier of its rows, or the id of a row of the person's own; `about` is the nutrient of a limit."""

    words: str
    file: str
    line: int
    without: Changes = field(default_factory=Changes)
    kind: str = ""
    about: str = ""


def find_conflicts(choice: Choice, deadline: Deadline) -> tuple[Conflict, ...]:
    """Irreducible sets of rules that cannot all hold, disjoint, until what is left can hold.

    No mix keeps a whole set, and some mix does when any one of its rules is dropped. What goes in whole ("all of
    it"), doses set exactly and the steps of the measures are taken as they are. Those in which the person wrote a
    rule come first.
    """
    rules = [*_row_rules(choice), *_hand_rules(choice)]
    search = _ConflictSearch(choice, rules, deadline)
    left = search.rules
    found: list[Conflict] = []
    while len(found) < MOST_CONFLICTS and not deadline.is_over and not search.possible(left):
        conflict = search.smallest([], False, left)
        if not search.is_irreducible(conflict):
            break  # a question ran out of time: nothing is said that was not verified
        found.append(_conflict(choice, conflict))
        left = [rule for rule in left if rule not in conflict]
    if any(conflict.guard for conflict in found) and not search.possible(
        [rule for rule in rules if rule.kind != Tier.GUARD]
    ):
        found = [replace(conflict, guard="") for conflict in found]  # not guards alone stand in the way
    stock = _more_of_what(choice, rules, deadline) if found else None
    return (*sorted(found, key=lambda conflict: not any(conflict.places)), *([stock] if stock else []))


def _more_of_what(choice: Choice, rules: list[Rule], deadline: Deadline) -> Conflict | None:
    """What is on hand at most, where more of any one of these is all that it takes; None where it is not."""
    stocks = list(_stock_rules(choice))
    search = _ConflictSearch(choice, [*rules, *stocks], deadline)
    if not stocks or not search.possible(rules):
        return None
    short = search.smallest(rules, False, stocks)
    if not all(search.possible([*rules, *(s for s in short if s is not dropped)]) for dropped in short):
        return None
    words = tuple(rule.words for rule in short)
    named = [f"{rule.words} (line {rule.line})" if rule.line else rule.words for rule in short]
    places = tuple(f"{rule.file}:{rule.line}" if rule.line else "" for rule in short)
    which = "this alone would do" if len(short) == 1 else "any one of these would do"
    return Conflict(words, places, f"More of {which} it: {'; '.join(named)}.")


class _ConflictSearch:
    """Asks the live model whether some mix keeps a set of rules, all others being dropped. To keep a guard is to pass
    it by no more than the nearest mix does."""

    def __init__(self, choice: Choice, rules: list[Rule], deadline: Deadline) -> None:
        self.rules = rules
        columns = enumerate(choice.problem.columns)
        self._passing = {j: choice.passing[c.id] + SLIP for j, c in columns if c.id in choice.passing and c.row}
        self._deadline = deadline
        self._choice = choice
        self._nothing = Objective("any mix", np.zeros(len(choice.problem.columns)))

    def possible(self, kept: Sequence[Rule]) -> bool:
        dropped = [rule.without for rule in self.rules if rule not in kept]
        changes = Changes(
            lower={j: bound for each in dropped for j, bound in each.lower.items()},
            upper=self._passing | {j: bound for each in dropped for j, bound in each.upper.items()},
            row_lower={i: bound for each in dropped for i, bound in each.row_lower.items()},
            row_upper={i: bound for each in dropped for i, bound in each.row_upper.items()},
        )
        answer = self._choice.model.solve([self._nothing], self._deadline.at_most(SECONDS_EACH), changes)
        return answer.status != INFEASIBLE

    def smallest(self, background: list[Rule], grown: bool, rules: list[Rule]) -> list[Rule]:
        """A smallest conflicting part of `rules` given `background` (Junker 2004, QuickXplain, AAAI-04)."""
        if grown and not self.possible(background):
            return []
        if len(rules) == 1:
            return rules
        first, second = rules[: len(rules) // 2], rules[len(rules) // 2 :]
        of_second = self.smallest([*background, *first], bool(first), second)
        of_first = self.smallest([*background, *of_second], bool(of_second), first)
        return [*of_first, *of_second]

    def is_irreducible(self, conflict: Sequence[Rule]) -> bool:
        if not conflict or self.possible(conflict):
            return False
        return all(self.possible([rule for rule in conflict if rule is not dropped]) for dropped in conflict)


def _row_rules(choice: Choice) -> Iterator[Rule]:
    problem = choice.problem
    together: dict[str, list[int]] = {}
    for i, row in enumerate(problem.rows):
        if row.tier:
            together.setdefault(row.rule or row.id, []).append(i)
    for rows in together.values():
        row = problem.rows[rows[0]]
        lower = {i: -np.inf for i in rows if np.isfinite(problem.row_lower[i])}
        upper = {i: np.inf for i in rows if np.isfinite(problem.row_upper[i])}
        slack = {j: np.inf for j, c in enumerate(problem.columns) if c.kind in PASSED and c.row == row.id}
        kind = row.id if row.tier == Tier.WISH else row.tier
        about = row.limit.nutrient if row.limit is not None and row.limit.basis != Basis.RATIO else ""
        yield Rule(row.label, row.file, row.line, Changes(row_lower=lower, row_upper=upper, upper=slack), kind, about)


def _hand_rules(choice: Choice) -> Iterator[Rule]:
    """Bounds that the person set for the whole batch."""
    problem, file = choice.problem, choice.scenario.file
    for j, amount in choice.placed:
        item = amount.item
        if isinstance(item.at_most, Quantity) and problem.lower[j] < problem.upper[j]:
            words = f"{item.food.name}: at most {item.at_most.text}"
            yield Rule(words, file, item.lines.get("at_most", 0), _more_allowed(problem, j, item), "hand")
        for key in ("at_least", "exactly"):
            dose = getattr(item, key)
            if isinstance(dose, Quantity) and problem.lower[j] > 0 and item.is_jar:
                words = f"{item.food.name}: {key.replace('_', ' ')} {dose.text}"
                yield Rule(words, file, item.lines.get(key, 0), Changes(lower={j: 0.0}), "hand")


def _more_allowed(problem: Problem, j: int, item: Item) -> Changes:
    """The model with much more of an item than there is."""
    more = MORE_JARS if item.is_supplement else MORE_FOOD
    links = {i: np.inf for i, row in enumerate(problem.rows) if row.id == f"used:{item.id}"}
    return Changes(upper={j: max(1.0, problem.upper[j]) * more}, row_upper=links)


def _stock_rules(choice: Choice) -> Iterator[Rule]:
    """What is on hand at most of items whose amount is open."""
    problem, file = choice.problem, choice.scenario.file
    for j, amount in choice.placed:
        item = amount.item
        if item.available is None or item.at_most is not None or problem.lower[j] >= problem.upper[j]:
            continue
        key = "left" if item.is_supplement else "up_to"
        words = f"{item.food.name}: only {amount_words(Amount(item, item.available))} on hand"
        yield Rule(words, file, item.lines.get(key, 0), _more_allowed(problem, j, item), "stock")


def _conflict(choice: Choice, rules: Sequence[Rule]) -> Conflict:
    own = choice.scenario.file
    words = tuple(rule.words for rule in rules)
    places = tuple(f"{rule.file}:{rule.line}" if rule.line else "" for rule in rules)
    named = [f"{rule.words} (line {rule.line})" if rule.line and rule.file == own else rule.words for rule in rules]
    named = [text + (_non_meat(choice) if rule.kind == "cap" else "") for text, rule in zip(named, rules, strict=True)]
    guard = next((rule.words for rule in rules if rule.kind == Tier.GUARD), "")
    guard = f"What stands in the way is a guard: {guard}" if guard else ""
    if len(named) == 1:
        short = rules[0].without.row_lower
        why = "nothing on hand brings enough of it" if short else "no mix of what is on hand keeps it"
        return Conflict(words, places, f"{named[0]}: {why}.", guard)
    line = f"These cannot all hold: {'; '.join(named)}."
    if len({rule.about for rule in rules}) == 1 and rules[0].about:
        line += _between(choice, rules)
    return Conflict(words, places, line, guard)


def _between(choice: Choice, rules: Sequence[Rule]) -> str:
    """Why no dose comes between a target and a ceiling of one nutrient: a range, or too coarse a step."""
    problem = choice.problem
    rows = [i for rule in rules for i in (*rule.without.row_lower, *rule.without.row_upper)]
    ranges = []
    for j, amount in choice.placed:
        held = [abs(problem.matrix[i, j] + problem.needs[i, j]) * problem.rows[i].scale for i in rows]
        if amount.item.is_jar and min(held, default=0.0) > 0 and max(held) > RANGE * min(held):
            ranges.append(amount.item.food.name)
    if ranges:
        return f" What {', '.join(ranges)} holds is known as a range: what is sure to be enough may be too much."
    return " One step of what is on hand is too much: a finer step or a larger batch would do."


def _non_meat(choice: Choice) -> str:
    """What goes in whole that is no meat, such as dairy: the cause that nobody thinks of."""
    found = [a for a in choice.amounts if a.item.counts_as == "non-meat" and a.item.fixed and not a.item.is_jar]
    named = ", ".join(f"{amount.item.food.name}, {amount_words(amount)}" for amount in found)
    return f" (no meat: {named})" if named else ""
