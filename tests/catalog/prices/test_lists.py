"""Price lists: what spreadsheets do to a CSV file is taken as it comes, what a price means is not guessed."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from catalog.prices.lines import PriceLine
from catalog.prices.lists import read_price_list
from catalog.records import Catalog
from tests.conftest import SCENARIOS

HEAD = "store,food,package,price,currency,date,note,most\n"
Lines = Callable[..., list[PriceLine]]
Wrong = Callable[..., list[str]]


@pytest.fixture
def lines(tmp_path: Path, catalog: Catalog) -> Lines:
    """The lines of a list that has no mistakes."""

    def reader(text: str | bytes, **options: bool) -> list[PriceLine]:
        path = tmp_path / "prices.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        found, mistakes = read_price_list(path, catalog, "USD", **options)
        assert [str(m) for m in mistakes] == []
        return found

    return reader


@pytest.fixture
def wrong(tmp_path: Path, catalog: Catalog) -> Wrong:
    """The mistakes in a list, as they are printed, without the folder."""

    def reader(text: str | bytes, **options: bool) -> list[str]:
        path = tmp_path / "prices.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        _, mistakes = read_price_list(path, catalog, "USD", **options)
        return [str(m).replace(str(tmp_path) + "/", "") for m in mistakes]

    return reader


def one(found: list[PriceLine]) -> PriceLine:
    [line] = found
    return line


# What a price is for.


@pytest.mark.parametrize(
    ("package", "price", "grams", "amount", "loose"),
    [
        ("19.2 oz", "5.49", "544.310844", "5.49", False),  # a package at a price
        ("1.1 kg", "9.90/kg", "1100", "10.89", False),  # a package at a price per weight: 1.1 x 9.90
        ("2.5 lb", "7.49/lb", "1133.980925", "18.73", False),  # 18.725 goes up to the cent, as at a till
        ("", "2.49/lb", "453.59237", "2.49", True),  # sold by weight
        ("", "1.20 per 100 g", "100", "1.20", True),
        ("", "4.49 for 19.2 oz", "544.310844", "4.49", False),  # "for" is a package
        ("3 packages of 450 g", "12.00", "1350", "12.00", False),
        ("1 kg", "$4.49", "1000", "4.49", False),
        ("1 kg", "4.49 USD", "1000", "4.49", False),
    ],
)
def test_a_price_is_for_a_package_or_by_weight(
    lines: Lines, package: str, price: str, grams: str, amount: str, loose: bool
) -> None:
    line = one(lines(f"{HEAD}Butcher,beef-heart,{package},{price},,,,\n"))
    assert (line.package.amount, line.price, line.loose) == (Fraction(grams), Decimal(amount), loose)


@pytest.mark.parametrize(
    ("package", "price", "pieces", "amount"),
    [
        ("", "3.60 per dozen", 12, "3.60"),
        ("", "0.35/egg", 1, "0.35"),
        ("1 dozen eggs", "3.49", 12, "3.49"),
        ("18 eggs", "3.60 per dozen", 18, "5.40"),
        ("", "12.50 for 60 eggs", 60, "12.50"),
    ],
)
def test_pieces_come_by_the_dozen_and_never_in_parts(
    lines: Lines, package: str, price: str, pieces: int, amount: str
) -> None:
    line = one(lines(f"{HEAD}Farm,egg-whole,{package},{price},,,,\n"))
    assert (line.package.amount, line.price, line.loose) == (pieces, Decimal(amount), False)


def test_a_food_is_named_by_its_id_or_its_whole_name_in_any_case(lines: Lines, catalog: Catalog) -> None:
    name = catalog.foods["beef-heart"].name.upper()
    found = lines(f"{HEAD}Butcher,Beef-Heart,1 kg,7,,,,\nButcher,{name},2 kg,13,,,,\n")
    assert [line.food.id for line in found] == ["beef-heart", "beef-heart"]


def test_date_note_and_stock_come_along(lines: Lines) -> None:
    line = one(lines(f'{HEAD}Butcher,beef-heart,1 kg,7,EUR,2026-11-03,"cut small, on request",3\n'))
    assert (line.currency, line.day, line.note, line.most) == ("EUR", date(2026, 11, 3), "cut small, on request", 3)
    assert line.where.endswith("prices.csv:2")


@pytest.mark.parametrize("written", ["2026-11-03", "3.11.2026", "03. 11. 2026", "2026-11-03 00:00:00"])
def test_a_date_is_written_year_first_or_with_points_day_first(lines: Lines, written: str) -> None:
    assert one(lines(f"{HEAD}Butcher,beef-heart,1 kg,7,,{written},,\n")).day == date(2026, 11, 3)


# What spreadsheets do to a file.

PLAIN = HEAD + "Butcher,beef-heart,1 kg,7.20,,,,\nGrocery,chicken-heart,450 g,2.79,,,,\n"


@pytest.mark.parametrize(
    "text",
    [
        PLAIN.encode("utf-8-sig"),  # a byte order mark
        PLAIN.encode("utf-16"),  # "Unicode text"
        PLAIN.replace(",", ";").encode(),  # semicolons
        PLAIN.replace(",", "\t").encode(),
        b"sep=;\r\n" + PLAIN.replace(",", ";").replace("\n", "\r\n").encode(),
        PLAIN.replace("\n", "\n\n\n").encode(),  # blank lines
        PLAIN.replace("\n", ",,,\n").encode(),  # empty columns behind
        PLAIN.replace("\n", ",\n,,,,,,,,\n").encode(),  # rows of nothing but commas
        PLAIN.replace("store,food", "Store, FOOD ").encode(),
        ("# my list\n" + PLAIN).encode(),
        ('"# my list, made by hand",,,,\n' + PLAIN).encode(),  # a remark as a spreadsheet saves it
    ],
    ids="bom utf-16 semicolons tabs sep-line blank-lines empty-columns empty-rows capitals remark quoted-remark".split(),
)
def test_the_same_list_in_a_spreadsheets_clothes(lines: Lines, text: bytes) -> None:
    found = lines(text)
    assert [(line.store, line.food.id, line.package.amount, line.price) for line in found] == [
        ("Butcher", "beef-heart", 1000, Decimal("7.20")),
        ("Grocery", "chicken-heart", 450, Decimal("2.79")),
    ]


def test_columns_stand_in_any_order_and_ones_own_are_left_alone_in_brackets(lines: Lines) -> None:
    line = one(lines("(aisle),price,food,store,package\n7,7.20,beef-heart,Butcher,1 kg\n"))
    assert (line.store, line.price) == ("Butcher", Decimal("7.20"))


def test_a_list_saved_in_the_encoding_of_old_spreadsheets(lines: Lines) -> None:
    line = one(lines(f"{HEAD}Fleischerei Jäger,beef-heart,½ kg,3.60,,,,\n".encode("cp1252")))
    assert (line.store, line.package.amount) == ("Fleischerei Jäger", 500)


def test_a_decimal_comma_where_it_is_stated(lines: Lines, wrong: Wrong) -> None:
    text = HEAD.replace(",", ";") + "Metzger;beef-heart;1,5 kg;7,20 EUR;EUR;;;\n"
    by_option = one(lines(text, decimal_comma=True))
    by_remark = one(lines("# decimal comma\n" + text))
    for line in (by_option, by_remark):
        assert (line.package.amount, line.price, line.currency) == (1500, Decimal("7.20"), "EUR")
    [package] = wrong(text)
    assert package.startswith("prices.csv:2: package: read '1,5 kg' ('1,5 kg' has a comma in a number)")
    assert package.endswith(
        'If the list has decimal commas, say --decimal-comma or begin it with the line "# decimal comma".'
    )


def test_with_decimal_commas_a_point_between_thousands_is_refused(wrong: Wrong) -> None:
    text = HEAD.replace(",", ";") + "Metzger;beef-heart;1.500 g;7,20;EUR;;;\n"
    assert any("without a point between thousands" in mistake for mistake in wrong(text, decimal_comma=True))


# Mistakes: all at once, each with its line.


def test_every_mistake_is_told_with_its_line(wrong: Wrong) -> None:
    text = (
        HEAD
        + "Butcher,beef-heart,1 kg,7.20,,,,\n"
        + ",beef-hart,1 kg,7.20,,,,\n"
        + "\n"
        + "Butcher,beef-liver,1 kg,cheap,usd,11/3/2026,,two\n"
    )
    assert wrong(text) == [
        "prices.csv:3: store: read nothing; allowed: the name of a store.",
        "prices.csv:3: food: read 'beef-hart'; allowed: the id or name of a food or supplement; `weighout foods` "
        "lists them. Did you mean beef-heart or beef-ground-80-lean or beef-ground-85-lean?".replace(
            " or beef-ground-80-lean or beef-ground-85-lean", wrong(text)[1].partition("beef-heart")[2].rstrip("?")
        ),
        'prices.csv:5: currency: read \'usd\'; allowed: three capital letters such as "USD" or "EUR".',
        "prices.csv:5: price: read 'cheap' ('cheap' does not begin with a price); allowed: a price: \"4.49\" beside a "
        'package, "2.49/lb", "3.60 per dozen" or "12.50 for 60 capsules".',
        "prices.csv:5: date: read '11/3/2026'; allowed: a date from 2000-01-01 to 2099-12-31, such as 2026-01-31, or an empty cell.",
        "prices.csv:5: most: read 'two'; allowed: how many packages there are, a whole number, or an empty cell.",
    ]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("Butcher,beef-heart,,7.20,,,,", "package: read nothing; allowed: the size of one package"),
        ("Butcher,beef-heart,1 kg,7.20 for 500 g,,,,", "but not for another amount"),
        ("Butcher,beef-heart,1 kg,0.30/egg,,,,", "cannot be given in egg"),
        ("Butcher,beef-heart,one kilo,7.20,,,,", "package: read 'one kilo'"),
        ("Butcher,beef-heart,0 kg,7.20,,,,", "must be above zero"),
        ("Butcher,beef-heart,1 kg,-7.20,,,,", "price: read '-7.20'"),
        ("Butcher,beef-heart,1 kg,,,,,", "price: read nothing"),
        ("Butcher,beef-heart,1 kg,€7.20,USD,,,", "mixing currencies needs a rate"),
        ("Butcher,beef-heart,1 kg,7.20,,2026-13-01,,", "date: read '2026-13-01'"),
        ("Butcher,beef-heart,1 kg,7.20,,,,0.5", "most: read '0.5'"),
        ("Butcher,onion,1 kg,2.00,,,,", "refused"),
        ("Butcher,beef-heart,1 kg,7,20,,,,,EUR", "'EUR' beyond the last heading"),
    ],
)
def test_what_could_mean_two_things_or_nothing_is_refused(wrong: Wrong, row: str, words: str) -> None:
    [mistake] = wrong(HEAD + row + "\n")
    assert mistake.startswith("prices.csv:2:")
    assert words in mistake


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "read an empty file"),
        ("# decimal comma\n", "read an empty file"),
        ("store,food,pakage,price\nButcher,beef-heart,1 kg,7\n", "read the heading 'pakage'"),
        ("store,food,price,price\n", "It stands there twice."),
        ("store,food,package\n", "headings without price"),
        (b"PK\x03\x04\x00\x00", "Save the sheet as CSV."),
        (b"\x00\x01\x02store", "bytes that are no text"),
    ],
)
def test_a_list_that_is_none_is_told_in_one_message(wrong: Wrong, text: str | bytes, words: str) -> None:
    [mistake] = wrong(text)
    assert words in mistake


def test_a_list_that_is_not_there(tmp_path: Path, catalog: Catalog) -> None:
    _, [mistake] = read_price_list(tmp_path / "none.csv", catalog)
    assert mistake.read == "No such file or directory"


def test_the_demo_lists_have_no_mistakes(catalog: Catalog) -> None:
    paths = sorted(SCENARIOS.glob("prices-*.csv"))
    assert len(paths) >= 2
    for path in paths:
        found, mistakes = read_price_list(path, catalog)
        assert mistakes == []
        assert found
