"""In the middle of a batch: what is in the bowl stays, the rest is solved again, and the ways back are real."""

import pytest

from catalog.records import Catalog
from catalog.toml_text import Lines
from optimizer.amend import Amendment, amend
from optimizer.check import check
from optimizer.errors import InputErrors
from optimizer.journal.weighed import Recipe, read_recipe, recipe_of
from tests.altered import demo, entry, written_back
from tests.conftest import SCENARIOS


@pytest.fixture(scope="module")
def turkey(catalog: Catalog) -> Recipe:
    return read_recipe(SCENARIOS / "turkey-week.toml", catalog)


@pytest.fixture(scope="module")
def open_liver(catalog: Catalog) -> Recipe:
    """The turkey with liver that may go in, so that what goes in whole, and is told as a way back, is cuts and heart."""
    data = demo("turkey-week")
    liver = entry(data, "turkey-liver")
    del liver["amount"]
    liver["up_to"] = "8 oz"
    return recipe_of(data, "open liver", Lines({}), catalog)


@pytest.fixture(scope="module")
def too_much_vitamin_d(open_liver: Recipe, catalog: Catalog) -> Amendment:
    """150 drops of 400 IU, and salt as planned; the ceiling is 7520 IU per 1000 kcal, the batch has some 4300 kcal."""
    return amend(open_liver, catalog, ["vitamin-d3=150 drops", "salt=1/4 tsp"])


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
    assert [miss.id for miss in amendment.sheet.assessment.misses] == ["taurine"]
    way = amendment.ways[0]
    assert (way.kind, way.id, way.text) == ("more_of", "taurine-powder", "1/4 tsp")
    assert way.sheet.assessment.all_met


def test_a_ceiling_that_is_passed_says_how_much_more_meat_brings_it_back(
    open_liver: Recipe, too_much_vitamin_d: Amendment, catalog: Catalog
) -> None:
    assert [(miss.id, miss.status) for miss in too_much_vitamin_d.sheet.assessment.misses] == [("vitamin-d", "over")]
    ways = too_much_vitamin_d.ways
    assert [way.kind for way in ways] == ["more_meat"] * len(ways)
    assert ways[0].id == ""  # the same mix comes first
    assert {"turkey-neck-bone-in", "turkey-ground", "turkey-heart"} >= {way.id for way in ways[1:]} != set()
    before = {item.id: float(item.fixed * item.grams_per_unit) for item in open_liver.scenario.items if item.fixed}
    for way in ways:
        assert way.sheet.assessment.all_met
        after = {line.id: line.grams for line in way.sheet.lines}
        more = {id_: after[id_] - grams for id_, grams in before.items() if id_ != "water"}
        assert sum(more.values()) == pytest.approx(way.grams, abs=2)  # each cut to the gram
        assert {id_ for id_, grams in more.items() if grams > 1} == ({way.id} if way.id else set(more))
        assert after["vitamin-d3-drops-400"] == pytest.approx(150 * 0.03)


def test_no_way_back_is_more_liver_or_bone_than_is_common(turkey: Recipe, catalog: Catalog) -> None:
    """Over a kilogram of liver once was a way to thin out vitamin D."""
    amendment = amend(turkey, catalog, ["vitamin-d3=150 drops", "salt=1/4 tsp"])
    assert len(amendment.ways) >= 2
    for way in amendment.ways:
        assert way.id not in ("turkey-liver", "turkey-neck-bone-in")
        assert "above-common-share" not in {notice.code for notice in way.sheet.cautions}


def test_the_way_back_passes_a_check_of_the_amounts_as_printed(too_much_vitamin_d: Amendment, catalog: Catalog) -> None:
    for way in too_much_vitamin_d.ways:
        settled = recipe_of(written_back(too_much_vitamin_d.data, way.sheet), "way", Lines({}), catalog)
        assert check(settled.scenario, catalog).assessment.all_met


def test_much_less_meat_than_the_way_back_does_not_do(too_much_vitamin_d: Amendment, catalog: Catalog) -> None:
    """A hundred grams of one cut are not enough: the amounts that are told are no idle ones."""
    data = dict(too_much_vitamin_d.data)
    data["on_hand"] = [dict(e) for e in data["on_hand"]]
    entry(data, "turkey-ground")["amount"] = "1733 g"
    assert recipe_of(data, "less", Lines({}), catalog).scenario.items
    amendment = amend(recipe_of(data, "less", Lines({}), catalog), catalog, ["salt=1/4 tsp"])
    assert amendment.sheet.status == "out_of_reach"
    assert [miss.id for miss in amendment.sheet.assessment.misses] == ["vitamin-d"]


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
