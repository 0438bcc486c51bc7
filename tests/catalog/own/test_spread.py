"""An own entry may say how each of its amounts is known: its kind, its spread, its number of samples."""

from typing import Any

import pytest

from catalog.own.overlay import lay_over_data
from catalog.own.writing import entry_text
from catalog.reading.toml_lines import Lines, parse_toml
from catalog.records import Catalog, Figure

ENTRY: dict[str, Any] = {
    "id": "hare",
    "name": "hare, analysed",
    "role": "cut",
    "counts_as": "meat",
    "per": "50 g",
    "amounts": {"protein": "11 g", "vitamin-e": "1 mg d-alpha-tocopherol", "zinc": "20 mg/kg"},
}


def figures(catalog: Catalog, **tables: Any) -> dict[str, Figure]:
    text = entry_text({**ENTRY, **tables})
    data, lines, _ = parse_toml(text, "own.toml")
    laid, mistakes = lay_over_data(catalog, data, "own.toml", lines)
    assert mistakes == []
    return dict(laid.foods["hare"].figures)


def test_without_them_the_entry_s_kind_and_the_spread_of_the_class_hold(catalog: Catalog) -> None:
    protein = figures(catalog)["protein"]
    assert (protein.value, protein.kind, protein.n, protein.sd_assumed) == (22, "label", None, True)
    assert protein.sd == pytest.approx(22 * catalog.nutrients["protein"].assumed_cv)


def test_kind_spread_and_samples_of_one_amount(catalog: Catalog) -> None:
    found = figures(
        catalog,
        kind="calculated",
        kinds={"protein": "analysed"},
        spread={"protein": "0.5 g", "vitamin-e": "0.1 mg d-alpha-tocopherol", "zinc": "2 mg/kg"},
        samples={"protein": 6},
    )
    protein, vitamin_e, zinc = found["protein"], found["vitamin-e"], found["zinc"]
    assert (protein.kind, protein.sd, protein.n, protein.sd_assumed) == ("analysed", 1.0, 6, False)  # per 50 g
    assert (vitamin_e.kind, vitamin_e.n) == ("calculated", None)
    assert vitamin_e.sd == pytest.approx(0.1 * 1.49 * 2)  # in IU, as the amount
    assert (zinc.value, zinc.sd) == pytest.approx((2.0, 0.2))


@pytest.mark.parametrize(
    ("tables", "field", "allowed"),
    [
        ({"kinds": {"protein": "measured"}}, "kinds.protein", "analysed, calculated"),
        ({"kinds": {"fat": "analysed"}}, "kinds.fat", "among the amounts"),
        ({"spread": {"protein": "0.5"}}, "spread.protein", "standard deviation"),
        ({"spread": {"protein": "0.4 to 0.6 g"}}, "spread.protein", "standard deviation"),
        ({"spread": {"zinc": 2}}, "spread.zinc", "standard deviation"),
        ({"samples": {"protein": 0}}, "samples.protein", "whole number above 0"),
        ({"samples": {"protein": True}}, "samples.protein", "whole number above 0"),
        ({"samples": {"protein": "6"}}, "samples.protein", "whole number above 0"),
        ({"samples": 6}, "samples", "zinc = 4"),
    ],
)
def test_what_cannot_be_used(catalog: Catalog, tables: dict[str, Any], field: str, allowed: str) -> None:
    _, [mistake] = lay_over_data(catalog, {"foods": [{**ENTRY, **tables}]}, "own.toml", Lines({}))
    assert mistake.field == f"foods[1].{field}"
    assert allowed in mistake.allowed
