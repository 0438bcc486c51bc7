"""What if: a scenario with something left out, added, set or capped, read again with the same checks."""

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from catalog.mistakes import Mistake, did_you_mean
from catalog.nutrition.refusals import refusal
from catalog.reading.names import food_hint, named_food
from catalog.records import Catalog, Food
from catalog.units.quantities import read_quantity
from catalog.units.spelling import QuantityError
from optimizer.scenario.aims import COST, SUREST
from optimizer.scenario.naming import COMMAND_LINE, one_meant
from optimizer.scenario.records import NoSuchMeasure, grams_of

MOST_OF_A_FOOD = Fraction(
    1, 10
)  # of what is on hand: how much of a food may go in that is put on hand without an amount
LISTS = (("on_hand", "food"), ("supplements", "supplement"))


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What to change: ids to leave out and to add, "id=amount" to set, and texts that replace the scenario's."""

    without: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    amounts: tuple[str, ...] = ()
    cap: str | None = None
    budget: str | None = None
    sure: str | None = None
    together: bool = False
    margin: str | None = None
    extra_cost: str | None = None
    aim: str | None = None
    standard: str | None = None

    @property
    def label(self) -> str:
        """The change in the words of the command line; empty when nothing is changed."""
        words = [f"without {id_}" for id_ in self.without] + [f"with {id_}" for id_ in self.added]
        words += list(self.amounts)
        words += [f"cap {self.cap}"] if self.cap else []
        words += [f"budget {self.budget}"] if self.budget else []
        words += [f"sure {self.sure}{' together' * self.together}"] if self.sure else []
        words += [f"margin {self.margin}"] if self.margin else []
        words += [f"extra cost {self.extra_cost}"] if self.extra_cost else []
        words += [self.aim] if self.aim else []
        words += [self.standard] if self.standard else []
        return ", ".join(words)


def altered(data: Mapping[str, Any], what_if: WhatIf, catalog: Catalog) -> tuple[dict[str, Any], list[Mistake]]:
    """The parsed scenario with the changes made, and what of them cannot be made.

    Ids may be shortened to a word of the one entry that is meant ("kelp").
    """
    changed = deepcopy(dict(data))
    shapes = {"usual": dict} | {key: list for key, _ in LISTS}
    if not all(isinstance(changed.get(key, shape()), shape) for key, shape in shapes.items()):
        return changed, []  # nothing can be changed in it; what is wrong is told when it is read
    mistakes: list[Mistake] = []
    if what_if.aim == SUREST and what_if.sure is None:  # instead of the chance that the file asks for
        for key in ("sure", "together"):
            changed.pop(key, None)
    elif what_if.sure is not None and what_if.aim is None and changed.get("aim") == SUREST:
        changed["aim"] = COST  # a chance instead of the surest
    for word in what_if.without:
        found = _entry(changed, word, "--without", mistakes)
        if found:
            entries, position, id_ = found
            entries[position] = None  # not deleted: the others keep their place, and so their line
            changed.get("usual", {}).pop(id_, None)
    for id_ in what_if.added:
        _add(changed, id_, "--with", {}, catalog, mistakes)
    for text in what_if.amounts:
        _set(changed, text, catalog, mistakes)
    for key, value in (
        ("non_meat_cap", what_if.cap),
        ("budget", what_if.budget),
        ("sure", what_if.sure),
        ("together", what_if.together or None),
        ("margin", what_if.margin),
        ("extra_cost", what_if.extra_cost),
        ("aim", what_if.aim),
    ):
        if value is not None:
            changed[key] = value
    if what_if.together and "sure" not in changed:
        mistakes.append(_wrong("--together", "alone", "--sure beside it, such as --sure 90%"))
        del changed["together"]  # told once
    if what_if.extra_cost is not None and changed.get("aim") != SUREST:
        mistakes.append(_wrong("--extra-cost", what_if.extra_cost, "the aim surest beside it: --aim surest"))
    if what_if.standard is not None:
        known = sorted({id_ for id_, _ in catalog.standards})
        if what_if.standard in known:
            changed["standard"] = what_if.standard
        else:
            hint = did_you_mean(what_if.standard, known)
            mistakes.append(_wrong("--standard", what_if.standard, ", ".join(known), hint))
    return changed, mistakes


