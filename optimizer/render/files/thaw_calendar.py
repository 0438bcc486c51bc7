"""The thaw plan as an iCalendar file: what to move to the refrigerator, what to feed, what has to be used up."""

from datetime import UTC, date, datetime, time, timedelta
from hashlib import sha256

from icalendar import Calendar, Event

from optimizer.sheet.portions import Portions


def thaw_calendar(portions: Portions, title: str, origin: str) -> bytes:
    """The calendar: all-day events, the same bytes for the same portions, title and origin."""
    found = Calendar()
    found.add("prodid", "-//weighout//thaw plan//EN")
    found.add("version", "2.0")
    found.add("x-wr-calname", f"Thaw plan: {title}")
    for bag in portions.bags:
        what = f"Bag {bag.number} of {len(portions.bags)} ({bag.grams:.0f} g, {title})"
        if bag.thaw_on is not None:
            note = "In the refrigerator at 4 °C (40 °F), never on the counter."
            _add(found, portions, origin, bag.thaw_on, bag.thaw_on, f"Freezer to refrigerator: {what}", note)
        note = f"Use it up by {bag.thawed_use_by.isoformat()}; throw away what is left in the bowl."
        _add(found, portions, origin, bag.feed_from, bag.feed_to, f"Feed: {what}", note)
    if any(bag.thaw_on is not None for bag in portions.bags):
        day = portions.frozen_use_by
        _add(
            found, portions, origin, day, day, f"Frozen bags of {title} have passed their best", "Quality, not safety."
        )
    return bytes(found.to_ical())


def _add(found: Calendar, portions: Portions, origin: str, first: date, last: date, summary: str, note: str) -> None:
    """One event from `first` to `last`, both included."""
    event = Event()
    key = f"{origin}|{portions.made.isoformat()}|{first.isoformat()}|{summary}"
    event.add("uid", sha256(key.encode()).hexdigest()[:32] + "@weighout.invalid")
    event.add("dtstamp", datetime.combine(portions.made, time(0, 0), UTC))
    event.add("dtstart", first)
    event.add("dtend", last + timedelta(days=1))
    event.add("summary", summary)
    event.add("description", f"{note}\n{origin}")
    event.add("transp", "TRANSPARENT")
    found.add_component(event)
