"""The thaw plan as a calendar that a calendar library reads back."""

from datetime import date

import pytest
from icalendar import Calendar

from optimizer.render.files.thaw_calendar import thaw_calendar
from optimizer.sheet.portions import Portions
from tests.papers import batch


@pytest.fixture
def portions() -> Portions:
    found = batch("turkey-week", cats=True).portions
    assert found is not None
    return found


def events(portions: Portions) -> list[tuple[str, date, date]]:
    calendar = Calendar.from_ical(thaw_calendar(portions, "Turkey", "weighout 0"))
    return [(str(e["summary"]), e["dtstart"].dt, e["dtend"].dt) for e in calendar.walk("VEVENT")]


def test_every_frozen_bag_is_moved_and_every_bag_is_fed(portions: Portions) -> None:
    found = events(portions)
    moved = [(start, end) for summary, start, end in found if summary.startswith("Freezer to refrigerator")]
    assert [start for start, _ in moved] == [bag.thaw_on for bag in portions.bags if bag.thaw_on]
    fed = [start for summary, start, _ in found if summary.startswith("Feed")]
    assert fed == [bag.feed_from for bag in portions.bags]


def test_days_end_after_the_last_one(portions: Portions) -> None:
    first = next((start, end) for summary, start, end in events(portions) if summary.startswith("Feed: Bag 1"))
    assert first == (date(2026, 11, 25), date(2026, 11, 27))  # fed on the 25th and 26th


def test_the_last_day_of_the_frozen_ones_is_in_it(portions: Portions) -> None:
    assert events(portions)[-1][1] == portions.frozen_use_by


def test_the_same_portions_give_the_same_file_and_ids_differ(portions: Portions) -> None:
    made = thaw_calendar(portions, "Turkey", "weighout 0")
    assert made == thaw_calendar(portions, "Turkey", "weighout 0")
    ids = [str(event["uid"]) for event in Calendar.from_ical(made).walk("VEVENT")]
    assert len(ids) == len(set(ids))


def test_each_event_says_where_it_comes_from(portions: Portions) -> None:
    calendar = Calendar.from_ical(thaw_calendar(portions, "Turkey", "weighout 0; scenario a.toml"))
    assert all("scenario a.toml" in str(event["description"]) for event in calendar.walk("VEVENT"))
