"""Writes a person's own entry to the end of a file of own foods, once all of it has been found right."""

import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from catalog.mistakes import Mistake
from catalog.outputs import replace_file
from catalog.own.overlay import WHAT, lay_over_data
from catalog.reading.toml_lines import Lines, parse_toml, read_toml
from catalog.records import Catalog, Food

HEAD = """# Own foods and supplement labels, laid over the catalog: weighed out and planned with like its own foods.
# Each has a table [[foods]]. `weighout foods add` writes one; `weighout foods show ID` prints how it is counted.
"""


def entry_text(entry: Mapping[str, Any]) -> str:
    """An entry as TOML: a table [[foods]] with its texts and lists, then its tables."""
    plain = {key: value for key, value in entry.items() if not isinstance(value, Mapping)}
    lines = ["[[foods]]", *(f"{_key(key)} = {_value(value)}" for key, value in plain.items())]
    for key, table in entry.items():
        if isinstance(table, Mapping) and table:
            lines += [f"[foods.{_key(key)}]", *(f"{_key(name)} = {_value(text)}" for name, text in table.items())]
    return "\n".join(lines) + "\n"


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _value(key)


def _value(value: Any) -> str:
    """A text, a whole number or a list of texts; TOML reads what JSON escapes, but for the delete character."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


PROBE = {"id": "a-food", "name": "a food", "role": "supplement", "counts_as": "non-meat", "per": "1 kg"}


def answer_mistakes(catalog: Catalog, **answer: Any) -> list[Mistake]:
    """What is wrong with one answer, such as per="2 capsules", in an entry that is otherwise right."""
    entry = {**PROBE, "amounts": {"taurine": "1 mg", "iodine": "1 ug"}, **answer}
    _, mistakes = lay_over_data(catalog, {"foods": [entry]}, "your answer", Lines({}))
    return [_as_asked(mistake, entry) for mistake in mistakes]


def add_entry(
    catalog: Catalog, entry: Mapping[str, Any], path: Path, replaces: bool = False
) -> tuple[Food | None, list[Mistake]]:
    """As `add_entries`, for one: its food, or None with the mistakes."""
    foods, mistakes = add_entries(catalog, [entry], path, replaces)
    return (foods[0] if foods else None), mistakes


def add_entries(
    catalog: Catalog, entries: Sequence[Mapping[str, Any]], path: Path, replaces: bool = False
) -> tuple[list[Food], list[Mistake]]:
    """The foods of entries that were written to the end of `path`; none, with the mistakes, when nothing was.

    `catalog` has the other own files laid over it, not `path`. An id that stands in `path` is never written
    again, one that the catalog has only where `replaces` is set. Raises OSError.
    """
    old, mistakes = _old_text(path)
    laid = catalog
    if old:
        data, lines, mistakes = parse_toml(old, str(path))
        laid, wrong = lay_over_data(catalog, data, str(path), lines)
        mistakes += wrong
    if mistakes:
        return [], mistakes
    for entry in entries:
        _, wrong = lay_over_data(laid, {"foods": [entry]}, "command line", Lines({}))
        mistakes += [_as_asked(mistake, entry, entries) for mistake in wrong]
    ids = [str(entry.get("id")) for entry in entries]
    for id_ in dict.fromkeys(ids):
        before = laid.foods.get(id_)
        if before and (before.file == str(path) or not replaces):
            there = f"another id: line {before.line} of {before.file} has it"
            allowed = there if before.file == str(path) else f"{there}; --replace lays this one over it"
            mistakes.append(Mistake("command line", 0, "id", f'"{id_}"', allowed))
        if ids.count(id_) > 1:
            mistakes.append(Mistake("command line", 0, "id", f'"{id_}" twice', "each id once"))
    if mistakes:
        return [], mistakes
    text = "\n".join([old or HEAD, *(entry_text(entry) for entry in entries)])
    data, lines, mistakes = parse_toml(text, str(path))
    if not mistakes:
        laid, mistakes = lay_over_data(catalog, data, str(path), lines)
    if mistakes:
        return [], mistakes
    replace_file(path, text.encode())
    return [laid.foods[id_] for id_ in ids], []


def _old_text(path: Path) -> tuple[str, list[Mistake]]:
    """What the file holds so far, ending with a line end; empty where there is none yet."""
    if not path.exists() or (path.is_file() and not path.stat().st_size):
        return "", []
    _, _, mistakes = read_toml(path, WHAT)
    return ("", mistakes) if mistakes else (path.read_text(encoding="utf-8-sig").rstrip("\n") + "\n", [])


def _as_asked(mistake: Mistake, entry: Mapping[str, Any], entries: Sequence[Mapping[str, Any]] = ()) -> Mistake:
    """A mistake in what was asked for: "foods[1].amounts.zinc" is "amounts.zinc", after its id where there are more."""
    field = mistake.field.removeprefix("foods[1].")
    field = f"{entry.get('id')}.{field}" if len(entries) > 1 else field
    return Mistake(mistake.file, 0, field, mistake.read, mistake.allowed, mistake.hint)
