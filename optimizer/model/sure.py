"""A plan that keeps each limit with a stated chance, or all of them at once.

Each limit becomes a cone: its mean room is at least so many standard deviations. How many a chance asks for is taken
from draws of the mix itself, since not everything that varies is normal. What no mix keeps that surely is kept as
surely as can be, the others first.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt
from statistics import NormalDist

import numpy as np

from catalog.records import Catalog
from optimizer.assess.batch import Amount
from optimizer.model.climb import Drawn, climb, trim
from optimizer.model.cones import Cone, ConeModel
from optimizer.model.deadline import Deadline
from optimizer.model.kinds import Kind, Tier
from optimizer.model.objectives import Objective, objectives, passed
from optimizer.model.problem import Floats, NewRow, Problem, Row, Solution
from optimizer.model.solve import Choice, amounts_of
from optimizer.scenario.records import Scenario
from optimizer.scenario.steps import steps_of
from optimizer.sureness.chances import KEPT, Sureness, counted_in
from optimizer.sureness.draws import draw, draw_items
from optimizer.sureness.varying import Parts, Varying, parts_of, varying

LEVELS = (0.7, 0.85, 0.93, 0.97)  # of each limit, of which the surest mix starts
MOST_LEVELS = 7
CLIMBING_DRAWS = 4_000
ROUGH_DRAWS = 2_000  # of the plain mix, from which the deviations that are asked for are first read
SPARE_CHANCE = 0.01  # by which so few draws may be off
STEP = 0.6  # of what is left to certainty, from one level to the next
ALL = ("", "")  # what stands for all limits at once
MOST_ROUNDS = 6  # of solving and drawing again
SHORT = 1e-6  # of a limit: a cone that is missed by no more than this is kept
SPARE = 1.002  # so many times the deviations that the last draws asked for


@dataclass(frozen=True, slots=True)
class Surely:
    """A choice that is as sure as was asked, but for `unsure`: the limits (id and bound) that nothing on hand keeps so
    surely. `sureness` is what it was found to be, where that is known."""

    choice: Choice
    unsure: tuple[tuple[str, str], ...]
    sureness: Sureness | None = None


def surely(plain: Choice, catalog: Catalog, chance: float, at_once: bool, deadline: Deadline) -> Surely | None:
    """The best choice that keeps each limit with a chance, from the plain best one; with `at_once` all limits together
    that can be kept so. None where time ran out before."""
    search = _Search(plain, catalog, deadline)
    found = search.at(chance)
    return search.at_once(chance, found) if at_once and found is not None else found


def surest(plain: Choice, catalog: Catalog, extra_cost: float | None, deadline: Deadline) -> Surely:
    """The surest choice found to keep all limits at once, that costs at most so much more than the plain one: the best
    of a few levels of sureness, then step by step to one that no single step makes surer."""
    search = _Search(plain, catalog, deadline, extra_cost)
    tried = [Surely(plain, ())]
    for level in LEVELS:
        found = None if deadline.is_over else search.at(level)
        if found is not None:
            tried.append(found)
    best = max(tried, key=lambda one: search.together(one, ()))
    return replace(search.climbed(best, ()), unsure=())


def cones_of(plain: Choice, catalog: Catalog, chance: float) -> tuple[Problem, list[Cone]]:
    """The plain problem, and the cones that hold each limit with a chance, as if all that varies were normal."""
    search = _Search(plain, catalog, Deadline.within(0.0))
    return search.problem, search.cones(np.full(len(search.forms), NormalDist().inv_cdf(chance)), {})


class _Search:
    """Plans of one scenario at several levels of sureness."""

    def __init__(self, plain: Choice, catalog: Catalog, clock: Deadline, extra_cost: float | None = None) -> None:
        self.plain, self.catalog, self.clock = plain, catalog, clock
        self.problem = plain.problem if extra_cost is None else _at_most(plain, extra_cost)
        self.scenario: Scenario = plain.scenario
        self.width = len(plain.problem.columns)
        self.parts, self.steps = self._probed(plain.amounts)
        self.forms = self.parts.forms
        self.rooms, self.spreads, self.constants = self._linear()

    def _probed(self, amounts: Sequence[Amount]) -> tuple[Parts, dict[int, float]]:
        """What each item adds to the room in the limits that hold for the plain mix, one step of what is not in it; and
        how many steps of each column that is."""
        columns = self.plain.problem.places(Kind.AMOUNT)
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

    @cached_property
    def plain_rooms(self) -> Floats:
        """Draws of the room in each limit, of the plain mix."""
        return draw(varying(self.scenario, self.catalog, self.plain.amounts), ROUGH_DRAWS)

    def at(self, chance: float) -> Surely | None:
        """The best mix that keeps each limit that can be kept so with this chance."""
        asked = np.array([NormalDist().inv_cdf(chance)] * len(self.forms))
        for k, z in self._deviations_asked(self.plain_rooms, chance, range(len(self.forms))).items():
            asked[k] = z
        model = ConeModel(self.problem, self.cones(asked, {}), self.plain.solution.values)
        unsure: dict[int, float] = {}
        for rounds in range(MOST_ROUNDS):
            try:
                found = self._solved(model, unsure)
            except RuntimeError:  # the solver gives up on cones that are scaled badly: the plain plan stands
                return None
            if found is None:
                return None
            choice = self._choice(found.values[: self.width], found)
            varied, rooms = self._draws(choice)
            place = {(form.id, form.bound, form.limit): n for n, form in enumerate(varied.forms)}
            of = {k: n for k, f in enumerate(self.forms) if (n := place.get((f.id, f.bound, f.limit))) is not None}
            short = [k for k, n in of.items() if k not in unsure and (rooms[:, n] >= KEPT).mean() < chance]
            if not short:
                break
            more = self._deviations_asked(rooms[:, list(of.values())], chance, list(of))
            for k in short:
                asked[k] = max(asked[k], more[k]) * SPARE
                model.hold(k, asked[k])
            if self.clock.is_over or rounds == MOST_ROUNDS - 1:
                unsure |= dict.fromkeys(short, 0.0)
                break
        named = tuple((self.forms[k].id, self.forms[k].bound) for k in unsure)
        return Surely(choice, named, counted_in(varied, rooms))

    def _draws(self, choice: Choice) -> tuple[Varying, Floats]:
        varied = varying(self.scenario, self.catalog, choice.amounts)
        return varied, draw(varied)

    @staticmethod
    def _deviations_asked(rooms: Floats, chance: float, of: Sequence[int]) -> dict[int, float]:
        """How many deviations each limit has to be away to be kept with a chance, by these draws of its room; limits
        that do not vary ask for none."""
        sizes, means = rooms.std(axis=0), rooms.mean(axis=0)
        worst = np.quantile(rooms, 1 - chance, axis=0, method="lower")
        return {k: float((means[n] - worst[n]) / sizes[n]) for n, k in enumerate(of) if sizes[n] > 0}

    def cones(self, asked: Floats, unsure: dict[int, float]) -> list[Cone]:
        """A cone for each limit: so many deviations as are asked for, or can be had."""
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
        aim = objectives(self.scenario.aim, model.problem)[len(guards) :]
        every = range(len(self.forms))
        if not unsure:
            model.close(every)
            found = model.solve((*guards, *aim), self.clock.left)
            if found.found and self._no_guard_further(guards, found.objectives):
                return found
            model.open(every)
            first = model.solve((*guards, model.shortfall), self.clock.left)
            if not first.found:
                return None
            short = [k for k, j in enumerate(model.shorts) if first.values[j] > SHORT]
            model.close([k for k in every if k not in short])
            if short:
                unsure |= self._surest(model, guards, short, first.values)
        found = model.solve((*guards, model.shortfall, *aim), self.clock.left)
        return found if found.found else None

    def _no_guard_further(self, guards: Sequence[Objective], found: Sequence[float]) -> bool:
        """Whether guards are passed by no more than by the plain mix, which passes them by as little as can be."""
        plain = self.plain.solution.values[: self.width]
        return all(
            now <= float(guard.weights[: self.width] @ plain) + SHORT for guard, now in zip(guards, found, strict=False)
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

    def _choice(self, values: Floats, solution: Solution) -> Choice:
        solution = replace(solution, values=values)
        amounts = tuple(amounts_of(self.scenario, self.plain.problem, solution))
        return replace(self.plain, solution=solution, amounts=amounts)

    def at_once(self, chance: float, found: Surely) -> Surely:
        """A mix that keeps all limits at once with a chance, those left out that nothing keeps so surely by itself;
        where none is found, the surest. Each limit is asked for by the same chance, which is raised step by step; then
        single steps make the mix surer, or cheaper where it is surer than was asked."""
        out, low, level = found.unsure, chance, chance
        tried = [(self.together(found, out), found)]
        while tried[-1][0] < chance and len(tried) < MOST_LEVELS:
            low, level = level, 1 - (1 - level) * STEP
            more = self.at(level)
            if more is None or (len(tried) > 2 and tried[-1][0] < tried[-2][0]):
                break
            tried.append((self.together(more, out), more))
        reached, best = max(tried, key=lambda one: one[0])
        if reached < chance:
            best = self.climbed(best, out, chance + SPARE_CHANCE)
            if self.together(best, out) < chance:
                return replace(best, unsure=(*out, ALL))
        elif low < level:
            best = self._between(low, level, chance, out) or best
        cheaper = self.trimmed(best, out, chance)
        return replace(cheaper if self.together(cheaper, out) >= chance else best, unsure=out)

    def _between(self, low: float, high: float, chance: float, out: Sequence[tuple[str, str]]) -> Surely | None:
        """The mix of the lowest level that is sure enough, of two tried between one that is not and one that is."""
        best = None
        for _ in range(2):
            middle = 1 - sqrt((1 - low) * (1 - high))
            tried = self.at(middle)
            if tried is not None and self.together(tried, out) >= chance:
                best, high = tried, middle
            else:
                low = middle
        return best

    def together(self, found: Surely, out: Sequence[tuple[str, str]]) -> float:
        """The chance of all limits at once but those left out."""
        varied = varying(self.scenario, self.catalog, found.choice.amounts)
        kept = draw(varied) >= KEPT
        of = [n for n, form in enumerate(varied.forms) if (form.id, form.bound) not in out]
        return float(kept[:, of].all(axis=1).mean())

    def climbed(self, found: Surely, out: Sequence[tuple[str, str]], enough: float = 1.0) -> Surely:
        """From a mix, by single steps, to one that keeps all limits but those left out more often."""
        drawn, values = self._drawn(found, out), found.choice.solution.values
        values = climb(self.problem, drawn, values, enough, self.clock)
        return replace(found, choice=self._choice(values, found.choice.solution), sureness=None)

    def trimmed(self, found: Surely, out: Sequence[tuple[str, str]], enough: float) -> Surely:
        """From a mix, by single steps, to a cheaper one that is still sure enough of all limits but those left out."""
        drawn, values = self._drawn(found, out), found.choice.solution.values
        values = trim(self.problem, drawn, values, enough + SPARE_CHANCE, self.clock)
        return replace(found, choice=self._choice(values, found.choice.solution), sureness=None)

    def _drawn(self, found: Surely, out: Sequence[tuple[str, str]]) -> Drawn:
        moves = draw_items(self.parts, CLIMBING_DRAWS)
        rooms, constant = {}, np.tile(self.constants, (CLIMBING_DRAWS, 1))
        for (j, steps), room in zip(self.steps.items(), moves, strict=True):
            if self.problem.lower[j] < self.problem.upper[j]:
                rooms[j] = room / steps
            else:
                constant += room / steps * found.choice.solution.values[j]
        return Drawn(rooms, constant, [k for k, f in enumerate(self.forms) if (f.id, f.bound) not in out])


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
