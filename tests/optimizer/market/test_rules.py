"""What a market keeps: the size, what is on hand first, shares and kinds, stores and visits, money and its currency."""

from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.records import Catalog
from optimizer.market.basket import Basket
from optimizer.sheet.sheet import OUT_OF_REACH, PLANNED
from tests.optimizer.market.market_help import MANGANESE, SUPPLEMENTS, WIDE_SHARES, offer
from tests.optimizer.market.market_stores import CATS, HEAD, MEATS, Shopping, count, grams, market, meat

# The size of the batch.


def test_a_batch_is_as_large_as_asked_for_and_hardly_larger(shop: Shopping) -> None:
    by_meat = shop(market('meat = "2.4 kg"')).basket
    assert 2400 <= meat(by_meat) < 2410
    by_energy = shop(market('energy = "3000 kcal"')).basket
    assert 3000 <= by_energy.assessment.totals.energy_kcal < 3015
    by_days = shop(market("days = 7", CATS)).basket
    assert by_days.days == pytest.approx(7, rel=0.005)
    assert by_days.assessment.totals.energy_kcal == pytest.approx(7 * 450, rel=0.005)


def test_the_command_line_asks_for_another_size(shop: Shopping) -> None:
    found = shop(market('meat = "2.4 kg"'), {"energy": "2500 kcal"}).basket
    assert 2500 <= found.assessment.totals.energy_kcal < 2515


def test_without_a_size_the_batch_is_what_is_on_hand_with_what_it_lacks(shop: Shopping) -> None:
    on_hand = '[[on_hand]]\nfood = "turkey-ground"\namount = "1.6 kg"\n[[on_hand]]\nfood = "turkey-neck-bone-in"\namount = "300 g"\n'
    basket = shop(HEAD + on_hand + MEATS + MANGANESE + SUPPLEMENTS).basket
    assert grams(basket, "turkey-ground") == pytest.approx(1600)
    bought = {line.offer.food.id for line in basket.bought}
    assert "beef-liver" in bought  # for its vitamin A
    assert "turkey-ground" not in bought


def test_much_bone_on_hand_is_balanced_by_more_meat_than_was_asked_for(shop: Shopping) -> None:
    necks = '[[on_hand]]\nfood = "turkey-neck-bone-in"\namount = "1.2 kg"\n'
    rules = '[[market.shares]]\nof = "bone"\nat_most = "18 %"\n'
    found = shop(market('meat = "1.3 kg"', necks + rules))
    assert found.status == PLANNED
    assert meat(found.basket) == pytest.approx(1200 * 0.6 / 0.18, rel=0.002)


def test_rates_are_of_the_whole_batch(shop: Shopping) -> None:
    basket = shop(market("days = 7", CATS)).basket
    totals, spent = basket.assessment.totals, float(basket.spent)
    rates = {key: float(amount) for key, amount in basket.rates(basket.spent).items()}
    assert rates["per_kg"] == pytest.approx(spent / totals.mass_g * 1000, abs=0.005)
    assert rates["per_1000_kcal"] == pytest.approx(spent / totals.energy_kcal * 1000, abs=0.005)
    assert rates["per_cat_and_day"] == pytest.approx(spent / (totals.energy_kcal / 450) / 2, abs=0.005)


# What is on hand goes first.


def test_nothing_is_bought_of_a_food_before_what_is_on_hand_of_it_is_used_up(shop: Shopping) -> None:
    # on hand it is dearer than at the store, and goes in all the same
    on_hand = '[[on_hand]]\nfood = "chicken-heart"\nup_to = "700 g"\nprice = "40/kg"\n'
    basket = shop(market('meat = "3 kg"', on_hand)).basket
    [use] = [use for use in basket.uses if use.item.id == "chicken-heart"]
    assert use.from_bought == 0 or use.from_hand == 700
    assert use.from_hand > 600
    dear = '[[supplements]]\nsupplement = "manganese-bisglycinate"\nstep = "1/2 capsule"\nleft = "1/2 capsule"\nprice = "30 for 10 capsules"\n'
    jar = offer("Online", "manganese-bisglycinate", "120 capsules", "8.40", 1)
    limit = '[[limits]]\nnutrient = "manganese"\nat_least = "3 mg per 1000 kcal"\n'
    text = HEAD + '[market]\nmeat = "3 kg"\n' + dear + jar + limit + MEATS + SUPPLEMENTS
    [use] = [use for use in shop(text).basket.uses if use.item.id == "manganese-bisglycinate"]
    assert use.from_hand == Fraction("0.125")  # the half capsule
    assert use.from_bought > 0
    assert use.left_over == 120 * Fraction("0.25") - use.from_bought


