"""The table of losses: shares between none and all, and those that a source prints as they stand there."""

import pytest

from catalog.records import Catalog
from catalog.treatments import Loss


@pytest.fixture(scope="module")
def losses(catalog: Catalog) -> dict[tuple[str, str], Loss]:
    return {(one.id, loss.nutrient): loss for one in catalog.treatments.values() for loss in one.losses}


@pytest.mark.parametrize(
    ("treatment", "nutrient", "retained"),
    [  # Watt and Merrill 1975, as FAO prints it (T0562E, Table 2-15): percent kept in cooked lean beef
        ("roasted", "vitamin-b6", 66),
        ("roasted", "vitamin-b12", 72),
        ("roasted", "folate", 88),
        ("braised", "vitamin-b6", 46),
        ("braised", "vitamin-b12", 67),
        ("braised", "folate", 72),
    ],
)
def test_what_is_lost_is_what_is_not_kept(
    losses: dict[tuple[str, str], Loss], treatment: str, nutrient: str, retained: int
) -> None:
    assert losses[treatment, nutrient].share == pytest.approx(1 - retained / 100)


def test_drip_takes_taurine_as_it_takes_water(losses: dict[tuple[str, str], Loss]) -> None:
    # Korean J Food Sci Anim Resour 38(5):959: drip of 2.67 to 9.35 % of lamb at -18 C; meat is 75 % water
    taurine = losses["thaw-drip", "taurine"]
    assert taurine.share_low == pytest.approx(0.0267 / 0.75, abs=0.001)
    assert taurine.share_high == pytest.approx(0.0935 / 0.75, abs=0.001)
    assert taurine.share_low <= taurine.share <= taurine.share_high
