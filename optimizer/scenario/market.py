"""What a scenario says about shopping: how large a batch, for whom, where, and with what variety."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from catalog.prices.lines import PriceLine

# Of the meat, by mass: less of a meat than this is not counted as a kind of its own. A rule of this program, no source.
KIND_SHARE = Fraction(1, 10)

NOTHING = Decimal("0.00")  # money


@dataclass(frozen=True, slots=True)
class MeatShare:
    """A part of the meat, by mass: foods with a tag, a species, a role or an id `of`."""

    of: str
    at_least: Fraction | None
    at_most: Fraction | None
    line: int = 0


@dataclass(frozen=True, slots=True)
class Market:
    """How to shop. The batch has at least `meat_grams` of meat or `energy_kcal`, or feeds `cats` cats, who eat
    `kcal_per_day` together, for `days`; without any of them it is as large as what is on hand. `stores` are the
    only ones to go to (empty: any), `leave_out` is what is never bought (a food, tag, species or role),
    `stores_at_most` is how many of them, `visit_cost` what going to one costs
    where `visits` does not say otherwise. A species is one of the `kinds_at_least` when it is `kind_share` of the
    meat.

    Money is in the scenario's currency; `rates` says what one unit of another currency is worth in it.
    """

    meat_grams: Fraction | None = None
    energy_kcal: Fraction | None = None
    days: Fraction | None = None
    cats: int = 0
    kcal_per_day: Fraction = Fraction()
    stores: tuple[str, ...] = ()
    leave_out: tuple[str, ...] = ()
    stores_at_most: int | None = None
    visit_cost: Decimal = NOTHING
    visits: Mapping[str, Decimal] = field(default_factory=dict)
    kinds_at_least: int = 0
    kind_share: Fraction = KIND_SHARE
    shares: tuple[MeatShare, ...] = ()
    rates: Mapping[str, Fraction] = field(default_factory=dict)
    offers: tuple[PriceLine, ...] = ()
    lines: Mapping[str, int] = field(default_factory=dict)

    def visit(self, store: str) -> Decimal:
        """What it costs to go to a store at all."""
        return self.visits.get(store, self.visit_cost)
