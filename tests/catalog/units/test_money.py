"""Prices as texts."""

from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.units.money import read_price
from catalog.units.quantities import QuantityError

F = Fraction
LB = Fraction("453.59237")


@pytest.mark.parametrize(
    ("text", "currency", "amount", "per_amount", "per_unit"),
    [
        ("2.49 USD/lb", "USD", "2.49", LB, "lb"),
        ("2.49/lb", "USD", "2.49", LB, "lb"),
        ("2.49 per lb", "CHF", "2.49", LB, "lb"),
        ("USD 2.49 per lb", "USD", "2.49", LB, "lb"),
        ("12.50 for 60 capsules", "EUR", "12.50", F(60), "capsule"),
        ("12.50 USD for 60 capsules", "USD", "12.50", F(60), "capsule"),
        ("12.50 EUR / 250 g", "EUR", "12.50", F(250), "g"),
        ("$2.49/lb", "CAD", "2.49", LB, "lb"),
        ("£3 / kg", "GBP", "3", F(1000), "kg"),
        ("€1.20 per 100 g", "EUR", "1.20", F(100), "g"),
        ("1.20 € per 100 g", "EUR", "1.20", F(100), "g"),
        ("3.00 for 3 packages of 1.1 kg", "EUR", "3.00", F(3300), "kg"),
        ("4.50 per dozen", "EUR", "4.50", F(12), ""),
        ("4.50 per dozen eggs", "EUR", "4.50", F(12), "egg"),
        ("4.50 / dozen eggs", "EUR", "4.50", F(12), "egg"),
        ("0.35 per egg", "EUR", "0.35", F(1), "egg"),
        ("0/kg", "EUR", "0", F(1000), "kg"),
    ],
)
def test_a_price_is_money_for_an_amount(
    text: str, currency: str, amount: str, per_amount: Fraction, per_unit: str
) -> None:
    price = read_price(text, currency)
    assert str(price.amount) == amount
    assert isinstance(price.amount, Decimal)
    assert (price.currency, price.per.amount, price.per.unit, price.text) == (currency, per_amount, per_unit, text)


@pytest.mark.parametrize(
    ("text", "currency"),
    [("2.49 CHF/kg", "CHF"), ("£3/kg", "GBP"), ("€ 3/kg", "EUR"), ("3/kg", ""), ("$3/kg", ""), ("$3 CAD/kg", "CAD")],
)
def test_where_no_currency_is_stated_a_price_is_in_the_one_that_it_names(text: str, currency: str) -> None:
    assert read_price(text, "").currency == currency


def test_a_price_in_two_currencies_is_none() -> None:
    with pytest.raises(QuantityError, match="mixing currencies needs a rate"):
        read_price("$3 EUR/kg", "")


@pytest.mark.parametrize(
    ("text", "currency", "complaint"),
    [
        ("2.49 USD/lb", "EUR", "mixing currencies needs a rate"),
        ("$2.49/lb", "EUR", "mixing currencies needs a rate"),
        ("£3/kg", "EUR", "mixing currencies needs a rate"),
        ("$3 EUR/kg", "EUR", "mixing currencies needs a rate"),
        ("-2/kg", "EUR", "negative"),
        ("€-2/kg", "EUR", "negative"),
        ("-€2/kg", "EUR", "negative"),
        ("2,49 EUR/kg", "EUR", "comma"),
        ("EUR.50/kg", "EUR", "no digit before"),
        ("2.49", "EUR", "cannot be read as a price"),
        ("2.49 eur/kg", "EUR", "cannot be read as a price"),
        ("1e3/kg", "EUR", "cannot be read as a price"),
        ("free", "EUR", "does not begin with a price"),
        ("nan/kg", "EUR", "does not begin with a price"),
        ("2.49/0 kg", "EUR", "above zero"),
        ("2.49/kgg", "EUR", "no unit"),
        ("4 per 60", "EUR", "no unit after 60"),
        ("1/2 lb", "EUR", "begins with a fraction"),
        (2.49, "EUR", "no text"),
    ],
)
def test_what_is_no_price_is_refused_with_a_reason(text: object, currency: str, complaint: str) -> None:
    with pytest.raises(QuantityError, match=complaint) as caught:
        read_price(text, currency)
    assert "price" in caught.value.allowed
