"""Out of reach: the smallest set of rules that conflict, in the words of the standard and the scenario, and what helps."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from catalog.records import Catalog
from optimizer.explain.conflicts import find_conflicts
from optimizer.model.deadline import Deadline
from optimizer.model.solve import Choice, choose
from optimizer.planning import plan
from optimizer.scenario.records import Scenario
from optimizer.sheet.reasons import Conflict
from tests.altered import changed, demo, entry, scenario_of

Read = Callable[[str], Scenario]


def turkey(**values: Any) -> dict[str, Any]:
    """The turkey scenario, which is in reach, with some keys replaced."""
    return changed(demo("turkey-week"), **values)


def without(data: dict[str, Any], *ids: str) -> dict[str, Any]:
    """A scenario without some of what is on hand."""
    return changed(
        data,
        on_hand=[e for e in data["on_hand"] if e["food"] not in ids],
        supplements=[e for e in data["supplements"] if e["supplement"] not in ids],
    )


def conflicts_of(choice: Choice) -> tuple[Conflict, ...]:
    return find_conflicts(choice, Deadline.within(60))


def lines_of(choice: Choice) -> list[str]:
    return [conflict.line for conflict in conflicts_of(choice)]


def feasible(choice: Choice, kept: set[str]) -> bool:
    """Asked of scipy, on the arrays: does a mix keep these rules (by their words), all that cannot give way, and the
    stock as it is written?"""
    problem = choice.problem
    keep = np.array([row.label in kept or not row.tier for row in problem.rows])
    answer = milp(
        np.zeros(len(problem.columns)),
        constraints=LinearConstraint(problem.matrix[keep], problem.row_lower[keep], problem.row_upper[keep]),
        bounds=Bounds(problem.lower, problem.upper),
        integrality=problem.integer.astype(int),
    )
    return bool(answer.status == 0)


def test_a_nutrient_without_a_source(catalog: Catalog) -> None:
    choice = choose(scenario_of(without(turkey(), "kelp-tablet-225"), catalog), catalog)
    assert lines_of(choice) == ["iodine at least 150 ug per 1000 kcal: nothing on hand brings enough of it."]


def test_a_nutrient_without_a_source_is_helped_by_one_thing_to_get(catalog: Catalog) -> None:
    sheet = plan(scenario_of(without(turkey(), "kelp-tablet-225"), catalog), catalog)
    assert len(sheet.reasons.remedies) >= 2
    for remedy in sheet.reasons.remedies:
        [(id_, _)] = remedy.changes
        assert "iodine" in catalog.foods[id_].figures
        assert remedy.line.startswith("Get ")


def test_each_remedy_is_another_one(catalog: Catalog) -> None:
    """Tablets and drops of one mineral are told once each, though more than one search finds them."""
    sheet = plan(scenario_of(without(turkey(), "kelp-tablet-225"), catalog), catalog)
    assert [remedy.changes[0][0] for remedy in sheet.reasons.remedies] == [
        "potassium-iodide-drops-150",
        "potassium-iodide-tablet-225",
    ]


def test_no_remedy_makes_the_mix_hold_more_liver_than_is_common(catalog: Catalog) -> None:
    """Zinc from 340 g of lamb liver once was a remedy, with 170 g of beef liver in the mix already."""
    data = without(demo("kittens-chicken-backs"), "zinc-gluconate")
    remedies = plan(scenario_of(data, catalog), catalog).reasons.remedies
    assert len(remedies) >= 2
    for remedy in remedies:
        more = [{"food": id_, "amount": text} for id_, text in remedy.changes if catalog.foods[id_].role == "organ"]
        jars = [{"supplement": id_} for id_, _ in remedy.changes if catalog.foods[id_].role == "supplement"]
        changed_ = changed(data, on_hand=[*data["on_hand"], *more], supplements=[*data["supplements"], *jars])
        sheet = plan(scenario_of(changed_, catalog), catalog)
        assert sheet.status == "planned"
        assert "above-common-share" not in {notice.code for notice in sheet.cautions}


def test_each_remedy_works_when_it_is_written_into_the_scenario(catalog: Catalog) -> None:
    data = without(turkey(), "kelp-tablet-225", "choline-bitartrate")
    for remedy in plan(scenario_of(data, catalog), catalog).reasons.remedies:
        got = [{"supplement": id_} for id_, text in remedy.changes if not text.startswith("only ")]
        bought = changed(data, supplements=[*data["supplements"], *got])
        assert plan(scenario_of(bought, catalog), catalog).status == "planned"


def test_two_limits_that_conflict_through_liver(catalog: Catalog) -> None:
    # copper has no source but lamb liver, and the person's own ceiling on vitamin A stops the liver
    data = without(turkey(), "turkey-liver", "beef-spleen", "copper-bisglycinate")
    own = {"nutrient": "vitamin-a", "at_most": "2000 IU per 1000 kcal"}
    liver = {"food": "lamb-liver", "up_to": "8 oz"}
    spleen = {"food": "pork-spleen", "up_to": "12 oz"}
    data = changed(data, on_hand=[*data["on_hand"], liver, spleen], limits=[own])
    [conflict] = conflicts_of(choose(scenario_of(data, catalog), catalog))
    assert set(conflict.rules) == {
        "copper at least 1.25 mg per 1000 kcal",
        "vitamin A (retinol) at most 2000 IU per 1000 kcal",
    }
    assert conflict.line.startswith("These cannot all hold: ")


def test_a_cap_too_tight_names_the_line_and_what_it_takes(read: Read, catalog: Catalog) -> None:
    text = (
        'non_meat_cap = "0.1 %"\n'
        '[[on_hand]]\nfood = "turkey-neck-bone-in"\namount = "1 kg"\n'
        '[[on_hand]]\nfood = "pumpkin-raw"\namount = "50 g"\n'
    )
    choice = choose(read(text), catalog)
    said = "non-meat at most 0.1 % of the mix (line 1) (no meat: pumpkin, raw, 50 g): no mix"
    assert any(said in line for line in lines_of(choice))


def test_only_the_cap_in_the_way_is_said_to_be_the_thing_to_give_up(catalog: Catalog) -> None:
    sheet = plan(scenario_of(turkey(non_meat_cap="0.1 %"), catalog), catalog)
    [first, *_] = sheet.reasons.remedies
    assert first.changes == (("cap", "given up"),)
    assert "it takes 0." in first.line


def test_a_stock_too_small(catalog: Catalog) -> None:
    data = turkey()
    entry(data, "taurine-powder")["left"] = "1/4 tsp"
    short, more = lines_of(choose(scenario_of(data, catalog), catalog))
    assert short == "taurine at least 0.5 g per 1000 kcal: nothing on hand brings enough of it."
    assert more.startswith("More of this alone would do it: taurine powder: only 1/4 tsp on hand")
    entry(data, "taurine-powder")["left"] = "1/2 tsp"
    assert choose(scenario_of(data, catalog), catalog).in_reach


def test_a_step_too_coarse(catalog: Catalog) -> None:
    # a half tablet more or less passes one of two limits that lie close together
    data = turkey(limits=[{"nutrient": "zinc", "at_most": "22 mg per 1000 kcal"}])
    entry(data, "zinc-gluconate").update(supplement="zinc-gluconate-50", step="1 tablet")
    entry(data, "turkey-liver")["amount"] = "3 oz"
    for id_, amount in {"beef-spleen": "3 oz", "turkey-skin": "8 oz", "egg-yolk": "2 yolks"}.items():
        e = entry(data, id_)
        e["amount"] = amount
        del e["up_to"]
    choice = choose(scenario_of(data, catalog), catalog)
    assert not choice.in_reach
    conflict = next(c for c in conflicts_of(choice) if len(c.rules) == 2)
    assert set(conflict.rules) == {"zinc at least 18.8 mg per 1000 kcal", "zinc at most 22 mg per 1000 kcal"}


def test_a_bound_of_the_scenario_against_the_standard(catalog: Catalog) -> None:
    data = turkey()
    entry(data, "taurine-powder")["at_most"] = "1/4 tsp"
    [line] = lines_of(choose(scenario_of(data, catalog), catalog))
    assert "taurine at least 0.5 g per 1000 kcal" in line
    assert "taurine powder: at most 1/4 tsp" in line


def test_many_conflicts_at_once_are_told_one_by_one(catalog: Catalog) -> None:
    choice = choose(scenario_of(demo("bare-cupboard"), catalog), catalog)
    conflicts = conflicts_of(choice)
    named = {rule for conflict in conflicts for rule in conflict.rules}
    for rule in ("iodine at least 150 ug per 1000 kcal", "thiamine at least 1.4 mg per 1000 kcal"):
        assert rule in named
    assert len(conflicts) >= 8
    assert len(named) == sum(len(conflict.rules) for conflict in conflicts)  # disjoint


@pytest.mark.parametrize(
    "data",
    [
        without(turkey(), "kelp-tablet-225", "taurine-powder"),
        turkey(non_meat_cap="0.05 %"),
        turkey(limits=[{"nutrient": "phosphorus", "at_most": "1.3 g per 1000 kcal"}]),
        turkey(limits=[{"nutrient": "calcium-phosphorus", "at_least": "2.5"}]),
    ],
)
def test_a_conflict_is_irreducible_by_another_solver(data: dict[str, Any], catalog: Catalog) -> None:
    choice = choose(scenario_of(data, catalog), catalog)
    conflicts = [c for c in conflicts_of(choice) if not any("on hand" in rule for rule in c.rules)]
    assert conflicts
    for conflict in conflicts:
        rules = set(conflict.rules)
        assert not feasible(choice, rules)
        for rule in rules:
            assert feasible(choice, rules - {rule})


def test_a_batch_of_nothing_is_no_way_out(read: Read, catalog: Catalog) -> None:
    # every cut is open: an empty bowl would break no ceiling, and must not be called the nearest mix
    text = 'meat_at_least = "1 kg"\n[[on_hand]]\nfood = "turkey-ground"\nup_to = "3 kg"\n'
    choice = choose(read(text), catalog)
    assert not choice.in_reach
    assert sum(amount.grams for amount in choice.amounts) == pytest.approx(1000, abs=10)