def test_a_supplement_of_which_there_is_enough_is_not_bought(shop: Shopping) -> None:
    cheap = offer("Online", "taurine-powder", "1 kg", "0.01", 1)
    basket = shop(market('meat = "2 kg"', cheap)).basket
    assert "taurine-powder" in {use.item.id for use in basket.uses}
    assert count(basket, "Online", "taurine-powder") == 0


def test_what_is_left_over_is_what_was_bought_less_what_goes_in(shop: Shopping) -> None:
    basket = shop(market('meat = "2 kg"')).basket
    for use in basket.uses:
        there = sum((line.grams for line in basket.bought if line.offer.food.id == use.item.id), Fraction())
        assert use.left_over == there - use.from_bought
        assert use.amount.count * use.item.grams_per_unit == use.from_bought + use.from_hand


# Shares, kinds, what is left out.


def test_shares_of_the_meat_are_kept(shop: Shopping) -> None:
    plain = shop(market('meat = "2.4 kg"')).basket
    assert grams(plain, "heart") / meat(plain) > 0.2
    assert grams(plain, "turkey") / meat(plain) < 0.45
    rules = '[[market.shares]]\nof = "heart"\nat_most = "20 %"\n[[market.shares]]\nof = "turkey"\nat_least = "45 %"\n'
    kept = shop(market('meat = "2.4 kg"', rules)).basket
    assert grams(kept, "heart") / meat(kept) <= 0.2 + 1e-9
    assert grams(kept, "turkey") / meat(kept) >= 0.45 - 1e-9
    assert kept.purchase.cost > plain.purchase.cost


@pytest.mark.parametrize(("share", "least"), [("15 %", 0.15), ("25 %", 0.25)])
def test_kinds_of_meat_are_species_that_are_a_large_enough_share_of_it(
    shop: Shopping, share: str, least: float
) -> None:
    few = shop(market(f'meat = "2.4 kg"\nkinds_at_least = 1\nkind_share = "{share}"', NO_BEEF)).basket
    assert kinds(few, least - 1e-9) == 2
    many = shop(market(f'meat = "2.4 kg"\nkinds_at_least = 3\nkind_share = "{share}"', NO_BEEF)).basket
    assert kinds(many, least - 1e-9) == 3
    assert many.purchase.cost > few.purchase.cost


NO_BEEF = '[[market.shares]]\nof = "beef-spleen"\nat_most = "3 %"\n'


def kinds(basket: Basket, share: float) -> int:
    return sum(grams(basket, species) >= share * meat(basket) for species in ("turkey", "chicken", "beef"))


def test_a_share_of_bone_counts_the_bone_in_cuts(shop: Shopping) -> None:
    rules = '[[market.shares]]\nof = "bone"\nat_most = "8 %"\n'
    cheap = market('meat = "2.4 kg"', rules).replace('"1.90"', '"1.50"')
    totals = shop(cheap).basket.assessment.totals
    assert totals.bone_g / totals.meat_g == pytest.approx(0.08, abs=0.0005)


def test_what_nobody_limits_stays_within_common_practice(shop: Shopping) -> None:
    """Bone and organs are the cheapest meat: without any word of them, most of the batch would be that."""
    offers = MEATS.replace('"1.90"', '"0.40"').replace('"1.40"', '"0.40"')
    text = HEAD + '[market]\nmeat = "2.4 kg"\n{}' + offers + MANGANESE + SUPPLEMENTS
    wide = shop(text.format(WIDE_SHARES)).basket
    usual = shop(text.format("")).basket
    assert usual.assessment.totals.bone_g / meat(usual) <= 0.15 + 1e-9
    assert grams(usual, "liver") / meat(usual) <= 0.10 + 1e-9
    assert grams(usual, "secreting-organ") / meat(usual) <= 0.15 + 1e-9
    assert wide.assessment.totals.bone_g / meat(wide) > 0.25
    told = {notice.text.partition(" is ")[0] for notice in wide.sheet.cautions if notice.code == "above-common-share"}
    assert "Bone" in told
    assert not [notice for notice in usual.sheet.cautions if notice.code == "above-common-share"]


