"""In the middle of a batch: what is in the bowl stays, the rest is solved again, and the ways back are real."""

import pytest

from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from optimizer.amending import Amendment, amend
from optimizer.checking import check
from optimizer.errors import InputErrors
from optimizer.journal.recipes import Recipe, read_recipe, recipe_of
from optimizer.model.solve import choose
from tests.altered import demo, entry, written_back
from tests.conftest import SCENARIOS


@pytest.fixture(scope="module")
def turkey(catalog: Catalog) -> Recipe:
    return read_recipe(SCENARIOS / "turkey-week.toml", catalog)


@pytest.fixture(scope="module")
def with_iron(catalog: Catalog) -> Recipe:
    """The turkey with iron in the house, so that more of the meat is not short of it, and a limit on choline of one's
    own; with liver that may go in, so that what goes in whole, and is told as a way back, is cuts and heart."""
    data = demo("turkey-week")
    liver = entry(data, "turkey-liver")
    del liver["amount"]
    liver["up_to"] = "8 oz"
    data["supplements"].append({"supplement": "iron-bisglycinate"})
    data["limits"] = [{"nutrient": "choline", "at_most": "1000 mg per 1000 kcal"}]
    return recipe_of(data, "with iron", Lines({}), catalog)


@pytest.fixture(scope="module")
def too_much_choline(with_iron: Recipe, catalog: Catalog) -> Amendment:
    """Choline is toxic to nobody at this dose, so more meat is all that it takes."""
    return amend(with_iron, catalog, ["choline=3 tsp"])


@pytest.fixture(scope="module")
def too_much_salt(catalog: Catalog) -> Amendment:
    """7 tsp are some 16 g of sodium; the guard is 3.75 g per 1000 kcal, the batch has some 4400 kcal."""
    data = demo("turkey-week")
    data["supplements"].append({"supplement": "iron-bisglycinate"})
    return amend(recipe_of(data, "with iron", Lines({}), catalog), catalog, ["salt=7 tsp"])


def texts(amendment: Amendment) -> dict[str, str]:
    return {line.id: line.text for line in amendment.sheet.lines}


def test_what_is_in_the_bowl_stays_and_the_rest_is_solved_around_it(turkey: Recipe, catalog: Catalog) -> None:
    amendment = amend(turkey, catalog, ["salmon-oil=9 g", "salt=0", "turkey-liver=6 oz"])
    assert amendment.sheet.status == "planned"
    grams = {line.id: line.grams for line in amendment.sheet.lines}
    assert grams["salmon-oil"] == pytest.approx(9.0)
    assert grams["turkey-liver"] == pytest.approx(170.1, abs=0.01)
    assert "salt-table" not in grams
    assert amendment.ways == ()
    moves = {move.id: move for move in amendment.moves}
    assert (moves["salmon-oil"].planned, moves["salmon-oil"].in_the_bowl) == ("", True)
    assert (moves["salt-table"].planned, moves["salt-table"].now) == ("1/4 tsp", "")
    assert not moves["turkey-ground"].differs


def test_an_amount_that_is_no_whole_step_is_kept_as_it_is(turkey: Recipe, catalog: Catalog) -> None:
    amendment = amend(turkey, catalog, ["taurine-powder=2.37 g"])
    assert {line.id: line.grams for line in amendment.sheet.lines}["taurine-powder"] == pytest.approx(2.37)


def test_too_little_in_the_bowl_says_how_much_to_add(turkey: Recipe, catalog: Catalog) -> None:
    amendment = amend(turkey, catalog, ["taurine-powder=1/4 tsp"])
    assert amendment.sheet.status == "out_of_reach"
    assert "taurine" in [miss.id for miss in amendment.sheet.assessment.misses]
    way = amendment.ways[0]
    assert (way.kind, way.id, way.text) == ("more_of", "taurine-powder", "1/4 tsp")
    assert way.sheet.assessment.all_met


def test_a_ceiling_that_is_passed_says_how_much_more_meat_brings_it_back(
    with_iron: Recipe, too_much_choline: Amendment
) -> None:
    assert [(miss.id, miss.status) for miss in too_much_choline.sheet.assessment.misses] == [("choline", "over")]
    assert too_much_choline.slips == ()
    ways = too_much_choline.ways
    assert [way.kind for way in ways] == ["more_meat"] * len(ways)
    assert ways[0].id == ""  # the same mix comes first
    assert {"turkey-neck-bone-in", "turkey-ground", "turkey-heart"} >= {way.id for way in ways[1:]} != set()
    before = {item.id: float(item.fixed * item.grams_per_unit) for item in with_iron.scenario.items if item.fixed}
    for way in ways:
        assert way.sheet.assessment.all_met
        after = {line.id: line.grams for line in way.sheet.lines}
        more = {id_: after[id_] - grams for id_, grams in before.items() if id_ != "water"}
        assert sum(more.values()) == pytest.approx(way.grams, abs=12)  # each cut to a quarter of an ounce
        assert {id_ for id_, grams in more.items() if grams > 4} == ({way.id} if way.id else set(more))
        assert after["choline-bitartrate"] == pytest.approx(3 * 3.5)


