"""A person's own standards: from a published one with rows changed, from nothing, and every mistake told."""

import tomllib
from pathlib import Path

from catalog.own.overlay import with_own_entries
from catalog.own.standards import lay_standards_over
from catalog.records import Catalog, Limit

LESS_PHOSPHORUS = """
[[standards]]
id = "minka-kidneys"
name = "Minka, less phosphorus"
from = "aafco"
source = "Dr. Example, 2026-11-12"
note = "until the next blood test"

[[standards.limits]]
nutrient = "phosphorus"
at_least = "0.8 g per 1000 kcal"
at_most = "1.2 g per 1000 kcal"

[[standards.limits]]
nutrient = "calcium-phosphorus"
at_most = 1.8
life_stage = "adult"

[[standards.limits]]
nutrient = "vitamin-k"
drop = true
"""


def laid(catalog: Catalog, folder: Path, text: str) -> tuple[Catalog, list[str]]:
    tomllib.loads(text)
    (folder / "own-standards.toml").write_text(text, encoding="utf-8")
    more, mistakes = lay_standards_over(catalog, folder / "own-standards.toml")
    return more, [f"{m.line} {m.field}: {m.read}" for m in mistakes]


def limit(catalog: Catalog, id_: str, stage: str, nutrient: str, basis: str = "per_1000_kcal") -> Limit:
    (found,) = [x for x in catalog.standards[id_, stage].limits if (x.nutrient, x.basis) == (nutrient, basis)]
    return found


def test_rows_of_a_published_standard_are_changed_and_the_rest_stays(catalog: Catalog, tmp_path: Path) -> None:
    more, mistakes = laid(catalog, tmp_path, LESS_PHOSPHORUS)
    assert mistakes == []
    own, aafco = more.standards["minka-kidneys", "adult"], catalog.standards["aafco", "adult"]
    phosphorus = limit(more, "minka-kidneys", "adult", "phosphorus")
    assert (phosphorus.minimum, phosphorus.maximum) == (0.8, 1.2)
    assert phosphorus.source == "own-standard:Dr. Example, 2026-11-12"
    assert limit(more, "minka-kidneys", "adult", "calcium", "ratio").maximum == 1.8
    assert limit(more, "minka-kidneys", "adult", "calcium", "ratio").minimum == 1.0  # as it was
    assert limit(more, "minka-kidneys", "growth", "calcium", "ratio").maximum == 2.0  # adult only was changed
    changed = {"phosphorus", "calcium", "vitamin-k"}
    assert [x for x in own.limits if x.nutrient not in changed] == [
        x for x in aafco.limits if x.nutrient not in changed
    ]
    assert "vitamin-k" not in {x.nutrient for x in own.limits}
    assert own.energy_method == aafco.energy_method
    assert aafco.name in own.note


def test_every_sheet_of_it_says_that_it_is_a_veterinarians_business(catalog: Catalog, tmp_path: Path) -> None:
    more, _ = laid(catalog, tmp_path, LESS_PHOSPHORUS)
    assert "a veterinarian's business" in more.standards["minka-kidneys", "adult"].edition


def test_a_standard_may_be_of_a_persons_own_limits_only(catalog: Catalog, tmp_path: Path) -> None:
    text = '[[standards]]\nid = "three-things"\n' + "".join(
        f'[[standards.limits]]\nnutrient = "{nutrient}"\nat_least = "{least}"\n'
        for nutrient, least in (("protein", "70 g per 1000 kcal"), ("taurine", "400 mg per 1000 kcal"))
    )
    more, mistakes = laid(catalog, tmp_path, text)
    assert mistakes == []
    assert [(x.nutrient, x.minimum) for x in more.standards["three-things", "growth"].limits] == [
        ("protein", 70),
        ("taurine", 0.4),
    ]


def test_the_file_of_the_last_folder_wins(catalog: Catalog, tmp_path: Path) -> None:
    data, beside = tmp_path / "data", tmp_path / "beside"
    for folder, least in ((data, "50 g"), (beside, "60 g")):
        folder.mkdir()
        text = f'[[standards]]\nid = "mine"\n[[standards.limits]]\nnutrient = "protein"\nat_least = "{least} per 1000 kcal"\n'
        (folder / "own-standards.toml").write_text(text, encoding="utf-8")
    more, mistakes = with_own_entries(catalog, [data, beside])
    assert mistakes == []
    assert limit(more, "mine", "adult", "protein").minimum == 60


def test_no_published_standard_can_be_replaced(catalog: Catalog, tmp_path: Path) -> None:
    more, mistakes = laid(catalog, tmp_path, '[[standards]]\nid = "aafco"\n')
    assert mistakes == ['2 standards[1].id: "aafco"']
    assert more.standards == catalog.standards


WRONG = """[[standards]]
form = "nrc"
[[standards]]
id = "x-y"
from = "afco"
[[standards.limits]]
nutrient = "phosphorous"
at_most = "2 g"
[[standards.limits]]
nutrient = "phosphorus"
at_most = "0.2 g per kg dry matter"
at_least = "2 g per 1000 kcal"
[[standards.limits]]
life_stage = "old"
nutrient = "taurine"
[[standards]]
id = "z"
from = "aafco"
[[standards.limits]]
nutrient = "phosphorus"
at_most = "1.0 g per 1000 kcal"
life_stage = "adult"
"""


def test_all_mistakes_are_told_with_their_lines(catalog: Catalog, tmp_path: Path) -> None:
    more, mistakes = laid(catalog, tmp_path, WRONG)
    assert mistakes == [
        "1 standards[1].id: nothing",
        '2 standards[1].form: the key "form"',
        '5 standards[2].from: "afco" (no such standard)',
        '7 standards[2].limits[1].nutrient: "phosphorous" (no such nutrient)',
        '11 standards[2].limits[2].at_most: "0.2 g per kg dry matter"',
        "13 standards[2].limits[3].at_most: nothing",
        '14 standards[2].limits[3].life_stage: "old" (not one of them)',
        "21 standards[3].limits[1].at_most: phosphorus at least 1.25 and at most 1 in adult",
    ]
    assert ("x-y", "adult") not in more.standards
