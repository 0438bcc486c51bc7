"""The tables of a scenario file that are about shopping: [market], [[offers]] and [rates] -> Market."""

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any

from pydantic import BeforeValidator, InstanceOf

from catalog.mistakes import Mistake, did_you_mean
from catalog.prices.lines import COLUMNS, PriceLine, read_line
from catalog.reading.toml_fields import (
    NotAllowed,
    TableFields,
    field_name,
    read_fields,
    short_text,
    shown,
    with_context,
)
from catalog.reading.toml_lines import Lines, Path_
from catalog.records import Catalog
from catalog.units.quantities import read_quantity, read_share
from optimizer.scenario.market import KIND_SHARE, NOTHING, Market, MeatShare

SIZES = ("meat", "energy", "days")


def read_meat(value: Any) -> Fraction:
    """A weight of meat, in grams. Raises QuantityError, NotAllowed."""
    quantity = read_quantity(value)
    if quantity.kind != "mass":
        raise NotAllowed("not a mass", 'a mass such as "12 lb" or "6 kg"')
    return quantity.amount


def read_energy(value: Any) -> Fraction:
    """Energy, in kilocalories: "9000 kcal". Raises NotAllowed."""
    match = re.fullmatch(r"([0-9]{1,7}(?:\.[0-9]+)?) ?kcal", value.strip()) if isinstance(value, str) else None
    if match and Fraction(match[1]) > 0:
        return Fraction(match[1])
    raise NotAllowed("no energy", 'kilocalories such as "9000 kcal"')


def _money(value: Any) -> Decimal:
    plain = isinstance(value, str | int) and not isinstance(value, bool)
    if plain and re.fullmatch(r"[0-9]{1,9}(\.[0-9]{1,2})?", str(value)):
        return Decimal(str(value)).quantize(NOTHING)
    raise NotAllowed("no amount of money", 'an amount such as "2.50", in the scenario\'s currency')


def _whole(value: Any) -> int:
    if isinstance(value, int) and not isinstance(value, bool) and 0 < value < 10_000:
        return value
    raise NotAllowed("no whole number", "a whole number above zero, without quotation marks")


def _names(value: Any) -> tuple[str, ...]:
    if isinstance(value, list) and value and all(isinstance(name, str) and name.strip() for name in value):
        return tuple(" ".join(name.split()) for name in value)
    raise NotAllowed("no list of names", 'a list such as ["Butcher", "Grocery"]')


def _of(value: Any, context: Mapping[str, Any]) -> str:
    """What a rule is about: a food, a tag, a species or a role that is known."""
    foods = context["catalog"].foods
    known = {*foods, *(tag for f in foods.values() for tag in (*f.tags, f.species, f.role) if tag)}
    if isinstance(value, str) and value in known:
        return value
    allowed = "a tag (liver, heart, bone), a species (turkey), a role (organ, fish, egg) or the id of a food"
    raise NotAllowed(f"no {value}", allowed, did_you_mean(str(value), known))


