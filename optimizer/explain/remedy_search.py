"""Looking for changes that make a mix possible: what to get, what to use less of, each planned before it is told."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from catalog.records import Catalog
from catalog.units.quantities import Quantity, read_quantity
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.assess.result import Assessment
from optimizer.explain.probe import SECONDS_A_PLAN, replanned
from optimizer.model.build import build
from optimizer.model.deadline import Deadline
from optimizer.model.kinds import PASSED, Kind, Tier
from optimizer.model.objectives import Objective, passed
from optimizer.model.problem import Column, Floats, NewColumn, NewRow, Problem, Row
from optimizer.model.solver import Changes, Model
from optimizer.scenario.items import DEFAULT_CUT_STEPS, food_item, jar_item
from optimizer.scenario.records import Item, Scenario
from optimizer.scenario.steps import steps_of
from optimizer.sheet.amount_words import amount_words

MOST_OF_THE_MEAT = Fraction(3, 4)
LEAST_LEFT = Fraction(1, 4)  # who would use less than this of something leaves it out
MOST_THINGS = 8  # to get or to use less of, in one remedy: who would do more
LEAST_OF_A_FOOD = 20.0  # grams: nobody buys less
MOST_PIECES_PER_KG = 4  # of a jar that is to be got: common practice, no source


@dataclass(frozen=True, slots=True)
class RemedyMix:
    """A mix that is possible: what has to be got for it, what less of (the amount that still goes in, with the one that
    was to, in words), and the words to type."""

    get: tuple[Amount, ...]
    less: tuple[tuple[Amount, str], ...]
    options: tuple[str, ...]


class RemedySearch:
    """Looks for changes that make a mix possible: some of `added` to get; where `opened`, also less of the meat.

    Among equally few changes, fewer of the `second_best` among what is added are preferred; `options` are the solver's.
    No guard and no common share is passed that the mix `before` kept.
    """

    def __init__(
        self,
        scenario: Scenario,
        catalog: Catalog,
        added: Sequence[Item],
        opened: bool,
        before: Assessment,
        deadline: Deadline,
        second_best: Collection[str] = (),
        options: Mapping[str, float | bool] | None = None,
        most_things: int = MOST_THINGS,
    ) -> None:
        items = [_opened(item) if opened else item for item in scenario.items]
        self.before, self.added, self.catalog, self._deadline = scenario, tuple(added), catalog, deadline
        self._passed = _passed(before)
        extended = replace(scenario, meat_at_least_grams=_least_meat(scenario), items=(*items, *added))
        self._items = {item.id: item for item in extended.items}
        self._reduced = {now.id for now, was in zip(items, scenario.items, strict=True) if now.fixed != was.fixed}
        self.problem = self._closed(self._with_marks(build(extended, catalog), most_things))
        ids = {c.id for c in self.problem.columns if c.kind == Kind.LESS} | {item.id for item in added}
        self.marks = [
            j for j, c in enumerate(self.problem.columns) if c.kind in (Kind.LESS, Kind.GOT, Kind.USED) and c.id in ids
        ]
        self._second_best = [j for j in self.marks if self.problem.columns[j].id in second_best]
        self._model = Model(self.problem, options)
        self._tried: list[tuple[Objective, float]] = []
        self._grams: dict[str, Fraction] = {}
        self.proven = False  # whether what was found last has the fewest changes

    def objectives(self) -> list[Objective]:
        """Few changes, then little of what is added, what is left out as a whole last."""
        added = {item.id for item in self.added}
        mass = self.problem.mass * [c.id in added and c.kind == Kind.AMOUNT for c in self.problem.columns]
        second_best = [Objective("second best", _weights(self.problem, self._second_best))] if self._second_best else []
        few = Objective("changes", _weights(self.problem, self.marks), settles=True)
        kept = self.problem.mass * [c.kind == Kind.AMOUNT and c.id in self._reduced for c in self.problem.columns]
        left = [Objective("left", -kept)] if self._reduced else []
        return [few, *second_best, *passed(self.problem), *left, Objective("mass", mass)]

    def fewest(self, seconds: float = SECONDS_A_PLAN) -> frozenset[str]:
        """What is changed in a mix of the fewest changes, by its ids; nothing where no such mix is found."""
        solution = self._model.solve(
            self.objectives(), self._deadline.at_most(seconds), Changes(held=tuple(self._tried))
        )
        self.proven = solution.found and solution.objectives[0] * solution.gap < 0.5  # changes are whole
        return self.changed(solution.values) if solution.found else frozenset()

    def changed(self, values: Floats) -> frozenset[str]:
        """What is changed at these values of the problem's columns, by its ids; how much of each is kept in mind."""
        self._grams = {
            c.id: round(values[j]) * steps_of(self._items[c.id])
            for j, c in enumerate(self.problem.columns)
            if c.kind == Kind.AMOUNT and c.id in self._items
        }
        return frozenset(self.problem.columns[j].id for j in self.marks if values[j] > 0.5)

    def differ_from(self, ids: frozenset[str]) -> None:
        """What is found from now on differs from this in a third of its changes."""
        chosen = [j for j in self.marks if self.problem.columns[j].id in ids]
        if not chosen:
            return
        most = float(len(chosen) - max(1, len(chosen) // 3))
        self._tried.append((Objective("tried", _weights(self.problem, chosen)), most))

    def verified(self, ids: frozenset[str]) -> RemedyMix | None:
        """The mix with these changes, in the amounts that were found last, if the plan with the words to type really is
        in reach and passes no more guards and common shares than the mix before."""
        jars = [item for item in self.added if item.id in ids and item.is_jar]
        foods = [item for item in self.added if item.id in ids and not item.is_jar and self._grams.get(item.id)]
        left = {item.id: self._grams.get(item.id, Fraction()) for item in self.before.items if item.id in ids}
        mix = self._planned(jars, foods, left, leave_out=True)
        some = any(0 < left[item.id] < _whole(item) for item in self.before.items if item.id in left)
        return self._planned(jars, foods, left, leave_out=False) if mix is None and some else mix

    def _planned(
        self, jars: Sequence[Item], foods: Sequence[Item], left: Mapping[str, Fraction], leave_out: bool
    ) -> RemedyMix | None:
        options, less = [], []
        kept: list[Item] = []
        for item in self.before.items:
            grams = left.get(item.id)
            whole = _whole(item)
            if grams is None or item.fixed is None or grams >= whole:
                kept.append(item)
                continue
            gone = not grams or (leave_out and grams < whole * LEAST_LEFT)
            before = amount_words(Amount(item, item.fixed))
            if gone:
                options.append(f"--without {item.id}")
                less.append((Amount(item, Fraction()), before))
                continue
            opened = _opened(item)
            quantity = read_quantity(amount_words(Amount(opened, grams / item.grams_per_unit)))
            options.append(f'--set "{item.id}={quantity.text}"')
            smaller = _set_to(item, quantity)
            kept.append(smaller)
            less.append((Amount(smaller, smaller.fixed or Fraction()), before))
        amounts = {
            food.id: read_quantity(amount_words(Amount(food, self._grams[food.id] / food.grams_per_unit)))
            for food in foods
        }
        new_foods = [food_item(food.food, amounts[food.id]) for food in foods]
        options += [f'--set "{food.id}={amounts[food.id].text}"' for food in foods]
        options += [f"--with {jar.id}" for jar in jars]
        changed = replace(self.before, items=_in_order(kept, new_foods, [jar_item(jar.food) for jar in jars]))
        choice = replanned(changed, self.catalog, self._deadline.at_most(SECONDS_A_PLAN))
        if choice is None or not choice.in_reach:
            return None
        verdict = assess(changed, self.catalog, choice.amounts)
        new = {item.id for item in (*jars, *foods)}
        get = tuple(amount for amount in choice.amounts if amount.item.id in new and amount.count)
        if not verdict.all_met or not _passed(verdict) <= self._passed:
            return None
        if any(_is_too_many(amount, verdict) for amount in get):
            return None
        if len(get) < len(new):  # something was not needed after all
            used = {amount.item.id for amount in get}
            return self._planned([j for j in jars if j.id in used], foods, left, leave_out) if get or less else None
        return RemedyMix(get, tuple(less), tuple(options)) if get or less else None

    def _closed(self, problem: Problem) -> Problem:
        """The problem in which no guard and no common share is passed that was kept before."""
        rows = {row.id: row for row in problem.rows}
        return problem.closed(
            j
            for j, column in enumerate(problem.columns)
            if column.kind in PASSED and _subject(rows[column.row]) not in self._passed
        )

    def _with_marks(self, problem: Problem, most_things: int) -> Problem:
        """A column that is 1 where some food is got, or less goes in of an item than was to."""
        foods = {item.id for item in self.added if not item.is_supplement}
        columns: list[NewColumn] = []
        rows: list[NewRow] = []
        for j, column in enumerate(problem.columns):
            if column.kind != Kind.AMOUNT or column.id not in foods | self._reduced:
                continue
            mark = len(problem.columns) + len(columns)
            most = float(problem.upper[j])
            if column.id in foods:
                columns.append(NewColumn(Column(column.id, Kind.GOT), upper=1.0, integer=True))
                rows.append(NewRow(Row(f"got:{column.id}", Tier.NEVER, "got"), {j: 1.0, mark: -most}, upper=0.0))
                least = min(most, LEAST_OF_A_FOOD / column.grams)
                rows.append(
                    NewRow(Row(f"enough:{column.id}", Tier.NEVER, "worth it"), {j: 1.0, mark: -least}, lower=0.0)
                )
            else:
                columns.append(NewColumn(Column(column.id, Kind.LESS), upper=1.0, integer=True))
                rows.append(
                    NewRow(Row(f"less:{column.id}", Tier.NEVER, "less of it"), {j: 1.0, mark: most}, lower=most)
                )
        wide = problem.extended(columns, rows)
        marks = {j: 1.0 for j, c in enumerate(wide.columns) if c.kind in (Kind.GOT, Kind.LESS)}
        jars = {item.id for item in self.added if item.is_supplement}
        marks |= {j: 1.0 for j, c in enumerate(wide.columns) if c.kind == Kind.USED and c.id in jars}
        few = NewRow(Row("few", Tier.NEVER, "no more than a person would do"), marks, upper=float(most_things))
        return wide.extended(rows=[few]) if marks else wide


def _is_too_many(amount: Amount, found: Assessment) -> bool:
    """Whether nobody would count out so many pieces."""
    pieces = read_quantity(f"1 {amount.item.unit}").kind == "count"
    return pieces and float(amount.count) > MOST_PIECES_PER_KG * max(1.0, found.totals.mass_g / 1000)


def _subject(row: Row) -> str:
    """What a guard or a common share is about."""
    return row.limit.nutrient if row.limit is not None else row.id.removeprefix("common:")


def _passed(found: Assessment) -> frozenset[str]:
    """The nutrients whose guards, and the parts of the meat whose common shares, a mix passes."""
    return frozenset(line.nutrient.id for line in found.above_guards) | {part.of for part in found.above_shares}


def _whole(item: Item) -> Fraction:
    """The grams that were to go in of an item, to the step in which less of it is weighed out."""
    if item.fixed is None:
        return Fraction()
    opened = _opened(item)
    step = (opened.step or Fraction(1)) * item.grams_per_unit
    return item.fixed * item.grams_per_unit // step * step


def _set_to(item: Item, quantity: Quantity) -> Item:
    """An item of which so much goes in, as `--set` has it."""
    return replace(item, fixed=item.units(quantity), text=quantity.text, available=None)


def _in_order(kept: Sequence[Item], foods: Sequence[Item], jars: Sequence[Item]) -> tuple[Item, ...]:
    """Items as a scenario file lists them: what is on hand, supplements, water."""
    water = [item for item in kept if item.counts_as == "water" and not item.where]
    on_hand = [item for item in kept if not item.is_supplement and item not in water]
    supplements = [item for item in kept if item.is_supplement]
    return (*on_hand, *foods, *supplements, *jars, *water)


def _least_meat(scenario: Scenario) -> Fraction:
    """A batch of which most is left over is no batch: what was to go in whole is to go in for the most part."""
    grams = sum((i.fixed * i.grams_per_unit for i in scenario.items if i.is_meat and i.fixed), Fraction())
    return max(scenario.meat_at_least_grams or Fraction(), grams * MOST_OF_THE_MEAT)


def _opened(item: Item) -> Item:
    """What was to go in whole, now up to that."""
    if item.fixed is None or item.is_jar or item.counts_as == "water":
        return item
    step = DEFAULT_CUT_STEPS.get(item.unit, Fraction(1))
    return replace(item, fixed=None, available=item.fixed, step=step, text="")


def _weights(problem: Problem, marked: Sequence[int]) -> Floats:
    weights = np.zeros(len(problem.columns))
    weights[list(marked)] = 1.0
    return weights
