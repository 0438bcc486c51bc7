"""What can go wrong with a file, for real: processes killed, disks full, folders read-only, files locked or strange.

Each gives one message and changes nothing. A killed process is not a power cut: that what was reported is on the
disk itself rests on SQLite's synchronous=FULL, which no test here can pull the plug on.
"""

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from optimizer.cli.journal import journal
from optimizer.journal import store
from optimizer.journal.records import JournalFault
from optimizer.journal.store import integrity
from tests.optimizer.journal.journal_help import record, titles

ROOT = Path(__file__).parents[3]
KILLS = int(os.environ.get("WEIGHOUT_KILLS", "200"))  # about 10 s


def helper(*words: str, before: tuple[str, ...] = ()) -> list[str]:
    command = [*before, sys.executable, "-m", "tests.optimizer.journal.journal_help", *words]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=True, timeout=300)
    return done.stdout.splitlines()


def contents(folder: Path) -> dict[str, str]:
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in sorted(folder.iterdir())}


def refusal(path: Path, *command: str) -> str:
    """What the command line says, having ended with 2 and printed nothing else."""
    done = CliRunner().invoke(journal, [*command, "--journal", str(path)])
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
    return done.stderr.replace(str(path.parent) + "/", "")


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that everybody can get at: pytest's own are for their owner alone."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_process_killed_at_any_moment_loses_nothing_that_it_had_reported(tmp_path: Path) -> None:
    reported: dict[str, set[str]] = {}
    for line in helper("kill", str(tmp_path), str(KILLS), "20260301"):
        name, *told = json.loads(line)
        reported.setdefault(name, set()).update(told)
    assert sum(map(len, reported.values())) >= KILLS // 10, "hardly anything was recorded before the kills"
    for name, told in reported.items():
        path = tmp_path / name
        if told or path.exists():
            kept = titles(path)
            assert told <= set(kept)
            assert len(kept) == len(set(kept))
            assert integrity(path) == []
        record(path, "after all that")
        assert "after all that" in titles(path)


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
def test_no_more_room_refuses_the_batch_and_keeps_the_others(tmp_path: Path) -> None:
    path = tmp_path / "j.db"
    [line] = helper("limited", str(path), "300000")
    recorded, fault = json.loads(line)
    assert len(recorded) >= 2
    assert fault == (
        f"{path}: the disk did not take it: it is full, over a quota, or failing. Make room, then try again. "
        "Nothing was changed."
    )
    assert titles(path) == recorded
    assert integrity(path) == []
    record(path, "with room again")
    assert titles(path) == [*recorded, "with room again"]


