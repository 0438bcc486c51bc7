"""What each binding rule costs: moved by one percent, or stock by one step, and solved again."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

import numpy as np

from optimizer.explain.probe import Answer, ask, cents, measures
from optimizer.model.deadline import Deadline
from optimizer.model.solve import Choice
from optimizer.model.solver import Changes
from optimizer.sheet.amount_words import step_words
from optimizer.sheet.reasons import LimitPrice

PERCENT = 0.01
SAME_DISTANCE = 1e-4  # of a usual dose


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
        step = PERCENT * abs(problem.whole(i, values))
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
    for j, amount in enumerate(choice.amounts):
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
    """The change of what the plan is best at: money and jars, or under the aim usual the distance from the recipe,
    which costs or saves nothing by itself."""
    usual = choice.scenario.aim == "usual"
    here = Answer(choice.amounts, *measures(choice.problem, choice.solution.values))
    known = bool(choice.scenario.currency) and not usual

    def of(answer: Answer) -> tuple[Decimal | None, int | None, float | None]:
        if answer.amounts is None:
            return None, None, None
        cost = cents(answer.cost) - cents(here.cost) if known else None
        return cost, answer.count - here.count, answer.distance - here.distance if usual else None

    ends = {"tighter": of(tighter), "looser": of(looser)}
    said = [f"{step} {side} {_end(choice, *end)}" for side, end in ends.items()]
    where = f" (line {place[1]})" if place[1] and place[0] == choice.scenario.file else ""
    price = LimitPrice(
        id_, f"{words}{where}: {'; '.join(said)}.", *place, step, *ends["tighter"][:2], *ends["looser"][:2]
    )
    return replace(
        price,
        counts_jars=choice.scenario.aim == "fewest",
        tighter_distance=ends["tighter"][2],
        looser_distance=ends["looser"][2],
    )


def _end(choice: Choice, cost: Decimal | None, items: int | None, distance: float | None) -> str:
    if items is None:
        return "is out of reach"
    words = []
    if cost:
        words.append(f"{'costs' if cost > 0 else 'saves'} {abs(cost)} {choice.scenario.currency}")
    if items and choice.scenario.aim == "fewest":
        words.append(f"{'takes' if items > 0 else 'saves'} {abs(items)} {'jar' if abs(items) == 1 else 'jars'}")
    if distance is not None and abs(distance) > SAME_DISTANCE:
        side = "further from" if distance > 0 else "nearer to"
        words.append(f"is {side} the usual recipe by {100 * abs(distance):.2g} % of a dose")
    return " and ".join(words) or "changes nothing"


def _matters(price: LimitPrice) -> bool:
    """Whether moving a rule changes anything that the plan is best at."""
    if price.tighter_items is None or price.looser_items is None:
        return True
    costs = (price.tighter_cost, price.looser_cost)
    distances = (price.tighter_distance or 0.0, price.looser_distance or 0.0)
    items = (price.tighter_items, price.looser_items) if price.counts_jars else ()
    return any(costs) or any(items) or any(abs(distance) > SAME_DISTANCE for distance in distances)


def _weight(price: LimitPrice) -> tuple[bool, float]:
    return price.tighter_items is not None, -float(price.tighter_cost or price.tighter_distance or 0)
