"""What each binding rule costs: moved by one percent, or stock by one step, and solved again."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from optimizer.explain.probe import Answer, ask, cents, measures
from optimizer.model.deadline import Deadline
from optimizer.model.solve import Choice
from optimizer.model.solver import Changes
from optimizer.scenario.aims import AIMS, Goal
from optimizer.sheet.amount_words import step_words
from optimizer.sheet.reasons import LimitPrice

PERCENT = 0.01
SAME_DISTANCE = 1e-4  # of a usual dose
SAME_GRAMS = 1e-3


@dataclass(frozen=True, slots=True)
class Change:
    """How a mix differs from the plan; None for what its aim does not tell, and all of it where there is no mix."""

    cost: Decimal | None
    items: int | None
    distance: float | None
    grams: float | None


def price_of_limits(choice: Choice, deadline: Deadline) -> tuple[LimitPrice, ...]:
    """The rules that hold the plan where it is and cost something, dearest first."""
    found = [price for price in (*_rows(choice, deadline), *_stocks(choice, deadline)) if _matters(price)]
    return tuple(sorted(found, key=_weight))


def _rows(choice: Choice, deadline: Deadline) -> Iterator[LimitPrice]:
    problem, values = choice.problem, choice.solution.values
    activity = problem.matrix @ values
    for i, row in enumerate(problem.rows):
        if deadline.is_over:
            return
        step = PERCENT * abs(problem.limit_size(i, values))
        place = (row.file, row.line)
        low, high = float(problem.row_lower[i]), float(problem.row_upper[i])
        if row.tier and np.isfinite(low) and activity[i] - low < step:
            tighter = ask(choice, deadline, Changes(row_lower={i: low + step}))
            looser = ask(choice, deadline, Changes(row_lower={i: low - step}))
            yield _price(choice, row.id, row.label, place, "1 %", tighter, looser)
        if row.tier and np.isfinite(high) and high - activity[i] < step:
            tighter = ask(choice, deadline, Changes(row_upper={i: high - step}))
            looser = ask(choice, deadline, Changes(row_upper={i: high + step}))
            yield _price(choice, row.id, row.label, place, "1 %", tighter, looser)


def _stocks(choice: Choice, deadline: Deadline) -> Iterator[LimitPrice]:
    """What is on hand of an open item, where all of it is used."""
    problem, values = choice.problem, choice.solution.values
    for j, amount in choice.placed:
        item = amount.item
        open_ = problem.lower[j] < problem.upper[j]
        if item.available is None or not open_ or values[j] < problem.upper[j] or deadline.is_over:
            continue
        links = [i for i, row in enumerate(problem.rows) if row.id == f"used:{item.id}"]
        more = Changes(upper={j: problem.upper[j] + 1}, row_upper=dict.fromkeys(links, 1.0))
        tighter = ask(choice, deadline, Changes(upper={j: problem.upper[j] - 1}))
        looser = ask(choice, deadline, more)
        key = "left" if item.is_supplement else "up_to"
        words = f"{item.food.name}: what is on hand"
        place = (choice.scenario.file, item.lines.get(key, 0))
        yield _price(choice, f"stock:{item.id}", words, place, step_words(item), tighter, looser)


def _price(
    choice: Choice, id_: str, words: str, place: tuple[str, int], step: str, tighter: Answer, looser: Answer
) -> LimitPrice:
    """The change of what the aim tells. What it does not tell follows from it, and may rise on both sides."""
    tells = AIMS[choice.scenario.aim].tells
    here = Answer(choice.amounts, *measures(choice.problem, choice.solution.values))
    known = bool(choice.scenario.currency) and Goal.COST in tells

    def of(answer: Answer) -> Change:
        if answer.amounts is None:
            return Change(None, None, None, None)
        return Change(
            cents(answer.cost) - cents(here.cost) if known else None,
            answer.count - here.count,
            answer.distance - here.distance if Goal.CHANGE in tells else None,
            answer.grams - here.grams if Goal.FROM_JARS in tells else None,
        )

    ends = {"tighter": of(tighter), "looser": of(looser)}
    said = [f"{step} {side} {_end(choice, end)}" for side, end in ends.items()]
    where = f" (line {place[1]})" if place[1] and place[0] == choice.scenario.file else ""
    tighter_, looser_ = ends["tighter"], ends["looser"]
    return LimitPrice(
        id_,
        f"{words}{where}: {'; '.join(said)}.",
        *place,
        step,
        tighter_.cost,
        tighter_.items,
        looser_.cost,
        looser_.items,
        tighter_distance=tighter_.distance,
        looser_distance=looser_.distance,
        counts_jars=Goal.ITEMS in tells,
        tighter_grams=tighter_.grams,
        looser_grams=looser_.grams,
    )


def _end(choice: Choice, change: Change) -> str:
    if change.items is None:
        return "is out of reach"
    words = []
    if change.cost:
        words.append(f"{'costs' if change.cost > 0 else 'saves'} {abs(change.cost)} {choice.scenario.currency}")
    if change.items and Goal.ITEMS in AIMS[choice.scenario.aim].tells:
        jars = "jar" if abs(change.items) == 1 else "jars"
        words.append(f"{'takes' if change.items > 0 else 'saves'} {abs(change.items)} {jars}")
    if change.distance is not None and abs(change.distance) > SAME_DISTANCE:
        side = "further from" if change.distance > 0 else "nearer to"
        words.append(f"is {side} the usual recipe by {100 * abs(change.distance):.2g} % of a dose")
    if change.grams is not None and abs(change.grams) > SAME_GRAMS:
        words.append(f"takes {abs(change.grams):.2g} g {'more' if change.grams > 0 else 'less'} from jars")
    return " and ".join(words) or "changes nothing"


def _matters(price: LimitPrice) -> bool:
    """Whether moving a rule changes anything that the plan is best at."""
    if price.tighter_items is None or price.looser_items is None:
        return True
    costs = (price.tighter_cost, price.looser_cost)
    distances = (price.tighter_distance or 0.0, price.looser_distance or 0.0)
    items = (price.tighter_items, price.looser_items) if price.counts_jars else ()
    grams = (price.tighter_grams or 0.0, price.looser_grams or 0.0)
    told = any(abs(distance) > SAME_DISTANCE for distance in distances) or any(abs(g) > SAME_GRAMS for g in grams)
    return any(costs) or any(items) or told


def _weight(price: LimitPrice) -> tuple[bool, float]:
    change = price.tighter_cost or price.tighter_distance or price.tighter_grams or 0
    return price.tighter_items is not None, -float(change)
