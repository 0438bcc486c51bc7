"""Bad input: one message for each mistake, all in one run, each with file, line, field and what is allowed."""

from collections.abc import Callable
from pathlib import Path

import pytest

from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.scenario.read import load_scenario
from optimizer.scenario.records import Scenario

Mistakes = Callable[[str | bytes], list[str]]

MEAT = '[[on_hand]]\nfood = "turkey-ground"\namount = "2 kg"\n'


def test_an_unknown_food_suggests_close_names(mistakes: Mistakes) -> None:
    [message] = mistakes(MEAT + '[[on_hand]]\nfood = "turkey-hart"\namount = "1 lb"\n')
    assert message.startswith('inline.toml:5: on_hand[2].food: read "turkey-hart" (no such food); allowed: ')
    assert "turkey-heart" in message


def test_food_that_harms_cats_is_refused_with_the_reason(mistakes: Mistakes) -> None:
    [message] = mistakes(MEAT + '[[on_hand]]\nfood = "onion-powder"\namount = "5 g"\n')
    assert 'inline.toml:5: on_hand[2].food: read "onion-powder" (refused:' in message


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ('amount = "2 blorps"', "no such measure"),
        ('amount = "2 kgg"', "kg"),
        ('amount = "-2 kg"', "-2 kg"),
        ('amount = "0 kg"', "above zero"),
        ('amount = "NaN kg"', "NaN kg"),
        ('amount = ""', '""'),
        ('amount = "2"', '"2"'),
        ("amount = 2", "read 2"),
        ("amount = nan", "read nan"),
        ("amount = true", "read True"),
        ('amount = "1,5 kg"', "1,5 kg"),
        ('amount = "2 lb 3 cups"', "2 lb 3 cups"),
        ("amount = [1, 2]", "read [1, 2]"),
    ],
)
def test_amounts_that_are_none(mistakes: Mistakes, line: str, expected: str) -> None:
    [message] = mistakes(f'[[on_hand]]\nfood = "turkey-ground"\n{line}\n')
    assert message.startswith("inline.toml:3: on_hand[1].amount: read ")
    assert expected in message
    assert "allowed: " in message


def test_a_mass_where_a_count_is_needed(mistakes: Mistakes) -> None:
    [message] = mistakes(
        MEAT + '[[supplements]]\nsupplement = "taurine-capsule-1000"\nmeasure = "capsule"\nleft = "20 g"\n'
    )
    assert message == (
        'inline.toml:7: supplements[1].left: read "20 g" (a mass where a count is needed); '
        'allowed: a count such as "2 capsules".'
    )


def test_a_count_where_there_is_no_such_measure(mistakes: Mistakes) -> None:
    [message] = mistakes('[[on_hand]]\nfood = "turkey-ground"\namount = "3 wheelbarrows"\n')
    assert "inline.toml:3: on_hand[1].amount" in message
    assert "wheelbarrow" in message


def test_a_bound_upside_down(mistakes: Mistakes) -> None:
    [message] = mistakes(
        MEAT + '[[supplements]]\nsupplement = "taurine-powder"\nat_least = "2 tsp"\nat_most = "1 tsp"\n'
    )
    assert message == (
        'inline.toml:7: supplements[1].at_most: read "1 tsp" of taurine powder; allowed: not less than at_least, "2 tsp".'
    )


def test_a_bound_beyond_what_is_left(mistakes: Mistakes) -> None:
    [message] = mistakes(
        MEAT + '[[supplements]]\nsupplement = "taurine-capsule-500"\nexactly = "9 capsules"\nleft = "3 capsules"\n'
    )
    assert message == (
        'inline.toml:6: supplements[1].exactly: read "9 capsules" of taurine capsule 500 mg; '
        "allowed: not more than what there is (left)."
    )


def test_a_bound_beside_all_of_it(mistakes: Mistakes) -> None:
    heart = '[[on_hand]]\nfood = "turkey-heart"\namount = "1 lb"\nat_most = "8 oz"\n'
    [message] = mistakes(MEAT + heart)
    assert message == (
        'inline.toml:7: on_hand[2].at_most: read "8 oz" of turkey heart; '
        "allowed: no bound beside amount (all of it); use up_to."
    )


def test_a_usual_dose_in_a_strange_measure_is_named_where_it_stands(mistakes: Mistakes) -> None:
    [message] = mistakes(
        MEAT + '[[supplements]]\nsupplement = "taurine-capsule-500"\n\n[usual]\ntaurine-capsule-500 = "2 g"\n'
    )
    assert message == (
        'inline.toml:8: usual.taurine-capsule-500: read "2 g" (a mass where a count is needed); '
        'allowed: a count such as "2 capsules".'
    )


