"""Everything that one run of `weighout market` found."""

from dataclasses import dataclass
from datetime import date

from optimizer.market.breakeven import BreakEven
from optimizer.market.substitutions import Substitution
from optimizer.market.sweep import Sweep
from optimizer.market.sweep_tables import PriceMap, SweepRow, sweep_rows
from optimizer.market.trip import StoreAlone, Trip


@dataclass(frozen=True)
class MarketReport:
    """A trip, and what was asked about it; None for what was not asked. `unfinished` names what was interrupted."""

    trip: Trip
    alone: tuple[StoreAlone, ...] | None = None
    break_evens: tuple[BreakEven, ...] | None = None
    substitutions: tuple[Substitution, ...] = ()
    sweep: Sweep | None = None
    price_map: PriceMap | None = None
    unfinished: tuple[str, ...] = ()

    @property
    def never_bought(self) -> tuple[str, ...]:
        """The names of what is on sale and on hand in any amount needed, so that none is ever bought."""
        buying = self.trip.buyer.buying
        return tuple(dict.fromkeys(o.food.name for o in buying.offers if o.id not in buying.packages))

    @property
    def price_days(self) -> tuple[date, date] | None:
        """The first and the last day of the prices; None where none has a date."""
        days = [offer.line.day for offer in self.trip.buyer.buying.offers if offer.line.day]
        return (min(days), max(days)) if days else None

    @property
    def sweep_rows(self) -> tuple[SweepRow, ...]:
        """The sweep of one price as rows."""
        return sweep_rows(self.trip.buyer.buying, self.sweep) if self.sweep else ()
