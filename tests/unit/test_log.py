"""A hitter's log: nothing saved is lost, what is deleted is gone, and a file that is no log does no harm."""

from __future__ import annotations

import csv
import io
import os
import sqlite3
import stat
from datetime import date, timedelta
from pathlib import Path

import pytest

from plane3d.log import FIGURES, Figure, Hitter, Log, LogError, Swing, default_path, file
from plane3d.log.csv_text import HEADER, csv_text
from tests.killing import killed

DAY = date(2026, 3, 14)
CODE = "under-12 contact hitter"
ATTACK, SPEED = "attack_angle_deg", "bat_speed_mph"
ROOT = Path(__file__).parents[2]


@pytest.fixture
def log(tmp_path: Path) -> Log:
    made = Log(tmp_path / "log.sqlite")
    made.add_hitter(Hitter(CODE, "left", "under-12", "likes the low pitch"))
    return made


def swing(days: int = 0, attack: float = 8.5, **more: str) -> Swing:
    return Swing(DAY + timedelta(days=days), {ATTACK: Figure(attack, 1.25), SPEED: Figure(51.3)}, **more)


# --- what goes in comes out ------------------------------------------------------------------------------------------


def test_swings_come_back_as_they_were_kept(log: Log) -> None:
    kept = swing(1, source="two cameras", session="tee", note="¿más alto? 打", measured="time_s;knob_x\n0,1;2")
    first, second = log.add_swings(CODE, [kept, swing(0, 0.1 + 0.2)])
    late, early = log.swings(CODE)[::-1]
    assert (late.number, early.number) == (first, second), "swings come by day"
    assert (late.day, late.figures, late.source, late.session, late.note) == (
        kept.day, kept.figures, kept.source, kept.session, kept.note,
    )  # fmt: skip
    assert early.figures[ATTACK].value == 0.1 + 0.2
    assert log.measured(first) == kept.measured
    assert log.hitters() == [Hitter(CODE, "left", "under-12", "likes the low pitch")]


def test_notes_and_hitters_change_and_swings_stay(log: Log) -> None:
    (number,) = log.add_swings(CODE, [swing()])
    log.note(number, "hands lower")
    log.change_hitter(CODE, Hitter("H7", "right"))
    assert log.hitters() == [Hitter("H7", "right")]
    assert [s.note for s in log.swings("H7")] == ["hands lower"]
    log.delete_swing(number)
    assert log.swings("H7") == []


def test_the_figures_are_those_of_an_answer() -> None:
    assert {ATTACK, SPEED, "vertical_bat_angle_deg", "below_line_in", "exit_speed_mph", "plate_speed_mph"} <= set(
        FIGURES
    )


def test_only_its_owner_reads_the_file_and_it_stands_outside_the_project(tmp_path: Path) -> None:
    Log(tmp_path / "new folder" / "log.sqlite")
    if os.name == "posix":
        assert stat.S_IMODE((tmp_path / "new folder" / "log.sqlite").stat().st_mode) == 0o600
        assert stat.S_IMODE((tmp_path / "new folder").stat().st_mode) == 0o700
    assert default_path().is_absolute()
    assert not default_path().is_relative_to(ROOT)


NOT_KEPT = {
    "no code": (lambda log: log.add_hitter(Hitter(" ")), "one line"),
    "two lines": (lambda log: log.add_hitter(Hitter("a\nb")), "one line"),
    "twice": (lambda log: log.add_hitter(Hitter(CODE)), "already"),
    "side": (lambda log: log.add_hitter(Hitter("b", "both")), '"both"'),
    "level": (lambda log: log.add_hitter(Hitter("b", level="moon")), '"moon"'),
    "unknown": (lambda log: log.add_swings("nobody", [swing()]), '"nobody"'),
    "figure": (lambda log: log.add_swings(CODE, [Swing(DAY, {"charm": Figure(1.0)})]), '"charm"'),
    "nan": (lambda log: log.add_swings(CODE, [swing(), swing(attack=float("nan"))]), "attack angle"),
    "spread": (lambda log: log.add_swings(CODE, [Swing(DAY, {ATTACK: Figure(1.0, -1.0)})]), "0 or more"),
    "long": (lambda log: log.add_swings(CODE, [swing(note="x" * 10_001)]), "too long"),
    "half a letter": (lambda log: log.add_swings(CODE, [swing(note="\ud83d")]), "cannot be kept"),
    "number": (lambda log: log.note(99, ""), "99"),
    "delete": (lambda log: log.delete_hitter("nobody"), '"nobody"'),
    "rename": (lambda log: log.change_hitter("nobody", Hitter("x")), '"nobody"'),
    "itself": (lambda log: log.backup(log.path), "itself"),
    "no backup": (lambda log: log.restore(log.path.with_name("none")), "no file"),
}


