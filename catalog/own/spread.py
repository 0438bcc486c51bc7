"""How the amounts of a person's own entry are known, where it says so: the kind of each, its spread, its samples."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from catalog.mistakes import did_you_mean
from catalog.own.label_amounts import LabelAmount, read_label_amount
from catalog.own.schema import OwnEntry
from catalog.reading.figures import KINDS
from catalog.reading.toml_fields import shown
from catalog.records import Figure
from catalog.units.spelling import QuantityError

SPREAD = 'a standard deviation in the words of its amount, such as "0.4 mg"'


@dataclass(frozen=True, slots=True)
class LabelSpread:
    """The kind of one amount, empty where it is the entry's; its standard deviation, per what the amount is per,
    and its number of samples, None where the entry does not say."""

    kind: str = ""
    sd: LabelAmount | None = None
    n: int | None = None


def spreads(entry: OwnEntry, amounts: Mapping[str, LabelAmount]) -> dict[str, LabelSpread]:
    """What the tables kinds, spread and samples of an entry say, by nutrient id; mistakes go to the entry."""
    table = entry.table
    found: dict[str, LabelSpread] = {}
    for name, written in (("kinds", table.kinds), ("spread", table.spread), ("samples", table.samples)):
        for id_, value in written.items():
            if id_ not in table.amounts:
                allowed = "a nutrient that stands among the amounts"
                entry.wrong((name, id_), f'"{id_}"', allowed, did_you_mean(id_, table.amounts))
            elif id_ in amounts:
                before = found.get(id_, LabelSpread())
                found[id_] = READERS[name](entry, id_, value, before)
    return found


def _kind(entry: OwnEntry, id_: str, value: object, before: LabelSpread) -> LabelSpread:
    if value in KINDS:
        return replace(before, kind=str(value))
    entry.wrong(("kinds", id_), shown(value), ", ".join(KINDS), did_you_mean(str(value), KINDS))
    return before


def _sd(entry: OwnEntry, id_: str, value: object, before: LabelSpread) -> LabelSpread:
    try:
        sd = read_label_amount(value, entry.catalog.nutrients[id_], entry.forms)
    except QuantityError as error:
        entry.wrong(("spread", id_), f"{shown(value)} ({error})", SPREAD, error.hint)
        return before
    if sd.low != sd.high:
        entry.wrong(("spread", id_), f"{shown(value)} (a range)", SPREAD)
        return before
    return replace(before, sd=sd)


def _samples(entry: OwnEntry, id_: str, value: object, before: LabelSpread) -> LabelSpread:
    if isinstance(value, int) and not isinstance(value, bool) and value > 0:
        return replace(before, n=value)
    entry.wrong(("samples", id_), shown(value), "how many samples, a whole number above 0")
    return before


READERS = {"kinds": _kind, "spread": _sd, "samples": _samples}


def with_spread(figure: Figure, spread: LabelSpread, grams: float | None) -> Figure:
    """A figure with what the entry says of how it is known; `grams` is the mass that the entry's amounts are in."""
    mass = spread.sd.in_grams or grams if spread.sd else None
    if spread.sd is not None and mass is not None:
        figure = replace(figure, sd=spread.sd.value * 100 / mass, sd_assumed=False)
    return replace(figure, kind=spread.kind or figure.kind, n=spread.n)
