"""Aims: each is best at what it says, whatever the order of the file."""

from dataclasses import replace

import pytest
from click.testing import CliRunner

from catalog.catalog import load_catalog
from optimizer.cli.main import main
from optimizer.model.kinds import Kind
from optimizer.model.solve import Choice, choose
from optimizer.scenario.aims import AIMS, LIGHTEST, SUREST
from tests.altered import NAMES, UNREACHED, changed, demo, scenario_of
from tests.conftest import SCENARIOS

CATALOG = load_catalog()[0]
REACHED = [name for name in NAMES if name not in UNREACHED]


def planned(name: str, aim: str) -> Choice:
    data = demo(name)
    usual = data.get("usual") if aim == "usual" else None
    return choose(scenario_of(changed(data, aim=aim, usual=usual), CATALOG), CATALOG)


def from_jars(choice: Choice) -> float:
    return sum(amount.grams for amount in choice.amounts if amount.item.is_jar)


@pytest.mark.parametrize("name", REACHED)
def test_nothing_takes_less_from_jars_than_the_lightest(name: str) -> None:
    lightest = planned(name, LIGHTEST)
    assert lightest.in_reach
    assert from_jars(lightest) <= min(from_jars(planned(name, aim)) for aim in ("cost", "fewest")) + 1e-6


@pytest.mark.parametrize("aim", [aim for aim in AIMS if aim != "usual"])
def test_the_order_of_the_file_changes_no_cost_and_no_count(aim: str) -> None:
    """Columns are found by name: those of the jars stand elsewhere when the file is turned round."""
    plain = scenario_of(changed(demo("turkey-week"), aim=aim), CATALOG)
    turned = replace(plain, items=plain.items[::-1])
    one, other = choose(plain, CATALOG), choose(turned, CATALOG)
    assert {a.item.id: a.count for a in one.amounts} == {a.item.id: a.count for a in other.amounts}
    assert one.problem.places(Kind.AMOUNT) != other.problem.places(Kind.AMOUNT)


@pytest.mark.parametrize("aim", AIMS)
def test_why_works_with_every_aim(aim: str) -> None:
    name = "duck-and-quail-as-usual" if aim == "usual" else "turkey-week"
    done = CliRunner().invoke(main, ["plan", str(SCENARIOS / f"{name}.toml"), "--aim", aim, "--why"])
    assert done.exit_code == 0, done.output
    assert "Why each dose" in done.output
    assert f"Aim: {AIMS[aim].words}." in " ".join(done.output.split())


def test_the_lightest_tells_grams() -> None:
    done = CliRunner().invoke(main, ["plan", str(SCENARIOS / "turkey-week.toml"), "--aim", LIGHTEST, "--why"])
    assert "g more from jars" in " ".join(done.output.split())
    assert AIMS[SUREST].as_sure
