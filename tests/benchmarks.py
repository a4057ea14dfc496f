"""How long things take, each beside a baseline measured in the same run: `python .ci/task.py bench`.

``python -m tests.benchmarks --page`` measures files and the page as well and writes docs/speed.md; that needs a quiet
machine, Chromium, and about a minute and a half.
"""

from __future__ import annotations

import cProfile
import os
import platform
import pstats
import shutil
import statistics
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from plane3d.export.film import RATE
from plane3d.inputs import Inputs
from plane3d.lesson import scenarios_folder
from plane3d.physics import aero
from plane3d.physics.flight import Medium, fly_until, launch
from plane3d.play import Plays, play, play_many
from plane3d.scenario import load
from plane3d.scene.describe import describe
from plane3d.studies.contact_map import contact_map, strip, window
from plane3d.study import remedy, spread, target, versus

PAGE = Path(__file__).parents[1] / "docs" / "speed.md"
ONE_INCH, MATCHED, STEEP = (next(scenarios_folder().glob(f"{n}-*.toml")) for n in ("01", "08", "09"))
MANY, FEW, LONG = 10_000, 40, 100_000
SIZES = (1, 10, 100, 1_000, MANY, 30_000)
VISITS = 6
PICTURES, FILM_S = ((1920, 1080), (3840, 2160)), 4
ONE_PLAY = "one play with its answer"
COPIED = 64 * 2**20  # bytes, well beyond what a processor keeps at hand
NEAR = "as near as ours"
SOLVERS = {
    "by default": {},
    NEAR: {"rtol": 1e-6, "atol": 1e-8},
    "tight": {"method": "DOP853", "rtol": 1e-11, "atol": 1e-11},
}
HEAD = """# How fast it is

Made by `python -m tests.benchmarks --page`; every ratio comes from this one run. {machine}.

Baselines: **loop**, the same plays one after the other in Python; **solve_ivp**, each batted flight alone through that
solver, with a landing event and the same forces, at three tolerances; **copy**, the time this machine takes to copy
once what is kept of a play's flight, or a picture's pixels; **frames**, a film's pictures made one by one by the
command for pictures; **fetch**, what a page loads asked for by a plain program. Landings are held against the tightest
solver.

| what | time | baseline | ratio |
|---|---|---|---|
"""