def _left_out(value: Any, context: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(_of(name, context) for name in _names(value))


class MarketTable(TableFields):
    """How to shop."""

    meat: Annotated[InstanceOf[Fraction] | None, BeforeValidator(read_meat)] = None
    energy: Annotated[InstanceOf[Fraction] | None, BeforeValidator(read_energy)] = None
    days: Annotated[int | None, BeforeValidator(_whole)] = None
    stores: Annotated[tuple[str, ...], BeforeValidator(_names)] = ()
    leave_out: Annotated[tuple[str, ...], with_context(_left_out)] = ()
    stores_at_most: Annotated[int | None, BeforeValidator(_whole)] = None
    visit_cost: Annotated[InstanceOf[Decimal], BeforeValidator(_money)] = NOTHING
    kinds_at_least: Annotated[int, BeforeValidator(_whole)] = 0
    kind_share: Annotated[InstanceOf[Fraction], BeforeValidator(read_share)] = KIND_SHARE


class ShareTable(TableFields):
    """A part of the meat."""

    of: Annotated[str | None, with_context(_of)] = None
    at_least: Annotated[InstanceOf[Fraction] | None, BeforeValidator(read_share)] = None
    at_most: Annotated[InstanceOf[Fraction] | None, BeforeValidator(read_share)] = None
    note: Annotated[str | None, BeforeValidator(short_text)] = None


def read_market(
    data: Mapping[str, Any], file: str, lines: Lines, catalog: Catalog, currency: str
) -> tuple[Market, list[Mistake]]:
    """What a scenario's data says about shopping, and what is wrong with it."""
    mistakes: list[Mistake] = []
    context = {"catalog": catalog, "currency": currency}

    def wrong(where: Path_, read: str, allowed: str, hint: str = "") -> None:
        mistakes.append(Mistake(file, lines[where], field_name(where), read, allowed, hint))

    def table(where: Path_, raw: Any, words: str) -> dict[str, Any]:
        if isinstance(raw, dict):
            return raw
        wrong(where, shown(raw), words)
        return {}

    def tables(where: Path_, raw: Any) -> list[tuple[Path_, dict[str, Any]]]:
        words = f"a list of tables, each headed [[{field_name(where)}]]"
        if not isinstance(raw, list):
            wrong(where, shown(raw), words)
            return []
        return [((*where, n), table((*where, n), entry, words)) for n, entry in enumerate(raw)]

    def fields(model: type[Any], where: Path_, raw: Mapping[str, Any]) -> Any:
        read, found = read_fields(model, raw, where, file, lines, context)
        mistakes.extend(found)
        return read

    raw = dict(table(("market",), data.get("market", {}), "a table headed [market]"))
    where_shares: Path_ = ("market", "shares")
    shares = [
        _share(fields(ShareTable, where, entry), entry, where, lines, wrong)
        for where, entry in tables(where_shares, raw.pop("shares", []))
    ]
    visits = _amounts(("market", "visits"), table(("market", "visits"), raw.pop("visits", {}), "a table"), wrong)
    top = fields(MarketTable, ("market",), raw)
    sizes = [size for size in SIZES if size in raw]
    if len(sizes) > 1:
        wrong(("market", sizes[1]), " and ".join(sizes), "one of " + ", ".join(SIZES))
    market = Market(
        meat_grams=top.meat,
        energy_kcal=top.energy,
        days=None if top.days is None else Fraction(top.days),
        stores=top.stores,
        leave_out=top.leave_out,
        stores_at_most=top.stores_at_most,
        visit_cost=top.visit_cost,
        visits=visits,
        kinds_at_least=top.kinds_at_least,
        kind_share=top.kind_share,
        shares=tuple(share for share in shares if share),
        rates=_rates(table(("rates",), data.get("rates", {}), "a table headed [rates]"), currency, wrong),
        offers=tuple(_offers(tables(("offers",), data.get("offers", [])), catalog, currency, file, lines, wrong)),
        lines={key: lines[("market", key)] for key in MarketTable.model_fields},
    )
    return market, mistakes


Wrong = Callable[..., None]


def _share(table: ShareTable, raw: Mapping[str, Any], where: Path_, lines: Lines, wrong: Wrong) -> MeatShare | None:
    if "of" not in raw:
        wrong((*where, "of"), "nothing", "what it is a share of: a tag, a species, a role or the id of a food")
    if not {"at_least", "at_most"} & set(raw):
        wrong((*where, "at_least"), "nothing", "at_least, at_most or both")
    if table.at_least is not None and table.at_most is not None and table.at_least > table.at_most:
        wrong((*where, "at_most"), shown(raw["at_most"]), f"not less than at_least, {raw['at_least']}")
    return MeatShare(table.of, table.at_least, table.at_most, lines[where]) if table.of else None


def _amounts(where: Path_, raw: Mapping[str, Any], wrong: Wrong) -> dict[str, Decimal]:
    found: dict[str, Decimal] = {}
    for name, value in raw.items():
        try:
            found[name] = _money(value)
        except NotAllowed as error:
            wrong((*where, name), f"{shown(value)} ({error})", error.allowed, error.hint)
    return found


def _rates(raw: Mapping[str, Any], currency: str, wrong: Wrong) -> dict[str, Fraction]:
    """What one unit of each other currency is worth in the scenario's."""
    found: dict[str, Fraction] = {}
    for code, value in raw.items():
        match = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?) ?([A-Z]{3})", value.strip()) if isinstance(value, str) else None
        if not re.fullmatch("[A-Z]{3}", code):
            wrong(("rates", code), f'the key "{code}"', 'a currency in three capital letters such as "EUR"')
        elif not match or match[2] != currency or not Fraction(match[1]):
            allowed = f'what 1 {code} is worth, such as "1.08 {currency or "USD"}"'
            wrong(("rates", code), shown(value), allowed, "" if currency else "The scenario states no currency.")
        else:
            found[code] = Fraction(match[1])
    return found


def _offers(
    tables: list[tuple[Path_, dict[str, Any]]], catalog: Catalog, currency: str, file: str, lines: Lines, wrong: Wrong
) -> list[PriceLine]:
    found = []
    for where, raw in tables:

        def complain(column: str, read: str, allowed: str, hint: str, where: Path_ = where) -> None:
            wrong((*where, column), read, allowed, hint)

        for key in set(raw) - set(COLUMNS):
            wrong((*where, key), f'the key "{key}"', "the keys " + ", ".join(COLUMNS), did_you_mean(key, COLUMNS))
        cells = {key: " ".join(str(raw[key]).split()) for key in COLUMNS if key in raw}
        line = read_line(cells, catalog, currency, complain, (file, lines[where]))
        if line:
            found.append(line)
    return found
