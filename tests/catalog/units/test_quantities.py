"""Which texts are quantities, which are refused and why, and that no text does anything else."""

import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.units.limits import read_limit
from catalog.units.money import read_price
from catalog.units.quantities import (
    Quantity,
    QuantityError,
    canonical_unit,
    convert,
    read_quantity,
    read_rate,
    read_share,
    write_count,
)
from catalog.units.spelling import plural

F = Fraction
LB = Fraction("453.59237")


@pytest.fixture(autouse=True, scope="module")
def units_loaded() -> None:
    """Loads the units before hypothesis measures how long one example takes."""
    read_quantity("1 g")


@pytest.mark.parametrize(
    ("text", "kind", "count", "unit"),
    [
        ("1.1 kg", "mass", F(11, 10), "kg"),
        ("0.1 g", "mass", F(1, 10), "g"),
        ("450g", "mass", F(450), "g"),
        ("1 lb", "mass", F(1), "lb"),
        ("2 Pounds", "mass", F(2), "lb"),
        ("2 lbs.", "mass", F(2), "lb"),
        ("12 1/4 ounces", "mass", F(49, 4), "oz"),
        ("250 µg", "mass", F(250), "ug"),
        ("250 μg", "mass", F(250), "ug"),
        ("250 mcg", "mass", F(250), "ug"),
        ("1 stone", "mass", F(1), "stone"),
        ("2 lb 3 oz", "mass", 2 + F(3, 16), "lb"),
        ("2 lb. 3 oz.", "mass", 2 + F(3, 16), "lb"),
        ("3 packages of 1.1 kg", "mass", F(33, 10), "kg"),
        ("3 trays of 1 lb 8 oz", "mass", F(9, 2), "lb"),
        ("3 x 1.1 kg", "mass", F(33, 10), "kg"),
        ("3 × 450 g", "mass", F(1350), "g"),
        ("3x450g", "mass", F(1350), "g"),
        ("1 1/4 tsp", "volume", F(5, 4), "tsp"),
        ("1¼ tsp", "volume", F(5, 4), "tsp"),
        ("1 ¼ tsp", "volume", F(5, 4), "tsp"),
        ("¼tsp", "volume", F(1, 4), "tsp"),
        ("⅓ cup", "volume", F(1, 3), "cup"),
        ("2 cups", "volume", F(2), "cup"),
        ("500 ml", "volume", F(500), "ml"),
        ("1 l", "volume", F(1), "l"),
        ("4 fl. oz.", "volume", F(4), "fl oz"),
        ("1 tbsp 1 tsp", "volume", F(4, 3), "tbsp"),
        ("1/2 capsule", "count", F(1, 2), "capsule"),
        ("½ capsule", "count", F(1, 2), "capsule"),
        ("2 Capsules", "count", F(2), "capsule"),
        ("1 pump stroke", "count", F(1), "pump stroke"),
        ("2 pump-strokes", "count", F(2), "pump stroke"),
        ("10 drops", "count", F(10), "drop"),
        ("3 egg yolks", "count", F(3), "egg yolk"),
        ("2 leaves", "count", F(2), "leaf"),
        ("1 dozen eggs", "count", F(12), "egg"),
        ("2 boxes of 60 tablets", "count", F(120), "tablet"),
        ("  2   eggs ", "count", F(2), "egg"),
    ],
)
def test_a_kitchen_quantity_is_read_exactly(text: str, kind: str, count: Fraction, unit: str) -> None:
    quantity = read_quantity(text)
    assert (quantity.kind, quantity.count, quantity.unit, quantity.text) == (kind, count, unit, text.strip())


def test_amounts_are_in_grams_millilitres_and_pieces() -> None:
    assert read_quantity("2 lb 3 oz").amount == LB * F(35, 16)
    assert read_quantity("1.1 kg").amount == 1100
    assert read_quantity("2 dl").amount == 200
    assert read_quantity("2 capsules").amount == 2


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("", "nothing is written"),
        ("  ", "nothing is written"),
        ("-2 kg", "negative"),
        ("−2 kg", "negative"),
        ("-½ tsp", "negative"),
        ("0 g", "above zero"),
        ("0 lb 0 oz", "above zero"),
        ("0 x 3 kg", "above zero"),
        ("nan kg", "does not begin with a number"),
        ("inf kg", "does not begin with a number"),
        ("kg", "does not begin with a number"),
        ("1,5 kg", "comma"),
        ("1,500 g", "comma"),
        (".5 g", "no digit before"),
        ("2 lb.3 oz", "no digit before"),
        ("1/0 tsp", "divides by zero"),
        ("11/4 tsp", "less than one"),
        ("1 5/4 tsp", "less than one"),
        ("1 0/4 tsp", "less than one"),
        ("1-2 tsp", "range"),
        ("5 – 10 g", "range"),
        ("1e3 g", "no unit"),
        ("5", "no unit after 5"),
        ("2 lb 3", "no unit after 3"),
        ("½5 tsp", "no unit after 1/2"),
        ("2 000 g", "no unit after 2"),
        ("1 lb 2 cups", "mixes mass and volume"),
        ("1 cup 2 oz", "mixes volume and mass"),
        ("1 egg 2 yolks", "counts twice"),
        ("1 lb 2 eggs", "mixes mass and count"),
        ("3 oz 2 lb", "large to small"),
        ("2 oz 2 oz", "large to small"),
        ("1 tsp 1 teaspoon", "large to small"),
        ("2 kg!", "cannot be read from"),
        ("1.5.2 kg", "cannot be read from"),
        ("1/2/3 kg", "cannot be read from"),
        ("2 kg liver", "more than a unit"),
        ("2 capsules per 10 lb", "more than a unit"),
        ("2 x 3 x 100 g", "more than a unit"),
        ("2 dozen packages of 100 g", "more than a unit"),
        ("3 lb of 2 kg", "no kind of package"),
        ("1 dozen", "a dozen of what"),
        ("1 dozen kg", "a dozen of what"),
        ("1 T", "could be tsp or tbsp"),
        ("9" * 101 + " kg", "too long"),
        (5, "no text with a unit"),
        (True, "no text with a unit"),
        (None, "no text with a unit"),
        (["1 kg"], "no text with a unit"),
    ],
)
def test_what_is_no_quantity_is_refused_with_a_reason(text: object, complaint: str) -> None:
    with pytest.raises(QuantityError, match=complaint) as caught:
        read_quantity(text)
    assert "2 lb 3 oz" in caught.value.allowed


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("1 kgg", "kg"),
        ("3 ozs", "oz"),
        ("3 grms", "gram"),
        ("3 gms", "gram"),
        ("2 tsps", "tsp"),
        ("2 tblsp", "tbsp"),
        ("2 kgs", "kg"),
        ("3 gm", "g"),
        ("1 spoon", "teaspoon"),
    ],
)
def test_a_misspelt_unit_of_mass_or_volume_gets_a_hint_and_is_never_a_count(text: str, meant: str) -> None:
    with pytest.raises(QuantityError, match="is no unit") as caught:
        read_quantity(text)
    assert caught.value.hint.startswith("Did you mean")
    assert meant in caught.value.hint


