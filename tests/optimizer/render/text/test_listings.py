"""Listings fit the width they are given, a phone's too, and lose nothing by it."""

import pytest

from catalog.queries.audit import audit
from catalog.queries.profile import profile_of
from catalog.queries.side_by_side import compared
from catalog.records import Catalog
from optimizer.render.text.audit import audit_text
from optimizer.render.text.food import food_text
from optimizer.render.text.foods import foods_text
from optimizer.render.text.standards import compared_text, standard_text, standards_text


@pytest.mark.parametrize("width", [40, 60, 72, 100, 120])
def test_listings_fit_the_width(catalog: Catalog, width: int) -> None:
    foods = [catalog.foods[id_] for id_ in ("turkey-heart", "chicken-wing-bone-in", "kelp-powder")]
    texts = [
        foods_text(list(catalog.foods.values()), width),
        *(food_text(profile_of(food, catalog), catalog, width) for food in foods),
        standards_text(catalog, width),
        standard_text([catalog.standards["fediaf-75", stage] for stage in ("adult", "growth")], catalog, width),
        compared_text(compared(catalog), catalog, width),
        audit_text(audit(catalog)[0], len(catalog.foods), width),
    ]
    assert [max(map(len, text.splitlines())) <= width for text in texts] == [True] * len(texts)


@pytest.mark.parametrize("width", [40, 100])
def test_a_narrow_listing_has_the_same_figures(catalog: Catalog, width: int) -> None:
    text = " ".join(food_text(profile_of(catalog.foods["turkey-heart"], catalog), catalog, width).split())
    for nutrient in ("taurine", "zinc", "vitamin B12"):
        assert nutrient in text
    assert "± 2.64, n 4" in text
    assert "± 0.044 assumed" in text  # taurine: no spread was published
    assert "estimated" in text
    compared_limits = " ".join(compared_text(compared(catalog, "adult"), catalog, width).split())
    assert "70.0 to 7520" in compared_limits


def test_the_list_of_standards_says_which_share_is_verified(catalog: Catalog) -> None:
    text = standards_text(catalog, 300)
    for (_, stage), standard in catalog.standards.items():
        read = sum(limit.confidence == "read" for limit in standard.limits)
        share = f"{100 * read / len(standard.limits):.0f} % verified" if standard.limits else "no limits"
        assert f"{stage} {len(standard.limits)} ({share})" in text


def test_the_heading_of_a_standard_says_how_many_limits_are_verified(catalog: Catalog) -> None:
    stages = [catalog.standards["nrc", stage] for stage in ("adult", "growth")]
    heading = standard_text(stages, catalog, 300).splitlines()[1]
    assert all(f"{s.life_stage} {s.verified} of {len(s.limits)} limits" in heading for s in stages)


def test_colour_adds_no_words(catalog: Catalog) -> None:
    food = profile_of(catalog.foods["turkey-heart"], catalog)
    coloured = food_text(food, catalog, 100, colour=True)
    assert "\x1b[" in coloured
    assert "\x1b[" not in food_text(food, catalog, 100)


def test_a_search_without_a_hit_says_so() -> None:
    assert "No food or supplement" in foods_text([])
