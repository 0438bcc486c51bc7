"""One row of a composition table -> a figure per 100 g; sums of nutrients."""

import math
from collections.abc import Callable, Iterator, Mapping

from catalog.mistakes import Mistake
from catalog.reading.csv_tables import TableMistakes, TableRow, choice, number
from catalog.records import Figure, Measure, Nutrient

MICROGRAMS = {"g": 1e6, "mg": 1e3, "ug": 1.0}
KINDS = ("analysed", "calculated", "estimated", "label", "assumed")


class Figures(Mapping[str, Figure]):
    """The figures of one food by nutrient, read when they are first looked at.

    `read` gives the figures and adds what is wrong with them to a list. Looking at figures with mistakes
    raises TableMistakes.
    """

    def __init__(self, read: Callable[[list[Mistake]], dict[str, Figure]]) -> None:
        self._read = read
        self._figures: dict[str, Figure] | None = None
        self._mistakes: list[Mistake] = []

    def mistakes(self) -> list[Mistake]:
        """What is wrong with the rows; reads them."""
        if self._figures is None:
            self._figures = self._read(self._mistakes)
        return self._mistakes

    def _all(self) -> dict[str, Figure]:
        if self.mistakes():
            raise TableMistakes(self._mistakes)
        return self._figures or {}

    def __getitem__(self, nutrient: str) -> Figure:
        return self._all()[nutrient]

    def __iter__(self) -> Iterator[str]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())


def convert_amount(value: float, unit: str, nutrient: Nutrient) -> float | None:
    """`value` in the nutrient's own unit; None when `unit` cannot become it.

    Masses of vitamins A, D and E (of the free vitamin) become IU by `Nutrient.iu_per_ug`.
    """
    if unit == nutrient.unit:
        return value
    if unit not in MICROGRAMS:
        return None
    if nutrient.unit == "IU":
        return value * MICROGRAMS[unit] * nutrient.iu_per_ug if nutrient.iu_per_ug else None
    up, down = MICROGRAMS[unit], MICROGRAMS[nutrient.unit]
    return value * (up / down) if up >= down else value / (down / up)


def read_figure(
    row: TableRow, nutrient: Nutrient, measures: Mapping[str, Measure], mistakes: list[Mistake]
) -> Figure | None:
    """The figure in a composition row, per 100 g and in the nutrient's unit; None when it cannot be read."""
    value = number(row, "value", mistakes)
    low, high, sd = (number(row, column, mistakes) for column in ("low", "high", "sd"))
    counted = choice(row, "counted", ("value", "range"), mistakes)
    kind = choice(row, "kind", KINDS, mistakes)
    confidence = choice(row, "confidence", ("read", "memory"), mistakes)
    per_100_g = _per_100_g(row["per"], measures)
    if per_100_g is None:
        mistakes.append(row.mistake("per", '"100 g" or a measure of this food: ' + ", ".join(measures)))
    if value is None or per_100_g is None:
        if not row["value"]:
            mistakes.append(row.mistake("value", "a number; leave the whole row out if unknown"))
        return None

    def own(amount: float | None) -> float | None:
        return None if amount is None else convert_amount(amount * per_100_g, row["unit"], nutrient)

    converted = own(value)
    if converted is None:
        mistakes.append(row.mistake("unit", f"a unit that becomes {nutrient.unit} of {nutrient.id}"))
        return None
    own_low, own_high = own(low), own(high)
    ranged = counted == "range"
    if ranged and (own_low is None or own_high is None or not own_low <= converted <= own_high):
        mistakes.append(row.mistake("low", "low <= value <= high where the range is counted"))
        return None
    own_sd = own(sd)
    return Figure(
        value=converted,
        low=own_low if ranged and own_low is not None else converted,
        high=own_high if ranged and own_high is not None else converted,
        kind=kind,
        source=row["source"],
        confidence=confidence,
        sd=converted * nutrient.assumed_cv if own_sd is None else own_sd,
        n=int(row["n"]) if row["n"].isdigit() else None,
        sd_assumed=own_sd is None,
    )


def _per_100_g(per: str, measures: Mapping[str, Measure]) -> float | None:
    """How many times the row's unit of food goes into 100 g."""
    if per == "100 g":
        return 1.0
    return 100 / measures[per].grams if per in measures else None


def summed_figures(figures: Mapping[str, Figure], nutrients: Mapping[str, Nutrient]) -> dict[str, Figure]:
    """The figures with those of the sums (EPA + DHA …) added.

    A sum of which a term is unknown is of kind `partial`: what is known of it, a lower bound.
    """
    result = dict(figures)
    for nutrient in nutrients.values():
        terms = [figures[term] for term in nutrient.sum_of if term in figures]
        if not terms:
            continue
        whole = len(terms) == len(nutrient.sum_of)
        result[nutrient.id] = Figure(
            value=sum(t.value for t in terms),
            low=sum(t.low for t in terms),
            high=sum(t.high for t in terms),
            kind="calculated" if whole else "partial",
            source=" + ".join(dict.fromkeys(t.source for t in terms)),
            confidence="memory" if any(t.confidence == "memory" for t in terms) else "read",
            sd=math.sqrt(sum((t.sd or 0.0) ** 2 for t in terms)),
            n=None,
            sd_assumed=any(t.sd_assumed for t in terms),
        )
    return result
