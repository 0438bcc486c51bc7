"""A word names the same entry in every option that names one."""

import pytest
from click.testing import CliRunner

from catalog.mistakes import Mistake
from optimizer.cli.main import main
from optimizer.scenario.naming import one_meant
from tests.conftest import SCENARIOS

RABBIT = str(SCENARIOS / "rabbit-few-jars.toml")
IDS = ["vitamin-d3-drops-400", "vitamin-e-softgel-400", "kelp-powder", "rabbit-heart", "lamb-heart"]


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("vitamin-d3", "vitamin-d3-drops-400"),
        ("kelp", "kelp-powder"),
        ("kelp-powder", "kelp-powder"),
        ("softgel", IDS[1]),
    ],
)
def test_an_id_may_be_shortened_to_words_of_the_one_that_is_meant(word: str, meant: str) -> None:
    mistakes: list[Mistake] = []
    assert one_meant(word, IDS, "--set", "an id", mistakes) == meant
    assert mistakes == []


@pytest.mark.parametrize(("word", "allowed"), [("heart", "one of rabbit-heart, lamb-heart"), ("vitam", "an id")])
def test_what_means_none_or_several_is_a_mistake(word: str, allowed: str) -> None:
    mistakes: list[Mistake] = []
    assert one_meant(word, IDS, "--set", "an id", mistakes) == ""
    assert [mistake.allowed for mistake in mistakes] == [allowed]


@pytest.mark.parametrize(
    "words",
    [
        ("plan", RABBIT, "--without", "vitamin-d3"),
        ("plan", RABBIT, "--set", "vitamin-d3=2 drops"),
        ("amend", RABBIT, "--done", "vitamin-d3=1 drop"),
        ("compare", RABBIT, "--without", "vitamin-d3"),
        ("tradeoff", RABBIT, "--without", "vitamin-d3"),
    ],
)
def test_every_command_reads_it_alike(words: tuple[str, ...]) -> None:
    assert CliRunner().invoke(main, list(words)).exit_code in (0, 1)