def best_of(times: int, work: Callable[[], object]) -> float:
    """Shortest of some runs, s."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def copying(size: float) -> float:
    """Time in which this machine copies so many bytes, s."""
    return best_of(5, lambda: np.ones(COPIED // 8).copy()) / COPIED * size


def scattered(asked: Inputs, n: int) -> Inputs:
    """The play n times with scatter in timing, height, depth and place along the barrel; seed 1."""
    rng = np.random.default_rng(1)
    swing = asked.swing
    spread = {"timing": 0.005, "below_line": 0.012, "contact_depth": 0.05, "along_barrel": 0.03}
    return replace(
        asked, swing=replace(swing, **{k: getattr(swing, k) + rng.normal(0, s, n) for k, s in spread.items()})
    )


def alone(plays: Plays, i: int, **solver: object) -> np.ndarray:
    """Landing place (3,) of the batted ball of play i, flown through `solve_ivp`."""
    setting = plays.inputs.setting
    ball, wind = setting.ball, np.array(setting.wind)

    def rates(_: float, state: np.ndarray) -> np.ndarray:
        a, decay = aero.acceleration(state[3:6], state[6:], wind, setting.air_density, ball.radius, ball.mass)
        return np.concatenate([state[3:6], a, -decay * state[6:]])

    def ground(_: float, state: np.ndarray) -> float:
        return state[2] - ball.radius

    ground.terminal, ground.direction = True, -1  # type: ignore[attr-defined]
    start = np.concatenate([plays.meeting.ball[i], plays.blow.velocity[i], plays.blow.spin[i]])
    return solve_ivp(rates, (0.0, 30.0), start, events=ground, **solver).y[:3, -1]


@dataclass(frozen=True)
class Row:
    """One measurement: its time in s, and a baseline in s with its name."""

    what: str
    taken: float
    baseline: float = float("nan")
    name: str = ""

    def line(self) -> str:
        if np.isnan(self.baseline):
            return f"| {self.what} | {shown(self.taken)} | {self.name} | |"
        ratio = self.baseline / self.taken
        words = f"{ratio:.0f} times faster" if ratio >= 1 else f"{1 / ratio:.0f} times that"
        return f"| {self.what} | {shown(self.taken)} | {self.name}: {shown(self.baseline)} | {words} |"


def shown(seconds: float) -> str:
    """A time in the unit that suits it."""
    unit, factor = next((u, f) for u, f in (("s", 1.0), ("ms", 1e3), ("µs", 1e6)) if seconds * f >= 1 or u == "µs")
    return f"{seconds * factor:.3g} {unit}"


def whole(asked: Inputs) -> np.ndarray:
    """Outcomes of plays, for which balls are flown to the ground."""
    return play_many(asked).kind


def plays(asked: Inputs) -> tuple[list[Row], str]:
    """Plays alone and together, and how the time grows with their number."""
    some = scattered(asked, MANY)
    solved = play_many(some)
    each = best_of(3, lambda: whole(some)) / MANY
    hits = np.flatnonzero(solved.meeting.touch)
    one_by_one = best_of(2, lambda: [play(one_of(some, i)).result for i in hits[:FEW]]) / FEW
    kept = sum(part.nbytes for part in (solved.batted.x, solved.batted.v, solved.blow.velocity, solved.meeting.ball))
    taken = [best_of(3, lambda n=n: whole(scattered(asked, n))) for n in SIZES]
    slope = np.polyfit(np.log(SIZES[-3:]), np.log(taken[-3:]), 1)[0]
    growth = ", ".join(f"{n:,}: {shown(t)}" for n, t in zip(SIZES, taken, strict=True))
    words = (
        f"Plays by their number: {growth}. From {SIZES[-3]:,} on the time grows with the power {slope:.2f} of the "
        f"number; below that, what numpy spends on each call counts.\n\n{shares(some)}"
    )
    return [
        Row(f"one of {MANY:,} plays in one call, whole", each, one_by_one, "loop"),
        Row("the same", each, copying(kept / MANY), "copy of what is kept of it"),
        *flights(asked, solved, hits),
    ], words


def flights(asked: Inputs, solved: Plays, hits: np.ndarray) -> list[Row]:
    """The batted flights of many plays in one call, and a few of them one by one."""
    ball = asked.setting.ball
    air = Medium(asked.setting.air_density, np.array(asked.setting.wind), ball.radius, ball.mass)
    first = launch(solved.meeting.ball[hits], solved.blow.velocity[hits], solved.blow.spin[hits], air)
    together = best_of(3, lambda: fly_until(first, air, lambda x, v: x[:, 2] - ball.radius)) / len(hits)
    some = hits[:FEW]
    exact = np.array([alone(solved, i, **SOLVERS["tight"]) for i in some])

    def off(landings: np.ndarray) -> str:
        return f"{1e3 * np.median(np.linalg.norm(landings - exact, axis=1)):.2g} mm off"

    rows, what = [], f"the batted flight alone, {off(solved.batted.x[some])}"
    for name, solver in SOLVERS.items():
        landings = np.array([alone(solved, i, **solver) for i in some])
        taken = best_of(3, lambda solver=solver: [alone(solved, i, **solver) for i in some]) / FEW
        rows.append(Row(what, together, taken, f"solve_ivp {name}, {off(landings)}"))
    return rows


def shares(asked: Inputs) -> str:
    """Where the time of a batch goes, by the part of the model that asks for it."""
    profile = cProfile.Profile()
    profile.runcall(whole, asked)
    spent: dict[str, float] = {}
    for (file, _, _), (_, _, own, _, callers) in pstats.Stats(profile).stats.items():  # type: ignore[attr-defined]
        ours = [(Path(f).stem, t) for (f, _, _), (_, _, t, _) in callers.items()] if "plane3d" not in file else []
        for part, taken in ours or [(Path(file).stem, own)]:
            spent[part] = spent.get(part, 0.0) + taken
    total = sum(spent.values())
    largest = sorted(spent.items(), key=lambda pair: -pair[1])[:6]
    told = ", ".join(f"{part} {100 * taken / total:.0f} %" for part, taken in largest)
    return (
        f"Where the time of {MANY:,} plays goes, array operations counted with the module that asks for them: {told}. "
        "All of it is whole-array arithmetic on one core; more cores are not used."
    )


def one_of(some: Inputs, i: int) -> Inputs:
    """One of many plays."""
    swing = {f.name: v[i] for f in fields(some.swing) if np.ndim(v := getattr(some.swing, f.name))}
    return replace(some, swing=replace(some.swing, **{k: float(v) for k, v in swing.items()}))


def answers(asked: Inputs) -> list[Row]:
    """What stands on the page, and the studies."""
    solved, one = play(asked), play_many(asked)
    single = best_of(20, lambda: play(asked).result)
    matched, steep = load(MATCHED), load(STEEP)
    goal = remedy.goal("fly-ball", "pull")
    mapped = contact_map(one)
    near = best_of(20, lambda: alone(one, 0, **SOLVERS[NEAR]))
    return [
        Row(ONE_PLAY, single, near, f"solve_ivp {NEAR}, the batted flight alone"),
        Row("timing strip, 81 plays", best_of(10, lambda: strip(one).kind), 81 * single, "loop"),
        Row("contact map and window", best_of(20, lambda: window(contact_map(one))), single, "one play"),
        Row("window alone", best_of(20, lambda: window(mapped)), single, "one play"),
        Row("scene described", best_of(10, lambda: describe(solved)), single, "one play"),
        Row(f"spread of {MANY:,} plays", best_of(3, lambda: spread.run(matched, plays=MANY)), MANY * single, "loop"),
        Row("remedy", best_of(3, lambda: remedy.run(matched, goal)), single, "one play"),
        Row("target", best_of(3, lambda: target.run(matched)), single, "one play"),
        Row("compare, 2 x 9 x 1,000 plays", best_of(1, lambda: versus.run(matched, steep)), 18_000 * single, "loop"),
    ]


def files() -> list[Row]:
    """Pictures and films, each a command of its own with its start."""
    with TemporaryDirectory() as folder:

        def made(what: str, name: str, *more: str) -> tuple[str, float]:
            command = [sys.executable, "-m", "plane3d", "render", str(ONE_INCH), "-o", str(Path(folder) / name), *more]
            taken = best_of(1, lambda: subprocess.run(command, check=True, capture_output=True))
            return f"{what}, {(Path(folder) / name).stat().st_size / 1e6:.2f} MB", taken

        pictures = [made(f"picture of {w} x {h}", f"{w}.png", "--size", f"{w}x{h}") for w, h in PICTURES]
        film = made(f"film of {FILM_S} s, 1920 x 1080", "a.mp4", "--seconds", str(FILM_S), "--size", "1920x1080")
        others = [made("turnable page", "a.html"), made("hand-out with three views", "a.pdf")]
    one = pictures[0][1]
    return [
        *(Row(*made, copying(3 * w * h), "copy") for made, (w, h) in zip(pictures, PICTURES, strict=True)),
        Row(*film, FILM_S * RATE * one, "frames"),
        *(Row(*made, one, "one picture") for made in others),
    ]


@contextmanager
def served() -> Iterator[tuple[str, int]]:
    """Address and process number of a page."""
    command = [sys.executable, "-m", "plane3d", "serve", "--no-open", "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        try:
            yield next(w for w in (server.stdout or iter(())).readline().split() if w.startswith("http")), server.pid  # type: ignore[union-attr]
        finally:
            server.terminate()


def memory(process: int) -> float:
    """MB that a process holds; NaN where the system does not tell."""
    try:
        words = Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    except OSError:
        return float("nan")
    return int(words.partition("VmRSS:")[2].split()[0]) / 1e3


def fetch(urls: Iterable[str]) -> None:
    """Load files one after the other."""
    for url in urls:
        with urllib.request.urlopen(url) as answer:
            answer.read()


def page_rows(single: Row) -> tuple[list[Row], str]:
    """How soon the page is there and a slider answered, and what a session takes, beside a single play."""
    from playwright.sync_api import sync_playwright  # here, because only the page needs a browser

    from tests.browser.conftest import FLAGS, NAMES

    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        return [], "No browser was found, so the page was not measured."
    with served() as (address, process), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        ready, held, pages, loaded = [], [], [], set()
        for _ in range(VISITS):
            page = browser.new_page(viewport={"width": 1366, "height": 768})
            page.on("request", lambda request: loaded.add(request.url))
            start = time.perf_counter()
            page.goto(address)
            page.locator(".stage-root[data-frame]").wait_for()
            ready.append(time.perf_counter() - start)
            page.wait_for_timeout(1500)
            held.append(memory(process))
            pages.append(page)
        moved = statistics.median(slider(pages[-1])) / 1e3
        browser.close()
        fetched = best_of(3, lambda: fetch(url for url in loaded if url.startswith("http")))
    each = (held[-1] - held[1]) / (len(held) - 2)
    words = (
        f"The server holds {held[0]:.0f} MB with one session and {each:.1f} MB more with each further one, "
        f"one part in {held[0] / each:.0f} of that."
    )
    return [
        Row("page opened to first picture, median", statistics.median(ready), fetched, "fetch"),
        Row("slider to picture, median; the limit set is 300 ms", moved, single.taken, "one play"),
    ], words


def slider(page: Any) -> list[float]:
    """Milliseconds from each move of a slider to its picture."""
    from tests.browser.test_page import MOVE

    row = page.locator('.row[data-key="swing.below_line_in"]')
    stage = page.locator(".stage-root").element_handle()
    values = [round(0.1 * (7 * i % 30), 1) for i in range(1, 21)]
    return list(page.evaluate(MOVE, [row.get_by_role("slider").element_handle(), stage, values]))


def peak_memory() -> float:
    """MiB that a process needs at most for a long spread with its JSON; NaN where the system does not tell."""
    code = (
        "import json, resource, sys; from plane3d.scenario import load; from plane3d.study import spread;"
        f"json.dumps(spread.block(spread.run(load(sys.argv[1]), plays={LONG})));"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    )
    path = str(scenarios_folder() / "08-matched-swing.toml")
    run = subprocess.run([sys.executable, "-c", code, path], capture_output=True, text=True, check=False)
    unit = 2**20 if sys.platform == "darwin" else 2**10
    return float(run.stdout) / unit if run.returncode == 0 else float("nan")


def main() -> None:
    peak = peak_memory()  # first, because a process counts the memory of the one it was started from as its own
    asked = load(ONE_INCH).to_inputs()
    rows, growth = plays(asked)
    rows += answers(asked)
    machine = f"{os.cpu_count()} cores, {platform.machine()}, no graphics card, Python {platform.python_version()}"
    told = [growth, f"A process needs {peak:.0f} MiB at most for a spread of {LONG:,} plays with its JSON."]
    everything = "--page" in sys.argv[1:]
    if everything:
        more, held = page_rows(next(row for row in rows if row.what == ONE_PLAY))
        rows += [*files(), *more]
        told.append(held)
    text = HEAD.format(machine=machine) + "\n".join([*(row.line() for row in rows), "", "\n\n".join(told), ""])
    if everything:
        PAGE.write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
