"""A server killed while the log's page saves: nothing that it reported as saved is lost."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from apps.log import LogPage
from plane3d.log import Figure, Log, file
from tests.killing import killed

KILLED = 40
PROGRAM = """
import os, sys
from pathlib import Path
from types import SimpleNamespace
from apps.log import LogPage
from tests.killing import kill

path, times = sys.argv[1], int(sys.argv[2])
page = LogPage(Path(path))

def ask(part, what, *values):
    part._obey(SimpleNamespace(data={"do": what, "with": values}))

def save(number, told):
    code = f"{os.getpid()}-{number}"
    ask(page.list, "add", code, "", "", "")
    ask(page.swings, "swing", "2026-01-01", "radar gun", "", code * 200, [["bat_speed_mph", "60", "1"]])
    if "Saved as swing" in page.said.object:  # what a viewer would read
        os.write(told, (code + "\\n").encode())

kill(save, path, times, first=4, longest=6.0, seed=11)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that can be copied")
def test_a_server_killed_while_saving_loses_nothing_it_reported_as_saved(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite"
    lines = killed(PROGRAM, path, KILLED)
    assert sum(line in "01" for line in lines) == KILLED
    assert "1" in lines, "nothing was killed in the middle of a save"
    saved = {line for line in lines if "-" in line}
    assert len(saved) > 4 + KILLED / 8, "too few were done before they were killed"
    log = Log(path)  # undoes what the last one left half done
    file.checked(path).close()
    assert saved <= {hitter.code for hitter in log.hitters()}
    for code in saved:
        (swing,) = log.swings(code)
        assert (swing.figures, swing.note) == ({"bat_speed_mph": Figure(60.0, 1.0)}, code * 200)
    page = LogPage(path)
    assert len(page.list.state["hitters"]) == len(log.hitters()) and "problem" not in page.said.object
