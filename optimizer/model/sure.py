"""A plan that keeps each limit with a stated chance, or all of them at once; and the surest plan.

All at once is a search, not a proof: levels of each limit (`levels`), then single steps (`climb`).
"""

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt
from statistics import NormalDist

import numpy as np

from catalog.records import Catalog
from optimizer.model.climb import Drawn, climb, trim
from optimizer.model.cones import Cone
from optimizer.model.deadline import Deadline
from optimizer.model.levels import Levels, Surely
from optimizer.model.problem import Problem
from optimizer.model.solve import Choice
from optimizer.sureness.chances import KEPT
from optimizer.sureness.draws import draw_items
from optimizer.sureness.forms import Form

STARTS = (0.7, 0.85, 0.93, 0.97, 0.99, 0.999)  # levels of each limit, of which the surest mix starts
MOST_LEVELS = 7
CLIMBING_DRAWS = 4_000
SPARE_CHANCE = 0.01  # by which so few draws may be off
STEP = 0.6  # of what is left to certainty, from one level to the next
ALL = ("", "")  # what stands for all limits at once


def surely(plain: Choice, catalog: Catalog, chance: float, at_once: bool, deadline: Deadline) -> Surely | None:
    """The best choice that keeps each limit with a chance, from the plain best one; with `at_once` all limits together
    that can be kept so. None where time ran out before."""
    levels = Levels(plain, catalog, deadline)
    found = levels.at(chance)
    return AllAtOnce(levels, found.unsure).at(chance, found) if at_once and found is not None else found


def surest(plain: Choice, catalog: Catalog, extra_cost: float | None, deadline: Deadline) -> Surely:
    """The surest choice found to keep all limits at once, that costs at most so much more than the plain one: the best
    of a few levels of sureness, then step by step to one that no single step makes surer."""
    levels = Levels(plain, catalog, deadline, extra_cost)
    search = AllAtOnce(levels, ())
    tried = [Surely(plain, ())]
    for level in STARTS:
        found = None if deadline.is_over else levels.at(level)
        if found is not None:
            tried.append(found)
    best = max(tried, key=search.together)
    return replace(search.climbed(best), unsure=())


def cones_of(plain: Choice, catalog: Catalog, chance: float) -> tuple[Problem, list[Cone]]:
    """The plain problem, and the cones that hold each limit with a chance, as if all that varies were normal."""
    levels = Levels(plain, catalog, Deadline.within(0.0))
    return levels.problem, levels.cones(np.full(len(levels.forms), NormalDist().inv_cdf(chance)))


class AllAtOnce:
    """A search for a mix that keeps all limits at once with a chance, but for those in `out` (id and bound), which
    nothing on hand keeps so surely by itself."""

    def __init__(self, levels: Levels, out: Sequence[tuple[str, str]]) -> None:
        self.levels, self.out = levels, tuple(out)

    def at(self, chance: float, found: Surely) -> Surely:
        """A mix that keeps them with this chance, from one that keeps each; where none is found, the surest. Each limit
        is asked for by the same chance, which is raised step by step; then single steps make the mix surer, or cheaper
        where it is surer than was asked."""
        low = level = chance
        tried = [(self.together(found), found)]
        while tried[-1][0] < chance and len(tried) < MOST_LEVELS:
            low, level = level, 1 - (1 - level) * STEP
            more = self.levels.at(level)
            if more is None or (len(tried) > 2 and tried[-1][0] < tried[-2][0]):
                break
            tried.append((self.together(more), more))
        reached, best = max(tried, key=lambda one: one[0])
        if reached < chance:
            best = self.climbed(best, chance + SPARE_CHANCE)
            if self.together(best) < chance:
                return replace(best, unsure=(*self.out, ALL))
        elif low < level:
            best = self._between(low, level, chance) or best
        cheaper = self.trimmed(best, chance)
        return replace(cheaper if self.together(cheaper) >= chance else best, unsure=self.out)

    def _between(self, low: float, high: float, chance: float) -> Surely | None:
        """The mix of the lowest level that is sure enough, of two tried between one that is not and one that is."""
        best = None
        for _ in range(2):
            middle = 1 - sqrt((1 - low) * (1 - high))
            tried = self.levels.at(middle)
            if tried is not None and self.together(tried) >= chance:
                best, high = tried, middle
            else:
                low = middle
        return best

    def together(self, found: Surely) -> float:
        """The chance of all limits at once but those left out."""
        varied, rooms = self.levels.draws(found.choice)
        return float((rooms[:, self._counted(varied.forms)] >= KEPT).all(axis=1).mean())

    def _counted(self, forms: Sequence[Form]) -> list[int]:
        return [k for k, form in enumerate(forms) if (form.id, form.bound) not in self.out]

    def climbed(self, found: Surely, enough: float = 1.0) -> Surely:
        """From a mix, by single steps, to one that keeps all limits but those left out more often."""
        drawn, values = self._drawn(found), found.choice.solution.values
        values = climb(self.levels.problem, drawn, values, enough, self.levels.clock)
        return replace(found, choice=self.levels.choice(values, found.choice.solution), sureness=None)

    def trimmed(self, found: Surely, enough: float) -> Surely:
        """From a mix, by single steps, to a cheaper one that is still sure enough of all limits but those left out."""
        drawn, values = self._drawn(found), found.choice.solution.values
        values = trim(self.levels.problem, drawn, values, enough + SPARE_CHANCE, self.levels.clock)
        return replace(found, choice=self.levels.choice(values, found.choice.solution), sureness=None)

    def _drawn(self, found: Surely) -> Drawn:
        moves = draw_items(self.levels.parts, CLIMBING_DRAWS)
        rooms, constant = {}, np.tile(self.levels.constants, (CLIMBING_DRAWS, 1))
        for (j, steps), room in zip(self.levels.steps.items(), moves, strict=True):
            if self.levels.problem.lower[j] < self.levels.problem.upper[j]:
                rooms[j] = room / steps
            else:
                constant += room / steps * found.choice.solution.values[j]
        return Drawn(rooms, constant, self._counted(self.levels.forms))
