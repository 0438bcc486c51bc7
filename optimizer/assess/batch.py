"""What goes in, and its sums: over the whole mix and over the food alone, by nutrient and by tag."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import fsum

from catalog.kinds import Basis
from catalog.nutrition.composition import Blend, blend, bone_interval_of
from catalog.records import Catalog, Condition
from optimizer.scenario.records import Item, Scenario


@dataclass(frozen=True, slots=True)
class Amount:
    """What goes in of one item: a count of its measure, exact."""

    item: Item
    count: Fraction

    @property
    def grams(self) -> float:
        """The mass of it."""
        return float(self.count * self.item.grams_per_unit)


@dataclass(frozen=True, slots=True)
class BatchSize:
    """What limits are a share of: energy, grams of dry matter, grams."""

    kcal: float
    dry_matter: float
    mass: float

    def of(self, basis: str) -> float:
        """How many times the basis of a limit is in it."""
        if basis == Basis.PER_BATCH:
            return 1.0
        return {"per_1000_kcal": self.kcal, "per_kg_dry_matter": self.dry_matter, "per_kg": self.mass}[basis] / 1000


@dataclass(frozen=True, slots=True)
class BatchSums:
    """Sums over a batch, by nutrient and by tag. `food` leaves out what comes from jars: it is what ceilings are a
    share of."""

    mix: BatchSize
    food: BatchSize
    low: Mapping[str, float]
    value: Mapping[str, float]
    high: Mapping[str, float]
    unknown: Mapping[str, float]
    tagged: Mapping[str, float]
    tagged_dry: Mapping[str, float]


def sums_of(used: Sequence[tuple[Amount, Blend]], catalog: Catalog) -> BatchSums:
    """The sums over amounts with what a gram of each contains."""
    contents = [(amount.grams, content) for amount, content in used]

    def figures(side: str) -> dict[str, float]:
        return {
            id_: fsum(grams * float(getattr(content.contents[id_], side)) for grams, content in contents)
            for id_ in catalog.nutrients
        }

    tagged: dict[str, float] = {}
    tagged_dry: dict[str, float] = {}
    for grams, content in contents:
        for tag, share in content.tag_shares.items():
            tagged[tag] = tagged.get(tag, 0.0) + grams * share
            tagged_dry[tag] = tagged_dry.get(tag, 0.0) + grams * share * content.dry_matter
    return BatchSums(
        mix=_size(contents),
        food=_size([(amount.grams, content) for amount, content in used if not amount.item.is_jar]),
        low=figures("low") | _destroyed(used, catalog, tagged),
        value=figures("value"),
        high=figures("high"),
        unknown=figures("unknown_share"),
        tagged=tagged,
        tagged_dry=tagged_dry,
    )


def _size(contents: Sequence[tuple[float, Blend]]) -> BatchSize:
    return BatchSize(
        kcal=fsum(grams * content.kcal for grams, content in contents),
        dry_matter=fsum(grams * content.dry_matter for grams, content in contents),
        mass=fsum(grams for grams, _ in contents),
    )


def _destroyed(used: Sequence[tuple[Amount, Blend]], catalog: Catalog, tagged: Mapping[str, float]) -> dict[str, float]:
    """What counts of the nutrients that some raw food in the mix destroys: what is given apart."""
    return {
        nutrient.id: fsum(a.grams * content.contents[nutrient.id].low for a, content in used if a.item.apart)
        for nutrient in catalog.nutrients.values()
        if nutrient.destroyed_by and tagged.get(nutrient.destroyed_by)
    }


def legal_amount(nutrient: str, used: Sequence[tuple[Amount, Blend]]) -> float:
    """A nutrient as a legal maximum counts it: food by its best figures and jars by their high ones. What food may hold
    beyond what is known of it is no additive."""
    return fsum(
        amount.grams * (content.contents[nutrient].high if amount.item.is_jar else content.contents[nutrient].value)
        for amount, content in used
    )


def applies(condition: Condition | None, batch: BatchSums) -> bool:
    """Whether a limit with this condition holds for the batch."""
    if condition is None:
        return True
    if condition.of == "mass":
        return batch.tagged.get(condition.tag, 0.0) > condition.share * batch.mix.mass
    return batch.tagged_dry.get(condition.tag, 0.0) > condition.share * batch.mix.dry_matter


def blend_of(amount: Amount, scenario: Scenario, catalog: Catalog, bone_share: float | None = None) -> Blend:
    """What a gram of it contains, with this share of bone or its own."""
    share = amount.item.bone_share if bone_share is None else bone_share
    return blend(amount.item.food, catalog, scenario.energy_method, share)


def bone_interval(amount: Amount, catalog: Catalog) -> tuple[float, float]:
    """The interval of a cut's bone share; a share measured at home has none."""
    own = amount.item.bone_share
    return (own, own) if own is not None else bone_interval_of(amount.item.food, catalog.foods)
