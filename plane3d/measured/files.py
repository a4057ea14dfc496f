"""Taking in a file that somebody measured: its bytes, or one sentence about what stands in the way."""

from __future__ import annotations

from pathlib import Path

from plane3d.errors import InputError, Mistake
from plane3d.language import tr

MOST_BYTES = 20_000_000  # a swing at 1000 frames a second with every marker of a laboratory is far smaller
PACKED = {
    b"PK\x03\x04": "zip",
    b"\x1f\x8b": "gzip",
    b"7z\xbc\xaf": "7z",
    b"Rar!": "rar",
    b"BZh": "bzip2",
    b"\xfd7zX": "xz",
}


def refuse(name: str, text: str, line: int | None = None) -> InputError:
    """The error of one sentence about a file, at a line of it if one is meant."""
    return InputError([Mistake(name if line is None else f"{name}:{line}", "", text)])


def read_bytes(path: str | Path) -> bytes:
    """The bytes of a file of at most `MOST_BYTES`; raises InputError with one sentence for what stands in the way."""
    path = Path(path)
    try:
        if path.is_dir():
            raise refuse(str(path), tr("is a folder; give a file"))
        if not path.exists():
            raise refuse(str(path), tr("there is no such file"))
        if not path.is_file():
            raise refuse(str(path), tr("is not an ordinary file"))
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise refuse(str(path), tr("cannot be read ({reason})", reason=reason)) from error
    check_bytes(data, str(path))
    return data


def check_bytes(data: bytes, name: str) -> None:
    """Refuse an empty, a huge or a packed file. Nothing is ever unpacked, so a small file cannot grow."""
    if not data:
        raise refuse(name, tr("is empty"))
    if len(data) > MOST_BYTES:
        most = MOST_BYTES // 1_000_000
        raise refuse(name, tr("is larger than {most} MB; cut it to the second around the swing", most=most))
    for magic, kind in PACKED.items():
        if data.startswith(magic):
            raise refuse(
                name,
                tr("is packed ({kind}) or a spreadsheet workbook; unpack it, or save the sheet as CSV", kind=kind),
            )


def text_of(data: bytes, name: str) -> str:
    """The text of a UTF-8 file, with or without a byte-order mark; raises InputError for any other encoding."""
    check_bytes(data, name)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refuse(name, tr("is UTF-16 text; save it as CSV in UTF-8"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise refuse(name, tr("is not UTF-8 text (byte {place}); save it as UTF-8", place=error.start + 1)) from error
    if "\0" in text:
        raise refuse(name, tr("is not text; give a CSV file in UTF-8"))
    return text
