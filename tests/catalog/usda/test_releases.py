"""The reader of USDA's Standard Reference layout and the comparison, on a release and tables of a few lines."""

import gzip
import math

import pytest

from catalog.usda.compare import compare, main
from catalog.usda.sr import ReleaseError, find_foods, food_values, read_foods, read_nutrients, read_values

FOOD_DES = (
    "~05027~^~0500~^~Chicken, liver, all classes, raw~^~CHICKEN,LIVER~^~~^~~^~Y~^~~^0^~~^6.25^4.27^9.02^3.87\n"
    '~05066~^~0500~^~Chicken, drumstick, 12" long, raw~^~CHICKEN~^~~^~~^~Y~^~Bone 33%~^33^~~^6.25^4.27^9.02^3.87\n'
)
NUTR_DEF = (
    "~203~^~g~^~PROCNT~^~Protein~^~2~^~600~\n"
    "~301~^~mg~^~CA~^~Calcium, Ca~^~0~^~5300~\n"
    "~319~^~\N{MICRO SIGN}g~^~RETOL~^~Retinol~^~0~^~7430~\n"
)
NUT_DATA = (
    "~05027~^~203~^16.92^4^0.3^~1~^~A~^~~^~~^^^^^^^~~^08/2009^\n"
    "~05027~^~319~^3290^4^239.55^~1~^~A~^~~^~~^^^^^^^~~^08/2009^\n"
    "~05066~^~203~^18.08^0^^~1~^~~^~~^~~^^^^^^^~~^08/2010^\n"
    "~05066~^~301~^9^0^^~4~^~~^~~^~~^^^^^^^~~^08/2010^\n"
)
FIGURES_HEAD = "food,nutrient,value,unit,per,low,high,counted,kind,sd,n,source,confidence\n"
LIVER_A = "chicken-liver,vitamin-a,3290,ug,100 g,3290,9700,range,analysed,479.1,4,sr28:05027,read\n"
DRUMSTICK_CA = "chicken-drumstick,calcium,9,mg,100 g,,,value,calculated,,,sr28:05066,read\n"


@pytest.fixture
def release(tmp_path):
    folder = tmp_path / "release"
    folder.mkdir()
    (folder / "FOOD_DES.txt").write_text(FOOD_DES, encoding="latin-1")
    (folder / "NUTR_DEF.txt").write_text(NUTR_DEF, encoding="latin-1")
    with gzip.open(folder / "NUT_DATA.txt.gz", "wt", encoding="latin-1") as packed:
        packed.write(NUT_DATA)
    return folder


@pytest.fixture
def tables(tmp_path):
    """Writes tables of two foods with the composition rows given, and their folder."""
    folder = tmp_path / "tables"
    (folder / "composition").mkdir(parents=True)
    (folder / "nutrients.csv").write_text(
        "id,name,unit,group,usda_numbers,sum_of,iu_per_ug,toxic,assumed_cv,destroyed_by\n"
        "calcium,calcium,g,mineral,301,,,,0.2,\nvitamin-a,vitamin A,IU,vitamin,319,,3.3333,yes,0.4,\n"
        "protein,protein,g,proximate,203,,,,0.05,\n"
    )
    foods = (
        "id,name,role,counts_as,category,species,tags,ndb_no,description,note\n"
        'chicken-liver,liver,organ,meat,liver,chicken,,05027,"Chicken, liver, all classes, raw",\n'
        'chicken-drumstick,drumstick,cut,meat,muscle,chicken,,05066,"Chicken, drumstick, 12"" long, raw",\n'
    )
    (folder / "foods.csv").write_text(foods)
    (folder / "supplements.csv").write_text(foods.splitlines()[0] + "\n")

    def write(*rows):
        (folder / "composition" / "all.csv").write_text(FIGURES_HEAD + "".join(rows))
        return folder

    return write


def test_foods_are_listed_by_ndb_number(release):
    foods = read_foods(release)
    assert list(foods.index) == ["05027", "05066"]
    assert foods.loc["05066", "description"] == 'Chicken, drumstick, 12" long, raw'
    assert foods.loc["05066", "refuse_text"] == "Bone 33%"


