"""From a mix, one step of one item at a time, to a mix that keeps all limits more often.

What a step does to every draw is known beforehand, so most steps are judged without the solver; it is asked only
whether a step that helps keeps every rule.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from optimizer.model.deadline import Deadline
from optimizer.model.objectives import Objective, items, passed
from optimizer.model.problem import Floats
from optimizer.model.solver import Changes, Model
from optimizer.sureness.chances import KEPT

STRIDES = (1, 2, 4)  # steps that are tried at once, either way
GAIN = 5e-4  # of a chance: less is not worth a step
NO_MORE = 1e-6  # guards are passed by no more than this beyond what they were


@dataclass(frozen=True, slots=True)
class Drawn:
    """The room in each limit, a row for each draw: what a step of each open column adds, and what is there without any.
    `count` says which limits count."""

    rooms: dict[int, Floats]
    constant: Floats
    count: Sequence[int]

    def total(self, values: Floats) -> Floats:
        """The room at these values."""
        found = self.constant.copy()
        for j, room in self.rooms.items():
            found += values[j] * room
        return found

    def kept(self, total: Floats) -> float:
        """The share of draws that keep all limits that count."""
        return float((total[:, self.count] >= KEPT).all(axis=1).mean())


def climb(
    model: Model, drawn: Drawn, values: Floats, enough: float, clock: Deadline, most_cost: float | None = None
) -> Floats:
    """The values of a mix that no single step makes surer, or that is sure `enough`. Every rule is kept, no guard is
    passed by more than at first, and with `most_cost` what is open costs no more."""
    total = drawn.total(values)
    best = drawn.kept(total)
    guards = passed(model.problem)
    reached = _reached(model, guards, values, drawn, clock)
    while best < enough and not clock.is_over and reached is not None:
        step = _step(model, drawn, values, total, best, (guards, reached), most_cost, clock)
        if step is None:
            break
        values, total = step
        best = drawn.kept(total)
    return values


def _step(
    model: Model,
    drawn: Drawn,
    values: Floats,
    total: Floats,
    best: float,
    passing: tuple[Sequence[Objective], Sequence[float]],
    most_cost: float | None,
    clock: Deadline,
) -> tuple[Floats, Floats] | None:
    problem = model.problem
    found = []
    for j, room in drawn.rooms.items():
        for by in (sign * stride for stride in STRIDES for sign in (1.0, -1.0)):
            to = values[j] + by
            if not problem.integer[j] or not problem.lower[j] <= to <= problem.upper[j]:
                continue
            if most_cost is not None and problem.worth @ values + by * problem.worth[j] > most_cost:
                continue
            kept = drawn.kept(total + by * room)
            if kept > best + GAIN:
                found.append((-kept, j, by))
    for _, j, by in sorted(found):
        tried = values.copy()
        tried[j] += by
        reached = _reached(model, passing[0], tried, drawn, clock)
        if reached is not None and all(r <= was + NO_MORE for r, was in zip(reached, passing[1], strict=True)):
            return tried, total + by * drawn.rooms[j]
    return None


def _reached(
    model: Model, guards: Sequence[Objective], values: Floats, drawn: Drawn, clock: Deadline
) -> tuple[float, ...] | None:
    """What guards are passed by at these amounts; None where a rule is broken."""
    if clock.is_over:
        return None
    at = {j: float(values[j]) for j in drawn.rooms}
    solution = model.solve((*guards, items(model.problem)), clock.left, Changes(lower=at, upper=at))
    return solution.objectives[: len(guards)] if solution.found else None
