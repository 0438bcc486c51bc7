"""What is lost by thawing, freezing and cooking: each side of a figure loses what is safe to count."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.catalog import load_catalog
from catalog.nutrition.composition import blend
from catalog.nutrition.losses import may_be_treated, treated

CATALOG = load_catalog()[0]
TREATMENTS = CATALOG.treatments
RAW = sorted(id_ for id_, food in CATALOG.foods.items() if may_be_treated(food))


@given(st.sampled_from(RAW), st.lists(st.sampled_from(sorted(TREATMENTS)), unique=True, min_size=1))
def test_nothing_rises_and_what_is_not_named_stays(food: str, names: list[str]) -> None:
    done = [TREATMENTS[name] for name in names]
    before = blend(CATALOG.foods[food], CATALOG, "modified-atwater")
    after = blend(treated(CATALOG.foods[food], done), CATALOG, "modified-atwater")
    taken = {loss.nutrient for one in done for loss in one.losses}
    for id_, old in before.contents.items():
        new = after.contents[id_]
        assert new.low <= old.low
        assert new.value <= old.value
        assert new.high <= old.high
        assert id_ in taken or new == old
    assert (after.kcal, after.dry_matter) == (before.kcal, before.dry_matter)


def test_a_target_counts_what_is_left_after_the_most_and_a_ceiling_after_the_least() -> None:
    heart = CATALOG.foods["turkey-heart"]
    left = blend(treated(heart, [TREATMENTS["thaw-drip"]]), CATALOG, "modified-atwater").contents["taurine"]
    before = blend(heart, CATALOG, "modified-atwater").contents["taurine"]
    [loss] = [one for one in TREATMENTS["thaw-drip"].losses if one.nutrient == "taurine"]
    assert left.low == pytest.approx(before.low * (1 - loss.share_high))
    assert left.high == pytest.approx(before.high * (1 - loss.share_low))
    assert left.low < left.value < left.high


def test_bone_loses_nothing() -> None:
    bone = CATALOG.foods["poultry-bone-parts"]
    both = [blend(treated(bone, done), CATALOG, "modified-atwater") for done in ((), (TREATMENTS["thaw-drip"],))]
    assert both[0].contents == both[1].contents


@pytest.mark.parametrize("food", ["taurine-powder", "salmon-oil", "egg-whole", "herring-atlantic-cooked", "water"])
def test_jars_eggs_and_what_is_cooked_already_stay_as_they_are(food: str) -> None:
    assert treated(CATALOG.foods[food], [TREATMENTS["thaw-drip"]]) is CATALOG.foods[food]
