"""The file of a log: an SQLite database with a numbered layout, opened so that what is saved stays saved.

A rollback journal, not a write-ahead log: the log is then one file, and what is deleted has no second place to stay in.
Every save waits until the disk has it (``synchronous = EXTRA``). What is deleted or changed is overwritten with zeros
(``secure_delete``), and nothing of it is put into the system's folder for temporary files (``temp_store``).
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from plane3d.language import tr
from plane3d.log.values import LogError

PATIENCE = 10.0  # s to wait for another program that is writing
APPLICATION = 0x504C3344  # "PL3D", marks the file as a log
MOST_BYTES = 2**30  # of a backup, which is checked in memory
SETTINGS = (
    "PRAGMA trusted_schema = OFF", "PRAGMA cell_size_check = ON", "PRAGMA foreign_keys = ON",
    "PRAGMA secure_delete = ON", "PRAGMA temp_store = MEMORY", "PRAGMA synchronous = EXTRA",
)  # fmt: skip

# Step n brings a file of layout n to layout n + 1. Steps are only ever added: files of every layout are out there.
STEPS: list[tuple[str, ...]] = [
    (
        """CREATE TABLE hitter (
            id INTEGER PRIMARY KEY, code TEXT NOT NULL UNIQUE, bats TEXT NOT NULL, level TEXT NOT NULL,
            note TEXT NOT NULL
        ) STRICT""",
        """CREATE TABLE swing (
            id INTEGER PRIMARY KEY, hitter INTEGER NOT NULL REFERENCES hitter ON DELETE CASCADE,
            day TEXT NOT NULL, session TEXT NOT NULL, source TEXT NOT NULL, note TEXT NOT NULL,
            measured TEXT NOT NULL
        ) STRICT""",
        "CREATE INDEX swing_by_hitter ON swing (hitter, day)",
        """CREATE TABLE figure (
            swing INTEGER NOT NULL REFERENCES swing ON DELETE CASCADE, name TEXT NOT NULL,
            value REAL NOT NULL, uncertainty REAL, PRIMARY KEY (swing, name)
        ) STRICT, WITHOUT ROWID""",
        "CREATE TABLE backup (day TEXT NOT NULL) STRICT",
    ),
]


class BrokenFileError(LogError):
    """The file is damaged, or is not a log at all."""


@contextmanager
def opened(path: Path) -> Iterator[sqlite3.Connection]:
    """The log's file, made or brought to the present layout where needed. Raises LogError with one sentence."""
    with told(path):
        create(path)
        with closing(sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)) as db:
            for setting in SETTINGS:
                db.execute(setting)
            if layout(db, path) < len(STEPS) or _number(db, "application_id") == 0:
                with saving(db):
                    update(db, path)
            db.execute("PRAGMA journal_mode = DELETE")
            yield db


def is_there(path: Path) -> bool:
    """Whether there is anything at a path. Raises LogError where that cannot be told."""
    with told(path):
        try:
            path.stat()
        except FileNotFoundError:
            return False
        return True


def create(path: Path) -> None:
    """An empty file that only its owner may read; a file that is there already is left as it is."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))


@contextmanager
def saving(db: sqlite3.Connection) -> Iterator[None]:
    """All that is done within is saved together, or nothing of it."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        db.execute("ROLLBACK")
        raise
    db.execute("COMMIT")


def layout(db: sqlite3.Connection, path: Path) -> int:
    """Number of the file's layout; 0 for an empty file. Raises LogError for another kind of file, or a newer one."""
    version, kind = _number(db, "user_version"), _number(db, "application_id")
    empty = not db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if kind != APPLICATION and not (empty and kind == version == 0):
        raise BrokenFileError(tr("{file} is not a log of plane3d.", file=path.name))
    if version > len(STEPS):
        newer = tr(
            "{file} was written by a newer plane3d (layout {theirs}, this one knows {ours}); it was left as it is.",
            file=path.name, theirs=version, ours=len(STEPS),
        )  # fmt: skip
        raise LogError(newer)
    return version