def test_a_common_share_that_cannot_be_kept_is_passed_by_as_little_as_can_be(shop: Shopping) -> None:
    """Necks are all but free, all other meat is dear and little of it is on sale: all of that is bought first, and of
    liver and organs as much as is common."""
    few = (
        offer("Butcher", "turkey-neck-bone-in", "400 g", "0.40", 9)
        + offer("Grocery", "turkey-ground", "545 g", "9.49", 1)
        + offer("Grocery", "beef-liver", "250 g", "1.70", 1)
        + offer("Farm", "beef-spleen", "300 g", "0.40", 1)
        + offer("Farm", "chicken-heart", "300 g", "9.75", 2)
    )
    found = shop(HEAD + '[market]\nmeat = "2 kg"\n' + few + MANGANESE + SUPPLEMENTS)
    assert found.status == PLANNED
    organs, others = 0.15 * 2000, 545 + 2 * 300
    assert grams(found.basket, "turkey-neck-bone-in") == pytest.approx(2000 - organs - others, abs=5)
    [bone] = found.basket.assessment.above_shares
    assert bone.of == "bone"
    assert [notice.text for notice in found.basket.sheet.cautions if notice.code == "above-common-share"]
    wide = shop(HEAD + '[market]\nmeat = "2 kg"\n' + WIDE_SHARES + few + MANGANESE + SUPPLEMENTS).basket
    assert wide.purchase.cost < found.basket.purchase.cost / 2


def test_what_is_left_out_is_not_bought(shop: Shopping) -> None:
    basket = shop(market('meat = "2.4 kg"\nleave_out = ["chicken", "beef-spleen"]')).basket
    assert grams(basket, "chicken", "beef-spleen") == 0


# Stores.


def test_a_visit_is_worth_its_cost_or_not_made(shop: Shopping) -> None:
    free = shop(market('meat = "2.4 kg"')).basket
    assert len(free.stores) == 3
    dear = shop(market('meat = "2.4 kg"\nvisit_cost = "5.00"')).basket
    assert len(dear.stores) < 3
    assert dear.visits == 5 * len(dear.stores)
    one_dear = shop(market('meat = "2.4 kg"\n[market.visits]\nFarm = "50.00"')).basket
    assert set(one_dear.stores) == {"Butcher", "Grocery"}
    assert one_dear.visits == 0


def test_no_more_stores_are_gone_to_than_allowed(shop: Shopping) -> None:
    two = shop(market('meat = "2.4 kg"\nstores_at_most = 2')).basket
    assert len(two.stores) == 2


def test_only_the_stores_that_were_named_count(shop: Shopping) -> None:
    text = market('meat = "2.4 kg"\nstores = ["butcher", "GROCERY"]')
    assert set(shop(text).basket.stores) == {"Butcher", "Grocery"}
    assert set(shop(market('meat = "2.4 kg"'), stores=["Grocery", "Farm"]).basket.stores) == {"Grocery", "Farm"}


# Money.


def test_a_budget_is_kept_or_out_of_reach(shop: Shopping) -> None:
    least = shop(market('meat = "2.4 kg"')).basket.purchase.cost
    enough = shop(f'budget = "{float(least) + 0.5:.2f}"\n' + market('meat = "2.4 kg"'))
    assert enough.status == PLANNED
    short = shop(f'budget = "{float(least) - 0.5:.2f}"\n' + market('meat = "2.4 kg"'))
    assert short.status == OUT_OF_REACH
    assert short.best is None
    assert short.basket.assessment.misses or short.basket.purchase.cost > least - Fraction(1, 2)


def test_another_currency_is_brought_to_the_scenarios_by_its_rate(shop: Shopping) -> None:
    rate = '[rates]\nEUR = "1.25 USD"\n'
    euro = '[[offers]]\nstore = "Abroad"\nfood = "turkey-neck-bone-in"\npackage = "400 g"\nprice = "0.81"\ncurrency = "EUR"\nmost = 6\n'
    basket = shop(market('meat = "2.4 kg"', rate + euro)).basket
    [line] = [line for line in basket.bought if line.offer.store == "Abroad"]
    assert line.offer.priced_at == Decimal("1.01")  # 1.0125, to the cent, for each package
    assert line.cost == int(line.count) * Decimal("1.01")


def test_a_bone_in_cut_has_a_price_without_its_bone(shop: Shopping, catalog: Catalog) -> None:
    basket = shop(market('meat = "2.4 kg"')).basket
    offers = {o.food.id: o for o in basket.buying.offers}
    neck, heart = offers["turkey-neck-bone-in"], offers["beef-heart"]
    assert neck.price_per_kg == pytest.approx(4.75)
    assert neck.price_per_edible_kg == pytest.approx(4.75 / 0.4)  # 60 % of it is bone
    assert heart.price_per_edible_kg == heart.price_per_kg == pytest.approx(8.4)


def test_of_two_prices_of_one_package_the_later_holds(shop: Shopping) -> None:
    old = offer("Farm", "beef-heart", "500 g", "1.00", 9).rstrip() + '\ndate = "2026-09-01"\n'
    new = offer("Farm", "beef-heart", "500 g", "9.00", 9).rstrip() + '\ndate = "2026-11-01"\n'
    basket = shop(market('meat = "2.4 kg"', old + new)).basket
    [price] = [o.priced_at for o in basket.buying.offers if (o.store, o.food.id) == ("Farm", "beef-heart")]
    assert price == 9