@pytest.mark.parametrize(
    ("food", "read", "hint"),
    [
        ("turkey-neck-meat", "21 % of turkey neck, skinless, which has no bone", " Bone-in cuts of turkey: turkey-neck-"),
        ("quail-meat-skin", "21 % of quail, meat and skin, which has no bone", " Bone-in cuts of quail: quail-whole-bone-in."),
        ("beef-heart", "21 % of beef heart, which has no bone", ""),
        ("rabbit-bone", "21 % of rabbit bone, as left by boning a dressed carcass, which is all bone", " Bone-in cuts of rabbit: rabbit-whole-bone-in."),
    ],
)  # fmt: skip
def test_a_bone_share_where_there_is_no_bone(mistakes: Mistakes, food: str, read: str, hint: str) -> None:
    [message] = mistakes(f'[[on_hand]]\nfood = "{food}"\namount = "2 kg"\nbone_share = "21 %"\n')
    before, _, after = message.partition(" as weighed at home.")
    assert before == (
        f"inline.toml:4: on_hand[1].bone_share: read {read}; allowed: the share of bone in a bone-in cut,"
    )
    assert after.startswith(hint)
    assert bool(after) == bool(hint)


def test_a_bone_share_of_a_bone_in_cut_is_taken(read: Callable[[str], Scenario]) -> None:
    scenario = read('[[on_hand]]\nfood = "turkey-neck-bone-in"\namount = "2 kg"\nbone_share = "41 %"\n')
    assert scenario.items[0].bone_share == 0.41


def test_a_misspelt_key_is_no_silent_default(mistakes: Mistakes) -> None:
    assert mistakes('non_meet_cap = "5 %"\n' + MEAT)[0].startswith(
        'inline.toml:1: non_meet_cap: read the key "non_meet_cap"; allowed: the keys '
    )
    [message] = mistakes(MEAT + 'prize = "2/kg"\n')
    assert message.startswith('inline.toml:4: on_hand[1].prize: read the key "prize"; allowed: the keys ')
    assert message.endswith("Did you mean price?")


def test_two_entries_for_one_food(mistakes: Mistakes) -> None:
    [message] = mistakes(MEAT + MEAT)
    assert message == (
        'inline.toml:5: on_hand[2].food: read "turkey-ground" a second time; '
        "allowed: one entry for each food; it stands on line 2 already."
    )


def test_broken_toml_names_the_line(mistakes: Mistakes) -> None:
    [message] = mistakes('title = "x"\naim = cost\n')
    assert message.startswith("inline.toml:2: read 'aim = cost' (Invalid value); allowed: valid TOML")


@pytest.mark.parametrize(
    "text", [b"", b"  \n\n", b"\x00\x01\x02", b"\xff\xfe\x00\xd8\x00", b"\x89PNG\r\n\x1a\n\x00\x00"]
)
def test_files_that_are_no_scenario(mistakes: Mistakes, text: bytes) -> None:
    [message] = mistakes(text)
    assert message.startswith("inline.toml: read ")
    assert "allowed: a scenario file: TOML text in UTF-8" in message


def test_a_missing_file(catalog: Catalog, tmp_path: Path) -> None:
    with pytest.raises(InputErrors, match=r"nowhere\.toml: read No such file or directory; allowed: a scenario file"):
        load_scenario(tmp_path / "nowhere.toml", catalog)


def test_a_folder_in_place_of_a_file(catalog: Catalog, tmp_path: Path) -> None:
    with pytest.raises(InputErrors, match="allowed: a scenario file"):
        load_scenario(tmp_path, catalog)


def test_every_mistake_is_told_in_one_run(mistakes: Mistakes) -> None:
    found = mistakes(
        """
standard = "aafko"
aim = "cheapest"
non_meat_cap = "140 %"
currency = "dollars"

[[on_hand]]
food = "turkey-grund"
amount = "2 kg"

[[on_hand]]
food = "turkey-heart"
amount = "minus one lb"
colour = "red"

[[supplements]]
supplement = "taurine-capsule-1000"
left = "40 g"
step = "1/0 capsule"

[[supplements]]
left = "3 g"

[[limits]]
nutrient = "taurin"
at_least = "2 g per 1000 kcal"

[usual]
kelp = "1 tsp"
"""
    )
    assert [message.split(": ")[0] for message in found] == [
        f"inline.toml:{line}" for line in (2, 3, 4, 5, 8, 13, 14, 18, 19, 21, 25, 29)
    ]


def test_a_price_needs_a_currency(mistakes: Mistakes) -> None:
    heart = '[[on_hand]]\nfood = "turkey-heart"\namount = "1 lb"\nprice = "2.00/kg"\n'
    [message] = mistakes(MEAT + 'price = "2.00/kg"\n' + heart)
    assert message == (
        'inline.toml:4: on_hand[1].price: read "2.00/kg" in a scenario without a currency; '
        'allowed: an amount of money in a scenario that states its currency, such as currency = "USD" at the top.'
    )


