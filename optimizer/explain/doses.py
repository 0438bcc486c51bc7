"""Why each dose: what it answers, what happens without it, what holds it from above."""

from dataclasses import replace
from fractions import Fraction

from catalog.records import Catalog
from catalog.units.money import cents
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.assess.result import OVER, Miss
from optimizer.explain.probe import broken, differences, replanned
from optimizer.model.deadline import Deadline
from optimizer.model.problem import Floats
from optimizer.model.solve import Choice
from optimizer.scenario.aims import USUAL
from optimizer.scenario.records import Scenario
from optimizer.sheet.amount_words import amount_words
from optimizer.sheet.reasons import DoseReason

WORTH_TELLING = 0.5  # percent of a target


def why_each_dose(choice: Choice, catalog: Catalog, deadline: Deadline) -> tuple[DoseReason, ...]:
    """A reason for every supplement that the plan uses, in the order of the scenario."""
    return tuple(
        _why(choice, catalog, column, amount, deadline)
        for column, amount in choice.placed
        if amount.item.is_supplement and amount.count > 0
    )


def _why(choice: Choice, catalog: Catalog, column: int, amount: Amount, deadline: Deadline) -> DoseReason:
    problem, values = choice.problem, choice.solution.values
    others = [a if a is not amount else Amount(a.item, a.count * 0) for a in choice.amounts]
    misses = assess(choice.scenario, catalog, others).misses
    answers = [m for m in misses if m.status != OVER and m.percent >= WORTH_TELLING]
    less = tuple(problem.rows[i].label for i in broken(problem, _moved(values, column, -1)))
    more = _stops(choice, column)
    settled = problem.lower[column] == problem.upper[column]
    missed: tuple[Miss, ...] = ()
    extra_cost = extra_items = None
    instead: tuple[str, ...] = ()
    other = None if settled or deadline.is_over else replanned(_without(choice, amount), catalog, deadline.left)
    if other is not None and other.in_reach:
        before = assess(choice.scenario, catalog, choice.amounts).cost or Fraction()
        after = assess(other.scenario, catalog, other.amounts).cost or Fraction()
        if choice.scenario.currency:
            extra_cost = cents(after) - cents(before)
        extra_items = _jars(other) - _jars(choice)
        rest = [a for a in choice.amounts if a is not amount]
        instead = differences(rest, other.amounts)
    elif other is not None:
        missed = assess(other.scenario, catalog, other.amounts).misses
    reason = DoseReason(
        amount.item.id,
        "",
        tuple(sorted(answers, key=lambda m: -m.percent)),
        less,
        more,
        extra_cost,
        extra_items,
        instead,
        missed,
    )
    return replace(reason, line=_line(choice, amount, reason, settled))


def _moved(values: Floats, column: int, steps: int) -> Floats:
    moved = values.copy()
    moved[column] = max(0.0, moved[column] + steps)
    return moved


def _stops(choice: Choice, column: int) -> tuple[str, ...]:
    """What keeps a dose from being a step larger."""
    problem, item = choice.problem, choice.amounts[column].item
    if choice.solution.values[column] + 1 > problem.upper[column] + 1e-9:
        for key, words in (("exactly", "set by hand"), ("at_most", "at_most in the scenario")):
            if getattr(item, key) is not None:
                return (f"{words} (line {item.lines.get(key, 0)})",)
        if item.available is not None:
            return ("there is no more of it on hand",)
    moved = _moved(choice.solution.values, column, 1)
    # what is asked for rises with what is poured in; only what a dose is too much for holds it from above
    over = problem.matrix @ moved > problem.row_upper
    return tuple(problem.rows[i].label for i in broken(problem, moved) if over[i])


def _without(choice: Choice, amount: Amount) -> Scenario:
    """The scenario without one jar, as `--without` has it."""
    items = tuple(item for item in choice.scenario.items if item is not amount.item)
    return replace(choice.scenario, items=items)


def _jars(choice: Choice) -> int:
    return sum(1 for amount in choice.amounts if amount.item.is_supplement and amount.count > 0)


def _line(choice: Choice, amount: Amount, reason: DoseReason, settled: bool) -> str:
    """The reason in one line."""
    parts = []
    if reason.answers:
        named = [f"{m.name} ({m.percent:.0f} % short without it)" for m in reason.answers[:3]]
        rest = f" and {len(reason.answers) - 3} more" if len(reason.answers) > 3 else ""
        parts.append("for " + ", ".join(named) + rest)
    elif not settled and amount.item.usual is not None and choice.scenario.aim == USUAL:
        parts.append("the usual dose; no target needs it")
    if settled:
        parts.append(f"set by hand (line {amount.item.lines.get('exactly', 0)})")
    elif reason.missed:
        worst = max(reason.missed, key=lambda m: m.percent)
        parts.append(f"no mix on hand does without it: {worst.name} would miss by {worst.percent:.0f} % at best")
    elif reason.extra_items is not None:
        parts.append(_instead(choice, reason))
    if reason.step_more and not settled:
        parts.append("a step more: " + _rule(reason.step_more))
    return f"{amount.item.food.name}, {amount_words(amount)}: " + "; ".join(parts) + "."


def _instead(choice: Choice, reason: DoseReason) -> str:
    costs = []
    if reason.extra_cost is not None and reason.extra_cost:
        word = "more" if reason.extra_cost > 0 else "less"
        costs.append(f"{abs(reason.extra_cost)} {choice.scenario.currency} {word}")
    if reason.extra_items:
        count = abs(reason.extra_items)
        costs.append(f"{count} {'jar' if count == 1 else 'jars'} {'more' if reason.extra_items > 0 else 'fewer'}")
    price = ", ".join(costs) or ("at the same cost" if choice.scenario.currency else "")
    shown = ", ".join(reason.instead[:3]) + (f" and {len(reason.instead) - 3} more" if len(reason.instead) > 3 else "")
    return f"without it{' ' if price else ''}{price}" + (f": {shown}" if shown else "")


def _rule(rules: tuple[str, ...]) -> str:
    return rules[0] + (f" and {len(rules) - 1} more" if len(rules) > 1 else "")
