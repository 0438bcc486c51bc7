"""Whole plans: what is in reach, what the sheet says it comes to, and which limits apply when."""

import tomllib
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.records import Catalog, Figure, Food
from optimizer.assess.result import NutrientLine
from optimizer.checking import check
from optimizer.errors import NothingToAssess
from optimizer.model.solve import choose
from optimizer.planning import plan
from optimizer.scenario.records import Scenario
from optimizer.sheet.amount_words import amount_words
from optimizer.sheet.sheet import OUT_OF_REACH, OUT_OF_TIME, PLANNED, Sheet, SheetLine
from tests.altered import NAMES, UNREACHED, Data, as_written, changed, demo, entry, scenario_of, written_back

Read = Callable[[str], Scenario]


TURKEY = """
standard = "aafco"
{top}
[[on_hand]]
food = "turkey-ground"
amount = "17 lb"
{meat}
"""


def nutrient(sheet: Sheet, id_: str) -> NutrientLine:
    return next(line for line in sheet.assessment.nutrients if line.nutrient.id == id_)


def line(sheet: Sheet, id_: str) -> SheetLine:
    return next(line for line in sheet.lines if line.id == id_)


def supplement(id_: str, dose: str, more: str = "") -> str:
    return f'[[supplements]]\nsupplement = "{id_}"\nexactly = "{dose}"\n{more}\n'


@pytest.mark.parametrize("name", NAMES)
def test_every_demo_scenario_that_can_meets_its_standard(name: str, catalog: Catalog) -> None:
    sheet = plan(scenario_of(demo(name), catalog), catalog)
    assert sheet.status == (OUT_OF_REACH if name in UNREACHED else PLANNED)
    assert sheet.assessment.all_met is (name not in UNREACHED)
    assert sheet.solution is not None
    assert sheet.solution.proven


# The sheet's totals against sums made here, straight from the catalog's figures.


def simple_grams(id_: str, grams: float, catalog: Catalog, bone: float | None = None) -> list[tuple[Food, float]]:
    """The flesh and bone in so many grams of a food; `bone` is a share measured at home."""
    food = catalog.foods[id_]
    if not food.parts:
        return [(food, grams)]
    flesh, bones = food.parts
    share = bones.share if bone is None else bone
    return [(catalog.foods[flesh.food], grams * (1 - share)), (catalog.foods[bones.food], grams * share)]


def figure(food: Food, id_: str) -> Figure:
    return food.figures.get(id_, Figure(0.0, 0.0, 0.0, "unknown", "", ""))


@pytest.mark.parametrize("name", ["turkey-week", "kittens-chicken-backs", "lamb-and-fish"])
def test_totals_are_the_plain_sums_of_the_catalogs_figures(name: str, catalog: Catalog) -> None:
    scenario = scenario_of(demo(name), catalog)
    sheet = plan(scenario, catalog)
    foods = [pair for item in sheet.lines for pair in simple_grams(item.id, item.grams, catalog)]
    for id_ in ("protein", "calcium", "taurine", "iodine", "vitamin-e"):
        low = sum(grams * figure(food, id_).low / 100 for food, grams in foods if food.id != "water")
        assert nutrient(sheet, id_).total == pytest.approx(low, rel=1e-9)
    kcal = 0.0
    for food, grams in foods:
        extract = figure(food, "carbohydrate").value - figure(food, "fibre").value
        kcal += grams / 100 * (3.5 * figure(food, "protein").value + 8.5 * figure(food, "fat").value)
        kcal += grams / 100 * 3.5 * max(0.0, extract)
    assert sheet.assessment.totals.energy_kcal == pytest.approx(kcal, rel=1e-9)
    water = sum(grams if food.id == "water" else grams * figure(food, "water").value / 100 for food, grams in foods)
    assert sheet.assessment.totals.dry_matter_g == pytest.approx(sum(g for _, g in foods) - water, rel=1e-9)
    unknown = sum(grams for food, grams in foods if "taurine" not in food.figures and food.id != "water")
    mass = sheet.assessment.totals.mass_g
    assert nutrient(sheet, "taurine").unknown_share == pytest.approx(unknown / mass, rel=1e-9)
    # the sum of the exact costs, rounded once, and not the sum of the lines as printed
    prices = {item.id: item.price_per_gram for item in scenario.items}
    exact = sum(Fraction(item.grams).limit_denominator(10**6) * (prices[item.id] or 0) for item in sheet.lines)
    assert sheet.cost == pytest.approx(Decimal(float(exact)), abs=Decimal("0.005001"))
    lines = [item.cost for item in sheet.lines if item.cost is not None]
    assert abs(sheet.cost - sum(lines)) <= Decimal("0.005") * len(lines)


