"""A log: hitters and their swings, kept, changed, read, and deleted for good.

Each call opens the file, does its work in one go and closes it, so that a log may be used from many threads and
programs at once and is whole whenever one of them ends.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import platformdirs

from plane3d.language import tr
from plane3d.log.file import BrokenFileError, checked, checked_bytes, create, is_there, opened, saving, told
from plane3d.log.said import swings_words
from plane3d.log.values import Figure, Hitter, LogError, Swing, check_hitter, check_swing, check_text

PART, BROKEN = ".part", ".broken"


def default_path() -> Path:
    """Where the log is kept if nothing else is said: in the user's own folder for data of programs."""
    return platformdirs.user_data_path("plane3d", appauthor=False) / "hitters.log.sqlite"


@dataclass(frozen=True)
class Deleted:
    """What went with a hitter: how many swings, and on which days backups were made that may still hold them."""

    swings: int
    backups: tuple[date, ...]

    def sentence(self) -> str:
        """What was done, and what remains to do."""
        done = tr("Deleted for good, with {swings}.", swings=swings_words(self.swings))
        if not self.backups:
            return done
        rest = tr(
            "Backups made up to {day} may still hold this hitter: delete them too, and make a new one.",
            day=max(self.backups).isoformat(),
        )
        return f"{done} {rest}"


class Log:
    """The log in one file. Every call may raise LogError with one sentence."""

    def __init__(self, path: Path | str, *, at_once: bool = True):
        """The log is made, or brought to the present layout: at once, or not before the first call."""
        self.path = Path(path)
        if at_once:
            with opened(self.path):
                pass

    @property
    def exists(self) -> bool:
        """Whether there is a file yet. Reading or changing a log that has none makes it."""
        return is_there(self.path)

    def hitters(self) -> list[Hitter]:
        """All hitters, by code."""
        with opened(self.path) as db:
            return [Hitter(*row) for row in db.execute("SELECT code, bats, level, note FROM hitter ORDER BY code")]

    def counts(self) -> dict[str, int]:
        """How many swings each hitter has, by code."""
        count = "SELECT code, count(swing.id) FROM hitter LEFT JOIN swing ON hitter = hitter.id GROUP BY code"
        with opened(self.path) as db:
            return dict(db.execute(count).fetchall())

    def add_hitter(self, hitter: Hitter) -> None:
        check_hitter(hitter)
        with opened(self.path) as db, saving(db):
            _refuse_taken(db, hitter.code)
            row = (hitter.code, hitter.bats, hitter.level, hitter.note)
            db.execute("INSERT INTO hitter (code, bats, level, note) VALUES (?, ?, ?, ?)", row)

    def change_hitter(self, code: str, hitter: Hitter) -> None:
        """Put everything said of a hitter anew, the code too; the swings stay."""
        check_hitter(hitter)
        with opened(self.path) as db, saving(db):
            known = _hitter_id(db, code)
            if hitter.code != code:
                _refuse_taken(db, hitter.code)
            row = (hitter.code, hitter.bats, hitter.level, hitter.note, known)
            db.execute("UPDATE hitter SET code = ?, bats = ?, level = ?, note = ? WHERE id = ?", row)

    def add_swings(self, code: str, swings: Iterable[Swing]) -> list[int]:
        """Keep swings of a hitter, all or none, and give their numbers; on return they are on the disk."""
        swings = list(swings)
        for swing in swings:
            check_swing(swing)
        with opened(self.path) as db, saving(db):
            hitter = _hitter_id(db, code)
            return [_insert(db, hitter, swing) for swing in swings]

    def swings(self, code: str) -> list[Swing]:
        """A hitter's swings by day, without the text of measured files; see `measured`."""
        with opened(self.path) as db:
            hitter = _hitter_id(db, code)
            figures: dict[int, dict[str, Figure]] = {}
            found = db.execute(
                "SELECT swing, name, value, uncertainty FROM figure JOIN swing ON swing = swing.id WHERE hitter = ?",
                (hitter,),
            )
            for number, name, value, uncertainty in found:
                figures.setdefault(number, {})[name] = Figure(value, uncertainty)
            rows = db.execute(
                "SELECT day, source, session, note, id FROM swing WHERE hitter = ? ORDER BY day, id", (hitter,)
            )
            return [
                Swing(date.fromisoformat(day), figures.get(number, {}), source, session, note, number=number)
                for day, source, session, note, number in rows
            ]

    def measured(self, number: int) -> str:
        """Text of the measured file of a swing; empty where none was kept."""
        with opened(self.path) as db:
            return str(_swing_row(db, number, "measured"))

    def with_measured(self, code: str) -> set[int]:
        """Numbers of a hitter's swings that have the text of a measured file."""
        with opened(self.path) as db:
            found = "SELECT id FROM swing WHERE hitter = ? AND measured != ''"
            return {number for (number,) in db.execute(found, (_hitter_id(db, code),))}

    def note(self, number: int, note: str) -> None:
        """Put a swing's note anew."""
        check_text(note)
        with opened(self.path) as db, saving(db):
            _swing_row(db, number, "id")
            db.execute("UPDATE swing SET note = ? WHERE id = ?", (note, number))

    def delete_swing(self, number: int) -> None:
        """Delete one swing for good."""
        with opened(self.path) as db:
            with saving(db):
                _swing_row(db, number, "id")
                db.execute("DELETE FROM swing WHERE id = ?", (number,))
            db.execute("VACUUM")

    def delete_hitter(self, code: str) -> Deleted:
        """Delete a hitter and everything about them for good: overwritten, and the file written anew."""
        with opened(self.path) as db:
            with saving(db):
                hitter = _hitter_id(db, code)
                swings = db.execute("SELECT count(*) FROM swing WHERE hitter = ?", (hitter,)).fetchone()[0]
                backups = tuple(date.fromisoformat(day) for (day,) in db.execute("SELECT day FROM backup ORDER BY day"))
                db.execute("DELETE FROM hitter WHERE id = ?", (hitter,))
            db.execute("VACUUM")
        return Deleted(swings, backups)

    def backup(self, path: Path | str) -> None:
        """Copy the whole log into another file, which is there whole or not at all."""
        target = Path(path)
        self._refuse_itself(target)
        part = target.with_name(target.name + PART)
        with opened(self.path) as db:
            _note_backup(db)
            try:
                with told(target):
                    part.unlink(missing_ok=True)
                    create(part)
                    with closing(sqlite3.connect(part)) as copy:
                        db.backup(copy)
                    os.replace(part, target)
            finally:
                part.unlink(missing_ok=True)

    def backup_bytes(self) -> bytes:
        """A copy of the whole log as the content of a file."""
        with opened(self.path) as db:
            _note_backup(db)
            return db.serialize()

    def restore(self, backup: Path | str | bytes) -> None:
        """Put the log back as it was in a backup. A backup that is not whole is refused, and the log stays as it is.

        A log that is damaged is kept beside it, under the same name with ``.broken`` at its end.

        backup : its file, or the content of one
        """
        source = backup if isinstance(backup, bytes) else Path(backup)
        if isinstance(source, Path):
            self._refuse_itself(source)
        with closing(_checked(source)) as good:
            try:
                with opened(self.path) as db:
                    good.backup(db)
            except BrokenFileError:
                with told(self.path):
                    self._set_aside()
                with opened(self.path) as db:
                    good.backup(db)

    def _set_aside(self) -> None:
        journal = self.path.with_name(self.path.name + "-journal")  # it belongs to the damaged file, not to the next
        for file in (self.path, journal):
            if file.exists():
                os.replace(file, file.with_name(file.name + BROKEN))

    def _refuse_itself(self, other: Path) -> None:
        if other.resolve() == self.path.resolve():
            raise LogError(tr("{file} is the log itself; a backup must be another file.", file=other.name))


