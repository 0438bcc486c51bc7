"""What each binding rule costs: moved by one percent, or stock by one step, and solved again."""

from collections.abc import Iterator

import numpy as np

from optimizer.choice import Choice
from optimizer.reasons.probe import Answer, ask, cents, cost_of, count_of
from optimizer.reasons.records import LimitPrice
from optimizer.solver import Changes
from optimizer.words import step_words

PERCENT = 0.01
# How many of an aim's objectives settle what a mix costs.
OBJECTIVES = {"cost": 1, "fewest": 2, "usual": 4}


def price_of_limits(choice: Choice) -> tuple[LimitPrice, ...]:
    """The rules that hold the plan where it is and cost something, dearest first."""
    found = [price for price in (*_rows(choice), *_stocks(choice)) if _matters(price)]
    return tuple(sorted(found, key=_weight))


def _rows(choice: Choice) -> Iterator[LimitPrice]:
    problem, values = choice.problem, choice.solution.values
    activity = problem.matrix @ values
    depth = OBJECTIVES[choice.scenario.aim]
    for i, row in enumerate(problem.rows):
        step = PERCENT * abs(problem.whole(i, values))
        place = (row.file, row.line)
        low, high = float(problem.row_lower[i]), float(problem.row_upper[i])
        if row.tier and np.isfinite(low) and activity[i] - low < step:
            tighter = ask(choice, Changes(row_lower={i: low + step}), depth)
            looser = ask(choice, Changes(row_lower={i: low - step}), depth)
            yield _price(choice, row.id, row.label, place, "1 %", tighter, looser)
        if row.tier and np.isfinite(high) and high - activity[i] < step:
            tighter = ask(choice, Changes(row_upper={i: high - step}), depth)
            looser = ask(choice, Changes(row_upper={i: high + step}), depth)
            yield _price(choice, row.id, row.label, place, "1 %", tighter, looser)


def _stocks(choice: Choice) -> Iterator[LimitPrice]:
    """What is on hand of an open item, where all of it is used."""
    problem, values = choice.problem, choice.solution.values
    depth = OBJECTIVES[choice.scenario.aim]
    for j, amount in enumerate(choice.amounts):
        item = amount.item
        open_ = problem.lower[j] < problem.upper[j]
        if item.available is None or not open_ or values[j] < problem.upper[j]:
            continue
        links = [i for i, row in enumerate(problem.rows) if row.id == f"used:{item.id}"]
        more = Changes(upper={j: problem.upper[j] + 1}, row_upper=dict.fromkeys(links, 1.0))
        tighter = ask(choice, Changes(upper={j: problem.upper[j] - 1}), depth)
        looser = ask(choice, more, depth)
        key = "left" if item.is_supplement else "up_to"
        words = f"{item.food.name}: what is on hand"
        place = (choice.scenario.file, item.lines.get(key, 0))
        yield _price(choice, f"stock:{item.id}", words, place, step_words(item), tighter, looser)


def _price(
    choice: Choice, id_: str, words: str, place: tuple[str, int], step: str, tighter: Answer, looser: Answer
) -> LimitPrice:
    cost, count = cost_of(choice.problem, choice.solution.values), count_of(choice.problem, choice.solution.values)
    known = bool(choice.scenario.currency)
    price = LimitPrice(
        id_,
        "",
        *place,
        step,
        cents(tighter.cost - cost) if known and tighter.amounts is not None else None,
        tighter.count - count if tighter.amounts is not None else None,
        cents(looser.cost - cost) if known and looser.amounts is not None else None,
        looser.count - count if looser.amounts is not None else None,
    )
    ends = [_end(choice, price, "tighter"), _end(choice, price, "looser")]
    where = f" (line {price.line_number})" if price.line_number and price.file == choice.scenario.file else ""
    line = f"{words}{where}: {step} tighter {ends[0]}; {step} looser {ends[1]}."
    return LimitPrice(id_, line, *place, step, *(getattr(price, n) for n in _NUMBERS))


_NUMBERS = ("tighter_cost", "tighter_items", "looser_cost", "looser_items")


def _end(choice: Choice, price: LimitPrice, end: str) -> str:
    cost, items = getattr(price, f"{end}_cost"), getattr(price, f"{end}_items")
    if items is None:
        return "is out of reach"
    words = []
    if cost:
        words.append(f"{'costs' if cost > 0 else 'saves'} {abs(cost)} {choice.scenario.currency}")
    if items and choice.scenario.aim == "fewest":
        words.append(f"{'takes' if items > 0 else 'saves'} {abs(items)} {'jar' if abs(items) == 1 else 'jars'}")
    return " and ".join(words) or "changes nothing"


def _matters(price: LimitPrice) -> bool:
    return "costs" in price.line or "saves" in price.line or "out of reach" in price.line or "takes" in price.line


def _weight(price: LimitPrice) -> tuple[bool, float]:
    return price.tighter_items is not None, -float(price.tighter_cost or 0)
