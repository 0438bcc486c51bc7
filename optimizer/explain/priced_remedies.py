"""What would help, with prices: the fewest changes and the cheapest ones, each with its bill."""

from collections.abc import Iterator

from catalog.records import Catalog
from catalog.units.money import cents
from optimizer.assess.assessment import assess
from optimizer.explain.candidates import candidates, on_sale
from optimizer.explain.cheapest_remedy import CheapestRemedy, cheapest_remedy
from optimizer.explain.probe import SECONDS_A_PLAN
from optimizer.explain.relaxed_rules import relax_own_rules
from optimizer.explain.remedies import MOST_REMEDIES, changes_of, remedy_words
from optimizer.explain.remedy_bills import bill_of, bill_words, total_words
from optimizer.explain.remedy_search import RemedyMix, RemedySearch
from optimizer.market.known_prices import KnownPrices
from optimizer.model.deadline import Deadline
from optimizer.model.solve import Choice
from optimizer.model.solver import FOR_PACKAGES
from optimizer.sheet.reasons import Remedy

FEWEST, CHEAPEST, CHEAPEST_FOUND = "fewest", "cheapest", "cheapest_found"
MORE_TO_GET = 1  # another remedy of what has a known price is preferred to one of fewer changes by so many
LABELS = {FEWEST: "fewest", CHEAPEST: "cheapest", CHEAPEST_FOUND: "cheapest found in the time allowed"}
STOPPED = "Stopped before every way to help was looked at."
NO_TIME = "Time ran out before every way to help was looked at; allow more with --seconds."
NOT_PRICED = "No way to help was found that only takes what has a known price ({})."


def find_priced_remedies(
    choice: Choice, catalog: Catalog, prices: KnownPrices, deadline: Deadline
) -> tuple[tuple[Remedy, ...], str]:
    """Up to three ways that differ, with their bills, and a note on what was not looked at: the person's own rules
    given up where that alone helps, the fewest changes, the cheapest, and others. Whoever cancels gets what was found
    until then. The cheapest uses all of what is to go in whole, where any remedy does."""
    search = _PricedSearch(choice, catalog, prices, deadline)
    found: list[Remedy] = []
    for remedy in search.remedies():
        found.append(remedy)
        if len(found) == MOST_REMEDIES or deadline.cancelled():
            break
    return tuple(found), STOPPED if deadline.cancelled() else search.note


class _PricedSearch:
    """One search, within a time limit."""

    def __init__(self, choice: Choice, catalog: Catalog, prices: KnownPrices, deadline: Deadline) -> None:
        self.scenario, self.catalog, self.prices = choice.scenario, catalog, prices
        self.note = ""
        self._told: list[frozenset[str]] = []
        self._deadline = deadline
        self._before = assess(self.scenario, catalog, choice.amounts)
        added = candidates(self.scenario, catalog, self._before.misses)
        self.sold = on_sale(self.scenario, catalog, {offer.food.id for offer in prices.offers})
        known = {item.id for item in self.sold}
        self._unknown = [item for item in added if item.id not in known]

    def remedies(self) -> Iterator[Remedy]:
        """One after the other, the most telling first."""
        count = 0
        for remedy in relax_own_rules(self.scenario, self.catalog, self._deadline):
            count += 1
            yield remedy
        best = False
        for opened in (False, True):
            if count < 2 and self._left() > 0:
                for remedy, is_best in self._ways(opened, not best):
                    best |= is_best
                    count += 1
                    yield remedy

    def _ways(self, opened: bool, seek_best: bool) -> Iterator[tuple[Remedy, bool]]:
        """Remedies that differ, and whether each is the best in some way: the best ones, then others of what has a
        known price, then any."""
        unknown = {item.id for item in self._unknown}
        added = (*self.sold, *self._unknown)
        every = RemedySearch(
            self.scenario, self.catalog, added, opened, self._before, self._deadline, unknown, FOR_PACKAGES
        )
        known = RemedySearch(
            self.scenario, self.catalog, self.sold, opened, self._before, self._deadline, (), FOR_PACKAGES
        )
        for ids in self._told:
            every.differ_from(ids)
            known.differ_from(ids)
        fewest = every.fewest(self._at_most())
        if not fewest:
            return
        fewest_mix = every.verified(fewest)
        cheap = self._cheapest(known) if seek_best else None
        if seek_best and cheap is None and not opened:
            cheap = self._cheapest(
                RemedySearch(self.scenario, self.catalog, self.sold, True, self._before, self._deadline)
            )
        both = cheap is not None and len(cheap[0].ids) <= len(fewest)
        proven = (FEWEST,) if every.proven and seek_best else ()
        ways = [] if both else [(fewest, fewest_mix, proven)]
        if cheap is not None:
            best = CHEAPEST if cheap[0].proven else CHEAPEST_FOUND
            told = bill_of(cheap[1], self.prices).to_pay
            best = best if told <= cents(cheap[0].pay) else CHEAPEST_FOUND  # the plan may take another dose of a jar
            ways.append((cheap[0].ids, cheap[1], (*(proven if both else ()), best)))
        for ids, mix, best_ in ways:
            every.differ_from(ids)
            known.differ_from(ids)
            if mix:
                self._told.append(ids)
                yield self._remedy(mix, best_), bool(best_)
        for search in (known, every):
            while self._left() > 0 and (ids := search.fewest(self._at_most())):
                if search is known and len(ids) > len(fewest) + MORE_TO_GET:
                    break
                mix = search.verified(ids)
                known.differ_from(ids)
                every.differ_from(ids)
                if mix:
                    self._told.append(ids)
                    yield self._remedy(mix), False

    def _cheapest(self, search: RemedySearch) -> tuple[CheapestRemedy, RemedyMix] | None:
        """The cheapest remedy of what has a known price, weighed out within its packages."""
        if not self.sold or self._left() <= 0:
            return None
        found = cheapest_remedy(search, self.prices.offers, self._left())
        mix = search.verified(found.ids) if found is not None else None
        if found is None or mix is None:
            if self._left() > 0:
                self.note = NOT_PRICED.format(self._things())
            return None
        self.note = ""
        return found, mix

    def _remedy(self, mix: RemedyMix, best: tuple[str, ...] = ()) -> Remedy:
        bill = bill_of(mix, self.prices, best, len(self.sold))
        line = "; ".join(remedy_words(mix, bill_words(bill)))
        line = f"{self._label(best)}{line}." if best else f"{line[0].upper()}{line[1:]}."
        line += f" {total_words(bill)}" if bill.additions else ""
        return Remedy(changes_of(mix), bill.to_pay if bill.known else None, line, bill, mix.options)

    def _label(self, best: tuple[str, ...]) -> str:
        words = " and ".join(LABELS[each] for each in best).capitalize()
        looked_at = f" (of {self._things()} with a known price)" if best != (FEWEST,) else ""
        return f"{words}{looked_at}: "

    def _things(self) -> str:
        return "1 food or supplement" if len(self.sold) == 1 else f"{len(self.sold)} foods and supplements"

    def _left(self) -> float:
        if self._deadline.is_over and self.note != STOPPED:
            self.note = NO_TIME
        return 0.0 if self._deadline.is_over else self._deadline.left

    def _at_most(self) -> float:
        return max(0.01, min(SECONDS_A_PLAN, self._left()))
