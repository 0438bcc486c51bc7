"""Scenarios made from the demo ones: taken as data, changed, read again or written as TOML."""

import json
import tomllib
from copy import deepcopy
from fractions import Fraction
from typing import Any

from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from catalog.units.quantities import Quantity
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.scenario.read import read_scenario
from optimizer.scenario.records import Scenario
from optimizer.sheet.sheet import ASSESSED, Sheet, make_sheet
from tests.conftest import SCENARIOS

Data = dict[str, Any]
Entry = dict[str, Any]

# What `plan` alone cannot satisfy: the two store scenarios are completed by `market`.
UNREACHED = {"bare-cupboard", "store-freezer-top-up", "store-week-of-turkey"}
NAMES = [path.stem for path in sorted(SCENARIOS.glob("*.toml"))]


def demo(name: str) -> Data:
    """A demo scenario as data of its own, free to be changed."""
    return tomllib.loads((SCENARIOS / f"{name}.toml").read_text(encoding="utf-8"))


def changed(data: Data, **values: Any) -> Data:
    """The same with some keys replaced; None drops a key."""
    return {key: value for key, value in {**deepcopy(data), **values}.items() if value is not None}


def entry(data: Data, id_: str) -> Entry:
    """The entry of one food or supplement."""
    entries = [*data["on_hand"], *data.get("supplements", [])]
    found: Entry
    [found] = [e for e in entries if id_ in (e.get("food"), e.get("supplement"))]
    return found


def scenario_of(data: Data, catalog: Catalog) -> Scenario:
    """The scenario, which has no mistakes."""
    scenario, mistakes = read_scenario(data, "altered.toml", Lines({}), catalog)
    assert mistakes == []
    assert scenario is not None
    return scenario


def as_written(scenario: Scenario, catalog: Catalog) -> Sheet:
    """The sheet of what is on hand in whole and of exact doses, as `check` has it; what would help is not asked."""
    amounts = [
        Amount(item, item.units(item.exactly) if isinstance(item.exactly, Quantity) else item.fixed or Fraction())
        for item in scenario.items
    ]
    return make_sheet(scenario, catalog, amounts, assess(scenario, catalog, amounts), ASSESSED, None)


def toml_text(data: Data) -> str:
    """The data as TOML: plain keys first, then tables and lists of tables."""
    tables = {
        k: v for k, v in data.items() if isinstance(v, dict) or (isinstance(v, list) and v and isinstance(v[0], dict))
    }
    lines = [_pair(key, value) for key, value in data.items() if key not in tables]
    for key, value in tables.items():
        if isinstance(value, dict):
            lines += ["", f"[{key}]", *(_pair(*pair) for pair in value.items())]
        else:
            for table in value:
                lines += ["", f"[[{key}]]", *(_pair(*pair) for pair in table.items())]
    return "\n".join(lines) + "\n"


def _pair(key: str, value: Any) -> str:
    return f"{key} = {json.dumps(value, ensure_ascii=False)}"


def written_back(data: Data, sheet: Sheet) -> Data:
    """The scenario with every amount as the sheet prints it, and nothing left open."""
    texts = {line.id: line.text for line in sheet.lines}
    on_hand = [{**_settled(e), "amount": texts[e["food"]]} for e in data["on_hand"] if e["food"] in texts]
    supplements = [
        {**_settled(e), "exactly": texts[e["supplement"]]}
        for e in data.get("supplements", [])
        if e["supplement"] in texts
    ]
    return changed(data, aim="cost", usual=None, on_hand=on_hand, supplements=supplements)


def _settled(found: Entry) -> Entry:
    return {k: v for k, v in found.items() if k not in ("amount", "up_to", "at_least", "at_most", "exactly")}
