"""Saving in processes that are killed at random moments, to see what a file keeps of it."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[1]


def killed(program: str, *arguments: object) -> list[str]:
    """What a program that calls `kill` prints, word by word."""
    command = [sys.executable, "-c", program, *map(str, arguments)]
    return subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, timeout=300, check=True
    ).stdout.split()  # fmt: skip


def kill(save: Callable[[int, int], object], path: str, times: int, first: int, longest: float, seed: int) -> None:
    """Save some times undisturbed, then in one child after another, each killed while it saves.

    Prints what the savers told and, after each kill, 1 where the file's journal was open and 0 where it was not.

    Parameters
    ----------
    save : given the number of a save, from 0 for the first ones, and a file descriptor to tell what was saved
    first : how many are done undisturbed; longest : how many of the usual durations of a save a child lives at most
    """
    rng, start = random.Random(seed), time.perf_counter()
    for number in range(first):
        save(number, sys.stdout.fileno())
    usual = (time.perf_counter() - start) / first
    for _ in range(times):
        told, tell = os.pipe()
        child = os.fork()
        if not child:
            number = 0
            while True:
                number += 1
                save(number, tell)
        os.close(tell)
        time.sleep(rng.uniform(0.0, longest * usual))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        print(os.fdopen(told).read(), end="")
        print(int(os.path.exists(path + "-journal")))