def update(db: sqlite3.Connection, path: Path, to: int | None = None) -> None:
    """Bring a file to the present layout, or to an earlier one; within `saving`, so that it is done whole or not."""
    wanted = len(STEPS) if to is None else to
    for step in STEPS[layout(db, path) : wanted]:
        for command in step:
            db.execute(command)
    db.execute(f"PRAGMA application_id = {APPLICATION}")
    db.execute(f"PRAGMA user_version = {wanted}")


def checked(path: Path) -> sqlite3.Connection:
    """A whole log read from a file into memory and brought to the present layout; the file is not touched.

    Raises LogError where the file is missing, damaged, newer, or not a log.
    """
    if not path.is_file():
        raise LogError(tr("There is no file {file}.", file=path.name))
    _check_size(path, path.stat().st_size)
    with told(path), closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as file:
        return _checked_copy(file, path)


def checked_bytes(content: bytes, name: str) -> sqlite3.Connection:
    """The same for the content of a file. name : of that file, for the message"""
    _check_size(Path(name), len(content))
    with told(Path(name)), closing(sqlite3.connect(":memory:")) as file:
        if content:
            file.deserialize(content)
        return _checked_copy(file, Path(name))


def _check_size(path: Path, size: int) -> None:
    if size > MOST_BYTES:
        raise LogError(tr("{file} is too large for a log.", file=path.name))


def _checked_copy(file: sqlite3.Connection, path: Path) -> sqlite3.Connection:
    db = sqlite3.connect(":memory:", isolation_level=None)
    try:
        with told(path):
            file.backup(db)
            for setting in SETTINGS:
                db.execute(setting)
            _check_whole(db, path)
            with saving(db):
                update(db, path)
    except BaseException:
        db.close()
        raise
    return db


def _check_whole(db: sqlite3.Connection, path: Path) -> None:
    version = layout(db, path)
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as model:
        update(model, path, version)
        same = _tables(model) == _tables(db)
    if version == 0 or not same:
        raise BrokenFileError(tr("{file} is not a log of plane3d.", file=path.name))
    whole = db.execute("PRAGMA integrity_check(1)").fetchone() == ("ok",)
    wrong = ("PRAGMA foreign_key_check", "SELECT 1 FROM swing WHERE day IS NOT date(day)")
    for table in ("hitter", "swing", "figure", "backup"):
        for _ in db.execute(f"SELECT * FROM {table}"):  # an error for a text that is no UTF-8
            pass
    if not whole or any(db.execute(one).fetchone() for one in wrong):
        raise BrokenFileError(tr("{file} is damaged.", file=path.name))


def _tables(db: sqlite3.Connection) -> list[tuple[str, str, str]]:
    return db.execute("SELECT type, name, coalesce(sql, '') FROM sqlite_master ORDER BY type, name").fetchall()


def _number(db: sqlite3.Connection, pragma: str) -> int:
    return int(db.execute(f"PRAGMA {pragma}").fetchone()[0])


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Whatever the database or the disk objects to, as one sentence."""
    damaged = tr("{file} is damaged, or is not a log of plane3d.", file=path.name)
    try:
        yield
    except UnicodeDecodeError as error:  # Python cannot even read what SQLite objects to
        raise BrokenFileError(damaged) from error
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF  # the rest of it tells only where it was noticed
        no_text = isinstance(error, sqlite3.OperationalError) and not code  # "Could not decode", raised by Python
        if no_text or code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            raise BrokenFileError(damaged) from error
        if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            raise LogError(tr("{file} is in use by another program; try again.", file=path.name)) from error
        if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
            raise LogError(tr("The disk is full or does not answer; nothing was saved.")) from error
        if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
            raise LogError(tr("{file} cannot be opened for writing here.", file=path.name)) from error
        raise LogError(tr("{file} cannot be used ({reason}).", file=path.name, reason=error)) from error
    except OSError as error:
        reason = error.strerror or error
        raise LogError(tr("{file} cannot be used ({reason}).", file=path.name, reason=reason)) from error
