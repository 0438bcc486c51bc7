"""Linear sums over the columns of a draft, with a constant: what rows are made of."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from optimizer.model.problem import Draft, Row

NOTHING = 1e-9  # of a row's scale: less than this is nothing


@dataclass(frozen=True, slots=True)
class Affine:
    """`constant` plus so much for each unit of each column, by column number."""

    terms: Mapping[int, float] = field(default_factory=dict)
    constant: float = 0.0

    def __add__(self, other: "Affine") -> "Affine":
        terms = dict(self.terms)
        for j, value in other.terms.items():
            terms[j] = terms.get(j, 0.0) + value
        return Affine(terms, self.constant + other.constant)

    def __sub__(self, other: "Affine") -> "Affine":
        return self + other.times(-1.0)

    def times(self, factor: float) -> "Affine":
        """The sum so many times."""
        return Affine({j: factor * value for j, value in self.terms.items()}, factor * self.constant)

    def least(self, draft: Draft) -> float:
        """The least that it can be within the columns' bounds."""
        return draft.least(self.terms) + self.constant

    def most(self, draft: Draft) -> float:
        """The most that it can be within the columns' bounds."""
        return draft.most(self.terms) + self.constant


def at_most_zero_if(draft: Draft, row: Row, total: Affine, switch: int, whole: Affine | None = None) -> None:
    """The row by which a sum is at zero or below where a switch is 1; `whole` is what the row is a share of."""
    room = max(0.0, total.most(draft))
    if room > NOTHING * row.scale:
        whole = whole or Affine()
        terms = {**total.terms, switch: room}
        draft.row(row, terms, upper=room - total.constant, needs=whole.terms, need_constant=whole.constant)