def _set(data: dict[str, Any], text: str, catalog: Catalog, mistakes: list[Mistake]) -> None:
    """ "kelp=1/2 tsp": the exact dose of a supplement, or the amount of something on hand."""
    word, equals, amount = (part.strip() for part in text.partition("="))
    if not (word and equals and amount):
        mistakes.append(_wrong("--set", text, 'an id and an amount, such as "kelp=1/2 tsp"'))
        return
    if word in catalog.foods and not any(word == id_ for id_, _ in _ids(data)):
        _add(data, word, "--set", {"exactly": amount}, catalog, mistakes)
        return
    found = _entry(data, word, "--set", mistakes)
    if not found:
        return
    entries, position, _ = found
    entry = entries[position]
    for key in ("at_least", "at_most", "exactly", "up_to", "amount"):
        entry.pop(key, None)
    entry["amount" if "food" in entry else "exactly"] = amount


def _add(
    data: dict[str, Any], id_: str, option: str, more: Mapping[str, str], catalog: Catalog, mistakes: list[Mistake]
) -> None:
    refused = refusal(id_, catalog.cautions)
    named = named_food(id_, catalog)
    id_ = named.id if named else id_
    if named is None:
        allowed = f"a food that is safe for cats ({refused.text})" if refused else "an id that `weighout foods` lists"
        mistakes.append(_wrong(option, id_, allowed, "" if refused else food_hint(id_, catalog)))
    elif any(id_ == known for known, _ in _ids(data)):
        mistakes.append(_wrong(option, id_, "something that is not in the scenario already"))
    else:
        _append(data, catalog.foods[id_], more, catalog)


def _append(data: dict[str, Any], food: Food, more: Mapping[str, str], catalog: Catalog) -> None:
    """A jar goes among the supplements; food on hand, up to a share of the meat where no amount is named."""
    if food.role in ("supplement", "oil") or "fish-oil" in food.tags:
        data["supplements"] = [*data.get("supplements", []), {"supplement": food.id, **more}]
        return
    amount = (
        {"amount": more["exactly"]}
        if more
        else {"up_to": f"{float(MOST_OF_A_FOOD) * _meat_grams(data, catalog):.0f} g"}
    )
    data["on_hand"] = [*data.get("on_hand", []), {"food": food.id, **amount}]


def _meat_grams(data: Mapping[str, Any], catalog: Catalog) -> float:
    """What is on hand, in grams, as far as it can be read."""
    total = 0.0
    for entry in data.get("on_hand", []):
        try:
            food = catalog.foods[entry["food"]]
            total += float(grams_of(read_quantity(entry.get("amount", entry.get("up_to"))), food, {}))
        except (KeyError, NoSuchMeasure, TypeError, QuantityError):
            continue  # what cannot be read is told when the scenario is
    return total


def _entry(
    data: Mapping[str, Any], word: str, option: str, mistakes: list[Mistake]
) -> tuple[list[Any], int, str] | None:
    """The list, position and id of the one entry that is meant by its id or a word of it."""
    places = dict(_ids(data))
    id_ = one_meant(word, list(places), option, "the id of something in the scenario", mistakes)
    if not id_:
        return None
    key, position = places[id_]
    return data[key], position, id_


def _ids(data: Mapping[str, Any]) -> list[tuple[str, tuple[str, int]]]:
    """The id of each entry with the list and position it stands in."""
    found = []
    for key, name in LISTS:
        entries = data.get(key, [])
        for position, entry in enumerate(entries if isinstance(entries, list) else []):
            if isinstance(entry, dict) and isinstance(entry.get(name), str):
                found.append((entry[name], (key, position)))
    return found


def _wrong(option: str, read: str, allowed: str, hint: str = "") -> Mistake:
    return Mistake(COMMAND_LINE, 0, option, f'"{read}"', allowed, hint)
