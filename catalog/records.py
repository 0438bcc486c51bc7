"""What a nutrient, food, measure, limit, standard and caution are: frozen records and nothing else.

Units are in the names: amounts of a nutrient are in that nutrient's own unit (`Nutrient.unit`), masses in
grams, energy in kilocalories of metabolisable energy.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from catalog.kinds import Basis, MaximumKind
from catalog.treatments import Treatment
from catalog.variation import ANY, Variation

USUAL_CURRENCY = "USD"  # of usual prices


@dataclass(frozen=True, slots=True)
class Nutrient:
    """A nutrient or a proximate constituent.

    `unit` is g, mg, ug or IU. `usda_numbers` are the Standard Reference nutrient numbers to read, the first
    present one counts. `sum_of` names the nutrients whose sum this is (EPA + DHA), else it is empty.
    `iu_per_ug` converts micrograms of the free vitamin where `unit` is IU. `toxic` marks a nutrient whose
    ceiling guards against poisoning. `assumed_cv` is the coefficient of variation taken where no spread was
    published. `destroyed_by` is the tag of raw foods that destroy it in a mix: then only what is given apart counts.
    """

    id: str
    name: str
    unit: str
    group: str
    usda_numbers: tuple[str, ...] = ()
    sum_of: tuple[str, ...] = ()
    iu_per_ug: float | None = None
    toxic: bool = False
    assumed_cv: float = 0.0
    destroyed_by: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """How much of one nutrient 100 g of one food holds, and how that is known.

    `value`, `low`, `high` and `sd` are in the nutrient's unit per 100 g. `low` counts towards a target and
    `high` towards a ceiling; both equal `value` unless the figure is known only as a range that has to be
    counted on its safe side. `kind` is analysed, calculated, estimated, label or assumed. `confidence` is
    read (seen in the source) or memory (recollected, to be verified). `sd_assumed` tells a published
    standard deviation from one taken from the class of nutrient.
    """

    value: float
    low: float
    high: float
    kind: str
    source: str
    confidence: str
    sd: float | None = None
    n: int | None = None
    sd_assumed: bool = False


@dataclass(frozen=True, slots=True)
class Measure:
    """A kitchen measure of one food: `grams` in one `unit` (capsule, drop, pump stroke, tsp, egg …).

    `labelled` tells that some figure was given per this measure: its mass cannot be changed without it.
    """

    unit: str
    grams: float
    source: str
    confidence: str
    grams_low: float | None = None
    grams_high: float | None = None
    labelled: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A share by mass of a composite food, with the interval in which it has been found."""

    food: str
    share: float
    share_low: float
    share_high: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Food:
    """Anything that goes into the bowl: a cut, an organ, an egg, an oil, a supplement, water.

    `role` is how it is listed and weighed out; `counts_as` is meat, non-meat or water for the cap on
    non-meat; `tags` name what rules and cautions look for ("fish-oil", "raw-egg-white", "bone", "pork").
    `category` finds the class value of an unknown figure. A composite has `parts` and no figures of its own.
    `replaces` is the file of the entry of the same id that a person's own entry is laid over, else empty.
    `purposes` are the nutrients that a jar is bought for, none where it serves none or nobody said.
    `usual_price_per_gram` is what such a jar usually costs, in `USUAL_CURRENCY`. `treatments` were done to it: its
    figures are as before them (`nutrition/losses.py` takes off what is lost).
    """

    id: str
    name: str
    role: str
    counts_as: str
    category: str
    species: str = ""
    tags: frozenset[str] = frozenset()
    ndb_no: str | None = None
    description: str = ""
    note: str = ""
    figures: Mapping[str, Figure] = field(default_factory=dict)
    measures: Mapping[str, Measure] = field(default_factory=dict)
    parts: tuple[Part, ...] = ()
    file: str = ""
    line: int = 0
    replaces: str = ""
    purposes: tuple[str, ...] = ()
    usual_price_per_gram: float | None = None
    treatments: tuple[Treatment, ...] = ()

    @property
    def groups(self) -> frozenset[str]:
        """The words by which a row of the tables of variation means it: its tags, its category, its role, and any."""
        return self.tags | {self.category, self.role, ANY}


@dataclass(frozen=True, slots=True)
class Condition:
    """When a limit applies: foods tagged `tag` are more than `share` of the batch's `of` (mass | dry_matter)."""

    tag: str
    share: float
    of: str


