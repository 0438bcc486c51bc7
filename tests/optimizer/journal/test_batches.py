"""The journal as a record: what was planned and weighed, lots, notes, what was fed, what was undone."""

import json
from pathlib import Path

import pytest

from optimizer.errors import InputErrors
from optimizer.journal.batches import add_note, batch_page, batches, feed, find_batch, record_batch
from optimizer.journal.events import events, redo_last, undo_last
from optimizer.journal.feeding import grams_of_portions
from optimizer.journal.history import compare_batches, find_lot, history, trend
from optimizer.journal.records import BatchPage, JournalFault
from optimizer.journal.schema import APPLICATION_ID, MIGRATIONS
from optimizer.journal.store import integrity, reading, writing
from tests.optimizer.journal.journal_help import TURKEY, record, sheet, titles, told


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "kept" / "journal.db"


def page_of(path: Path, number: int) -> BatchPage:
    with reading(path) as store:
        return batch_page(store, number)


def test_a_batch_is_read_back_as_it_was_printed(path: Path) -> None:
    printed = sheet("Turkey", taurine=0.4)
    with writing(path) as store:
        recorded = record_batch(store, printed, None, {"title": "Turkey"}, told(note="smelled fine", portions=20))
    page = page_of(path, recorded.number)
    assert json.dumps(page.sheet) == json.dumps(printed)
    assert page.as_planned
    assert page.scenario == {"title": "Turkey"}
    assert [(line.food, line.text, line.differs) for line in page.lines] == [
        (TURKEY, "4 kg", False),
        ("taurine-powder", "2 g", False),
    ]
    assert [(miss.id, miss.status) for miss in page.misses] == [("taurine", "short")]
    assert [note.text for note in page.notes] == ["smelled fine"]
    assert (page.batch.all_met, page.batch.portions_left, str(page.batch.cost)) == (False, 20, "20.00")


def test_what_was_weighed_stands_beside_what_was_planned(path: Path) -> None:
    made = sheet()
    made["amounts"] = [made["amounts"][0], {**made["amounts"][1], "id": "kelp-powder", "name": "kelp", "text": "1 g"}]
    with writing(path) as store:
        record_batch(store, sheet(), made, {}, told())
    page = page_of(path, 1)
    assert [(line.food, line.planned_text, line.text, line.differs) for line in page.lines] == [
        (TURKEY, "4 kg", "4 kg", False),
        ("kelp-powder", "", "1 g", True),
        ("taurine-powder", "2 g", "", True),
    ]


def test_batches_are_numbered_and_a_number_is_never_used_twice(path: Path) -> None:
    assert [record(path, "one"), record(path, "two")] == [1, 2]
    with writing(path) as store:
        undo_last(store)
    assert record(path, "three") == 3
    assert titles(path) == ["one", "three"]
    with reading(path) as store:
        assert [(batch.number, batch.undone) for batch in batches(store, with_undone=True)] == [
            (1, False),
            (2, True),
            (3, False),
        ]
        with pytest.raises(JournalFault, match="batch 2 was undone; `weighout journal redo` takes the last undo back"):
            find_batch(store, 2)
        with pytest.raises(JournalFault, match="there is no batch 9; the last one is 3"):
            find_batch(store, 9)


def test_undo_goes_back_step_by_step_and_redo_forward_again(path: Path) -> None:
    record(path, "one")
    with writing(path) as store:
        add_note(store, 1, "first")
        add_note(store, 1, "second")

    def notes() -> list[str]:
        return [note.text for note in page_of(path, 1).notes]

    def undone() -> list[bool]:
        with reading(path) as store:
            return [one.undone for one in history(store)]

    for expected in (["first"], []):
        with writing(path) as store:
            undo_last(store)
        assert notes() == expected
    with writing(path) as store:
        assert redo_last(store).body["text"] == "first"
    assert notes() == ["first"]
    assert undone() == [False, False, True, False, True, False]
    with writing(path) as store:
        redo_last(store)
    assert notes() == ["first", "second"]
    with pytest.raises(JournalFault, match="nothing was undone"), writing(path) as store:
        redo_last(store)


def test_events_cannot_be_changed_or_deleted(path: Path) -> None:
    record(path)
    with pytest.raises(JournalFault, match="events are never deleted"), writing(path) as store:
        store._connection.execute("DELETE FROM events")
    with pytest.raises(JournalFault, match="events are never changed"), writing(path) as store:
        store._connection.execute("UPDATE events SET at = ''")
    assert titles(path) == ["Turkey"]


def test_a_block_that_fails_leaves_nothing_of_itself(path: Path) -> None:
    record(path, "before")

    def record_one_and_stop() -> None:
        with writing(path) as store:
            record_batch(store, sheet("half done"), None, {}, told())
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        record_one_and_stop()
    assert titles(path) == ["before"]


