"""What is done to meat before it is weighed, and what that takes of it: frozen records and nothing else."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Loss:
    """The share (0 to 1) of a nutrient that a treatment takes, with the range of it and who says so."""

    nutrient: str
    share: float
    share_low: float
    share_high: float
    source: str
    confidence: str
    note: str


@dataclass(frozen=True, slots=True)
class Treatment:
    """Thawing, freezing or cooking at home. `name` says it in a sentence ("thaw juice poured off"); what `cooks` must
    not be done to bone."""

    id: str
    name: str
    cooks: bool
    losses: tuple[Loss, ...]
