"""Closed sets of words of the tables."""

from enum import StrEnum


class Basis(StrEnum):
    """What a limit is a limit of: an amount per 1000 kcal of metabolisable energy, per kilogram of dry matter, per
    kilogram of the mix, or in the whole batch; the RATIO of a nutrient to another, by mass; an INCREMENT, a further
    minimum for each gram of something, on top of the nutrient's minimum per 1000 kcal."""

    PER_1000_KCAL = "per_1000_kcal"
    PER_KG_DRY_MATTER = "per_kg_dry_matter"
    PER_KG = "per_kg"
    PER_BATCH = "per_batch"
    RATIO = "ratio"
    INCREMENT = "increment"


class MaximumKind(StrEnum):
    """What a ceiling is: NUTRITIONAL, a SAFE_UPPER limit, or LEGAL, the law on feed for sale; NONE where nothing
    says."""

    NONE = ""
    NUTRITIONAL = "nutritional"
    SAFE_UPPER = "safe-upper"
    LEGAL = "legal"
