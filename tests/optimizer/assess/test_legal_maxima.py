"""Legal maxima of the EU, per kg of dry matter of food: worked out by hand, as a row, as a caution and in a plan.

Of ground turkey the catalog has 72.36 g water, 2.35 mg zinc and 21.9 ug selenium in 100 g; a zinc tablet holds 15 mg.
What a jar weighs is no food and makes no maximum wider.
"""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from catalog.catalog import load_catalog
from catalog.records import Limit
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.market.buying_problem import build_buying_problem
from optimizer.market.prepare import prepare
from optimizer.model.build import build
from optimizer.model.problem import Problem
from optimizer.model.solve import choose
from optimizer.scenario.items import jar_item
from optimizer.scenario.records import Scenario
from optimizer.sheet.sheet import Sheet
from tests.altered import Data, as_written, changed, demo, scenario_of

CATALOG = load_catalog()[0]
FEDIAF = "fediaf-100"
TURKEY_PER_GRAM = 0.0235 - 0.227 * 0.2764  # mg zinc in a gram, less what the maximum allows for its dry matter


def turkey(**jars: str) -> Data:
    """A kilogram of ground turkey with exact doses of supplements."""
    supplements = [{"supplement": id_.replace("_", "-"), "exactly": dose} for id_, dose in jars.items()]
    return {
        "standard": FEDIAF,
        "on_hand": [{"food": "turkey-ground", "amount": "1 kg"}],
        "supplements": supplements,
    }


def told(sheet: Sheet) -> list[str]:
    return [notice.text for notice in sheet.cautions if notice.code == "above-legal-maximum"]


def checked(scenario: Scenario) -> list[str]:
    """What is told of the amounts as written, without asking what would help."""
    return told(as_written(scenario, CATALOG))


def legal_row(problem: Problem, nutrient: str) -> int:
    [row] = [
        i
        for i, row in enumerate(problem.rows)
        if row.limit and row.limit.maximum_kind == "legal" and row.limit.nutrient == nutrient and row.id == row.rule
    ]
    return row


@pytest.mark.parametrize(("tablets", "turkey_g"), [(2, 1000), (3, 1000), (3, 400)])
def test_the_row_is_the_zinc_less_what_the_dry_matter_of_food_allows(tablets: int, turkey_g: int) -> None:
    data = turkey(zinc_gluconate=f"{tablets} tablets")
    data["on_hand"] = [{"food": "turkey-ground", "up_to": "1 kg"}]
    data["meat_at_least"] = "300 g"
    problem = build(scenario_of(data, CATALOG), CATALOG)
    i = legal_row(problem, "zinc")
    assert problem.rows[i].label.startswith(
        "zinc at most 227 mg per kg dry matter (the legal maximum where it is added)"
    )
    assert problem.rows[i].tier == "guard"
    amounts = {"turkey-ground": turkey_g, "zinc-gluconate": tablets * 0.25}
    values = [amounts.get(c.id, 0) / c.grams if c.kind == "amount" else 0 for c in problem.columns]
    excess = (problem.matrix[i] @ values - problem.row_upper[i]) * problem.rows[i].scale
    assert excess == pytest.approx(turkey_g * TURKEY_PER_GRAM + tablets * 15, abs=1e-9)


def test_two_tablets_stay_below_it_and_a_third_passes_it() -> None:
    # 53.5 mg in 276.4 g are 193.6 mg/kg; 68.5 mg are 247.8 mg/kg
    assert checked(scenario_of(turkey(zinc_gluconate="2 tablets"), CATALOG)) == []
    assert checked(scenario_of(turkey(zinc_gluconate="3 tablets"), CATALOG)) == [
        "zinc: 248 mg per kg of dry matter; the legal maximum of the EU is 227 mg per kg of dry matter, for the total "
        "in feed on sale to which zinc is added as an additive. Added here with: zinc gluconate tablet, 15 mg zinc."
    ]


def test_large_figures_are_written_out() -> None:
    # 1000 g x 16 IU/100 g + 2 x 1000 IU = 2160 IU in 276.4 g dry: 7815 IU/kg
    [text] = checked(scenario_of(turkey(vitamin_d3_drops_1000="2 drops"), CATALOG))
    assert "7815 IU per kg of dry matter; the legal maximum of the EU is 2270 IU" in text


def test_what_food_holds_by_itself_is_no_additive() -> None:
    # 219 ug in 276.4 g are 792 ug/kg, above the 568 of the law, and no jar had a part in it
    assert checked(scenario_of(turkey(), CATALOG)) == []
    [text] = checked(scenario_of(turkey(selenium_yeast_50="1 tablet"), CATALOG))
    assert text.startswith("selenium: 97")  # 269 ug in 276.4 g
    assert text.endswith("Added here with: selenium yeast tablet, 50 ug selenium.")