def test_portions_are_fed_until_none_is_left(path: Path) -> None:
    record(path, portions=20)
    with writing(path) as store:
        batch = feed(store, 1, grams_of_portions(find_batch(store, 1), "3"), "2026-03-02")
        assert (batch.portions_left, round(batch.left_g, 1)) == (17, 3401.7)
        batch = feed(store, 1, grams_of_portions(batch, "200 g"), "2026-03-03")
        assert batch.portions_left == 16
    with (
        pytest.raises(JournalFault, match="batch 1 has 3202 g, 16 portions left; 4002 g cannot be taken"),
        writing(path) as store,
    ):
        feed(store, 1, grams_of_portions(find_batch(store, 1), "20"), "2026-03-04")
    with writing(path) as store:
        undo_last(store)
    assert page_of(path, 1).batch.portions_left == 17
    with writing(path) as store:
        feed(store, 1, grams_of_portions(find_batch(store, 1), "17 portions"), "2026-03-05")
    assert (page_of(path, 1).batch.portions_left, page_of(path, 1).batch.left_g) == (0, 0.0)


@pytest.mark.parametrize("text", ["three", "3 spoons", "0", "-1", "2 ml"])
def test_what_is_no_number_of_portions_is_refused(path: Path, text: str) -> None:
    record(path, portions=20)
    with pytest.raises(InputErrors, match=r'allowed: .*a number of portions such as "3"'), reading(path) as store:
        grams_of_portions(find_batch(store, 1), text)


def test_portions_have_to_be_told_before_they_can_be_counted(path: Path) -> None:
    record(path)
    with pytest.raises(InputErrors, match="the number of portions of batch 1 was not told"), reading(path) as store:
        grams_of_portions(find_batch(store, 1), "3")


def test_a_lot_is_found_however_it_is_written(path: Path) -> None:
    record(path, "one", lots={TURKEY: "L 2231"}, use_by={TURKEY: "2026-04-01"}, portions=10)
    record(path, "two", lots={TURKEY: "L2232"})
    record(path, "three", lots={"taurine-powder": "l2231"})
    with reading(path) as store:
        found = find_lot(store, "L2231")
        assert [(held.batch.title, [lot.food for lot in held.lots]) for held in found] == [
            ("one", [TURKEY]),
            ("three", ["taurine-powder"]),
        ]
        assert found[0].lots[0].use_by == "2026-04-01"
        assert find_lot(store, "L22") == []


def test_trends_stand_in_the_order_of_the_days(path: Path) -> None:
    for title, day, taurine in (("b", "2026-03-09", 0.7), ("a", "2026-03-01", 0.4), ("c", "2026-03-20", 0.9)):
        with writing(path) as store:
            record_batch(store, sheet(title, taurine), None, {}, told(day))
    with reading(path) as store:
        points = trend(store, "taurine").points
        assert [(p.title, p.value, p.minimum, p.status) for p in points] == [
            ("a", 0.4, 0.5, "short"),
            ("b", 0.7, 0.5, "met"),
            ("c", 0.9, 0.5, "met"),
        ]
        assert trend(store, "cost").unit == "EUR"
        assert [p.value for p in trend(store, "cost-per-kg").points] == [pytest.approx(20 / 4.002)] * 3
        with pytest.raises(JournalFault, match=r"Did you mean taurine\?"):
            trend(store, "taurin")


def test_two_batches_are_set_side_by_side(path: Path) -> None:
    with writing(path) as store:
        record_batch(store, sheet(taurine=0.4), None, {}, told())
        record_batch(store, sheet(taurine=0.6, turkey_grams=5000), None, {}, told())
    beside = compare_batches(page_of(path, 1), page_of(path, 2))
    assert [(row.id, row.values) for row in beside.amounts] == [(TURKEY, ("4 kg", "5 kg"))]
    assert [(row.id, row.values) for row in beside.nutrients] == [("taurine", ("0.400 short", "0.600"))]
    assert (beside.same_amounts, beside.same_nutrients) == (1, 0)
    assert next(row.values for row in beside.overall if row.id == "all_met") == ("no", "yes")


def test_an_older_journal_is_brought_up_to_date_and_keeps_what_it_holds(path: Path) -> None:
    """A journal as the first two migrations made it, without stock."""
    import sqlite3

    path.parent.mkdir()
    connection = sqlite3.connect(path, isolation_level=None)
    for _, statements in MIGRATIONS[:2]:
        for statement in statements:
            connection.execute(statement)
    connection.execute("INSERT INTO migrations VALUES (1, 'events'), (2, 'batches')")
    connection.execute("INSERT INTO events (id, at, kind, body) VALUES ('x', '2026-01-01', 'undo', '{}')")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute("PRAGMA user_version = 2")
    connection.close()
    with reading(path) as store:
        assert [event.id for event in events(store)] == ["x"]
        assert store.rows("SELECT count(*) AS n FROM packages") == [{"n": 0}]
        assert [row["number"] for row in store.rows("SELECT number FROM migrations")] == [1, 2, 3]
    assert integrity(path) == []
