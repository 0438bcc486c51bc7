"""What to get, or to use less of: changes that make a mix possible, each planned as the command line would plan it."""

from collections.abc import Iterator, Sequence

from catalog.records import Catalog
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.assess.result import BUDGET
from optimizer.explain.candidates import candidates, every_candidate, species_on_hand
from optimizer.explain.relaxed_doses import relax_doses
from optimizer.explain.relaxed_rules import relax_own_rules
from optimizer.explain.remedy_search import MOST_THINGS, RemedyMix, RemedySearch
from optimizer.model.deadline import Deadline
from optimizer.model.solve import Choice
from optimizer.scenario.records import Item, Scenario
from optimizer.sheet.amount_words import amount_words, kitchen_of, words_in
from optimizer.sheet.reasons import Remedy

MOST_REMEDIES = 3
MOST_TRIED = 8
MOST_TO_START = 16  # things to get for who has next to nothing yet
NO_TIME = "Time ran out before all of it was tried together."
# where to look, how many things to get or to use less of, how many ways to tell
SEARCHES = (
    (candidates, MOST_THINGS, MOST_REMEDIES),
    (every_candidate, MOST_THINGS, MOST_REMEDIES),
    (candidates, MOST_TO_START, 1),
    (every_candidate, MOST_TO_START, 1),
)


def find_remedies(choice: Choice, catalog: Catalog, deadline: Deadline) -> tuple[tuple[Remedy, ...], str]:
    """Up to three ways that differ, and what was looked at: the person's own rules given up, where that alone helps;
    fewest things to get; where that is not enough, also less of what was to go in whole; more things only where few do
    not help."""
    scenario = choice.scenario
    found = [*relax_own_rules(scenario, catalog, deadline), *relax_doses(scenario, catalog, deadline)]
    before = assess(scenario, catalog, choice.amounts)
    told: list[frozenset[str]] = []
    looked_at: list[Item] = []
    short_of_money = any(miss.id == BUDGET for miss in before.misses)
    for pool, things, most in SEARCHES:
        # what has no price would only seem to keep a budget
        added = () if short_of_money else pool(scenario, catalog, before.misses)
        for opened in (False, True):
            if len(found) < min(2, most) and not deadline.is_over:
                search = RemedySearch(
                    scenario, catalog, added, opened, before, deadline, strangers(scenario, added), most_things=things
                )
                looked_at = [*added]
                for ids in told:
                    search.differ_from(ids)
                found += alternatives(search, most - len(found), told)
        if found:
            break
    note = f"{looked_at_words(looked_at)}{NO_TIME if deadline.is_over else ''}".strip()
    return tuple(found[:MOST_REMEDIES]), note


def strangers(scenario: Scenario, added: Sequence[Item]) -> list[str]:
    """Foods of animals of which nothing is on hand."""
    own = species_on_hand(scenario)
    return [item.id for item in added if not item.is_jar and item.food.species not in own]


def looked_at_words(items: Sequence[Item]) -> str:
    """What was tried, and so what was not."""
    jars = sum(item.is_jar for item in items)
    if not jars:
        return ""
    species = dict.fromkeys(item.food.species for item in items if not item.is_jar and item.food.species)
    foods = f" and {_counted(len(items) - jars, 'food')} ({', '.join(species)})" if species else ""
    return f"Tried: {_counted(jars, 'supplement')}{foods}. No other foods, and no other meat. "


def _counted(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def alternatives(search: RemedySearch, most: int, told: list[frozenset[str]]) -> Iterator[Remedy]:
    """The fewest changes that make a mix possible; then the fewest of which not all are those, and so on. What is
    given is put among `told`."""
    given = 0
    for _ in range(MOST_TRIED):
        ids = search.fewest()
        if not ids or given >= most:
            return
        mix = search.verified(ids)
        if mix:
            given += 1
            told.append(ids)
            yield remedy_of(mix, kitchen_of(search.before.items))
        search.differ_from(ids)


def remedy_of(mix: RemedyMix, kitchen: str) -> Remedy:
    """What is to be done, in words."""
    line = "; ".join(remedy_words(mix, [f"{got.item.food.name} ({words_in(got, kitchen)})" for got in mix.get]))
    return Remedy(changes_of(mix), None, line[0].upper() + line[1:] + ".", options=mix.options)


def changes_of(mix: RemedyMix) -> tuple[tuple[str, str], ...]:
    """What is changed, each with the amount that then goes in."""
    got = [(amount.item.id, amount_words(amount)) for amount in mix.get]
    return (*got, *((amount.item.id, _left_in(amount)) for amount, _ in mix.less))


def remedy_words(mix: RemedyMix, got: Sequence[str]) -> list[str]:
    """The parts of the sentence: what to get, in these words, and what to use less of."""
    words = ["get " + _listed(got)] if got else []
    for amount, before in mix.less:
        name = amount.item.food.name
        some = f"use {_left_in(amount)} of the {name}, not {before}"
        words.append(some if amount.count else f"leave out the {name}")
    return words


def _left_in(amount: Amount) -> str:
    return f"only {amount_words(amount)}" if amount.count else "none"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
