"""A plan that keeps each limit with a stated chance, or all of them at once.

Each limit becomes a cone: its mean room is at least so many standard deviations. How many a chance asks for is taken
from draws of the mix itself, since not everything that varies is normal. What no mix keeps that surely is kept as
surely as can be, the others first.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from statistics import NormalDist

import numpy as np

from catalog.records import Catalog
from optimizer.assess.batch import Amount
from optimizer.model.climb import Drawn, climb
from optimizer.model.cones import Cone, ConeModel
from optimizer.model.deadline import Deadline
from optimizer.model.objectives import Objective, objectives, passed
from optimizer.model.problem import Floats, Problem, Solution
from optimizer.model.solve import Choice, amounts_of
from optimizer.scenario.records import Scenario
from optimizer.scenario.steps import steps_of
from optimizer.sureness.chances import KEPT
from optimizer.sureness.draws import draw, draw_items
from optimizer.sureness.varying import Parts, parts_of, varying

MOST_LEVELS = 7
CLIMBING_DRAWS = 4_000
STEP = 0.6  # of what is left to certainty, from one level to the next
ALL = ("", "")  # what stands for all limits at once
NEAR = 0.02  # of a chance: a mix that is no more than this surer than was asked is cheap enough
MOST_ROUNDS = 6  # of solving and drawing again
SHORT = 1e-6  # of a limit: a cone that is missed by no more than this is kept
SPARE = 1.002  # so many times the deviations that the last draws asked for


@dataclass(frozen=True, slots=True)
class Surely:
    """A choice that is as sure as was asked, but for `unsure`: the limits (id and bound) that nothing on hand keeps so
    surely."""

    choice: Choice
    unsure: tuple[tuple[str, str], ...]


def surely(
    plain: Choice, catalog: Catalog, chance: float, at_once: bool, seconds: float, budget: float | None = None
) -> Surely | None:
    """The best choice that keeps each limit with a chance, from the plain best one; with `at_once` all limits together
    that can be kept so. With `budget` the objective "cost" stays under it. None where time ran out before."""
    search = _Search(plain, catalog, Deadline.within(seconds), budget)
    found = search.at(chance)
    return search.at_once(chance, found) if at_once and found is not None else found


class _Search:
    """Plans of one scenario at several levels of sureness."""

    def __init__(self, plain: Choice, catalog: Catalog, clock: Deadline, budget: float | None) -> None:
        self.plain, self.catalog, self.clock, self.budget = plain, catalog, clock, budget
        self.scenario: Scenario = plain.scenario
        self.width = len(plain.problem.columns)
        self.parts, self.steps = self._probed(plain.amounts)
        self.forms = self.parts.forms
        self.rooms, self.spreads, self.constants = self._linear()

    def _probed(self, amounts: Sequence[Amount]) -> tuple[Parts, dict[int, float]]:
        """What each item adds to the room in the limits that hold for the plain mix, one step of what is not in it; and
        how many steps of each column that is."""
        columns = {c.id: j for j, c in enumerate(self.plain.problem.columns) if c.kind == "amount"}
        probes = [a if a.count > 0 else replace(a, count=steps_of(a.item) / a.item.grams_per_unit) for a in amounts]
        parts = parts_of(self.scenario, self.catalog, probes, amounts)
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

    def at(self, chance: float) -> Surely | None:
        """The best mix that keeps each limit that can be kept so with this chance."""
        asked = np.full(len(self.forms), NormalDist().inv_cdf(chance))
        start = self.plain.solution.values
        unsure: dict[int, float] = {}
        for _ in range(MOST_ROUNDS):
            model = ConeModel(self._problem(), self._cones(asked, unsure), start)
            found = self._solved(model, unsure)
            if found is None:
                return None
            start = found.values[: self.width]
            choice = self._choice(start, found)
            more = self._asked(choice, chance, unsure)
            if not more or self.clock.is_over:
                break
            for k, z in more.items():
                asked[k] = max(asked[k], z) * SPARE
        return Surely(choice, tuple((self.forms[k].id, self.forms[k].bound) for k in unsure))

    def _problem(self) -> Problem:
        return self.plain.problem

    def _cones(self, asked: Floats, unsure: dict[int, float]) -> list[Cone]:
        cones = []
        for k, form in enumerate(self.forms):
            room = {int(j): float(self.rooms[j, k]) for j in np.flatnonzero(self.rooms[:, k])}
            spread = {int(j): float(self.spreads[j, k]) for j in np.flatnonzero(self.spreads[:, k])}
            name = f"{form.bound}:{form.id}:{k}"
            cones.append(Cone(name, f"{form.name} surely", room, spread, unsure.get(k, asked[k]), self.constants[k]))
        return cones

    def _solved(self, model: ConeModel, unsure: dict[int, float]) -> Solution | None:
        """The best mix; what is beyond reach is added to `unsure`, with the most deviations it can have."""
        guards = passed(model.problem)
        if not unsure:
            first = model.solve((*guards, model.shortfall), self.clock.left)
            if not first.found:
                return None
            short = [k for k, j in enumerate(model.shorts) if first.values[j] > SHORT]
            model.close([k for k in range(len(self.forms)) if k not in short])
            if short:
                unsure |= self._surest(model, guards, short, first.values)
        model.close([k for k in range(len(self.forms)) if k not in unsure])
        aim = objectives(self.scenario.aim, model.problem)[len(guards) :]
        found = model.solve((*guards, model.shortfall, *aim), self.clock.left)
        return found if found.found else None

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

    def _choice(self, values: Floats, solution: Solution) -> Choice:
        solution = replace(solution, values=values)
        amounts = tuple(amounts_of(self.scenario, self.plain.problem, solution))
        return replace(self.plain, solution=solution, amounts=amounts)

    def _asked(self, choice: Choice, chance: float, unsure: dict[int, float]) -> dict[int, float]:
        """The limits that the mix keeps less surely than asked, with how many deviations its draws ask for."""
        varied = varying(self.scenario, self.catalog, choice.amounts)
        rooms = draw(varied)
        place = {(form.id, form.bound, form.limit): n for n, form in enumerate(varied.forms)}
        found = {}
        for k, form in enumerate(self.forms):
            n = place.get((form.id, form.bound, form.limit))
            if n is None or k in unsure:
                continue
            own = rooms[:, n]
            if (own >= KEPT).mean() < chance:
                sd = own.std() or 1.0
                found[k] = float((own.mean() - np.quantile(own, 1 - chance, method="lower")) / sd)
        return found

    def at_once(self, chance: float, found: Surely) -> Surely:
        """The least sure of the mixes tried that keeps all limits at once with a chance, those left out that nothing
        keeps so surely even by itself; where none does, the surest tried. Each limit is asked for by the same chance,
        which is raised step by step."""
        out = found.unsure
        tried = [(self._together(found, out), chance, found)]
        for _ in range(MOST_LEVELS):
            enough = [one for one in tried if one[0] >= chance]
            if enough and min(enough, key=lambda one: one[1])[0] <= chance + NEAR:
                break
            level = self._next_level(tried, chance)
            more = self.at(level)
            if more is None:
                break
            tried.append((self._together(more, out), level, more))
        enough = [one for one in tried if one[0] >= chance]
        if enough:
            return replace(min(enough, key=lambda one: one[1])[2], unsure=out)
        surest = self.climbed(max(tried, key=lambda one: one[0])[2], out, chance)
        reached = self._together(surest, out)
        return replace(surest, unsure=out if reached >= chance else (*out, ALL))

    def climbed(self, found: Surely, out: Sequence[tuple[str, str]], enough: float = 1.0) -> Surely:
        """From a mix, by single steps, to one that keeps all limits but those left out more often."""
        problem = self.plain.problem
        moves = draw_items(self.parts, CLIMBING_DRAWS)
        rooms, constant = {}, np.tile(self.constants, (CLIMBING_DRAWS, 1))
        values = found.choice.solution.values
        for (j, steps), room in zip(self.steps.items(), moves, strict=True):
            if problem.lower[j] < problem.upper[j]:
                rooms[j] = room / steps
            else:
                constant += room / steps * values[j]
        count = [k for k, form in enumerate(self.forms) if (form.id, form.bound) not in out]
        values = climb(self.plain.problem, Drawn(rooms, constant, count), values, enough, self.clock, self.budget)
        return replace(found, choice=self._choice(values, found.choice.solution))

    @staticmethod
    def _next_level(tried: Sequence[tuple[float, float, Surely]], chance: float) -> float:
        """Between a level that was enough and the one below it; else a step up, or, once that gets worse, beside the
        best."""
        levels = sorted((level, reached) for reached, level, _ in tried)
        enough = next((n for n, (_, reached) in enumerate(levels) if reached >= chance), None)
        best = max(range(len(levels)), key=lambda n: levels[n][1]) if enough is None else max(0, enough - 1)
        if best + 1 == len(levels):
            return 1 - (1 - levels[best][0]) * STEP
        return 1 - sqrt((1 - levels[best][0]) * (1 - levels[best + 1][0]))

    def _together(self, found: Surely, out: Sequence[tuple[str, str]]) -> float:
        """The chance of all limits at once but those left out."""
        varied = varying(self.scenario, self.catalog, found.choice.amounts)
        kept = draw(varied) >= KEPT
        of = [n for n, form in enumerate(varied.forms) if (form.id, form.bound) not in out]
        return float(kept[:, of].all(axis=1).mean())