def test_no_way_back_is_more_liver_or_bone_than_is_common(
    too_much_choline: Amendment, too_much_salt: Amendment
) -> None:
    """Over a kilogram of liver once was a way to thin out vitamin D."""
    for way in (*too_much_choline.ways, *too_much_salt.ways):
        assert way.id not in ("turkey-liver", "turkey-neck-bone-in")
        assert "above-common-share" not in {notice.code for notice in way.sheet.cautions}


def test_the_way_back_passes_a_check_of_the_amounts_as_printed(too_much_choline: Amendment, catalog: Catalog) -> None:
    assert too_much_choline.ways
    for way in too_much_choline.ways:
        settled = recipe_of(written_back(too_much_choline.data, way.sheet), "way", Lines({}), catalog)
        assert check(settled.scenario, catalog).assessment.all_met


def test_much_less_meat_than_the_way_back_does_not_do(
    with_iron: Recipe, too_much_choline: Amendment, catalog: Catalog
) -> None:
    """A hundred grams less of the cut are not enough: the amounts that are told are no idle ones."""
    [way] = [way for way in too_much_choline.ways if way.id == "turkey-ground"]
    data = dict(too_much_choline.data)
    [there] = [i.fixed * i.grams_per_unit for i in with_iron.scenario.items if i.id == "turkey-ground" and i.fixed]
    for less, in_reach in ((0, True), (100, False)):
        data["on_hand"] = [dict(e) for e in too_much_choline.data["on_hand"]]
        entry(data, "turkey-ground")["amount"] = f"{float(there) + way.grams - less:.2f} g"
        assert choose(recipe_of(data, "less", Lines({}), catalog).scenario, catalog).in_reach is in_reach


def test_of_a_slip_the_way_back_ends_at_half_the_ceiling(too_much_salt: Amendment) -> None:
    [slip] = too_much_salt.slips
    assert (slip.nutrient.id, slip.ceiling) == ("sodium", 3.75)
    assert slip.amount > 3.75
    assert not too_much_salt.may_be_fed
    assert too_much_salt.ways
    for way in too_much_salt.ways:
        [sodium] = [line for line in way.sheet.assessment.nutrients if line.nutrient.id == "sodium"]
        assert sodium.high_per_1000_kcal <= 3.75 / 2 * (1 + 1e-6)
        assert way.sheet.assessment.all_met


def test_what_is_planned_with_a_slip_in_it_is_not_to_be_fed(turkey: Recipe, catalog: Catalog) -> None:
    """30 tablets of zinc are past a guard only, so every limit of the standard is met."""
    amendment = amend(turkey, catalog, ["zinc=30 tablets"])
    assert amendment.sheet.assessment.all_met
    assert [slip.nutrient.id for slip in amendment.slips] == ["zinc"]
    assert not amendment.may_be_fed


def test_a_slip_of_vitamin_d_has_no_way_back_where_meat_alone_holds_nearly_half(
    turkey: Recipe, catalog: Catalog
) -> None:
    """The law allows 2270 IU per kg of dry matter where a jar of it goes in; 6 drops of 400 IU pass it."""
    amendment = amend(turkey, catalog, ["vitamin-d3=6 drops", "salt=1/4 tsp"])
    [slip] = amendment.slips
    assert (slip.nutrient.id, slip.ceiling, slip.basis) == ("vitamin-d", 2270, "per_kg_dry_matter")
    assert slip.jars == ("vitamin D3 drops, 400 IU a drop",)
    assert amendment.ways == ()
    assert not amendment.may_be_fed


def test_no_way_is_told_where_there_is_none(turkey: Recipe, catalog: Catalog) -> None:
    """A kelp tablet's iodine is known only within a factor of twenty, the standard's limits are fifteen apart."""
    amendment = amend(turkey, catalog, ["kelp=95 tablets"])
    assert amendment.sheet.status == "out_of_reach"
    assert amendment.ways == ()


def test_what_the_scenario_does_not_list_can_be_in_the_bowl(turkey: Recipe, catalog: Catalog) -> None:
    amendment = amend(turkey, catalog, ["egg-whole=2 eggs", "chicken-heart=100 g"])
    assert texts(amendment)["egg-whole"] == "2 eggs"
    assert texts(amendment)["chicken-heart"] == "100 g"


@pytest.mark.parametrize(
    ("done", "message"),
    [
        ([], "--done: read nothing"),
        (["taurine"], '--done: read "taurine"; allowed: an id and an amount'),
        (["turkey=1 kg"], "one of turkey-neck-bone-in, turkey-ground, turkey-heart, turkey-liver, turkey-skin"),
        (["taurin-powder=1 tsp"], "Did you mean taurine-powder"),
        (["taurine=1 tsp", "taurine-powder=2 tsp"], '"taurine-powder" a second time'),
        (["kelp=5 g"], "a mass where a count is needed"),
    ],
)
def test_what_cannot_be_in_the_bowl_is_refused(turkey: Recipe, catalog: Catalog, done: list[str], message: str) -> None:
    with pytest.raises(InputErrors) as caught:
        amend(turkey, catalog, done)
    assert message in str(caught.value)


def test_the_recipe_itself_is_not_changed(turkey: Recipe, catalog: Catalog) -> None:
    amend(turkey, catalog, ["taurine=1 tsp", "salt=0", "water=2 cups"])
    assert turkey.data == demo("turkey-week")
