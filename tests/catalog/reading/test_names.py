"""Foods by the words that people use: plurals, British and American names, butchers' words, names where an id is."""

import csv
from pathlib import Path

import pytest

from catalog.catalog import TABLES
from catalog.mistakes import Mistake
from catalog.reading.names import check_synonyms, find_foods, food_hint, named_food, read_synonyms, search_notes
from catalog.records import Catalog


@pytest.mark.parametrize(
    ("words", "food"),
    [
        ("mince", "beef-ground-85-lean"),
        ("minced beef", "beef-ground-95-lean"),
        ("turkey mince", "turkey-ground"),
        ("gizzards", "chicken-gizzard"),
        ("hearts", "turkey-heart"),
        ("eggs", "egg-whole"),
        ("egg yolks", "egg-yolk"),
        ("thighs with bone", "chicken-thigh-bone-in"),
        ("ox heart", "beef-heart"),
        ("calf liver", "veal-liver"),
        ("lamb's liver", "lamb-liver"),
        ("pig's kidneys", "pork-kidney"),
        ("melt", "beef-spleen"),
        ("lights", "lamb-lung"),
        ("offal", "pork-liver"),
        ("pilchard", "sardine-raw"),
        ("coley", "pollock-atlantic"),
        ("prawns", "shrimp"),
        ("gelatine", "gelatin"),
        ("yoghurt", "yogurt-whole-plain"),
        ("hare", "rabbit-wild-meat"),
        ("bonemeal", "bone-meal"),
        ("MCHA", "bone-calcium-powder"),
        ("multivitamin", "b-complex-50"),
        ("ferrous", "iron-bisglycinate"),
        ("day-old chicks", "chick-day-old"),
        ("mice", "mouse-adult-whole"),
        ("sprats", "herring-atlantic"),
        ("basa", "catfish-farmed"),
        ("cockles", "clam"),
        ("brisket", "beef-brisket"),
        ("oxtail", "beef-chuck-stew-meat"),
        ("partridge", "quail-meat"),
        ("chicken liver, raw", "chicken-liver"),
        ("vitamin-d3 400", "vitamin-d3-drops-400"),
    ],
)
def test_what_people_call_a_food_finds_it(catalog: Catalog, words: str, food: str) -> None:
    assert food in [found.id for found in find_foods(catalog, words)]


with Path(__file__).with_name("words.csv").open(encoding="utf-8", newline="") as table:
    WORDS = [(row["word"], row["gives"]) for row in csv.DictReader(table)]


@pytest.mark.parametrize(("word", "gives"), WORDS)
def test_a_word_gives_its_food_its_refusal_or_a_note(catalog: Catalog, word: str, gives: str) -> None:
    """Three hundred words of kitchens, butchers and jars: the id of a food that is found, "refused", or "note" where
    nothing has figures and it is said why."""
    notes = search_notes(catalog, word)
    found = [food.id for food in find_foods(catalog, word)]
    if gives == "refused":
        assert notes[0].startswith("refused: ")
    elif gives == "note":
        assert found == []
        assert notes
    else:
        assert gives in found
        assert not any(note.startswith("refused") for note in notes)


def test_every_printed_name_is_the_name_of_one_food(catalog: Catalog) -> None:
    for food in catalog.foods.values():
        assert named_food(food.name, catalog) is food
        assert named_food(f"  {food.name.upper()} ", catalog) is food


@pytest.mark.parametrize(("words", "not_found"), [("ox", "magnesium-oxide"), ("lights", "turkey-light-meat")])
def test_a_synonym_is_no_part_of_another_word(catalog: Catalog, words: str, not_found: str) -> None:
    assert not_found not in [found.id for found in find_foods(catalog, words)]


def test_where_a_food_only_comes_near_it_is_said(catalog: Catalog) -> None:
    assert search_notes(catalog, "hare") == ["no figure of hare was found: wild rabbit is the nearest"]
    assert search_notes(catalog, "turkey heart") == []


@pytest.mark.parametrize("words", ["blood", "chicken feet", "rabbit liver"])
def test_what_has_no_figures_is_not_replaced_by_anything(catalog: Catalog, words: str) -> None:
    assert find_foods(catalog, words) == []
    assert any(note.startswith("no analysis") for note in search_notes(catalog, words))


@pytest.mark.parametrize("text", ["turkey-heart", "turkey heart", "Turkey  Heart", "TURKEY-HEART"])
def test_an_id_or_a_printed_name_names_a_food(catalog: Catalog, text: str) -> None:
    food = named_food(text, catalog)
    assert food is not None
    assert food.id == "turkey-heart"


def test_a_part_of_a_name_names_nothing(catalog: Catalog) -> None:
    assert named_food("heart", catalog) is None


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("turkey-hart", "Did you mean turkey-heart or turkey-fat or turkey-dark-meat?"),
        ("ox-heart", "Did you mean beef-heart or veal-heart or beef-heart-simmered?"),
        ("blood", "No analysis of raw blood was found."),
    ],
)
def test_a_hint_names_what_may_be_meant(catalog: Catalog, text: str, hint: str) -> None:
    assert food_hint(text, catalog) == hint


def test_every_name_of_the_catalog_names_its_own_food_or_its_twin(catalog: Catalog) -> None:
    for food in catalog.foods.values():
        named = named_food(food.name, catalog)
        assert named is not None
        assert named.name.casefold() == food.name.casefold()


def test_each_synonym_leads_to_a_food_or_says_why_not(catalog: Catalog) -> None:
    mistakes: list[Mistake] = []
    assert len(read_synonyms(TABLES / "synonyms.csv", mistakes)) > 120
    check_synonyms(TABLES / "synonyms.csv", catalog, mistakes)
    assert mistakes == []
