"""What would help: ways to a complete mix that do what they say when they are typed."""

import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from catalog.records import Catalog
from optimizer.assess.result import SHORT, Miss
from optimizer.cli.main import main
from optimizer.explain.candidates import candidates
from optimizer.explain.remedies import MOST_TO_START
from optimizer.explain.remedy_search import MOST_THINGS
from tests.altered import scenario_of

ONE_PACKAGE = '[[on_hand]]\nfood = "turkey-ground"\namount = "500 g"\n'


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words))


def typed(output: str) -> list[list[str]]:
    """The words to type below each way, as a shell reads them."""
    ways = " ".join(line.strip() for line in output.splitlines()).split("weighout plan ")[1:]
    return [shlex.split(way.split(" - Get ")[0].split(" Tried: ")[0]) for way in ways]


def test_who_has_one_package_of_meat_is_told_what_a_first_batch_takes(tmp_path: Path) -> None:
    file = tmp_path / "first.toml"
    file.write_text(ONE_PACKAGE)
    found = run("plan", str(file))
    assert found.exit_code == 1
    (words,) = typed(found.output)
    things = [word for word in words if word in ("--set", "--with")]
    assert MOST_THINGS < len(things) <= MOST_TO_START
    assert run("plan", *words).exit_code == 0


@pytest.mark.parametrize("species", ["rabbit", "lamb", "beef", "chicken"])
def test_the_liver_of_an_animal_on_hand_is_among_what_is_tried(species: str, catalog: Catalog) -> None:
    food = {"rabbit": "rabbit-whole-bone-in", "lamb": "lamb-heart", "beef": "beef-heart", "chicken": "chicken-heart"}
    scenario = scenario_of({"on_hand": [{"food": food[species], "amount": "2 kg"}]}, catalog)
    short = Miss("vitamin-a", "vitamin A (retinol)", "IU", SHORT, 0.0, 833.0)
    livers = {item.food.species for item in candidates(scenario, catalog, [short]) if "liver" in item.id}
    own = [f for f in catalog.foods.values() if f.species == species and "liver" in f.id and f.figures]
    assert livers
    assert not own or species in livers
