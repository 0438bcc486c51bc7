"""All standards side by side."""

import pytest

from catalog.queries.side_by_side import compared
from catalog.records import Catalog


@pytest.mark.parametrize("stage", ["adult", "growth"])
def test_every_limit_of_every_standard_has_its_place(catalog: Catalog, stage: str) -> None:
    rows = compared(catalog, stage)
    placed = [(id_, limit) for row in rows for id_, limit in row.limits.items()]
    limits = [(id_, limit) for (id_, s), found in catalog.standards.items() if s == stage for limit in found.limits]
    assert len(placed) == len(limits)
    assert all(pair in placed for pair in limits)
    assert {row.life_stage for row in rows} == {stage}


def test_what_is_limited_alike_stands_in_one_row(catalog: Catalog) -> None:
    rows = compared(catalog)
    [calcium] = [
        row for row in rows if (row.life_stage, row.nutrient.id, row.basis) == ("growth", "calcium", "per_1000_kcal")
    ]
    assert set(calcium.limits) == {"aafco", "fediaf-75", "fediaf-100", "nrc"}
    # AAFCO 2016, growth: 2.5 g; NRC 2006, kittens: 2.0 g per 1000 kcal
    assert (calcium.limits["aafco"].minimum, calcium.limits["nrc"].minimum) == (2.5, 2.0)
    [legal] = [r for r in rows if (r.life_stage, r.nutrient.id, r.basis) == ("adult", "zinc", "per_kg_dry_matter")]
    assert set(legal.limits) == {"fediaf-75", "fediaf-100"}


def test_rows_follow_the_nutrients(catalog: Catalog) -> None:
    order = list(catalog.nutrients)
    places = [(row.life_stage == "growth", order.index(row.nutrient.id)) for row in compared(catalog)]
    assert places == sorted(places)
