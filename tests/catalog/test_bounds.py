"""What a person writes stays within what a kitchen holds: numbers, days, signs that nobody sees."""

from datetime import date, datetime

import pytest

from catalog.bounds import plain_number, read_day, visible


@pytest.mark.parametrize(
    "text", ["1_000", "١٢", "1e5", "0x10", "nan", "inf", "-1", "+1", " 1", "1.", ".5", "1,5", "9" * 10]
)
def test_a_number_is_figures_and_one_point(text: str) -> None:
    assert plain_number(text) is None


@pytest.mark.parametrize("value", ["2026-11-30", date(2026, 11, 30)])
def test_a_day_is_read_quoted_or_not(value: object) -> None:
    assert read_day(value) == date(2026, 11, 30)


@pytest.mark.parametrize(
    "value",
    [
        *("2026-11-30x", "2026-11-3", "20261130", "2026-W48-1", "1999-12-31", "9999-01-01", "2026-02-30", ""),
        *(None, 20261130, datetime(2026, 11, 30, 12)),
    ],
)
def test_what_is_no_day_of_a_batch_is_none(value: object) -> None:
    assert read_day(value) is None


def test_signs_that_a_terminal_acts_on_are_written_out() -> None:
    assert visible("a\x1b[31mb\u202ec\u200bd\x07\n\té") == "a\\x1b[31mb\\u202ec\\u200bd\\x07\n\té"
    assert visible("\x1b[1mbold\x1b[0m \x1b]0;title", coloured=True) == "\x1b[1mbold\x1b[0m \\x1b]0;title"
