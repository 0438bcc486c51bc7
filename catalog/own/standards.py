"""A person's own standards: limits under an id, from nothing or from a published standard with rows changed.

They stand in own-standards.toml, in the data folder or beside the scenario; the one beside the scenario comes last.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from catalog.kinds import Basis, MaximumKind
from catalog.mistakes import Mistake
from catalog.reading.standards import LIFE_STAGES
from catalog.reading.toml_fields import field_name, read_fields, shown
from catalog.reading.toml_lines import Lines, Path_, read_toml
from catalog.records import Catalog, Limit, Standard
from catalog.units.limits import read_limit, read_ratio
from catalog.units.quantities import QuantityError

WHAT = "a file of own standards"
ENTRIES = "standards"
KEY = "own-standard"
SOURCE = "A person's own limit, as a veterinarian or they themselves set it; the locator names who says so."
# Printed as its edition, so that every sheet, report and label of it says so.
EDITION = "own limits; a diet for an illness is a veterinarian's business"
RATIO = "calcium-phosphorus"


@dataclass(frozen=True, slots=True)
class _Place:
    """Where an entry stands, for its mistakes."""

    where: Path_
    file: str
    lines: Lines

    def mistake(self, key: str, read: str, allowed: str, hint: str = "") -> Mistake:
        path = (*self.where, key)
        return Mistake(self.file, self.lines[path], field_name(path), read, allowed, hint)


def lay_standards_over(catalog: Catalog, path: Path) -> tuple[Catalog, list[Mistake]]:
    """The catalog with the standards of one file that have no mistake, and every mistake in the file."""
    data, lines, mistakes = read_toml(path, WHAT)
    if mistakes:
        return catalog, mistakes
    return lay_data_over(catalog, data, str(path), lines)


def lay_data_over(catalog: Catalog, data: Mapping[str, Any], file: str, lines: Lines) -> tuple[Catalog, list[Mistake]]:
    """As `lay_standards_over`, for what has been read from TOML already."""
    allowed = f"entries headed [[{ENTRIES}]]"
    mistakes = [Mistake(file, lines[(key,)], key, f'the key "{key}"', allowed) for key in data if key != ENTRIES]
    entries = data.get(ENTRIES, [])
    if not isinstance(entries, list):
        return catalog, [*mistakes, Mistake(file, lines[(ENTRIES,)], ENTRIES, shown(entries), allowed)]
    catalog = replace(catalog, sources={**catalog.sources, KEY: SOURCE})
    for position, raw in enumerate(entries):
        place = _Place((ENTRIES, position), file, lines)
        if not isinstance(raw, dict):
            mistakes.append(Mistake(file, lines[place.where], field_name(place.where), shown(raw), allowed))
            continue
        found = _standards(raw, place, catalog, mistakes)
        catalog = replace(catalog, standards={**catalog.standards, **{(s.id, s.life_stage): s for s in found}})
    return catalog, sorted(mistakes, key=lambda mistake: mistake.line)


def _standards(raw: Mapping[str, Any], place: _Place, catalog: Catalog, mistakes: list[Mistake]) -> list[Standard]:
    """The standard of one entry for each life stage; none where something in it cannot be used."""
    from catalog.own.standards_schema import OwnStandardTable  # pydantic takes long to load

    entry = {key: value for key, value in raw.items() if key != "limits"}
    table, wrong = read_fields(OwnStandardTable, entry, place.where, place.file, place.lines, {"catalog": catalog})
    if table.id is None and "id" not in raw:
        wrong.append(place.mistake("id", "nothing", "an id of its own, lower-case words joined by hyphens"))
    if table.id and (known := catalog.standards.get((table.id, "adult"))) and known.file in ("", place.file):
        wrong.append(place.mistake("id", f'"{table.id}"', "an id that no standard has yet"))
    limits = raw.get("limits", [])
    if not isinstance(limits, list):
        wrong.append(place.mistake("limits", shown(limits), f"tables headed [[{ENTRIES}.limits]]"))
        limits = []
    changes: list[tuple[tuple[str, ...], Limit | None, str, _Place]] = []
    for position, row in enumerate(limits):
        at = _Place((*place.where, "limits", position), place.file, place.lines)
        change = _change(row, at, table.source or "", catalog, wrong)
        if change:
            changes.append((*change, at))
    mistakes += wrong
    if wrong or table.id is None:
        return []
    found: list[Standard] = []
    for stage in LIFE_STAGES:
        base = catalog.standards[table.from_, stage] if table.from_ else None
        kept = base.limits if base else ()
        for stages, limit, nutrient, at in changes:
            if stage in stages:
                kept = _changed(kept, limit, nutrient, stage, at, mistakes)
        energy = table.energy or (base.energy_method if base else "modified-atwater")
        note = " ".join(filter(None, (f"From {base.name}, {base.edition}." if base else "", table.note)))
        name = table.name or table.id
        found.append(Standard(table.id, name, EDITION, stage, tuple(kept), note, energy, place.file, table.from_ or ""))
    return found


def _change(
    row: Any, place: _Place, source: str, catalog: Catalog, mistakes: list[Mistake]
) -> tuple[tuple[str, ...], Limit | None, str] | None:
    """One row: the life stages it is for, the limit or None where one is dropped, and its nutrient."""
    from catalog.own.standards_schema import OwnLimitTable

    if not isinstance(row, dict):
        mistakes.append(
            Mistake(place.file, place.lines[place.where], field_name(place.where), shown(row), "a table of a limit")
        )
        return None
    table, wrong = read_fields(OwnLimitTable, row, place.where, place.file, place.lines, {"catalog": catalog})
    mistakes += wrong
    if table.nutrient is None:
        if "nutrient" not in row:
            mistakes.append(place.mistake("nutrient", "nothing", "a nutrient, such as phosphorus"))
        return None
    stages = (table.life_stage,) if table.life_stage else LIFE_STAGES
    ratio = table.nutrient == RATIO
    id_ = "calcium" if ratio else table.nutrient
    if table.drop:
        return stages, None, table.nutrient
    if table.at_least is None and table.at_most is None:
        mistakes.append(place.mistake("at_most", "nothing", "at_least, at_most or both, or drop = true"))
        return None
    bounds: dict[str, tuple[float, Basis]] = {}
    for key, written in (("at_least", table.at_least), ("at_most", table.at_most)):
        if written is None:
            continue
        try:
            if ratio:
                bounds[key] = (read_ratio(written), Basis.RATIO)
            else:
                bounds[key] = read_limit(written, catalog.nutrients[id_].unit, catalog.nutrients[id_].iu_per_ug)
        except QuantityError as error:
            mistakes.append(place.mistake(key, f"{shown(written)} ({error})", error.allowed, error.hint))
    bases = {basis for _, basis in bounds.values()}
    if len(bases) != 1:
        if bases:
            mistakes.append(place.mistake("at_most", shown(table.at_most), "the same basis as at_least"))
        return None
    limit = Limit(
        nutrient=id_,
        basis=bases.pop(),
        minimum=bounds["at_least"][0] if "at_least" in bounds else None,
        maximum=bounds["at_most"][0] if "at_most" in bounds else None,
        of="phosphorus" if ratio else "",
        source=f"{KEY}:{table.source or source or Path(place.file).name}",
        confidence="read",
        maximum_kind=MaximumKind.NUTRITIONAL if "at_most" in bounds else MaximumKind.NONE,
        note=table.note or "",
        file=place.file,
        line=place.lines[place.where],
    )
    return stages, limit, table.nutrient


def _changed(
    limits: Sequence[Limit], own: Limit | None, nutrient: str, stage: str, place: _Place, mistakes: list[Mistake]
) -> tuple[Limit, ...]:
    """The limits with one bound or both replaced, or with all rows of a nutrient dropped.

    A bound that is not written stays as it was; then the two must still leave room.
    """
    if own is None:
        ratio = nutrient == RATIO
        id_ = "calcium" if ratio else nutrient
        return tuple(old for old in limits if (old.nutrient, old.basis == Basis.RATIO) != (id_, ratio))
    found: list[Limit] = []
    placed = False
    for old in limits:
        if (old.nutrient, old.basis, old.of) == (
            own.nutrient,
            own.basis,
            own.of,
        ) and not old.is_legal:
            own = replace(
                own,
                minimum=old.minimum if own.minimum is None else own.minimum,
                maximum=old.maximum if own.maximum is None else own.maximum,
                condition=None,
            )
            old, placed = own, True
        found.append(old)
    if own.minimum is not None and own.maximum is not None and own.minimum > own.maximum:
        other = next(one for one in LIFE_STAGES if one != stage)
        read = f"{own.nutrient} at least {own.minimum:g} and at most {own.maximum:g} in {stage}"
        allowed = "a lower at_least besides, which is written here too"
        hint = f'Write life_stage = "{other}" where it is not for {stage}.'
        mistakes.append(place.mistake("at_most", read, allowed, hint))
    return tuple(found if placed else [*found, own])
