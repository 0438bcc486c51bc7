"""The journal's file. The only module that knows SQLite: opening, migrating, transactions, and every fault in words.

Writers queue for up to `WAIT_SECONDS`. A write is on the disk (write-ahead log, synchronous=FULL) before the
block that made it ends; whatever goes wrong inside the block, nothing of it is kept.
"""

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

from optimizer.journal.records import JournalFault
from optimizer.journal.schema import APPLICATION_ID, MIGRATIONS

WAIT_SECONDS = 10.0
NEWEST = len(MIGRATIONS)
MAGIC = b"SQLite format 3\0"
NOTHING_CHANGED = "Nothing was changed."


class Store:
    """An open journal inside one transaction."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self.path = path

    def rows(self, sql: str, *values: Any) -> list[dict[str, Any]]:
        """The rows of a query, by column name."""
        cursor = self._connection.execute(sql, values)
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]

    def add(self, table: str, **columns: Any) -> None:
        """Adds one row. `table` and the column names are the program's own words, never a person's.

        Raises JournalFault where the row does not fit: it refers to nothing, or stands there already.
        """
        marks = ", ".join("?" for _ in columns)
        try:
            self._connection.execute(
                f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})", [*columns.values()]
            )
        except (sqlite3.IntegrityError, sqlite3.InterfaceError, sqlite3.ProgrammingError) as fault:
            raise JournalFault(f"what does not fit into {table} ({fault}).") from fault

    def remove_undone(self, event: str) -> None:
        """Makes an event count again."""
        self._connection.execute("DELETE FROM undone WHERE event = ?", (event,))


@contextmanager
def writing(path: Path) -> Iterator[Store]:
    """The journal for a change, made if it is absent: all of the block is kept, or none of it.

    Raises JournalFault, whose message says what is wrong, when it cannot be opened or written.
    """
    with _faults_in_words(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        with closing(_opened(path, "rwc")) as connection:
            _check_ours(connection, path)
            _prepare(connection)
            with _transaction(connection):
                yield Store(connection, path)


@contextmanager
def reading(path: Path) -> Iterator[Store]:
    """The journal for looking things up, as it was at one moment. Raises JournalFault, also when there is none."""
    with _faults_in_words(path):
        if not path.exists():
            begin = "`weighout journal record` or `weighout stock add` begins one"
            raise JournalFault(f"{path}: there is no journal here yet; {begin}.")
        if not path.stat().st_size and not path.is_dir():
            raise JournalFault(f"{path}: an empty file, no journal. {NOTHING_CHANGED}")
        with closing(_readable(path)) as connection:
            _check_ours(connection, path)
            if _number(connection, "user_version") < NEWEST:
                _prepare(connection)
            connection.execute("PRAGMA query_only = ON")
            connection.execute("BEGIN")
            yield Store(connection, path)


def integrity(path: Path) -> list[str]:
    """What SQLite finds wrong with the file; nothing when it is whole."""
    with reading(path) as store:
        found = [str(row["integrity_check"]) for row in store.rows("PRAGMA integrity_check")]
        broken = [f"a row of {row['table']} refers to nothing" for row in store.rows("PRAGMA foreign_key_check")]
    return [line for line in found if line != "ok"] + broken


def _opened(path: Path, mode: str) -> sqlite3.Connection:
    if path.is_dir():
        raise JournalFault(f"{path}: this is a folder, not a journal. Name a file.")
    if path.exists() and path.stat().st_size:
        with path.open("rb") as file:
            if file.read(len(MAGIC)) != MAGIC:
                raise JournalFault(f"{path}: this is no journal, and no database at all. {NOTHING_CHANGED}")
    uri = f"{path.absolute().as_uri()}?{mode if '=' in mode else f'mode={mode}'}"
    connection = sqlite3.connect(uri, uri=True, timeout=WAIT_SECONDS, isolation_level=None)
    connection.execute("PRAGMA foreign_keys = ON")
    return connection


def _readable(path: Path) -> sqlite3.Connection:
    """A connection that can read, in a folder that cannot be written too (where nobody else can write either)."""
    connection = _opened(path, "rw")
    try:
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.OperationalError as fault:
        connection.close()
        wal = path.with_name(path.name + "-wal")
        if not fault.sqlite_errorname.startswith(("SQLITE_CANTOPEN", "SQLITE_READONLY")):
            raise
        if wal.exists() and wal.stat().st_size:
            raise  # what was written last is in that file, and reading without it would hide it
        return _opened(path, "immutable=1")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _check_ours(connection: sqlite3.Connection, path: Path) -> None:
    """Refuses another program's database, and a journal that a newer weighout wrote."""
    [(tables,)] = connection.execute("SELECT count(*) FROM sqlite_master").fetchall()
    if tables and _number(connection, "application_id") != APPLICATION_ID:
        raise JournalFault(f"{path}: this is a database of another program, not a journal. {NOTHING_CHANGED}")
    version = _number(connection, "user_version")
    if version > NEWEST:
        raise JournalFault(
            f"{path}: written by a newer weighout (its journal has version {version}, this weighout knows {NEWEST}). "
            f"Update weighout to use it. {NOTHING_CHANGED}"
        )


def _number(connection: sqlite3.Connection, pragma: str) -> int:
    return int(connection.execute(f"PRAGMA {pragma}").fetchone()[0])


def _prepare(connection: sqlite3.Connection) -> None:
    """Write-ahead logging, and the migrations that are still to be run."""
    connection.execute("PRAGMA synchronous = FULL")
    deadline = time.monotonic() + WAIT_SECONDS
    while connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            break  # where a file system has no shared memory, the older rollback journal stays: as safe, slower
        except sqlite3.OperationalError as fault:  # changing the mode does not wait for others by itself
            if not fault.sqlite_errorname.startswith("SQLITE_BUSY") or time.monotonic() > deadline:
                raise
            time.sleep(0.01)
    for number, (name, statements) in enumerate(MIGRATIONS, start=1):
        if _number(connection, "user_version") >= number:
            continue
        with _transaction(connection):
            if _number(connection, "user_version") >= number:  # another process was faster
                continue
            for statement in statements:
                connection.execute(statement)
            connection.execute("INSERT INTO migrations VALUES (?, ?)", (number, name))
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {number}")


@contextmanager
def _transaction(connection: sqlite3.Connection) -> Iterator[None]:
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):  # SQLite may have rolled back by itself: on a full disk it has
            connection.execute("ROLLBACK")
        raise


@contextmanager
def _faults_in_words(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as fault:
        raise JournalFault(f"{path}: {_words(fault)} {NOTHING_CHANGED}") from fault
    except OSError as fault:
        reason = fault.strerror or "unknown reason"
        raise JournalFault(f"{path}: the journal cannot be opened ({reason}). {NOTHING_CHANGED}") from fault


def _words(fault: sqlite3.Error) -> str:
    name = getattr(fault, "sqlite_errorname", "") or ""
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return f"another program holds the journal; waited {WAIT_SECONDS:g} s. Close it, or try again."
    if name.startswith("SQLITE_FULL"):
        return "the disk is full. Make room, then try again."
    if name.startswith("SQLITE_IOERR"):
        return "the disk did not take it: it is full, over a quota, or failing. Make room, then try again."
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")):
        return "the journal or its folder cannot be written. Allow writing there, or name another with --journal."
    if name.startswith("SQLITE_NOTADB"):
        return "this is no journal, and no database at all."
    if name.startswith("SQLITE_CORRUPT"):
        return "the file is damaged. Restore it from a copy, or from what `weighout journal export` wrote."
    return f"the journal cannot do this ({fault})."