@dataclass(frozen=True, slots=True)
class Limit:
    """A target (`minimum`) and a ceiling (`maximum`), either may be absent, in the nutrient's unit.

    An increment is a further `minimum` for each gram of `of` (a tag of foods, or a nutrient) above `above` grams per
    1000 kcal; a ratio is `nutrient` divided by `of`.
    """

    nutrient: str
    basis: Basis
    minimum: float | None
    maximum: float | None
    source: str
    confidence: str
    of: str = ""
    above: float = 0.0
    condition: Condition | None = None
    maximum_kind: MaximumKind = MaximumKind.NONE
    note: str = ""
    file: str = ""
    line: int = 0

    @property
    def is_legal(self) -> bool:
        """Whether its ceiling is the law on feed for sale."""
        return self.maximum_kind == MaximumKind.LEGAL


def minimum_per_1000_kcal(nutrient: str, limits: Iterable[Limit]) -> float:
    """The largest target of a nutrient per 1000 kcal among limits: what an increment comes on top of."""
    own = [limit for limit in limits if limit.nutrient == nutrient and limit.basis == Basis.PER_1000_KCAL]
    return max((limit.minimum for limit in own if limit.minimum), default=0.0)


@dataclass(frozen=True, slots=True)
class Standard:
    """A publication's limits for one life stage (adult | growth), or those of a person's own.

    `energy_method` is how the publication counts the kilocalories of such food. `file` is the file of a person's
    own standard, else empty; `base` the id of the one that it started from.
    """

    id: str
    name: str
    edition: str
    life_stage: str
    limits: tuple[Limit, ...]
    note: str = ""
    energy_method: str = "modified-atwater"
    file: str = ""
    base: str = ""

    @property
    def verified(self) -> int:
        """How many of the limits were seen in a source; the others were entered from memory."""
        return sum(limit.confidence == "read" for limit in self.limits)

    @property
    def mandatory(self) -> tuple[Limit, ...]:
        """The limits that a mix has to keep to meet the standard.

        Legal maxima are left out: they hold only where the element is added as an additive to feed for sale.
        """
        return tuple(limit for limit in self.limits if not limit.is_legal)


@dataclass(frozen=True, slots=True)
class Customary:
    """The most that is customary per 1000 kcal of what no standard sets a target for.

    `of` is a nutrient, and `per_1000_kcal` is in that nutrient's unit; or a food that serves no nutrient, and
    `per_1000_kcal` is in grams of it.
    """

    of: str
    per_1000_kcal: float
    source: str
    confidence: str
    note: str = ""
    file: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Guard:
    """A published ceiling that binds no mix, for one life stage (adult | growth).

    `limit` is a ceiling; its `maximum_kind` is nutritional, or legal where it is the law on feed for sale.
    """

    life_stage: str
    limit: Limit


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning, when it applies, and who says so.

    `level` is info, warning or refuse. `when` is "always", "life-stage:growth", or "tag:NAME"; for refuse,
    `when` is "name:WORD", a word in the name of what somebody wanted to add.
    """

    code: str
    level: str
    when: str
    text: str
    source: str
    year: str
    confidence: str


@dataclass(frozen=True, slots=True)
class ClassValue:
    """The high end of what foods of one category hold of one nutrient, per 100 g: used towards ceilings only."""

    category: str
    nutrient: str
    high_per_100_g: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Synonym:
    """What a word that people use stands for: sets of search words, one of which has to be found in a food.

    `note` says where the two are not quite the same; without `means`, why nothing is found.
    """

    means: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Catalog:
    """Everything that is known about food, by id.

    `standards` is keyed by (standard id, life stage), `class_values` by (category, nutrient id), `customary` by
    nutrient id or food id, `sources` holds the full citation behind each source key, `synonyms` what a word stands
    for in the words of the tables. `compositions` are the blends that were worked out (`nutrition/composition.py`); a
    catalog that is changed begins without any.
    """

    nutrients: Mapping[str, Nutrient]
    foods: Mapping[str, Food]
    standards: Mapping[tuple[str, str], Standard]
    cautions: tuple[Caution, ...]
    class_values: Mapping[tuple[str, str], ClassValue]
    sources: Mapping[str, str]
    synonyms: Mapping[str, Synonym] = field(default_factory=dict)
    version: str = ""
    customary: Mapping[str, Customary] = field(default_factory=dict)
    guards: tuple[Guard, ...] = ()
    treatments: Mapping[str, Treatment] = field(default_factory=dict)
    variation: Variation = field(default_factory=Variation)
    compositions: dict[tuple[str, str, float | None], tuple[Food, Any]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