@pytest.mark.parametrize(
    "thing",
    """egg yolk white shell capsule caplet tablet pill cap drop stroke pump squirt pinch pouch scoop sachet stick
    package bag tin can jar jug mug tub box bottle tray leg liver kidney heart neck gizzard piece slice leaf
    clove sprat sardine quarter half mussel oyster gel portion cube patty meal batch dash""".split(),
)
def test_things_to_count_are_not_taken_for_misspelt_units(thing: str) -> None:
    assert read_quantity(f"1 {thing}").unit == thing
    assert read_quantity(f"2 {plural(thing)}").unit == thing


def test_canonical_units_fold_case_plural_and_hyphen() -> None:
    assert [canonical_unit(w) for w in ("Lbs", "Pump-Strokes", "TSP", "berries", "pinches", "glass")] == [
        "lb",
        "pump stroke",
        "tsp",
        "berry",
        "pinch",
        "glass",
    ]


def test_a_quantity_converts_within_its_dimension_only() -> None:
    assert convert(read_quantity("2 tbsp"), "teaspoons") == 6
    assert convert(read_quantity("1 cup"), "tsp") == 48
    assert convert(read_quantity("1 lb"), "g") == LB
    assert convert(read_quantity("3 capsules"), "capsule") == 3
    for text, unit in (("1 cup", "g"), ("1 lb", "ml"), ("1 capsule", "tablet"), ("1 egg", "g")):
        with pytest.raises(QuantityError, match="cannot be given in"):
            convert(read_quantity(text), unit)


def test_importing_the_catalog_does_not_load_pint() -> None:
    code = "import sys, catalog.units.money; print('pint' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"


COUNTS = st.fractions(min_value=F(1, 1000), max_value=10_000, max_denominator=1000)


@given(st.integers(1, 50), st.integers(0, 63))
def test_a_mixed_amount_is_the_sum_of_its_terms(pounds: int, quarters: int) -> None:
    ounces = F(quarters, 4)
    mixed = read_quantity(f"{pounds} lb {write_count(ounces, 'oz')}")
    assert mixed.amount == pounds * LB + ounces * LB / 16
    assert mixed.unit == "lb"


@given(st.integers(1, 50), COUNTS)
def test_several_packages_weigh_a_multiple_of_one(packages: int, count: Fraction) -> None:
    one = write_count(count, "kg")
    assert read_quantity(f"{packages} packages of {one}").amount == packages * read_quantity(one).amount
    assert read_quantity(f"{packages} x {one}").amount == packages * read_quantity(one).amount


# Texts made of the pieces that the readers look for reach further into them than random characters do.
PIECES = st.lists(
    st.sampled_from("0 1 2 12 1/2 1/0 ½ . , - – / x × of per for kg lb oz tsp cup % $ € EUR egg dozen kcal dm".split()),
    max_size=9,
).map(" ".join)
TEXTS = st.one_of(st.text(), PIECES, PIECES.map(lambda t: t.replace(" ", "")))


@given(TEXTS)
def test_any_text_is_a_quantity_above_zero_or_a_quantity_error(text: str) -> None:
    try:
        quantity = read_quantity(text)
    except QuantityError:
        return
    assert isinstance(quantity, Quantity)
    assert quantity.amount > 0
    assert quantity.unit
    assert read_quantity(write_count(quantity.count, quantity.unit)).amount == quantity.amount


@pytest.mark.parametrize(
    "read",
    [read_rate, read_share, lambda t: read_price(t, "EUR"), lambda t: read_limit(t, "IU", 40.0)],
    ids=["rate", "share", "price", "limit"],
)
@given(text=TEXTS)
def test_any_text_is_read_or_refused_with_a_quantity_error(read: Callable[[str], object], text: str) -> None:
    try:
        result = read(text)
    except QuantityError:
        return
    assert result is not None
