"""The person's own rules given up: told where it is enough, left out where time runs out over it."""

from dataclasses import replace
from decimal import Decimal

import pytest

from catalog.records import Catalog
from optimizer.errors import OutOfTime
from optimizer.explain import probe
from optimizer.explain.relaxed_rules import relax_own_rules
from optimizer.model.deadline import Deadline
from optimizer.model.solve import Choice
from optimizer.scenario.records import Scenario
from tests.altered import demo, scenario_of


@pytest.fixture
def poor(catalog: Catalog) -> Scenario:
    """Turkey that costs 21.14 USD, with 18 USD to pay for it."""
    return replace(scenario_of(demo("turkey-week"), catalog), budget=Decimal(18))


def test_a_budget_that_does_not_reach_is_told_with_what_it_takes(poor: Scenario, catalog: Catalog) -> None:
    [remedy] = relax_own_rules(poor, catalog, Deadline.within(30))
    assert remedy.options == ("--budget 21.14",)


def test_where_time_runs_out_nothing_is_told_and_nothing_breaks(
    poor: Scenario, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    def too_late(scenario: Scenario, catalog: Catalog, seconds: float) -> Choice:
        raise OutOfTime("no time")

    monkeypatch.setattr(probe, "choose", too_late)
    assert list(relax_own_rules(poor, catalog, Deadline.within(30))) == []