def held(backup: Path | bytes, name: str = "") -> tuple[int, int]:
    """How many hitters and swings a backup holds, once it is known to be whole; LogError where it is not.

    backup : its file, or the content of one; name : of that file, for the message
    """
    with closing(_checked(backup, name)) as db:
        hitters, swings = (db.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in ("hitter", "swing"))
    return int(hitters), int(swings)


def _checked(backup: Path | bytes, name: str = "") -> sqlite3.Connection:
    return checked_bytes(backup, name or tr("backup")) if isinstance(backup, bytes) else checked(backup)


def _note_backup(db: sqlite3.Connection) -> None:
    """Write down that there is a backup from today; before copying, so that the copy knows of itself."""
    with saving(db):
        db.execute("INSERT INTO backup VALUES (?)", (date.today().isoformat(),))


def _insert(db: sqlite3.Connection, hitter: int, swing: Swing) -> int:
    row = (hitter, swing.day.isoformat(), swing.session, swing.source, swing.note, swing.measured)
    number = db.execute(
        "INSERT INTO swing (hitter, day, session, source, note, measured) VALUES (?, ?, ?, ?, ?, ?)", row
    ).lastrowid
    if number is None:  # never after an insert; said for the type checker
        raise LogError(tr("The swing was not saved."))
    rows = [(number, name, figure.value, figure.uncertainty) for name, figure in swing.figures.items()]
    db.executemany("INSERT INTO figure VALUES (?, ?, ?, ?)", rows)
    return number


def _hitter_id(db: sqlite3.Connection, code: str) -> int:
    row = db.execute("SELECT id FROM hitter WHERE code = ?", (code,)).fetchone()
    if row is None:
        raise LogError(tr('The log has no hitter "{code}".', code=code))
    return int(row[0])


def _refuse_taken(db: sqlite3.Connection, code: str) -> None:
    if db.execute("SELECT 1 FROM hitter WHERE code = ?", (code,)).fetchone():
        raise LogError(tr('The log has a hitter "{code}" already.', code=code))


def _swing_row(db: sqlite3.Connection, number: int, column: str) -> str | int:
    row = db.execute(f"SELECT {column} FROM swing WHERE id = ?", (number,)).fetchone()
    if row is None:
        raise LogError(tr("The log has no swing number {number}.", number=number))
    value: str | int = row[0]
    return value
