"""What an assessment says: lines for nutrients and ratios, totals, and every limit that is missed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.records import Nutrient


class LimitStatus(StrEnum):
    """What becomes of a limit: MET, too little (SHORT) or too much (OVER) of it, UNKNOWN where nothing has a figure, or
    NO_LIMIT."""

    MET = "met"
    SHORT = "short"
    OVER = "over"
    UNKNOWN = "unknown"
    NO_LIMIT = "no_limit"


MET, SHORT, OVER, UNKNOWN, NO_LIMIT = LimitStatus


@dataclass(frozen=True, slots=True)
class NutrientLine:
    """One nutrient of the batch, in its unit.

    `total` is what counts towards targets and `total_high` what counts towards ceilings; `minimum` and
    `maximum` are the tightest limits that apply, per 1000 kcal, each with its source. `unknown_share` is the
    share of the batch's mass without a figure.
    """

    nutrient: Nutrient
    total: float
    total_high: float
    per_1000_kcal: float
    high_per_1000_kcal: float
    per_kg_dry_matter: float
    minimum: float | None
    maximum: float | None
    status: LimitStatus
    unknown_share: float
    minimum_source: str = ""
    maximum_source: str = ""
    note: str = ""

    @property
    def percent_of_minimum(self) -> float | None:
        """What counts towards the target, in percent of it."""
        return 100 * self.per_1000_kcal / self.minimum if self.minimum else None

    @property
    def percent_of_maximum(self) -> float | None:
        """What counts towards the ceiling, in percent of it."""
        return 100 * self.high_per_1000_kcal / self.maximum if self.maximum else None

    @property
    def source(self) -> str:
        """Where the limits come from."""
        return " ; ".join(dict.fromkeys(text for text in (self.minimum_source, self.maximum_source) if text))


@dataclass(frozen=True, slots=True)
class Miss:
    """A limit that is not kept: what there is, what the limit is, and by how much it is missed.

    Nutrients are per 1000 kcal in `unit`; ratios have no unit; the cap is in percent of the mix. `percent` is
    the miss as a share of the limit.
    """

    id: str
    name: str
    status: LimitStatus
    unit: str
    amount: float
    limit: float

    @property
    def is_per_1000_kcal(self) -> bool:
        """Whether it is a nutrient per 1000 kcal: no ratio, no share, no money."""
        return bool(self.unit) and self.id not in (CAP, BUDGET)

    @property
    def by(self) -> float:
        """How much is missing, or too much."""
        return abs(self.amount - self.limit)

    @property
    def percent(self) -> float:
        """The miss in percent of the limit."""
        return 100 * self.by / self.limit if self.limit else 0.0


@dataclass(frozen=True, slots=True)
class RatioLine:
    """One nutrient divided by another, by mass; None where no food in the batch has a figure of the other."""

    id: str
    name: str
    value: float | None
    minimum: float | None
    maximum: float | None
    status: LimitStatus
    source: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Totals:
    """The batch as a whole. Shares are of the whole mix by mass; `dry_matter_g` is the mix less its water.

    `energy_kcal` is by the scenario's method, `kcal_by_method` by each that is known.
    """

    mass_g: float
    meat_g: float
    non_meat_g: float
    bone_g: float
    energy_kcal: float
    dry_matter_g: float
    non_meat_cap: float
    bone_share_low: float
    bone_share_high: float
    kcal_by_method: Mapping[str, float] = field(default_factory=dict)

    @property
    def non_meat_share(self) -> float:
        """Non-meat as a share of the mix."""
        return self.non_meat_g / self.mass_g

    @property
    def bone_share(self) -> float:
        """Fresh bone as a share of the mix."""
        return self.bone_g / self.mass_g


@dataclass(frozen=True, slots=True)
class BoneRange:
    """What the interval of published bone shares does to calcium (g per 1000 kcal) and to Ca:P."""

    calcium_low: float
    calcium_high: float
    ratio_low: float
    ratio_high: float


@dataclass(frozen=True, slots=True)
class GuardLine:
    """A guard ceiling that is passed (see `catalog.ceilings`).

    Amount and ceiling are in the nutrient's unit on the ceiling's `basis`: per_1000_kcal, or per_kg_dry_matter for a
    legal maximum (`kind` "legal").
    """

    nutrient: Nutrient
    amount: float
    ceiling: float
    basis: str
    kind: str
    source: str


@dataclass(frozen=True, slots=True)
class UncommonShare:
    """A part of the meat that is larger than common practice has it, as fractions."""

    of: str
    share: float
    common: float


class DependsOn(StrEnum):
    """What decides beside the limits: a GUARD or a common SHARE that is passed, the CAP on non-meat, the BUDGET, or a
    figure that is known as a RANGE only."""

    GUARD = "guard"
    SHARE = "share"
    CAP = "non-meat-cap"
    BUDGET = "budget"
    RANGE = "range"


GUARD, SHARE, CAP, BUDGET, RANGE = DependsOn


@dataclass(frozen=True, slots=True)
class Dependence:
    """Something that decides beside the limits; `text` says it in a clause, `name` is what a RANGE is of."""

    kind: DependsOn
    id: str
    text: str
    name: str = ""


@dataclass(frozen=True, slots=True)
class Assessment:
    """What amounts come to, and which limits they keep. `cost` is that of everything with a price, exact; None where
    nothing has one."""

    totals: Totals
    nutrients: tuple[NutrientLine, ...]
    ratios: tuple[RatioLine, ...]
    cap_kept: bool
    bone_range: BoneRange | None
    above_guards: tuple[GuardLine, ...]
    above_shares: tuple[UncommonShare, ...] = ()
    depends_on: tuple[Dependence, ...] = ()
    cost: Fraction | None = None
    budget: Decimal | None = None
    currency: str = ""

    @property
    def all_met(self) -> bool:
        """Whether every limit, the cap on non-meat and the budget are kept."""
        return not self.misses

    @property
    def misses(self) -> tuple[Miss, ...]:
        """Every limit that is not kept."""
        found = [_nutrient_miss(line) for line in self.nutrients if line.status in (SHORT, OVER, UNKNOWN)]
        found += [_ratio_miss(line) for line in self.ratios if line.status in (SHORT, OVER, UNKNOWN)]
        if not self.cap_kept:
            share, cap = 100 * self.totals.non_meat_share, 100 * self.totals.non_meat_cap
            found.append(Miss(CAP, "non-meat share of the mix", OVER, "%", share, cap))
        if self.budget is not None and self.cost is not None and self.cost >= Fraction(self.budget) + HALF_A_CENT:
            found.append(Miss(BUDGET, "cost of the batch", OVER, self.currency, float(self.cost), float(self.budget)))
        return tuple(found)


HALF_A_CENT = Fraction(1, 200)  # the budget is held to the cost as it is shown


def _nutrient_miss(line: NutrientLine) -> Miss:
    over = line.status == OVER
    amount, limit = (line.high_per_1000_kcal, line.maximum) if over else (line.per_1000_kcal, line.minimum)
    return Miss(line.nutrient.id, line.nutrient.name, line.status, line.nutrient.unit, amount, limit or 0.0)


def _ratio_miss(line: RatioLine) -> Miss:
    limit = line.maximum if line.status == OVER else line.minimum
    return Miss(line.id, line.name, line.status, "", line.value or 0.0, limit or 0.0)


def figure(value: float) -> str:
    """A figure to three digits; a large one whole, without an exponent."""
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"