@pytest.mark.parametrize(("own_per_1000_kcal", "messages"), [(30.0, 0), (60.0, 1)])
def test_a_tighter_ceiling_of_the_standard_itself_says_enough(own_per_1000_kcal: float, messages: int) -> None:
    # there are 68.5 mg; the law allows 62.7, 30 mg per 1000 kcal are 43.1 and 60 are 86.3 mg of the batch's 1437.5 kcal
    scenario = scenario_of(turkey(zinc_gluconate="3 tablets"), CATALOG)
    own = Limit("zinc", "per_1000_kcal", None, own_per_1000_kcal, "fediaf-2021:a table", "memory")
    standard = replace(scenario.standard, limits=(*scenario.standard.limits, own))
    sheet = as_written(replace(scenario, standard=standard), CATALOG)
    assert len(told(sheet)) == messages
    missed = [miss.id for miss in sheet.assessment.misses if miss.status == "over"]
    assert missed == ([] if messages else ["zinc"])


@pytest.mark.parametrize("name", ["boneless-beef", "lamb-and-fish", "rabbit-few-jars"])
def test_meat_that_passes_one_by_itself_costs_no_other_guard(name: str) -> None:
    # selenium of meat and vitamin D of fish are above the maxima; no jar of them goes in, and all else is kept
    scenario = scenario_of(changed(demo(name), standard=FEDIAF), CATALOG)
    choice = choose(scenario, CATALOG)
    assert choice.in_reach
    assert assess(scenario, CATALOG, choice.amounts).above_guards == ()
    meat = [amount for amount in choice.amounts if not amount.item.is_jar]
    jar = Amount(jar_item(CATALOG.foods["selenium-yeast-50"]), Fraction(1))
    with_it = assess(scenario, CATALOG, [*meat, jar])
    assert "selenium" in {guard.nutrient.id for guard in with_it.above_guards if guard.kind == "legal"}


def test_what_is_bought_counts_as_what_is_on_hand(tmp_path: Path) -> None:
    data = turkey(zinc_gluconate="1 tablet")
    data["currency"] = "EUR"
    data["on_hand"] = [{"food": "turkey-ground", "up_to": "200 g"}, {"food": "turkey-heart", "amount": "100 g"}]
    data["market"] = {"meat": "1 kg"}
    data["offers"] = [{"store": "market hall", "food": "turkey-ground", "package": "450 g", "price": "4.00"}]
    scenario, market, offers = prepare(scenario_of(data, CATALOG), CATALOG, [], {})
    buying = build_buying_problem(scenario, market, offers, CATALOG)
    i = legal_row(buying.problem, "zinc")
    parts = buying.food_columns["turkey-ground"]
    assert len(parts) >= 2
    for part in parts:
        per_gram = buying.problem.matrix[i, part.column] * buying.problem.rows[i].scale / float(part.grams)
        assert per_gram == pytest.approx(TURKEY_PER_GRAM, abs=1e-12)


def doses(data: Data, lawless: bool = False) -> dict[str, float]:
    """What goes in of each item; `lawless` without the legal maxima."""
    scenario, catalog = scenario_of(data, CATALOG), CATALOG
    if lawless:
        kept = tuple(limit for limit in scenario.standard.limits if limit.maximum_kind != "legal")
        scenario = replace(scenario, standard=replace(scenario.standard, limits=kept))
        catalog = replace(CATALOG, guards=tuple(g for g in CATALOG.guards if g.limit.maximum_kind != "legal"))
    return {amount.item.id: float(amount.count) for amount in choose(scenario, catalog).amounts}


def test_a_jar_of_the_substance_goes_in_only_where_the_maximum_is_kept_with_it() -> None:
    """An own limit asks for more selenium than the meat has; the meat is past the maximum of the law already."""
    data = turkey()
    data["limits"] = [{"nutrient": "selenium", "at_least": "400 ug per 1000 kcal"}]
    data["supplements"] = [{"supplement": "selenium-yeast-50", "left": "20 tablets"}]
    assert doses(data)["selenium-yeast-50"] == 0
    assert doses(data, lawless=True)["selenium-yeast-50"] > 0
    data["supplements"][0]["at_least"] = "2 tablets"  # by hand it goes in, and no more of it than that
    assert doses(data)["selenium-yeast-50"] == 2


def test_as_much_goes_in_as_the_maximum_leaves_room_for() -> None:
    # 227 mg/kg of 276.4 g dry are 62.7 mg, less 23.5 mg of the meat: two tablets of 15 mg and 9.2 mg of a third
    data = turkey()
    data["limits"] = [{"nutrient": "zinc", "at_least": "60 mg per 1000 kcal"}]
    data["supplements"] = [{"supplement": "zinc-gluconate", "step": "1/2 tablet", "left": "20 tablets"}]
    assert doses(data)["zinc-gluconate"] == 2.5
    assert doses(data, lawless=True)["zinc-gluconate"] == 4.5  # 62.8 mg more for 1437.5 kcal
