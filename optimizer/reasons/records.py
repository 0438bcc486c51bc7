"""What is said of a plan: records with numbers, and one line of plain words each."""

from dataclasses import dataclass
from decimal import Decimal

from optimizer.verdicts import Miss


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

    `step` says by how much it was moved ("1 %", "1 capsule"); None where no mix meets the tightened rule.
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


@dataclass(frozen=True, slots=True)
class Clash:
    """Rules that cannot all hold with what is on hand, though any of them may be dropped to make the rest hold."""

    rules: tuple[str, ...]
    places: tuple[str, ...]
    line: str


@dataclass(frozen=True, slots=True)
class Remedy:
    """Changes that make a mix possible: solved, weighed out and assessed. Amounts are for this batch."""

    changes: tuple[tuple[str, str], ...]
    cost: Decimal | None
    line: str


@dataclass(frozen=True, slots=True)
class Reasons:
    """All that is said of one plan; what was not asked for is empty."""

    doses: tuple[DoseReason, ...] = ()
    limits: tuple[LimitPrice, ...] = ()
    clashes: tuple[Clash, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    note: str = ""