@pytest.mark.parametrize("name", NOT_KEPT)
def test_what_cannot_be_kept_is_said_in_one_sentence_and_changes_nothing(log: Log, name: str) -> None:
    log.add_swings(CODE, [swing()])
    before = csv_text(log)
    act, words = NOT_KEPT[name]
    with pytest.raises(LogError, match=words) as told:
        act(log)
    assert str(told.value).count("\n") == 0 and str(told.value).endswith(".")
    assert csv_text(log) == before


# --- CSV -------------------------------------------------------------------------------------------------------------


def test_csv_holds_everything_and_reads_back_exactly(log: Log) -> None:
    log.add_hitter(Hitter("no swings yet"))
    log.add_swings(
        CODE, [swing(0, 1 / 3, note='said "up", then; left\nhome'), Swing(DAY + timedelta(days=1), note="rain")]
    )
    text = csv_text(log)
    rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
    assert tuple(rows[0]) == HEADER
    assert [row["figure"] for row in rows] == ["", ATTACK, SPEED, ""] or [row["figure"] for row in rows] == [
        ATTACK, SPEED, "", "",
    ]  # fmt: skip
    attack = next(row for row in rows if row["figure"] == ATTACK)
    assert (float(attack["value"]), float(attack["uncertainty"])) == (1 / 3, 1.25)
    assert attack["note"] == 'said "up", then; left\nhome'
    assert next(row for row in rows if row["figure"] == SPEED)["uncertainty"] == ""
    assert text.encode().count(b"\r\n") == len(rows) + 1
    assert {row["hitter"] for row in csv.DictReader(io.StringIO(csv_text(log, CODE), newline=""))} == {CODE}


# --- layouts ---------------------------------------------------------------------------------------------------------


def test_an_older_log_is_brought_to_the_present_layout_whole(log: Log, monkeypatch: pytest.MonkeyPatch) -> None:
    log.add_swings(CODE, [swing()])
    log.backup(log.path.with_name("old"))
    before = csv_text(log)
    step = ("ALTER TABLE hitter ADD COLUMN team TEXT NOT NULL DEFAULT ''", "UPDATE hitter SET team = code")
    monkeypatch.setattr(file, "STEPS", [*file.STEPS, (*step, "nonsense")])
    with pytest.raises(LogError, match="cannot be used"):
        Log(log.path)
    monkeypatch.setattr(file, "STEPS", [*file.STEPS[:-1], step])
    assert csv_text(Log(log.path)) == before
    log.restore(log.path.with_name("old"))  # a backup of the older layout comes up too
    with sqlite3.connect(log.path) as db:
        assert db.execute("SELECT team FROM hitter").fetchall() == [(CODE,)]
        assert db.execute("PRAGMA user_version").fetchone() == (len(file.STEPS),)


def test_a_newer_log_is_left_as_it_is(log: Log) -> None:
    with sqlite3.connect(log.path) as db:
        db.execute(f"PRAGMA user_version = {len(file.STEPS) + 1}")
    db.close()
    before = log.path.read_bytes()
    with pytest.raises(LogError, match="newer plane3d"):
        log.hitters()
    with pytest.raises(LogError, match="newer plane3d"):
        Log(log.path)
    assert log.path.read_bytes() == before


