"""A batch again, with this much meat: last time's doses in proportion, assessed, and corrected where they miss."""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction

from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from catalog.units.quantities import Rate, convert, read_quantity, rule_of_three, write_count, write_mass
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.assess.result import Miss
from optimizer.journal.recipes import ON_HAND_ROLES, Data, recipe_of
from optimizer.journal.records import BatchLine, BatchPage, JournalFault
from optimizer.planning import plan
from optimizer.scenario.aims import COST, USUAL
from optimizer.scenario.items import DEFAULT_STEPS
from optimizer.scenario.records import Item, Scenario
from optimizer.sheet.sheet import Sheet

DOSES = ("at_least", "at_most", "exactly")


@dataclass(frozen=True, slots=True)
class RepeatedLine:
    """One line of the batch: last time, in proportion to this meat, and now, with the reason where they differ.

    `misses` are the limits that would not be kept if this one dose stayed in proportion.
    """

    id: str
    name: str
    last: str
    scaled: str
    now: str
    changed: bool
    misses: tuple[Miss, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Repetition:
    """The new plan beside the recorded batch.

    `factor` is this meat by last time's meat, `data` the new scenario's data, `as_scaled` the limits that last
    time's doses in proportion would miss; `dropped` says what of last time's scenario was left out.
    """

    batch: int
    title: str
    made_on: str
    factor: float
    data: Data
    sheet: Sheet
    as_scaled: tuple[Miss, ...]
    changes: tuple[RepeatedLine, ...]
    dropped: tuple[str, ...]


def repeat(page: BatchPage, meat_grams: Fraction, system: str, catalog: Catalog) -> Repetition:
    """The batch of a page with so much meat: each cut, and what is stirred in, by the same factor, the doses as
    near as can be to last time's in proportion. `system` (metric or us) is how masses are written.

    Raises JournalFault or InputErrors when that is no batch.
    """
    used = {line.food: line for line in page.lines if line.grams > 0}
    cuts = [line for line in used.values() if line.food in _on_hand(page)]
    last_meat = sum((Fraction(line.grams) for line in cuts if _is_meat(page, line)), Fraction())
    if last_meat <= 0:
        raise JournalFault(f"batch {page.batch.number} holds no meat, so its doses cannot be put in proportion.")
    factor = meat_grams / last_meat
    data, dropped = _data(page, used, factor, last_meat, system)
    file = f"batch {page.batch.number}"
    plain = recipe_of({**data, "aim": COST}, file, Lines({}), catalog).scenario
    scaled = {item.id: _in_proportion(item, used[item.id], last_meat, meat_grams) for item in _doses(plain, used)}
    data["usual"] = {id_: text for id_, text in scaled.items() if text}
    data["aim"] = USUAL if data["usual"] else COST
    scenario = recipe_of(data, file, Lines({}), catalog).scenario
    sheet = plan(scenario, catalog)
    now = {line.id: line.text for line in sheet.lines}
    as_scaled = _assessed(scenario, catalog, {**_cut_texts(scenario), **scaled})
    changes = _changes(scenario, catalog, used, scaled, now)
    return Repetition(
        page.batch.number,
        page.batch.title,
        page.batch.made_on,
        float(factor),
        data,
        sheet,
        as_scaled,
        tuple(changes),
        tuple(dropped),
    )


def _on_hand(page: BatchPage) -> set[str]:
    """The ids of a batch that stood under `on_hand`; what was added while weighing is told by its role."""
    listed = {entry["food"] for entry in page.scenario.get("on_hand", []) if isinstance(entry, dict)}
    jars = {entry["supplement"] for entry in page.scenario.get("supplements", []) if isinstance(entry, dict)}
    return listed | {line.food for line in page.lines if line.role in ON_HAND_ROLES and line.food not in jars}


def _is_meat(page: BatchPage, line: BatchLine) -> bool:
    return any(amount["id"] == line.food and amount["counts_as"] == "meat" for amount in page.sheet["amounts"])


def _data(
    page: BatchPage, used: Mapping[str, BatchLine], factor: Fraction, meat: Fraction, system: str
) -> tuple[Data, list[str]]:
    """The batch's scenario with everything on hand settled in proportion, and its jars open."""
    data: Data = deepcopy(dict(page.scenario))
    dropped = []
    for key, why in (("meat_at_least", ""), ("budget", "the budget of last time"), ("water", "")):
        if data.pop(key, None) is not None and why:
            dropped.append(why)
    on_hand = {entry["food"]: entry for entry in data.get("on_hand", [])}
    jars = {entry["supplement"]: entry for entry in data.get("supplements", [])}
    entries = []
    for id_, line in used.items():
        if id_ == "water":
            data["water"] = _mass(Fraction(line.grams) * factor, system)
        elif id_ in _on_hand(page):
            kept = {k: v for k, v in on_hand.get(id_, {"food": id_}).items() if k not in ("up_to", "step", *DOSES)}
            entries.append({**kept, "amount": _mass(Fraction(line.grams) * factor, system)})
        elif id_ not in jars:
            jars[id_] = {"supplement": id_}
    for id_, entry in jars.items():
        if "step" not in entry and id_ in used and (step := _step_used(used[id_].text)):
            entry["step"] = step
        if entry.pop("left", None) is not None:
            dropped.append(f"what was left of {entry['supplement']} then")
        if (exactly := entry.pop("exactly", None)) and not entry.get("measure") and not entry.get("step"):
            entry["measure"] = read_quantity(str(exactly).split(" per ")[0]).unit
        for key in ("at_least", "at_most"):
            if key in entry and " per " not in entry[key]:
                entry[key] = f"{entry[key]} per {float(meat):.3f} g"
    data["on_hand"], data["supplements"] = entries, list(jars.values())
    return data, dropped


def _step_used(text: str) -> str:
    """The step that was measured in, where it is finer than the default: 1/8 of "3/8 tsp"; else ""."""
    quantity = read_quantity(text)
    count = quantity.count
    if quantity.kind == "mass" or not (count / DEFAULT_STEPS.get(quantity.unit, Fraction(1))) % 1:
        return ""
    return f"{Fraction(1, count.denominator)} {quantity.unit}"


def _mass(grams: Fraction, system: str) -> str:
    """A mass that a scale shows: whole grams, tenths below 100 g; or tenths of an ounce."""
    if system == "us":
        return write_mass(max(grams, Fraction(3)), "us")
    return write_mass(round(grams) if grams >= 100 else max(round(grams, 1), Fraction(1, 10)), "metric")


def _doses(scenario: Scenario, used: Mapping[str, BatchLine]) -> list[Item]:
    return [item for item in scenario.items if item.is_supplement and item.id in used]


def _in_proportion(item: Item, line: BatchLine, last_meat: Fraction, meat: Fraction) -> str:
    """Last time's dose for this meat, to the nearest step that can be measured; "" where that is none."""
    count = item.units(read_quantity(line.text))
    step = item.step or DEFAULT_STEPS.get(item.unit, Fraction(1))
    dose = Rate(read_quantity(f"{_exact(count)} {item.unit}"), last_meat, line.text)
    step_quantity = read_quantity(f"{_exact(step)} {item.unit}")
    units = rule_of_three(dose, meat, step_quantity)
    return write_count(convert(read_quantity(f"{_exact(units)} {item.unit}"), item.unit), item.unit) if units else ""


def _exact(count: Fraction) -> str:
    """A count as text that is read back the same: "1 1/3", "2"."""
    whole, part = divmod(count, 1)
    return f"{whole} {part}" if whole and part else str(part or whole)


def _cut_texts(scenario: Scenario) -> dict[str, str]:
    return {item.id: item.text for item in scenario.items if item.fixed is not None}


def _assessed(scenario: Scenario, catalog: Catalog, texts: Mapping[str, str]) -> tuple[Miss, ...]:
    """The limits that these amounts miss; what has no text, or an empty one, is none."""
    amounts = [
        Amount(item, item.units(read_quantity(texts[item.id])) if texts.get(item.id) else Fraction())
        for item in scenario.items
    ]
    return assess(scenario, catalog, amounts).misses


def _changes(
    scenario: Scenario,
    catalog: Catalog,
    used: Mapping[str, BatchLine],
    scaled: Mapping[str, str],
    now: Mapping[str, str],
) -> list[RepeatedLine]:
    cuts = _cut_texts(scenario)
    kept = {(miss.id, miss.status) for miss in _assessed(scenario, catalog, now)}
    changes = []
    for item in scenario.items:
        before, text, planned = used.get(item.id), {**cuts, **scaled}.get(item.id, ""), now.get(item.id, "")
        if before is None and not planned:
            continue
        changed = item.is_supplement and _units(item, text) != _units(item, planned)
        misses: Sequence[Miss] = ()
        if changed:
            alone = _assessed(scenario, catalog, {**now, item.id: text})
            misses = [miss for miss in alone if (miss.id, miss.status) not in kept]
        last = before.text if before else ""
        reason = _reason(item, text, planned, misses, last) if changed else ""
        changes.append(RepeatedLine(item.id, item.food.name, last, text, planned, changed, tuple(misses), reason))
    return changes


def _units(item: Item, text: str) -> Fraction:
    return item.units(read_quantity(text)) if text else Fraction()


def _reason(item: Item, scaled: str, now: str, misses: Sequence[Miss], last: str) -> str:
    """Why a dose is not last time's in proportion."""
    if last and not scaled and not misses:
        return "in proportion it is less than can be measured"
    if not misses:
        return "not needed beside the other doses" if _units(item, now) < _units(item, scaled) else "with the others"
    words = {"short": "short", "over": "over its ceiling", "unknown": "unknown"}
    listed = ", ".join(f"{miss.name} {_percent(miss)} {words[miss.status]}" for miss in misses)
    return f"with {scaled or 'none of it'}: {listed}"


def _percent(miss: Miss) -> str:
    return f"{miss.percent:.1f} %" if miss.percent >= 0.1 else "less than 0.1 %"
