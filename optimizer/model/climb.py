"""From a mix, one step of one item at a time, to a mix that keeps all limits more often.

What a step does to every draw is known beforehand, so most steps are judged without the solver; it is asked only
whether a step that helps keeps every rule.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optimizer.model.deadline import Deadline
from optimizer.model.kinds import Kind
from optimizer.model.objectives import items, passed
from optimizer.model.problem import Floats, Problem
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


def climb(problem: Problem, drawn: Drawn, values: Floats, enough: float, clock: Deadline) -> Floats:
    """The values of a mix that no single step makes surer, or that is sure `enough`. Every rule is kept, and no guard
    is passed by more than at first."""
    rules = Rules(problem, values, clock)
    total = drawn.total(values)
    while drawn.kept(total) < enough and not clock.is_over:
        best = drawn.kept(total)
        steps = [(drawn.kept(total + by * drawn.rooms[j]), j, by) for j, by in _steps(problem, drawn, values)]
        step = _first(rules, values, sorted((-kept, j, by) for kept, j, by in steps if kept > best + GAIN))
        if step is None:
            break
        values, total = _taken(drawn, values, total, step)
    return values


def trim(problem: Problem, drawn: Drawn, values: Floats, enough: float, clock: Deadline) -> Floats:
    """The values of a mix that is still sure `enough`, and that no single step makes cheaper; rules as in `climb`."""
    rules = Rules(problem, values, clock)
    total = drawn.total(values)
    while not clock.is_over:
        steps = []
        for j, by in _steps(problem, drawn, values):
            saved = -by * float(problem.worth[j])
            if saved > 0 and drawn.kept(total + by * drawn.rooms[j]) >= enough:
                lost = max(0.0, drawn.kept(total) - drawn.kept(total + by * drawn.rooms[j]))
                steps.append((-saved / (lost + GAIN), j, by))
        step = _first(rules, values, sorted(steps))
        if step is None:
            break
        values, total = _taken(drawn, values, total, step)
    return values


Step = tuple[int, float]  # a column, and by how many steps


def _steps(problem: Problem, drawn: Drawn, values: Floats) -> Iterator[Step]:
    """Every step that the columns' bounds leave."""
    for j in drawn.rooms:
        for by in (sign * stride for stride in STRIDES for sign in (1.0, -1.0)):
            if problem.integer[j] and problem.lower[j] <= values[j] + by <= problem.upper[j]:
                yield j, by


def _first(rules: "Rules", values: Floats, steps: Sequence[tuple[float, int, float]]) -> Step | None:
    """The first of the steps, best first, that keeps every rule."""
    for _, j, by in steps:
        tried = values.copy()
        tried[j] += by
        if rules.kept_by(tried):
            return j, by
    return None


def _taken(drawn: Drawn, values: Floats, total: Floats, step: Step) -> tuple[Floats, Floats]:
    j, by = step
    values = values.copy()
    values[j] += by
    return values, total + by * drawn.rooms[j]


class Rules:
    """Whether amounts keep every rule of a problem, and pass no guard by more than a first mix does."""

    def __init__(self, problem: Problem, values: Floats, clock: Deadline) -> None:
        self.problem, self._clock, self._model = problem, clock, Model(problem)
        self._amounts = list(problem.places(Kind.AMOUNT).values())
        self._guards = passed(problem)
        self._most = self._passed_by(values)

    def kept_by(self, values: Floats) -> bool:
        """Whether these values of the amounts do."""
        found = self._passed_by(values)
        if found is None or self._most is None:
            return False
        return all(now <= most + NO_MORE for now, most in zip(found, self._most, strict=True))

    def _passed_by(self, values: Floats) -> tuple[float, ...] | None:
        """What guards are passed by at these amounts; None where a rule is broken, or time is over."""
        if self._clock.is_over:
            return None
        at = {j: float(values[j]) for j in self._amounts}
        wanted = (*self._guards, items(self.problem))
        solution = self._model.solve(wanted, self._clock.left, Changes(lower=at, upper=at))
        return solution.objectives[: len(self._guards)] if solution.found else None
