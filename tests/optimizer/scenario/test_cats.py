"""The tables [[cats]] and [portions] of a scenario: what is read, and what is refused with its line."""

from collections.abc import Callable
from datetime import date

import pytest

from optimizer.scenario.records import Scenario

MEAT = '[[on_hand]]\nfood = "turkey-heart"\namount = "1 kg"\n'
Read = Callable[[str], Scenario]
Mistakes = Callable[[str | bytes], list[str]]


def test_a_cat_needs_only_its_weight(read: Read) -> None:
    [cat] = read(MEAT + '[[cats]]\nweight = "9 lb 4 oz"\n').cats
    assert cat.name == "cat 1"
    assert cat.weight_kg == pytest.approx(4.196, abs=0.001)
    assert (cat.stage, cat.neutered, cat.condition, cat.share) == ("adult", True, "normal", 1.0)


def test_without_the_tables_there_are_no_portions(read: Read) -> None:
    scenario = read(MEAT)
    assert (scenario.cats, scenario.packing) == ((), None)


def test_scoops_are_masses_or_volumes_that_were_weighed(read: Read) -> None:
    def packing(lines: str) -> tuple[float | None, bool]:
        found = read(f"{MEAT}[portions]\n{lines}\n").packing
        assert found is not None
        return found.scoop_g, found.scoop_assumed

    assert packing('scoop = "60 g"') == (60.0, False)
    assert packing('scoop = "2 oz"') == (pytest.approx(56.699, abs=0.001), False)
    assert packing('scoop = "1/4 cup"\nscoop_grams = "58 g"') == (58.0, False)
    assert packing('scoop = "60 ml"') == (60.0, True)


def test_losses_are_shares_or_masses(read: Read) -> None:
    packing = read(MEAT + '[portions]\nevaporation = "0.5 %"\nsticking = "40 g"\nfeed_from = 2026-12-01\n').packing
    assert packing is not None
    assert (packing.evaporation, packing.evaporation_is_share) == (0.005, True)
    assert (packing.sticking, packing.sticking_is_share) == (40.0, False)
    assert packing.feed_from == date(2026, 12, 1)


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        ('[[cats]]\nname = "Minka"', "inline.toml:4: cats[1].weight: read nothing; allowed: the weight of the cat"),
        ('[[cats]]\nweight = "42 kg"', 'inline.toml:5: cats[1].weight: read "42 kg"'),
        ('[[cats]]\nweight = "4 kg"\nneutred = true', "inline.toml:6: cats[1].neutred: read the key"),
        ('[[cats]]\nweight = "4 kg"\nneutered = "yes"', "inline.toml:6: cats[1].neutered"),
        ('[[cats]]\nweight = "1 kg"\nstage = "kitten"', "cats[1].mature_weight: read nothing"),
        ('[[cats]]\nweight = "4 kg"\nstage = "kitten"\nmature_weight = "3 kg"', "not less than its weight"),
        ('[[cats]]\nweight = "4 kg"\nstage = "nursing"\nkittens = 4', "cats[1].week: read nothing"),
        ('[[cats]]\nweight = "4 kg"\nweek = 3', 'cats[1].week: read 3; allowed: no week for stage = "adult"'),
        ('[[cats]]\nweight = "4 kg"\nkcal_per_day = "200"', "cats[1].kcal_per_day"),
        ('[[cats]]\nname = "A"\nweight = "4 kg"\n[[cats]]\nname = "A"\nweight = "5 kg"', "a name for each cat"),
        ("[portions]\nbag_days = 0", "inline.toml:5: portions.bag_days: read 0"),
        ('[portions]\nscoop = "2 capsules"', "portions.scoop"),
        ('[portions]\nscoop = "60 g"\nscoop_grams = "58 g"', "scoop_grams only beside a scoop that is a volume"),
        ('[portions]\nsticking = "60 %"', "portions.sticking"),
        ('[portions]\nfeed_from = "soon"', "portions.feed_from"),
        ("cats = 3", "cats: read 3; allowed: a list of tables, each headed [[cats]]"),
    ],
)
def test_mistakes_name_line_field_and_what_is_allowed(mistakes: Mistakes, lines: str, message: str) -> None:
    text = f"{lines}\n{MEAT}" if lines == "cats = 3" else f"{MEAT}{lines}\n"
    found = mistakes(text)
    assert any(message in line for line in found), found


def test_all_mistakes_are_told_at_once(mistakes: Mistakes) -> None:
    found = mistakes(MEAT + '[[cats]]\nname = "A"\n[[cats]]\nweight = "4 kg"\nshare = "0 %"\n[portions]\nmeals = 0\n')
    assert len(found) == 3
