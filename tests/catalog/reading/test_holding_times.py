"""How long raw food keeps: the shortest time of everything that is in the mix."""

from pathlib import Path

from catalog.mistakes import Mistake
from catalog.reading.holding_times import holding_time, read_holding_times
from tests.papers import CATALOG, holding_times


def test_a_ground_mix_keeps_a_day_or_two_and_three_months_frozen() -> None:
    # US FDA and USDA storage chart (2018): ground meat and poultry, giblets
    time = holding_time(["cut", "organ", "supplement"], holding_times())
    assert (time.fridge_days_low, time.fridge_days_high) == (1, 2)
    assert (time.freezer_months_low, time.freezer_months_high) == (3, 4)
    assert time.source == "fda-storage-2018"


def test_fish_shortens_it_and_eggs_do_not_lengthen_it() -> None:
    assert holding_time(["cut", "fish"], holding_times()).freezer_months_low == 2
    assert holding_time(["cut", "egg"], holding_times()).freezer_months_low == 3


def test_whole_pieces_are_listed_but_do_not_count_for_a_mix() -> None:
    whole = [time for time in holding_times() if time.when == ""]
    assert {time.freezer_months_high for time in whole} == {9, 12}


def test_every_source_is_cited() -> None:
    assert all(time.source in CATALOG.sources for time in holding_times())


def test_a_row_that_lacks_a_figure_is_a_mistake(tmp_path: Path) -> None:
    path = tmp_path / "times.csv"
    header = "id,name,when,fridge_days_low,fridge_days_high,freezer_months_low,freezer_months_high,source,confidence"
    path.write_text(f"{header}\na,ground meat,always,1,,3,4,fda-storage-2018,read\n", encoding="utf-8")
    mistakes: list[Mistake] = []
    assert read_holding_times(path, CATALOG.sources, mistakes) == ()
    assert [mistake.line for mistake in mistakes] == [2]