@pytest.mark.parametrize(
    ("price", "currency"),
    [("2.00 EUR/kg", "EUR"), ("GBP 2.00 per kg", "GBP"), ("£2.00/kg", "GBP"), ("$2.00/kg", "USD"), ("¥200/kg", "USD")],
)
def test_a_price_in_a_currency_that_the_scenario_does_not_state_is_one_message(
    mistakes: Mistakes, price: str, currency: str
) -> None:
    [message] = mistakes(MEAT + f'price = "{price}"\n')
    assert message.startswith(f'inline.toml:4: on_hand[1].price: read "{price}" in a scenario without a currency;')
    assert message.endswith(f'such as currency = "{currency}" at the top.')


def test_a_budget_needs_a_currency(mistakes: Mistakes) -> None:
    [message] = mistakes('budget = "24.00"\n' + MEAT + 'price = "2.00 EUR/kg"\n')
    assert message.startswith('inline.toml:1: budget: read "24.00" in a scenario without a currency; allowed: ')


def test_a_currency_that_is_none_is_told_once_and_not_at_each_price(mistakes: Mistakes) -> None:
    [message] = mistakes('currency = "euro"\n' + MEAT + 'price = "2.00 EUR/kg"\n')
    assert message.startswith('inline.toml:1: currency: read "euro" (no currency); allowed: three capital letters')


def test_currencies_are_not_mixed(mistakes: Mistakes) -> None:
    [message] = mistakes('currency = "EUR"\n' + MEAT + 'price = "2.00 USD/kg"\n')
    assert message.startswith('inline.toml:5: on_hand[1].price: read "2.00 USD/kg" (')
    assert "rate" in message


def test_all_of_it_or_up_to_not_both_and_not_neither(mistakes: Mistakes) -> None:
    [both] = mistakes(MEAT + 'up_to = "3 kg"\n')
    assert "read both amount and up_to; allowed: one of them" in both
    messages = mistakes('[[on_hand]]\nfood = "turkey-ground"\n')
    assert any("on_hand[1].amount: read nothing; allowed: an amount" in message for message in messages)


def test_nothing_to_feed(mistakes: Mistakes) -> None:
    [message] = mistakes('title = "nothing"\n')
    assert message.startswith("inline.toml: on_hand: read no meat with an amount")
    [message] = mistakes('title = "nothing"\n\n[[on_hand]]\nfood = "turkey-heart"\nup_to = "1 kg"\n')
    assert message.startswith("inline.toml:3: on_hand: read no meat with an amount")


def test_more_meat_is_wanted_than_there_is(mistakes: Mistakes) -> None:
    [message] = mistakes('meat_at_least = "3 kg"\n' + MEAT)
    assert message == "inline.toml:1: meat_at_least: read 3000 g; allowed: not more than the meat on hand, 2000 g."


def test_the_aim_usual_needs_a_usual_recipe(mistakes: Mistakes) -> None:
    [message] = mistakes('aim = "usual"\n' + MEAT)
    assert message.startswith("inline.toml:1: usual: read nothing, for the aim usual; allowed: a table [usual]")


def test_a_labelled_measure_cannot_be_reweighed(mistakes: Mistakes) -> None:
    [message] = mistakes(
        MEAT + '[[supplements]]\nsupplement = "taurine-capsule-1000"\nmeasure = "capsule"\nmeasure_grams = "2 g"\n'
    )
    assert "the label's figures hold for one capsule" in message


def test_limits_must_be_the_right_way_up_and_on_one_basis(mistakes: Mistakes) -> None:
    limit = '[[limits]]\nnutrient = "taurine"\nat_least = "2 g per 1000 kcal"\n'
    [message] = mistakes(MEAT + limit + 'at_most = "1 g per 1000 kcal"\n')
    assert "limits[1].at_most" in message
    assert "not less than at_least" in message
    [message] = mistakes(MEAT + limit + 'at_most = "9 g per batch"\n')
    assert "the same basis as at_least" in message


def test_a_standard_on_the_command_line_is_checked_too(catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "inline.toml"
    path.write_text(MEAT, encoding="utf-8")
    with pytest.raises(InputErrors, match=r'command line: --standard: read "afco".*Did you mean aafco'):
        load_scenario(path, catalog, standard="afco")


def test_inline_tables_are_read_and_located(mistakes: Mistakes) -> None:
    rows = ['{food = "turkey-ground", amount = "2 kg"}', '{food = "x", amount = "1 kg"}']
    [message] = mistakes("on_hand = [\n  " + ",\n  ".join(rows) + ",\n]\n")
    assert message.startswith('inline.toml:3: on_hand[2].food: read "x"')