@pytest.mark.parametrize("name", NAMES)
def test_the_non_meat_share_is_of_the_whole_mix(name: str, catalog: Catalog) -> None:
    sheet = plan(scenario_of(demo(name), catalog), catalog)
    everything = sum(item.grams for item in sheet.lines)
    non_meat = sum(item.grams for item in sheet.lines if item.counts_as == "non-meat")
    totals = sheet.assessment.totals
    assert totals.mass_g == pytest.approx(everything)
    assert totals.non_meat_share == pytest.approx(non_meat / everything)
    assert totals.non_meat_share <= totals.non_meat_cap
    oils = [item for item in sheet.lines if catalog.foods[item.id].tags & {"fish-oil"}]
    assert all(item.counts_as == "meat" for item in oils)  # oil of fish is animal tissue, though it comes in a bottle


def test_what_something_counts_as_can_be_changed(catalog: Catalog) -> None:
    as_meat = written_back(demo("turkey-week"), plan(scenario_of(demo("turkey-week"), catalog), catalog))
    as_non_meat = changed(as_meat)
    entry(as_non_meat, "turkey-heart")["counts_as"] = "non-meat"
    before, after = (check(scenario_of(data, catalog), catalog).assessment for data in (as_meat, as_non_meat))
    hearts = float((16 + 2) * Fraction("28.349523125"))  # 1 lb 2 oz
    moved = after.totals.non_meat_share - before.totals.non_meat_share
    assert moved == pytest.approx(hearts / before.totals.mass_g)
    assert before.cap_kept
    assert not after.cap_kept


# Limits that depend on the mix.


@pytest.mark.parametrize(("fish", "applies"), [("1.8 kg", True), ("200 g", False)])
def test_vitamin_k_is_asked_for_only_with_much_fish(fish: str, applies: bool, catalog: Catalog) -> None:
    data = demo("lamb-and-fish")
    entry(data, "mackerel-atlantic")["amount"] = fish
    entry(data, "spinach-raw")["up_to"] = "200 g"  # where the vitamin is to come from
    sheet = plan(scenario_of(data, catalog), catalog)
    dry = 0.0
    for food, grams in simple_grams("mackerel-atlantic", line(sheet, "mackerel-atlantic").grams, catalog):
        dry += grams * (1 - figure(food, "water").value / 100)
    assert (dry > 0.25 * sheet.assessment.totals.dry_matter_g) is applies
    found = nutrient(sheet, "vitamin-k")
    assert found.minimum == (pytest.approx(0.025) if applies else None)  # mg, AAFCO 2016
    assert sheet.status == PLANNED
    assert not applies or found.per_1000_kcal >= 0.025


@pytest.mark.parametrize("spoons", [1, 6])
def test_fish_oil_asks_for_vitamin_e_on_top(spoons: int, catalog: Catalog) -> None:
    data = demo("turkey-week")
    entry(data, "salmon-oil").update(exactly=f"{spoons} tsp")
    sheet = plan(scenario_of(data, catalog), catalog)
    grams_per_1000_kcal = line(sheet, "salmon-oil").grams * 1000 / sheet.assessment.totals.energy_kcal
    # AAFCO 2016: 10 IU per 1000 kcal, and 10 IU above that for each gram of fish oil
    assert nutrient(sheet, "vitamin-e").minimum == pytest.approx(10 + 10 * grams_per_1000_kcal)
    assert nutrient(sheet, "vitamin-e").status == "met"


# What the person states.


def test_a_dose_by_weight_of_meat_goes_by_the_rule_of_three(read: Read, catalog: Catalog) -> None:
    # common practice, no source: 1 tsp for 14 lb is 1.21 tsp for 17 lb, to the nearest 1/4 tsp 1 1/4 tsp
    text = TURKEY.format(top="", meat="") + supplement("taurine-powder", "1 tsp per 14 lb", 'step = "1/4 tsp"')
    assert line(check(read(text), catalog), "taurine-powder").text == "1 1/4 tsp"
    chosen = {amount.item.id: amount for amount in choose(read(text), catalog).amounts}
    assert amount_words(chosen["taurine-powder"]) == "1 1/4 tsp"


