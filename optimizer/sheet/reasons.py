"""What is said of a plan: records with numbers, and one line of plain words each."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from optimizer.assess.result import Miss

if TYPE_CHECKING:
    pass  # a plan without prices starts faster


@dataclass(frozen=True, slots=True)
class DoseReason:
    """Why one supplement is in the mix in this amount.

    `answers` are the targets that fall short when it is left out and nothing else changes; `step_less` and
    `step_more` the rules that a step less or more would break, in words. `extra_cost` (money) and
    `extra_items` (supplements) are what the best mix without it adds, None where no mix does without it;
    `instead` says what changes in that mix, `missed` what no mix without it can meet.
    """

    id: str
    line: str
    answers: tuple[Miss, ...]
    step_less: tuple[str, ...]
    step_more: tuple[str, ...]
    extra_cost: Decimal | None
    extra_items: int | None
    instead: tuple[str, ...]
    missed: tuple[Miss, ...]


@dataclass(frozen=True, slots=True)
class LimitPrice:
    """What a binding rule costs: the change of cost and of the number of supplements when it is moved.

    `step` says by how much it was moved ("1 %", "1 capsule"); None where no mix meets the tightened rule. Under the aim
    usual the distances say how much further from the usual recipe the plan is then, in usual doses, and the costs are
    None: they follow from it and may rise on both sides. `counts_jars` where the number of supplements is the aim.
    Where the mass from jars is, `tighter_grams` and `looser_grams` say how much more of it there is then.
    """

    id: str
    line: str
    file: str
    line_number: int
    step: str
    tighter_cost: Decimal | None
    tighter_items: int | None
    looser_cost: Decimal | None
    looser_items: int | None
    tighter_distance: float | None = None
    looser_distance: float | None = None
    counts_jars: bool = False
    tighter_grams: float | None = None
    looser_grams: float | None = None


@dataclass(frozen=True, slots=True)
class Conflict:
    """Rules that cannot all hold with what is on hand, though any of them may be dropped to make the rest hold.
    `guard` is a clause about the guard among them, where there is one."""

    rules: tuple[str, ...]
    places: tuple[str, ...]
    line: str
    guard: str = ""


@dataclass(frozen=True, slots=True)
class Packages:
    """Packages of one offer: "2 × 100 g", where, what they cost together and on which day they did; `last_known`
    marks a price that was once paid, not one that is asked."""

    text: str
    store: str
    pay: Decimal
    day: date | None
    last_known: bool


@dataclass(frozen=True, slots=True)
class Addition:
    """One thing to get: the amount that goes in, the packages to buy for it, what they cost (`pay`) and what of that
    goes into the batch. Without packages its price is not known: both are None."""

    id: str
    name: str
    text: str
    packages: tuple[Packages, ...]
    pay: Decimal | None
    in_batch: Decimal | None


@dataclass(frozen=True, slots=True)
class Bill:
    """What a remedy costs: `to_pay` for whole packages and `in_batch` for what of them goes in, without those of the
    `additions` whose price is not known. `best` says whether it is the one of the "fewest" changes, the "cheapest"
    of those made of `looked_at` foods and supplements with a known price, or both."""

    currency: str
    additions: tuple[Addition, ...]
    to_pay: Decimal
    in_batch: Decimal
    known: bool
    best: tuple[str, ...]
    looked_at: int


@dataclass(frozen=True, slots=True)
class Remedy:
    """Changes that make a mix possible: solved, weighed out and assessed. Amounts are for this batch.

    `cost` is what has to be paid for packages, None where no prices were given or one is not known. `options` are the
    words to type on the command line, which plan just this.
    """

    changes: tuple[tuple[str, str], ...]
    cost: Decimal | None
    line: str
    bill: Bill | None = None
    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LossReason:
    """What one way of thawing, freezing or cooking changes: `changes` are those of the plan without it, `cost_less`
    what that costs less, None where there is no such plan."""

    id: str
    line: str
    changes: tuple[str, ...]
    cost_less: Decimal | None


@dataclass(frozen=True, slots=True)
class Reasons:
    """All that is said of one plan; what was not asked for is empty."""

    doses: tuple[DoseReason, ...] = ()
    limits: tuple[LimitPrice, ...] = ()
    losses: tuple[LossReason, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    note: str = ""
