"""What a person's own jar is for, and what such a jar usually costs."""

from collections.abc import Callable
from typing import Any

import pytest

from catalog.mistakes import Mistake
from catalog.own.overlay import lay_over_data
from catalog.reading.jars import median_price
from catalog.reading.toml_lines import Lines
from catalog.records import Catalog, Food

Entry = dict[str, Any]


@pytest.fixture
def lay(catalog: Catalog) -> Callable[..., tuple[Food | None, list[Mistake]]]:
    """An own jar with some keys of its own, and the mistakes in it."""

    def layer(**keys: Any) -> tuple[Food | None, list[Mistake]]:
        entry: Entry = {"id": "my-jar", "name": "my jar", "role": "supplement", "counts_as": "non-meat"} | keys
        if "like" in keys:
            entry = {"id": "my-jar"} | keys
        laid, mistakes = lay_over_data(catalog, {"foods": [entry]}, "own-foods.toml", Lines({}))
        return laid.foods.get(entry["id"]), mistakes

    return layer


@pytest.fixture
def purposes(lay: Callable[..., tuple[Food | None, list[Mistake]]]) -> Callable[..., set[str]]:
    def reader(**keys: Any) -> set[str]:
        food, mistakes = lay(**keys)
        assert mistakes == []
        assert food is not None
        return set(food.purposes)

    return reader


Purposes = Callable[..., set[str]]


def test_a_jar_is_for_every_nutrient_that_its_label_names(purposes: Purposes) -> None:
    amounts = {"thiamine": "50 mg", "zinc": "15 mg", "protein": "0.1 g", "fibre": "0.2 g", "iodine": "0 ug"}
    assert purposes(per="1 capsule (1 g)", amounts=amounts) == {"thiamine", "zinc"}


def test_purposes_narrow_it(purposes: Purposes) -> None:
    amounts = {"iodine": "150 ug", "calcium": "30 mg"}
    assert purposes(per="1 tablet (0.3 g)", amounts=amounts, purposes=["iodine"]) == {"iodine"}
    assert purposes(per="1 tablet (0.3 g)", amounts=amounts, purposes=[]) == set()


def test_epa_and_dha_each_are_also_both_together(purposes: Purposes) -> None:
    found = purposes(per="1 softgel (1.4 g)", amounts={"epa": "180 mg", "dha": "120 mg"})
    assert found == {"epa", "dha", "epa-dha"}


def test_a_jar_like_another_is_for_the_same_and_what_its_label_names(purposes: Purposes) -> None:
    assert purposes(like="salt-table", amounts={"iodine": "45 ug/g"}) == {"sodium", "chloride", "iodine"}
    assert purposes(like="kelp-powder", amounts={"calcium": "10 mg/g"}, purposes=["iodine"]) == {"iodine"}
    assert purposes(id="salt-iodised-us", like="salt-iodised-us", amounts={"iodine": "0 ug/g"}) == {
        "sodium",
        "chloride",
    }


def test_food_has_no_purpose(purposes: Purposes) -> None:
    assert purposes(role="organ", counts_as="meat", per="100 g", amounts={"vitamin-a": "5000 IU"}) == set()
    assert purposes(like="beef-liver") == set()


@pytest.mark.parametrize(
    ("written", "allowed"),
    [
        (["iodin"], "nutrients such as iodine"),
        ("iodine", 'a list of nutrients such as ["iodine"]'),
        (["protein"], "a vitamin, mineral, amino acid or fatty acid"),
        (["selenium"], "a nutrient on its label: iodine"),
    ],
)
def test_a_purpose_is_a_nutrient_on_the_label(
    lay: Callable[..., tuple[Food | None, list[Mistake]]], written: object, allowed: str
) -> None:
    food, mistakes = lay(per="1 tablet (0.3 g)", amounts={"iodine": "150 ug"}, purposes=written)
    assert food is None
    assert [(mistake.field, allowed in mistake.allowed) for mistake in mistakes] == [("foods[1].purposes", True)]


def test_an_own_jar_usually_costs_what_such_jars_do(
    catalog: Catalog, lay: Callable[..., tuple[Food | None, list[Mistake]]]
) -> None:
    def price(**keys: Any) -> float | None:
        food, mistakes = lay(**keys)
        assert mistakes == []
        return food.usual_price_per_gram if food else None

    shipped = list(catalog.foods.values())
    label = {"per": "1 capsule (1 g)", "amounts": {"taurine": "500 mg"}}
    assert price(**label, category="vitamin") == median_price("vitamin", shipped)
    assert price(**label) == median_price("", shipped)
    assert price(like="taurine-powder") == catalog.foods["taurine-powder"].usual_price_per_gram
    assert price(**label, id="taurine-powder") == catalog.foods["taurine-powder"].usual_price_per_gram
    assert price(like="beef-liver") is None
