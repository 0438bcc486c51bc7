"""The tables [[cats]] and [portions] of a scenario file -> Cat and Packing, with every mistake in them."""

import re
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, InstanceOf, StrictBool, StrictStr

from catalog.bounds import DAY, read_day
from catalog.mistakes import Mistake
from catalog.reading.toml_fields import NotAllowed, TableFields, field_name, read_fields, short_text, shown
from catalog.reading.toml_lines import Lines, Path_
from catalog.units.quantities import Quantity, read_quantity, read_share
from optimizer.scenario.cats import Cat, Packing

GRAMS_PER_ML = 1.0  # of a ground wet mix, where a scoop was not weighed: assumed, no source
LEAST_KG, MOST_KG = Fraction(1, 20), Fraction(20)  # outside of it a weight is a slip of the pen
WEEKS = 7
MASS = 'a mass such as "60 g" or "2 oz"'


def _weight(value: Any) -> float:
    quantity = read_quantity(value)
    if quantity.kind == "mass" and LEAST_KG <= quantity.amount / 1000 <= MOST_KG:
        return float(quantity.amount / 1000)
    raise NotAllowed("no weight of a cat", 'a weight from 50 g to 20 kg, such as "4.2 kg" or "9 lb 4 oz"')


def _grams(value: Any) -> float:
    quantity = read_quantity(value, allowed=MASS)
    if quantity.kind != "mass":
        raise NotAllowed("not a mass", MASS)
    return float(quantity.amount)


def _scoop(value: Any) -> Quantity:
    quantity = read_quantity(value)
    if quantity.kind == "count":
        raise NotAllowed("neither a mass nor a volume", 'a scoop such as "60 g", "2 oz" or "1/4 cup"')
    return quantity


def _loss(value: Any) -> tuple[float, bool]:
    """A loss as an amount, and whether it is a share of the mix."""
    if isinstance(value, str) and not re.search(r"%|^\s*0?\.?\d+\s*$", value):
        return _grams(value), False
    share = float(read_share(value))
    if share < 0.5:
        return share, True
    raise NotAllowed("half the mix or more", 'a loss such as "1 %" or "40 g"')


def _whole(least: int, most: int) -> BeforeValidator:
    def read(value: Any) -> int:
        if isinstance(value, int) and not isinstance(value, bool) and least <= value <= most:
            return value
        raise NotAllowed("not such a number", f"a whole number from {least} to {most}, without quotation marks")

    return BeforeValidator(read)


def _kcal(value: Any) -> float:
    if isinstance(value, int | float) and not isinstance(value, bool) and 20 <= value <= 2000:
        return float(value)
    raise NotAllowed("no such energy", "kilocalories a day from 20 to 2000, a number without quotation marks")


def _part(value: Any) -> float:
    share = float(read_share(value))
    if share > 0:
        return share
    raise NotAllowed("no share", 'a share above zero, such as "80 %"')


def _day(value: Any) -> date:
    day = read_day(value)
    if day is None:
        raise NotAllowed("no date", DAY)
    return day


_OptionalGrams = Annotated[float | None, BeforeValidator(_grams)]
_OptionalWeight = Annotated[float | None, BeforeValidator(_weight)]
_Loss = Annotated[tuple[float, bool] | None, BeforeValidator(_loss)]


class CatTable(TableFields):
    """One cat."""

    name: Annotated[str | None, BeforeValidator(short_text)] = None
    weight: _OptionalWeight = None
    stage: Literal["adult", "kitten", "pregnant", "nursing"] = "adult"
    neutered: StrictBool = True
    activity: Literal["quiet", "active"] | None = None
    condition: Literal["lean", "normal", "overweight"] = "normal"
    mature_weight: _OptionalWeight = None
    kittens: Annotated[int | None, _whole(1, 10)] = None
    week: Annotated[int | None, _whole(1, WEEKS)] = None
    kcal_per_day: Annotated[float | None, BeforeValidator(_kcal)] = None
    share: Annotated[float, BeforeValidator(_part)] = 1.0
    note: StrictStr | None = None


class PortionsTable(TableFields):
    """Scoop, tray, bags and losses."""

    scoop: Annotated[InstanceOf[Quantity] | None, BeforeValidator(_scoop)] = None
    scoop_grams: _OptionalGrams = None
    tray: _OptionalGrams = None
    bag_days: Annotated[int, _whole(1, 14)] = 1
    meals: Annotated[int, _whole(1, 12)] = 2
    evaporation: _Loss = None
    sticking: _Loss = None
    feed_from: Annotated[date | None, BeforeValidator(_day)] = None
    note: StrictStr | None = None


