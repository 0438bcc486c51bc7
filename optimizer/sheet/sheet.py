"""The weigh-out sheet as data: what to weigh, in working order and in real measures, and what it comes to.

Renderers print it as it stands and compute nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.nutrition.composition import bone_interval_of, bone_share_of
from catalog.records import Catalog
from catalog.units.money import cents
from optimizer.assess.batch import Amount
from optimizer.assess.cautions import Notice, notices
from optimizer.assess.result import Assessment
from optimizer.model.problem import Solution
from optimizer.scenario.records import Scenario
from optimizer.sheet.amount_words import amount_words
from optimizer.sheet.reasons import Reasons
from optimizer.sheet.tolerances import tolerances
from optimizer.sureness.told import ToldSureness


class SheetStatus(StrEnum):
    """What a sheet is: PLANNED, every limit met; the nearest mix, where none meets them all (OUT_OF_REACH) or none was
    found in time (OUT_OF_TIME); or amounts as they were written (ASSESSED)."""

    PLANNED = "planned"
    OUT_OF_REACH = "out_of_reach"
    OUT_OF_TIME = "out_of_time"
    ASSESSED = "assessed"


PLANNED, OUT_OF_REACH, OUT_OF_TIME, ASSESSED = SheetStatus


# The order of work: the premix bowl first (dry, then liquid), then the grinder (bone first, while it is
# cold and firm), then what is stirred in.
GROUPS = ("Premix bowl", "Grinder", "Stirred in", "Given apart, not in the mix")
LIQUIDS = ("drop", "pump stroke", "ml", "dropper", "softgel")
_STIRRED = ("egg", "vegetable", "fruit", "seed", "grain", "fibre", "dairy", "water")


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One thing to weigh out. `text` is the amount in its measure, `count` how many of them exactly, `grams` its mass;
    `within_g` is by how much it may be off (`sheet/tolerances.py`), `cost` is None if unpriced.

    A bone-in cut has its share of bone with the published interval, or `bone_measured` at home.
    """

    id: str
    name: str
    role: str
    counts_as: str
    group: str
    fixed: bool
    grams: float
    count: Fraction
    unit: str
    text: str
    cost: Decimal | None
    within_g: float
    bone_share: float | None = None
    bone_low: float | None = None
    bone_high: float | None = None
    bone_measured: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that is printed of a plan or a check, and what it was made of: the scenario and the exact amounts, of
    which each is more than nothing. `unpriced` are the ids of what goes in without a price."""

    scenario: Scenario
    amounts: tuple[Amount, ...]
    status: SheetStatus
    title: str
    file: str
    standard: str
    standard_name: str
    life_stage: str
    aim: str
    energy_method: str
    currency: str
    catalog_version: str
    lines: tuple[SheetLine, ...]
    assessment: Assessment
    cost: Decimal | None
    supplement_count: int
    cautions: tuple[Notice, ...]
    solution: Solution | None
    reasons: Reasons
    unpriced: tuple[str, ...] = ()
    sureness: ToldSureness | None = None

    @property
    def is_nearest(self) -> bool:
        """Whether it is the mix nearest to one that meets every limit, which is not to be fed."""
        return self.status in (OUT_OF_REACH, OUT_OF_TIME)


def make_sheet(
    scenario: Scenario,
    catalog: Catalog,
    amounts: Sequence[Amount],
    assessment: Assessment,
    status: SheetStatus,
    solution: Solution | None,
    reasons: Reasons | None = None,
    sureness: ToldSureness | None = None,
) -> Sheet:
    """The sheet of assessed amounts."""
    used = [amount for amount in amounts if amount.count > 0]
    within = tolerances(scenario, catalog, used)
    lines = sorted(
        (_line(amount, catalog, within[amount.item.id]) for amount in used),
        key=lambda line: (GROUPS.index(line.group), _place(line)),
    )
    return Sheet(
        scenario=scenario,
        amounts=tuple(used),
        status=status,
        title=scenario.title,
        file=scenario.file,
        standard=scenario.standard.id,
        standard_name=f"{scenario.standard.name}, {scenario.standard.edition}",
        life_stage=scenario.standard.life_stage,
        aim=scenario.aim,
        energy_method=scenario.energy_method,
        currency=scenario.currency,
        catalog_version=catalog.version,
        lines=tuple(lines),
        assessment=assessment,
        cost=None if assessment.cost is None else cents(assessment.cost),
        supplement_count=sum(1 for amount in used if amount.item.is_supplement),
        cautions=notices(scenario, catalog, used, assessment, solution is None or solution.proven),
        solution=solution,
        reasons=reasons or Reasons(),
        unpriced=tuple(a.item.id for a in used if a.item.price_per_gram is None and a.item.counts_as != "water"),
        sureness=sureness,
    )


def _line(amount: Amount, catalog: Catalog, within_g: float) -> SheetLine:
    item, grams = amount.item, amount.grams
    share = item.bone_share if item.bone_share is not None else bone_share_of(item.food, catalog.foods)
    interval = (share, share) if item.bone_share is not None else bone_interval_of(item.food, catalog.foods)
    cost = None
    if item.price_per_gram is not None:
        cost = cents(item.price_per_gram * amount.count * item.grams_per_unit)
    return SheetLine(
        id=item.id,
        name=item.food.name,
        role=item.food.role,
        counts_as=item.counts_as,
        group=_group(amount),
        fixed=item.fixed is not None or item.exactly is not None,
        grams=grams,
        count=amount.count,
        unit=item.unit,
        text=amount_words(amount),
        cost=cost,
        within_g=within_g,
        bone_share=share if item.food.parts and share else None,
        bone_low=interval[0] if item.food.parts and share else None,
        bone_high=interval[1] if item.food.parts and share else None,
        bone_measured=item.bone_share is not None,
    )


def _group(amount: Amount) -> str:
    if amount.item.apart:
        return GROUPS[3]
    if amount.item.is_supplement:
        return GROUPS[0]
    return GROUPS[2] if amount.item.food.role in _STIRRED else GROUPS[1]


def is_liquid(line: SheetLine) -> bool:
    """Whether something from a jar goes in after what is dry: drops, oils, and softgels, which hold oil."""
    return line.unit in LIQUIDS or line.role in ("oil", "fat")


def _place(line: SheetLine) -> tuple[int, float, str]:
    """Within a group: dry before liquid, bone-in before boneless before organs; then the larger amount first."""
    ranks: Mapping[str, int] = {"organ": 2, "fat": 3, "fish": 3, "shellfish": 3, "water": 9}
    rank = int(is_liquid(line)) if line.group == GROUPS[0] else ranks.get(line.role, 0 if line.bone_share else 1)
    return rank, -line.grams, line.id
