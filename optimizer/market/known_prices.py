"""The known prices of what could be added to a batch."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from optimizer.market.offers import Offer


@dataclass(frozen=True, slots=True)
class KnownPrices:
    """The known prices of what could be added: offers, priced in one currency."""

    currency: str
    offers: "Sequence[Offer]"