def test_a_bone_share_weighed_at_home_replaces_the_published_one(catalog: Catalog) -> None:
    neck = 'standard = "aafco"\n[[on_hand]]\nfood = "turkey-neck-bone-in"\namount = "1 kg"\n'
    for words, share in (("", None), ('bone_share = "31 %"\n', 0.31)):
        sheet = as_written(scenario_of(_toml(neck + words), catalog), catalog)
        parts = simple_grams("turkey-neck-bone-in", 1000, catalog, share)
        calcium = sum(grams * figure(food, "calcium").value / 100 for food, grams in parts)
        assert nutrient(sheet, "calcium").total == pytest.approx(calcium)
        assert sheet.assessment.totals.bone_share == pytest.approx(share or 0.60)  # the catalog's share is 60 %


def _toml(text: str) -> Data:
    return tomllib.loads(text)


def test_the_method_of_energy_changes_every_figure_per_1000_kcal_alike(catalog: Catalog) -> None:
    data = written_back(demo("turkey-week"), plan(scenario_of(demo("turkey-week"), catalog), catalog))
    atwater, natural = (
        check(scenario_of(changed(data, energy=method), catalog), catalog)
        for method in ("modified-atwater", "natural-foods")
    )
    ratio = natural.assessment.totals.energy_kcal / atwater.assessment.totals.energy_kcal
    assert 1.02 < ratio < 4 / 3.5
    for before, after in zip(atwater.assessment.nutrients, natural.assessment.nutrients, strict=True):
        assert after.total == before.total
        assert after.per_1000_kcal == pytest.approx(before.per_1000_kcal / ratio)
        assert after.per_kg_dry_matter == pytest.approx(before.per_kg_dry_matter)


# What is not known for sure.


def test_kelp_counts_low_towards_the_target_and_high_towards_the_ceiling(read: Read, catalog: Catalog) -> None:
    tablet = catalog.foods["kelp-tablet-150"].figures["iodine"]
    grams = 10 * catalog.foods["kelp-tablet-150"].measures["tablet"].grams
    plain = nutrient(as_written(read(TURKEY.format(top="", meat="")), catalog), "iodine")
    ten = supplement("kelp-tablet-150", "10 tablets")
    kelp = nutrient(as_written(read(TURKEY.format(top="", meat="") + ten), catalog), "iodine")
    assert tablet.low < tablet.value < tablet.high
    assert kelp.total - plain.total == pytest.approx(grams * tablet.low / 100)
    assert kelp.total_high - plain.total_high == pytest.approx(grams * tablet.high / 100)
    assert kelp.percent_of_minimum == pytest.approx(100 * kelp.per_1000_kcal / 150)  # ug, AAFCO 2016
    assert kelp.percent_of_maximum == pytest.approx(100 * kelp.high_per_1000_kcal / 2250)


def test_what_is_unknown_counts_nothing_towards_a_target(catalog: Catalog) -> None:
    bones = 'standard = "aafco"\n[[on_hand]]\nfood = "poultry-bone-whole-bird"\namount = "1 kg"\n'
    assert "taurine" not in catalog.foods["poultry-bone-whole-bird"].figures
    alone = as_written(scenario_of(_toml(bones), catalog), catalog)
    assert (nutrient(alone, "taurine").status, nutrient(alone, "taurine").total) == ("unknown", 0.0)
    assert nutrient(alone, "taurine").unknown_share == pytest.approx(1)


def test_a_batch_that_brings_no_energy_is_refused_and_not_divided_by(catalog: Catalog) -> None:
    salt = 'standard = "aafco"\n[[on_hand]]\nfood = "salt-table"\namount = "1 kg"\ncounts_as = "meat"\n'
    with pytest.raises(NothingToAssess):
        plan(scenario_of(_toml(salt), catalog), catalog)


# Time.


def test_a_plan_cut_short_says_so(catalog: Catalog) -> None:
    """With every supplement on the table it takes seconds to prove how few will do."""
    data = demo("freezer-clear-out")
    listed = {found["supplement"] for found in data["supplements"]}
    others = (food.id for food in catalog.foods.values() if food.role == "supplement" and food.id not in listed)
    data["supplements"] += [{"supplement": id_} for id_ in others]
    sheet = plan(scenario_of(data, catalog), catalog, seconds=1)
    assert sheet.solution is not None
    assert sheet.solution.seconds < 12
    assert sheet.status in (PLANNED, OUT_OF_TIME)  # never out of reach: nothing was ruled out
    if sheet.status == PLANNED:
        assert sheet.assessment.all_met
        assert not sheet.solution.proven
        assert "not-proven-best" in [caution.code for caution in sheet.cautions]
