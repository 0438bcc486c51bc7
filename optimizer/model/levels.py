"""The best mix that keeps each limit with a stated chance.

Each limit becomes a cone: its mean room is at least so many standard deviations. How many a chance asks for is taken
from draws of the mix itself, since not everything that varies is normal. What no mix keeps that surely is kept as
surely as can be, the others first.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from statistics import NormalDist

import numpy as np

from catalog.records import Catalog, Limit
from optimizer.assess.batch import Amount
from optimizer.model.climb import NO_MORE
from optimizer.model.cones import Cone, ConeModel
from optimizer.model.deadline import Deadline
from optimizer.model.kinds import Kind, Tier
from optimizer.model.objectives import Objective, objectives, passed
from optimizer.model.problem import Floats, NewRow, Problem, Row, Solution
from optimizer.model.solve import Choice, amounts_of
from optimizer.scenario.records import Scenario
from optimizer.scenario.steps import steps_of
from optimizer.sureness.chances import KEPT, Sureness, counted_in
from optimizer.sureness.draws import DRAWS, draw
from optimizer.sureness.forms import Form
from optimizer.sureness.varying import Parts, Varying, parts_of, varying

ROUGH_DRAWS = 2_000  # of the plain mix, from which the deviations that are asked for are first read
MOST_ROUNDS = 6  # of solving and drawing again
SHORT = 1e-6  # of a limit: a cone that is missed by no more than this is kept
SPARE = 1.002  # so many times the deviations that the last draws asked for


@dataclass(frozen=True, slots=True)
class Surely:
    """A choice that is as sure as was asked, but for `unsure`: the limits (id and bound) that nothing on hand keeps so
    surely, or that time ran out over. `sureness` is what it was found to be, where that is known."""

    choice: Choice
    unsure: tuple[tuple[str, str], ...]
    sureness: Sureness | None = None


class Levels:
    """Plans of one scenario at several levels of sureness, from its plain plan; where `extra_cost` is given, they cost
    at most so much more than that."""

    def __init__(self, plain: Choice, catalog: Catalog, clock: Deadline, extra_cost: float | None = None) -> None:
        self.plain, self.catalog, self.clock = plain, catalog, clock
        self.problem = plain.problem if extra_cost is None else _at_most(plain, extra_cost)
        self.scenario: Scenario = plain.scenario
        self.width = len(plain.problem.columns)
        self._take(frozenset())

    def _take(self, brought_in: frozenset[Limit]) -> None:
        """Ask for the limits that hold for the plain mix, and for these, which some mix brought in: from then on they
        are asked for of every mix."""
        self.brought_in = brought_in
        self.parts, self.steps = self._probed(self.plain.amounts)
        self.forms = self.parts.forms
        self.rooms, self.spreads, self.constants = self._linear()

    def _probed(self, amounts: Sequence[Amount]) -> tuple[Parts, dict[int, float]]:
        """What each item adds to the room in the limits that are asked for, one step of what is not in the plain mix;
        and how many steps of each column that is."""
        columns = self.plain.problem.places(Kind.AMOUNT)
        amounts = sorted(amounts, key=lambda amount: amount.item.id)
        probes = [a if a.count > 0 else replace(a, count=steps_of(a.item) / a.item.grams_per_unit) for a in amounts]
        parts = parts_of(self.scenario, self.catalog, probes, amounts, self.brought_in)
        steps = {columns[a.item.id]: a.grams / self.plain.problem.columns[columns[a.item.id]].grams for a in probes}
        return parts, steps

    def _linear(self) -> tuple[Floats, Floats, Floats]:
        """What a step of each column adds to the room in each limit and to its deviation, and what is there without
        any, as shares of the limit."""
        shape, scale = (self.width, len(self.forms)), self.parts.scale
        rooms, spreads = np.zeros(shape), np.zeros(shape)
        for (j, steps), item in zip(self.steps.items(), self.parts.items, strict=True):
            rooms[j] = item.room / scale / steps
            spreads[j] = item.deviation / scale / steps
        return rooms, spreads, np.array([form.constant for form in self.forms]) / scale

    @cached_property
    def _plain_draws(self) -> tuple[Varying, Floats]:
        return self.draws(self.plain, ROUGH_DRAWS)

    def _first_asked(self, chance: float) -> Floats:
        """How many deviations each limit is asked for at first: as the plain mix has it, of others the normal ones."""
        varied, rooms = self._plain_draws
        place = {_name(form): z for form, z in zip(varied.forms, _deviations(rooms, chance), strict=True)}
        return np.array([place.get(_name(form), NormalDist().inv_cdf(chance)) for form in self.forms])

    def at(self, chance: float) -> Surely | None:
        """The best mix that keeps each limit that can be kept so with this chance. A limit that holds for that mix and
        not for the plain one (raw egg white asks for biotin) is asked for too."""
        every = range(len(self.forms))
        asked = self.cones(self._first_asked(chance))
        model = ConeModel(self.problem, asked, self.plain.solution.values)
        unsure: dict[int, float] = {}
        for _ in range(MOST_ROUNDS):
            found = self._solved(model, unsure)
            if found is None:
                return None
            choice = self.choice(found.values[: self.width], found)
            varied, rooms = self.draws(choice)
            place = {_name(form): n for n, form in enumerate(varied.forms)}
            of = {k: place[name] for k in every if (name := _name(self.forms[k])) in place}
            chances, more = (rooms >= KEPT).mean(axis=0), _deviations(rooms, chance)
            low = [n for n, kept in enumerate(chances) if kept < chance]
            new = frozenset(varied.forms[n].limit for n in low) - {form.limit for form in self.forms}
            missed = {k: n for k, n in of.items() if n in low and k not in unsure}
            if self.clock.is_over or not (missed or new):
                break
            if new:
                self._take(self.brought_in | new)
                return self.at(chance)
            for k, n in missed.items():
                model.hold(k, max(model.cones[k].z, more[n]) * SPARE)
        named = tuple((varied.forms[n].id, varied.forms[n].bound) for n in low)
        return Surely(choice, named, counted_in(varied, rooms))

    def draws(self, choice: Choice, draws: int = DRAWS) -> tuple[Varying, Floats]:
        """What varies in a mix, and draws of its room in each limit."""
        varied = varying(self.scenario, self.catalog, choice.amounts)
        return varied, draw(varied, draws)

    def cones(self, asked: Floats) -> list[Cone]:
        """A cone for each limit, of so many deviations."""
        cones = []
        for k, form in enumerate(self.forms):
            room = {int(j): float(self.rooms[j, k]) for j in np.flatnonzero(self.rooms[:, k])}
            spread = {int(j): float(self.spreads[j, k]) for j in np.flatnonzero(self.spreads[:, k])}
            name = f"{form.bound}:{form.id}:{k}"
            cones.append(Cone(name, f"{form.name} surely", room, spread, float(asked[k]), self.constants[k]))
        return cones

    def _solved(self, model: ConeModel, unsure: dict[int, float]) -> Solution | None:
        """The best mix; what is beyond reach is added to `unsure`, with the most deviations it can have."""
        guards = passed(model.problem)
        aim = objectives(self.scenario.aim, model.problem)[len(guards) :]
        every = range(len(self.forms))
        if not unsure:
            model.close(every)
        found = model.solve((*guards, *([model.shortfall] if unsure else []), *aim), self.clock.left)
        if found.found and (unsure or self._no_guard_further(guards, found.objectives)):
            return found
        model.open(every)
        first = model.solve((*guards, model.shortfall), self.clock.left)
        if not first.found:
            return None
        short = [k for k, j in enumerate(model.shorts) if first.values[j] > SHORT]
        model.close([k for k in every if k not in short and k not in unsure])
        if short:
            unsure |= self._surest(model, guards, short, first.values)
        found = model.solve((*guards, model.shortfall, *aim), self.clock.left)
        return found if found.found else None

    def _no_guard_further(self, guards: Sequence[Objective], found: Sequence[float]) -> bool:
        """Whether guards are passed by no more than by the plain mix, which passes them by as little as can be."""
        plain = self.plain.solution.values[: self.width]
        return all(
            now <= float(guard.weights[: self.width] @ plain) + NO_MORE
            for guard, now in zip(guards, found, strict=False)
        )

    def _surest(
        self, model: ConeModel, guards: Sequence[Objective], short: Sequence[int], values: Floats
    ) -> dict[int, float]:
        """The most deviations that the limits in `short` can have, all others kept (Dinkelbach's method)."""
        reached = {k: self._deviations_at(model.cones[k], values) for k in short}
        for _ in range(3):
            weights = np.zeros(len(model.problem.columns))
            for k in short:
                size = model.cones[k].deviation(values) or 1.0
                for j, room in model.cones[k].room.items():
                    weights[j] -= room / size
                weights[model.deviations[k]] += reached[k] / size
                model.hold(k, reached[k])
            found = model.solve((*guards, model.shortfall, Objective("surest", weights)), self.clock.left)
            if not found.found:
                break
            values = found.values
            better = {k: self._deviations_at(model.cones[k], values) for k in short}
            done = all(better[k] - reached[k] < 1e-3 for k in short)
            reached = {k: max(reached[k], better[k]) for k in short} if len(short) == 1 else better
            if done:
                break
        for k in short:
            model.hold(k, reached[k])
        return reached

    @staticmethod
    def _deviations_at(cone: Cone, values: Floats) -> float:
        deviation = cone.deviation(values)
        return max(0.0, cone.room_at(values) / deviation) if deviation > 0 else 0.0

    def choice(self, values: Floats, solution: Solution) -> Choice:
        """The plain choice with these values of the columns in place of its own."""
        solution = replace(solution, values=values)
        amounts = tuple(amounts_of(self.scenario, self.plain.problem, solution))
        return replace(self.plain, solution=solution, amounts=amounts)


def _name(form: Form) -> tuple[str, str, Limit]:
    return form.id, form.bound, form.limit


def _deviations(rooms: Floats, chance: float) -> Floats:
    """How many deviations from nothing each limit has to be to be kept with a chance, by these draws of its room; those
    of the normal distribution where the room does not vary."""
    sizes = rooms.std(axis=0)
    worst = np.quantile(rooms, 1 - chance, axis=0, method="lower")
    found: Floats = (rooms.mean(axis=0) - worst) / np.where(sizes > 0, sizes, 1.0)
    return np.where(sizes > 0, found, NormalDist().inv_cdf(chance))


def _at_most(plain: Choice, extra_cost: float) -> Problem:
    """The problem in which what is open costs at most so much more than in the plain mix, counted as the aim `cost`
    counts it, and at the prices that are known."""
    values = plain.solution.values[: len(plain.problem.columns)]
    rows = []
    for name, each in (("worth", plain.problem.worth), ("price", plain.problem.price)):
        terms = {int(j): float(each[j]) for j in np.flatnonzero(each)}
        if terms:
            rows.append(
                NewRow(Row(f"extra:{name}", Tier.NEVER, "extra cost"), terms, upper=float(each @ values) + extra_cost)
            )
    return plain.problem.extended(rows=rows)