@pytest.mark.parametrize("content", [b"time;x\n" * 400, b"SQLite format 3\0" + b"\1" * 4000], ids=["text", "broken"])
def test_a_file_that_is_no_log_is_refused_and_left(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "other"
    path.write_bytes(content)
    with pytest.raises(LogError, match="not a log of plane3d"):
        Log(path)
    assert path.read_bytes() == content


def test_the_database_of_another_program_is_refused(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / "other") as db:
        db.execute("CREATE TABLE songs (name)")
    db.close()
    with pytest.raises(LogError, match="not a log of plane3d"):
        Log(tmp_path / "other")


def test_a_log_in_use_is_waited_for_and_then_said(log: Log, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(file, "PATIENCE", 0.05)
    other = sqlite3.connect(log.path, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(LogError, match="in use"):
        log.add_swings(CODE, [swing()])
    other.close()
    assert log.add_swings(CODE, [swing()])


def test_a_folder_that_cannot_be_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(LogError, match="cannot be used"):
        Log(tmp_path / "file" / "log")
    with pytest.raises(LogError, match="cannot be"):
        Log(tmp_path)


# --- backup and restore ----------------------------------------------------------------------------------------------


def test_a_backup_brings_everything_back(log: Log) -> None:
    backup = log.path.with_name("backup")
    log.add_swings(CODE, [swing(measured="t;x\n" * 5000)])
    before = csv_text(log)
    log.backup(backup)
    log.backup(backup)  # over an older one
    log.delete_hitter(CODE)
    log.add_hitter(Hitter("another"))
    log.restore(backup)
    assert csv_text(log) == before
    assert sorted(os.listdir(log.path.parent)) == ["backup", "log.sqlite"]


def _damaged(backup: Path, how: str) -> None:
    data = bytearray(backup.read_bytes())
    if how == "cut":
        backup.write_bytes(data[: len(data) // 2])
    elif how == "empty":
        backup.write_bytes(b"")
    elif how == "text":
        backup.write_text("not a database at all")
    elif how == "overwritten":
        data[4096:] = os.urandom(len(data) - 4096)
        backup.write_bytes(data)
    else:
        commands = {
            "foreign table": "CREATE TRIGGER t AFTER INSERT ON swing BEGIN DELETE FROM hitter; END",
            "other program": "PRAGMA application_id = 7",
            "newer": "PRAGMA user_version = 99",
            "orphans": "DELETE FROM hitter",
        }
        db = sqlite3.connect(backup, isolation_level=None)
        db.execute(commands[how])
        db.close()


HARMS = ["cut", "empty", "text", "overwritten", "foreign table", "other program", "newer", "orphans"]


@pytest.mark.parametrize("how", HARMS)
def test_a_broken_backup_is_refused_and_the_log_untouched(log: Log, how: str) -> None:
    log.add_swings(CODE, [swing(k, measured="0;1;2\n" * 300) for k in range(20)])
    backup = log.path.with_name("backup")
    log.backup(backup)
    _damaged(backup, how)
    harmed, before = backup.read_bytes(), log.path.read_bytes()
    with pytest.raises(LogError) as told:
        log.restore(backup)
    assert str(told.value).count("\n") == 0
    assert (log.path.read_bytes(), backup.read_bytes()) == (before, harmed)


def test_a_backup_replaces_a_damaged_log_which_is_kept_beside(log: Log) -> None:
    backup = log.path.with_name("backup")
    log.backup(backup)
    log.path.write_bytes(b"power cut" * 1000)
    with pytest.raises(LogError, match="damaged"):
        log.hitters()
    log.restore(backup)
    assert [hitter.code for hitter in log.hitters()] == [CODE]
    assert log.path.with_name("log.sqlite.broken").read_bytes() == b"power cut" * 1000


# --- deleted for good ------------------------------------------------------------------------------------------------


def _bytes(folder: Path) -> bytes:
    """All bytes of all files of a folder, names of files included."""
    return b"".join(str(path).encode() + path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file())


def test_the_bytes_of_a_deleted_hitter_are_gone(log: Log) -> None:
    secrets = [
        "SECRETCODE",
        "SECRETNOTE",
        "SECRETSESSION",
        "SECRETSOURCE",
        "SECRETSWING",
        "SECRETFILE",
        "OLDCODE",
        "OLDNOTE",
    ]
    log.add_hitter(Hitter("OLDCODE", note="SECRETNOTE"))
    kept = [swing(k, session=f"SECRETSESSION{k}", source="SECRETSOURCE", note="OLDNOTE" * 40) for k in range(60)]
    numbers = log.add_swings("OLDCODE", [*kept, swing(measured="SECRETFILE\n" * 20_000)])
    log.add_swings(CODE, [swing(k, note="stays" * 30) for k in range(60)])
    for number in numbers:
        log.note(number, f"SECRETSWING{number}")
    log.change_hitter("OLDCODE", Hitter("SECRETCODE", note="SECRETNOTE"))
    before = _bytes(log.path.parent)
    assert [secret for secret in secrets if secret.encode() in before] == secrets[:6], "changed texts are gone already"
    gone = log.delete_hitter("SECRETCODE")
    assert gone.swings == 61 and gone.backups == ()
    after = _bytes(log.path.parent)
    assert not [secret for secret in secrets if secret.encode() in after]
    assert after.count(b"stays") == 60 * 30 and len(after) < len(before) / 2
    assert os.listdir(log.path.parent) == ["log.sqlite"]


def test_the_test_of_bytes_would_see_a_deletion_that_is_not_for_good(log: Log) -> None:
    log.add_hitter(Hitter("SECRETCODE"))
    db = sqlite3.connect(log.path)
    with db:
        db.execute("PRAGMA secure_delete = OFF")
        db.execute("DELETE FROM hitter WHERE code = 'SECRETCODE'")
    db.close()
    assert b"SECRETCODE" in _bytes(log.path.parent)


def test_deleting_tells_of_backups(log: Log) -> None:
    assert "Backups" not in Log(log.path).delete_hitter(_added(log)).sentence()
    log.backup(log.path.with_name("backup"))
    gone = log.delete_hitter(_added(log))
    assert gone.backups == (date.today(),)
    assert date.today().isoformat() in gone.sentence()
    log.restore(log.path.with_name("backup"))
    assert log.delete_hitter(CODE).backups == (date.today(),), "a restored log knows of the backup it came from"


def _added(log: Log) -> str:
    log.add_hitter(Hitter("guest"))
    return "guest"


# --- killed while saving ---------------------------------------------------------------------------------------------

KILLED = 200
SWINGS = 4  # saved in one go, so that a half-saved one would be seen
PROGRAM = """
import os, sys
from datetime import date
from plane3d.log import Figure, Hitter, Log, Swing
from tests.killing import kill

path, times, swings = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
log = Log(path)

def save(number, told):
    code = f"{os.getpid()}-{number}"
    log.add_hitter(Hitter(code))
    one = Swing(date(2026, 1, 1), {"bat_speed_mph": Figure(60.0, 1.0)}, measured=code * 500)
    log.add_swings(code, [one] * swings)
    os.write(told, (code + "\\n").encode())
    if number % 3 == 0:
        log.add_hitter(Hitter(code + "-guest"))
        log.delete_hitter(code + "-guest")
        os.write(told, (code + "-guest\\n").encode())

kill(save, path, times, first=6, longest=2.0, seed=7)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that can be copied")
def test_a_process_killed_while_saving_loses_nothing_that_was_saved(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite"
    lines = killed(PROGRAM, path, KILLED, SWINGS)
    assert sum(line in "01" for line in lines) == KILLED
    assert "1" in lines, "no process was killed in the middle of a save"
    saved = {line for line in lines if "-" in line and not line.endswith("guest")}
    deleted = {line for line in lines if line.endswith("guest")}
    assert len(saved) > KILLED / 10 and deleted
    log = Log(path)  # undoes what the last one left half done
    file.checked(path).close()
    kept = {hitter.code for hitter in log.hitters()}
    assert saved <= kept and not deleted & kept
    for code in kept:
        swings = log.swings(code)
        assert len(swings) == SWINGS or (code not in saved and not swings)
        assert all(s.figures == {SPEED: Figure(60.0, 1.0)} for s in swings)
    assert log.measured(log.swings(max(saved))[0].number) == max(saved) * 500


# --- the page about it -----------------------------------------------------------------------------------------------


def test_the_page_describes_every_column() -> None:
    page = (ROOT / "docs" / "log.md").read_text(encoding="utf-8")
    assert [line.split("`")[1] for line in page.splitlines() if line.startswith("| `")] == list(HEADER)