def read_cats(
    data: Mapping[str, Any], file: str, lines: Lines
) -> tuple[tuple[Cat, ...], Packing | None, list[Mistake]]:
    """The cats and the packing of a parsed scenario; None where there is no table [portions]."""
    mistakes: list[Mistake] = []
    cats: list[Cat] = []
    raw = data.get("cats", [])
    if not isinstance(raw, list):
        mistakes.append(Mistake(file, lines[("cats",)], "cats", shown(raw), "a list of tables, each headed [[cats]]"))
        raw = []
    for position, table in enumerate(raw):
        cat = _cat(table, position, file, lines, mistakes)
        if cat and cat.name in [known.name for known in cats]:
            where: Path_ = ("cats", position, "name")
            mistakes.append(Mistake(file, lines[where], field_name(where), shown(cat.name), "a name for each cat"))
        elif cat:
            cats.append(cat)
    return tuple(cats), _packing(data.get("portions"), file, lines, mistakes), mistakes


def _cat(table: Any, position: int, file: str, lines: Lines, mistakes: list[Mistake]) -> Cat | None:
    where: Path_ = ("cats", position)

    def mistake(key: str, read: str, allowed: str) -> None:
        mistakes.append(Mistake(file, lines[(*where, key)], field_name((*where, key)), read, allowed))

    if not isinstance(table, dict):
        mistakes.append(Mistake(file, lines[where], field_name(where), shown(table), "a table headed [[cats]]"))
        return None
    fields, wrong = read_fields(CatTable, table, where, file, lines, {})
    mistakes += wrong
    if "weight" not in table:
        mistake("weight", "nothing", 'the weight of the cat, such as "4.2 kg"')
    needs = {"kitten": ("mature_weight",), "nursing": ("kittens", "week")}.get(fields.stage, ())
    for key in ("mature_weight", "kittens", "week"):
        if key in needs and key not in table and fields.kcal_per_day is None:
            mistake(key, "nothing", f"{key} for stage = {shown(fields.stage)}, or kcal_per_day")
        elif key in table and key not in needs:
            mistake(key, shown(table[key]), f"no {key} for stage = {shown(fields.stage)}")
    if fields.mature_weight and fields.weight and fields.mature_weight < fields.weight:
        mistake("mature_weight", shown(table["mature_weight"]), "the weight it will reach, not less than its weight")
    if fields.weight is None or wrong:
        return None
    return Cat(
        name=fields.name or f"cat {position + 1}",
        weight_kg=fields.weight,
        stage=fields.stage,
        neutered=fields.neutered,
        activity=fields.activity,
        condition=fields.condition,
        mature_kg=fields.mature_weight,
        kittens=fields.kittens,
        week=fields.week,
        kcal_per_day=fields.kcal_per_day,
        share=fields.share,
    )


def _packing(table: Any, file: str, lines: Lines, mistakes: list[Mistake]) -> Packing | None:
    if table is None:
        return None
    where: Path_ = ("portions",)
    if not isinstance(table, dict):
        mistakes.append(Mistake(file, lines[where], "portions", shown(table), "a table headed [portions]"))
        return None
    fields, wrong = read_fields(PortionsTable, table, where, file, lines, {})
    mistakes += wrong
    scoop, weighed = fields.scoop, fields.scoop_grams
    if weighed is not None and (scoop is None or scoop.kind != "volume") and not wrong:
        key = (*where, "scoop_grams")
        allowed = 'scoop_grams only beside a scoop that is a volume, such as scoop = "1/4 cup"'
        mistakes.append(Mistake(file, lines[key], field_name(key), shown(table["scoop_grams"]), allowed))
    by_volume = scoop is not None and scoop.kind == "volume"
    scoop_g = weighed if by_volume and weighed else float(scoop.amount) * GRAMS_PER_ML if scoop else None
    return Packing(
        scoop_g=scoop_g,
        scoop_text=scoop.text if scoop else "",
        scoop_assumed=by_volume and weighed is None,
        tray_g=fields.tray,
        tray_text=str(table.get("tray", "")) if fields.tray else "",
        bag_days=fields.bag_days,
        meals=fields.meals,
        evaporation=fields.evaporation[0] if fields.evaporation else None,
        evaporation_is_share=fields.evaporation[1] if fields.evaporation else True,
        sticking=fields.sticking[0] if fields.sticking else None,
        sticking_is_share=fields.sticking[1] if fields.sticking else True,
        feed_from=fields.feed_from,
    )
