"""A trip and what is asked about it besides -> report. Whoever cancels gets what was found until then."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from optimizer.errors import Cancelled
from optimizer.market.breakeven import BreakEven, break_even
from optimizer.market.market_report import MarketReport
from optimizer.market.offers import Offer
from optimizer.market.price_ranges import read_price_range
from optimizer.market.substitutions import Substitution, substitution_of
from optimizer.market.sweep import PriceRange, Sweep, sweep, sweep_two
from optimizer.market.sweep_tables import PriceMap, price_map
from optimizer.market.trip import StoreAlone, Trip, each_store
from optimizer.model.deadline import Asked, never

MAP_COLUMNS = 30  # prices across a map, so that it fits a phone
Tell = Callable[[str, float], None]  # what is being done, and which share of it is done


@dataclass(frozen=True, slots=True)
class MarketQuestions:
    """What is asked: each store alone; break-even prices and substitutions, of these foods or (empty) of all; one price
    or two over a range, with so many prices of the second. Each single question gets `seconds`."""

    side_by_side: bool = False
    alternatives: bool = False
    foods: tuple[str, ...] = ()
    sweeps: tuple[PriceRange, ...] = ()
    rows: int = 24
    seconds: float = 10.0


def price_ranges_of(trip: Trip, texts: Sequence[str]) -> tuple[PriceRange, ...]:
    """The prices that `--sweep` names, of what may be bought here. Raises InputErrors."""
    buying = trip.buyer.buying
    offers = [offer for offer in buying.offers if offer.id in buying.packages]
    return tuple(read_price_range(text, offers) for text in texts)


def explore(
    trip: Trip, questions: MarketQuestions, tell: Tell = lambda *_: None, cancelled: Asked = never
) -> MarketReport:
    """The report of a trip. What is asked about a trip that found nothing is left unanswered. `tell` hears how far it
    is, and after each single question `cancelled` is asked whether to stop."""
    report = _Findings(trip)
    if trip.best is None:
        return report.report()

    def told(doing: str, share: float) -> None:
        tell(doing, share)
        if cancelled():
            raise Cancelled

    try:
        if questions.side_by_side:
            report.doing = "stores side by side"
            _each_store(trip, questions, report, told)
        if questions.alternatives:
            report.doing = "break-even prices"
            _alternatives(trip, questions, report, told)
        if questions.sweeps:
            report.doing = "the sweep"
            _sweeps(trip, questions, report, told)
    except Cancelled:
        report.unfinished.append(f"{report.doing}; what was found until then is above")
    return report.report()


class _Findings:
    """What has been found so far."""

    def __init__(self, trip: Trip) -> None:
        self.trip = trip
        self.doing = ""
        self.alone: list[StoreAlone] | None = None
        self.break_evens: list[BreakEven] | None = None
        self.substitutions: list[Substitution] = []
        self.sweep: Sweep | None = None
        self.map: PriceMap | None = None
        self.unfinished: list[str] = []

    def report(self) -> MarketReport:
        """As a record."""
        return MarketReport(
            trip=self.trip,
            alone=None if self.alone is None else tuple(self.alone),
            break_evens=None if self.break_evens is None else tuple(self.break_evens),
            substitutions=tuple(self.substitutions),
            sweep=self.sweep,
            price_map=self.map,
            unfinished=tuple(self.unfinished),
        )


def _each_store(trip: Trip, questions: MarketQuestions, report: _Findings, tell: Tell) -> None:
    report.alone = []
    stores = len({offer.store for offer in trip.buyer.buying.offers})
    for alone in each_store(trip, questions.seconds):
        report.alone.append(alone)
        tell(report.doing, len(report.alone) / stores)


def asked_offers(trip: Trip, foods: Sequence[str]) -> list[Offer]:
    """The offers that can be bought, of these foods or of all: those bought now first."""
    assert trip.best is not None
    offers = [o for o in trip.buyer.buying.offers if o.id in trip.buyer.buying.packages]
    asked = [o for o in offers if not foods or o.food.id in foods]
    bought = trip.best.counts
    return sorted(asked, key=lambda offer: offer.id not in bought)


def _alternatives(trip: Trip, questions: MarketQuestions, report: _Findings, tell: Tell) -> None:
    assert trip.best is not None
    report.break_evens = []
    offers = asked_offers(trip, questions.foods)
    for number, offer in enumerate(offers):
        found = break_even(trip.buyer, trip.best, offer, questions.seconds)
        report.break_evens.append(found)
        substitution = substitution_of(trip, found, questions.seconds)
        if substitution is not None:
            report.substitutions.append(substitution)
        tell(report.doing, (number + 1) / len(offers))


def _sweeps(trip: Trip, questions: MarketQuestions, report: _Findings, tell: Tell) -> None:
    first = questions.sweeps[0]
    if len(questions.sweeps) == 1:
        report.sweep = sweep(trip.buyer, first, questions.seconds, lambda share: tell(report.doing, share))
        if not report.sweep.complete:
            report.unfinished.append("the sweep; prices that were not looked at are left out")
        return
    second = questions.sweeps[1]
    rows = list(
        sweep_two(trip.buyer, first, second, questions.rows, questions.seconds, lambda share: tell(report.doing, share))
    )
    complete = len(rows) == questions.rows
    if rows:
        report.map = price_map(trip.buyer.buying, first, second, rows, MAP_COLUMNS, complete)
    if not complete:
        report.unfinished.append(f"the sweep after {len(rows)} of {questions.rows} prices of {second.label}")
