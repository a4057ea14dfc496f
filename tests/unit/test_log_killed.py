"""A server killed while the log's page saves: nothing that it reported as saved is lost."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from apps.log import LogPage
from plane3d.log import Figure, Log, file

ROOT = Path(__file__).parents[2]
KILLED = 40
PROGRAM = """
import os, random, signal, sys, time
from pathlib import Path
from types import SimpleNamespace
from apps.log import LogPage

def ask(part, what, *values):
    part._obey(SimpleNamespace(data={"do": what, "with": values}))

def save(page, number, told):
    code = f"{os.getpid()}-{number}"
    ask(page.list, "add", code, "", "", "")
    ask(page.swings, "swing", "2026-01-01", "radar gun", "", code * 200, [["bat_speed_mph", "60", "1"]])
    if "Saved as swing" in page.said.object:  # what a viewer would read
        os.write(told, (code + "\\n").encode())

path, times, rng = sys.argv[1], int(sys.argv[2]), random.Random(11)
page, start = LogPage(Path(path)), time.perf_counter()
for number in range(4):
    save(page, number, sys.stdout.fileno())
usual = (time.perf_counter() - start) / 4
for _ in range(times):
    told, tell = os.pipe()
    child = os.fork()
    if not child:
        number = 0
        while True:
            number += 1
            save(page, number, tell)
    os.close(tell)
    time.sleep(rng.uniform(0.0, 6.0 * usual))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    print(os.fdopen(told).read(), end="")
    print(int(os.path.exists(path + "-journal")))
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that can be copied")
def test_a_server_killed_while_saving_loses_nothing_it_reported_as_saved(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite"
    command = [sys.executable, "-c", PROGRAM, str(path), str(KILLED)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=300, check=True)
    lines = done.stdout.split()
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