def test_foods_are_found_by_words_in_any_order(release):
    assert list(find_foods(release, "raw LIVER").index) == ["05027"]
    assert list(find_foods(release, "goose").index) == []


def test_micrograms_are_written_ug(release):
    assert read_nutrients(release)["unit"].to_dict() == {"203": "g", "301": "mg", "319": "ug"}


def test_one_food_s_values_bear_names_units_and_the_spread_of_their_samples(release):
    retinol = food_values(release, "05027").loc["319"]
    assert (retinol["name"], retinol["value"], retinol["unit"], retinol["n"]) == ("Retinol", 3290, "ug", 4)
    assert retinol["sd"] == pytest.approx(239.55 * 2)  # standard error x square root of 4
    assert math.isnan(food_values(release, "05066").loc["301", "sd"])


def test_a_value_that_is_not_printed_is_absent_not_zero(release):
    assert ("05066", "319") not in read_values(release).index


def test_a_food_or_file_that_is_missing_is_named(release, tmp_path):
    with pytest.raises(ReleaseError, match="no values of food '5027'"):
        food_values(release, "5027")
    with pytest.raises(ReleaseError, match=r"neither FOOD_DES\.txt nor FOOD_DES\.txt\.gz"):
        read_foods(tmp_path)
    (tmp_path / "FOOD_DES.txt").write_text("ndb,name\n05027,liver\n")
    with pytest.raises(ReleaseError, match="is no FOOD_DES file"):
        read_foods(tmp_path)


def test_tables_that_agree_with_the_release_show_no_difference(release, tables):
    assert compare(release, tables(LIVER_A, DRUMSTICK_CA)) == ([], 4)  # two figures, two descriptions


@pytest.mark.parametrize(
    ("good", "bad", "said"),
    [
        ("3290,ug", "3291,ug", "3291, the release has 3290"),
        ("3290,ug", "3290,mg", "in mg per 100 g, the release prints ug per 100 g"),
        ("479.1,4", "480.5,4", "sd 480.5, the release has 479.1"),
        ("479.1,4", "479.1,5", "n 5, the release has 4"),
        ("sr28:05027", "sr28:05066", "the release has no value of it for 05066"),
        ("chicken-liver,", "chicken-drumstick,", "the source is 05027, the food is 05066"),
    ],
)
def test_a_figure_that_differs_is_named_with_both_values(release, tables, good, bad, said):
    lines, _ = compare(release, tables(LIVER_A.replace(good, bad), DRUMSTICK_CA))
    assert len(lines) == 1
    assert lines[0].endswith(said)
    assert "all.csv:2: " in lines[0]


def test_figures_taken_over_from_another_food_are_checked_as_well(release, tables):
    same = "chicken-drumstick,vitamin-a,3290,ug,100 g,1,9000,range,estimated,,,same-tissue:05027,read\n"
    scaled = "chicken-drumstick,vitamin-a,3516,ug,100 g,1,9000,range,estimated,,,scaled-by-protein:05027,read\n"
    assert compare(release, tables(same))[0] == []
    assert compare(release, tables(scaled))[0] == []  # 3290 x 18.08 / 16.92 = 3515.6
    assert "3515, the release has 3515.56" in compare(release, tables(scaled.replace("3516", "3515")))[0][0]


def test_a_wrong_description_is_a_difference(release, tables):
    folder = tables(LIVER_A)
    path = folder / "foods.csv"
    path.write_text(path.read_text().replace("all classes", "some classes"))
    (line,) = compare(release, folder)[0]
    assert "the release has 'Chicken, liver, all classes, raw'" in line


def test_the_command_ends_with_1_when_something_differs_and_2_without_a_release(release, tmp_path, capsys):
    # The shipped tables hold far more foods than this small release.
    assert main([str(release)]) == 1
    assert "figures and descriptions compared" in capsys.readouterr().out
    assert main([str(tmp_path)]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "neither NUT_DATA.txt" in shown.err
