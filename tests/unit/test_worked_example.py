"""docs/worked-example.md is true: its commands are run in order, and every line it quotes is printed or written."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from plane3d.cli import main
from plane3d.lesson import scenarios_folder
from tests.unit.test_wheel import ROOT

PAGE = ROOT / "docs" / "worked-example.md"
BLOCKS = re.compile(r"```(sh|text)\n(.*?)```", re.DOTALL)


def test_every_command_prints_what_the_page_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "scenarios").symlink_to(scenarios_folder())
    monkeypatch.chdir(tmp_path)
    printed, quoted = "", 0
    for kind, text in BLOCKS.findall(PAGE.read_text(encoding="utf-8")):
        if kind == "sh":
            program, *arguments = shlex.split(text)
            assert program == "plane3d" and main(arguments) == 0, text
            printed = capsys.readouterr().out
            if "-o" in arguments:
                printed += Path(arguments[arguments.index("-o") + 1]).read_text(encoding="utf-8")
            continue
        for line in text.splitlines():
            assert line in printed.splitlines(), line
            quoted += 1
    assert quoted >= 12