def test_a_full_disk_refuses_the_batch_and_keeps_the_others(tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    program = 'mount -t tmpfs -o size=400k tmpfs "$1" && shift && "$@" && cp -r "$0"/. "$0.kept"'
    command = [sys.executable, "-m", "tests.optimizer.journal.journal_help", "until refused", str(small / "j.db")]
    if not shutil.which("unshare"):
        pytest.skip("no `unshare` to mount a small disk with")
    done = subprocess.run(
        ["unshare", "-rm", "sh", "-c", program, str(small), str(small), *command],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=120,
    )
    if done.returncode and "mount" in done.stderr + "unshare":
        pytest.skip(f"a small disk cannot be mounted here: {done.stderr.strip()}")
    recorded, fault = json.loads(done.stdout)
    assert len(recorded) >= 2
    assert fault == f"{small / 'j.db'}: the disk is full. Make room, then try again. Nothing was changed."
    kept = tmp_path / "small.kept" / "j.db"
    assert titles(kept) == recorded
    assert integrity(kept) == []


@pytest.mark.skipif(sys.platform == "win32", reason="folders have no such permission")
def test_a_folder_that_is_read_only_can_be_read_and_refuses_to_record(open_folder: Path) -> None:
    path = open_folder / "j.db"
    record(path, "before")
    path.chmod(0o444)
    open_folder.chmod(0o555)
    before = contents(open_folder)
    [line] = helper("as nobody", str(path))
    written, read = json.loads(line)
    assert written == (
        f"{path}: the journal or its folder cannot be written. Allow writing there, or name another with --journal. "
        "Nothing was changed."
    )
    assert read == ["before"]
    assert contents(open_folder) == before


@pytest.mark.skipif(sys.platform == "win32", reason="folders have no such permission")
def test_a_journal_cannot_be_begun_in_a_folder_that_is_read_only(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    [line] = helper("as nobody", str(open_folder / "new" / "j.db"))
    written, _ = json.loads(line)
    assert "the journal cannot be opened (Permission denied)" in written
    assert list(open_folder.iterdir()) == []


def test_a_journal_that_another_program_holds_is_waited_for_then_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "j.db"
    record(path, "before")
    monkeypatch.setattr(store, "WAIT_SECONDS", 0.2)
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    try:
        assert refusal(path, "note", "1", "hello") == (
            "j.db: another program holds the journal; waited 0.2 s. Close it, or try again. Nothing was changed.\n"
        )
        assert titles(path) == ["before"]  # reading does not wait for writers
    finally:
        holder.execute("ROLLBACK")
        holder.close()
    record(path, "after")
    assert titles(path) == ["before", "after"]


def test_a_journal_of_a_newer_weighout_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "j.db"
    record(path)
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA user_version = 99")
    connection.close()
    before = contents(tmp_path)
    for command in (("note", "1", "hello"), ("list",), ("show", "1")):
        assert refusal(path, *command) == (
            "j.db: written by a newer weighout (its journal has version 99, this weighout knows "
            f"{store.NEWEST}). Update weighout to use it. Nothing was changed.\n"
        )
    with pytest.raises(JournalFault, match="newer weighout"):
        record(path)
    assert contents(tmp_path) == before


@pytest.mark.parametrize("text", ["taurine, 1/2 tsp\n", "S", "SQLite format 3\0 but then something else entirely"])
def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "notes.txt"
    path.write_text(text, encoding="utf-8")
    assert "notes.txt: this is no journal, and no database at all. " in refusal(path, "list")
    assert "notes.txt: this is no journal, and no database at all. " in refusal(path, "note", "1", "hello")
    with pytest.raises(JournalFault, match="no database at all"):
        record(path)
    assert [(name, path.read_text(encoding="utf-8")) for name in contents(tmp_path)] == [("notes.txt", text)]


def test_a_database_of_another_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE events (number INTEGER)")
    connection.close()
    before = contents(tmp_path)
    with pytest.raises(JournalFault, match="a database of another program, not a journal"):
        record(path)
    assert "a database of another program" in refusal(path, "list")
    assert contents(tmp_path) == before


def test_a_damaged_journal_says_so(tmp_path: Path) -> None:
    path = tmp_path / "j.db"
    for number in range(5):
        record(path, f"batch {number}")
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\x5a" * (len(whole) - 4096))
    assert refusal(path, "list") == (
        "j.db: the file is damaged. Restore it from a copy, or from what `weighout journal export` wrote. "
        "Nothing was changed.\n"
    )


def test_a_folder_is_no_journal(tmp_path: Path) -> None:
    assert "this is a folder, not a journal" in refusal(tmp_path, "list")


def test_looking_begins_no_journal(tmp_path: Path) -> None:
    for command in (("list",), ("note", "1", "hello"), ("undo",)):
        assert "j.db: there is no journal here yet; " in refusal(tmp_path / "j.db", *command)
    assert list(tmp_path.iterdir()) == []


def test_two_processes_that_record_at_once_both_succeed(tmp_path: Path) -> None:
    path, each = tmp_path / "new" / "j.db", 15
    command = [sys.executable, "-m", "tests.optimizer.journal.journal_help", "record", str(path)]
    started = [
        subprocess.Popen([*command, name, str(each)], stdout=subprocess.PIPE, text=True, cwd=ROOT)
        for name in ("one", "two", "three")
    ]
    numbers: list[int] = []
    for process in started:
        told, _ = process.communicate(timeout=120)
        assert process.returncode == 0
        numbers += map(int, told.split())
    assert sorted(numbers) == list(range(1, 3 * each + 1))
    assert sorted(titles(path)) == sorted(f"{name} {i}" for name in ("one", "two", "three") for i in range(each))
    assert integrity(path) == []
