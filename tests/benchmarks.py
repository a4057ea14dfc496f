"""How long things take: `python .ci/task.py bench`. Every ratio comes from this one run.

Thousands of plays at once are compared with what one would otherwise write: each batted flight alone through scipy's
`solve_ivp`, with a landing event and the same forces, at three tolerances. A row says how far its landings are
from the tightest, so that like can be compared with like.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy.integrate import solve_ivp

from plane3d.inputs import Inputs
from plane3d.lesson import scenarios_folder
from plane3d.physics import aero
from plane3d.physics.flight import Medium, fly_until, launch
from plane3d.play import Plays, play, play_many
from plane3d.scenario import load, loads
from plane3d.studies.contact_map import contact_map, strip, window
from plane3d.study import remedy, spread, target, versus

MANY, FEW = 10_000, 40
LONG = 100_000
RATIO_WANTED, PLAY_WANTED_MS, STRIP_WANTED_MS = 100, 20, 60
SPREAD_WANTED_S, MEMORY_WANTED_MIB = 2.5, 1024
SOLVERS = {
    "by default": {},
    "as near as ours": {"rtol": 1e-6, "atol": 1e-8},
    "tight": {"method": "DOP853", "rtol": 1e-11, "atol": 1e-11},
}


def best_of(times: int, work: Callable[[], object]) -> float:
    """Shortest of some runs, s."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


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


def many_against_one_by_one(asked: Inputs) -> list[str]:
    """Ten thousand plays, and their flights, in one call; and flights one by one."""
    scatter = scattered(asked, MANY)
    plays = play_many(scatter)
    hits = np.flatnonzero(plays.meeting.touch)
    ball = asked.setting.ball
    air = Medium(asked.setting.air_density, np.array(asked.setting.wind), ball.radius, ball.mass)
    first = launch(plays.meeting.ball[hits], plays.blow.velocity[hits], plays.blow.spin[hits], air)
    play_time = best_of(3, lambda: play_many(scatter)) / MANY
    flight_time = best_of(3, lambda: fly_until(first, air, lambda x, v: x[:, 2] - ball.radius)) / len(hits)
    some = hits[:FEW]
    exact = np.array([alone(plays, i, **SOLVERS["tight"]) for i in some])
    off = np.median(np.linalg.norm(plays.batted.x[some] - exact, axis=1))
    rows = [
        row(f"{MANY} whole plays in one call, each", play_time * 1e6, "us"),
        row("their batted flights alone, each", flight_time * 1e6, "us", f"landing off by {1e3 * off:.2g} mm"),
    ]
    for name, solver in SOLVERS.items():
        landings = np.array([alone(plays, i, **solver) for i in some])
        off = np.median(np.linalg.norm(landings - exact, axis=1))
        taken = best_of(3, lambda solver=solver: [alone(plays, i, **solver) for i in some]) / len(some)
        ratios = f"x {taken / flight_time:.0f} a flight of ours, x {taken / play_time:.0f} a whole play"
        rows.append(row(f"one flight by solve_ivp, {name}", taken * 1e6, "us", f"off by {1e3 * off:.2g} mm; {ratios}"))
    return [*rows, f"wanted: x {RATIO_WANTED}"]


def row(name: str, value: float, unit: str, remark: str = "") -> str:
    return f"{name:44s}{value:10.2f} {unit}  {remark}".rstrip()


def lines() -> list[str]:
    """The table."""
    asked = loads('format = 1\ntitle = "x"\n[swing]\nbat_speed_mph = 70\nbelow_line_in = 0.7\n').to_inputs()
    one = play_many(asked)
    return [
        row(
            "one play with its answer", 1e3 * best_of(30, lambda: play(asked).result), "ms", f"wanted: {PLAY_WANTED_MS}"
        ),
        row(
            "timing strip, 81 plays with their kinds",
            1e3 * best_of(10, lambda: strip(one).kind),
            "ms",
            f"wanted: {STRIP_WANTED_MS}",
        ),
        row("contact map and window", 1e3 * best_of(20, lambda: window(contact_map(one))), "ms"),
        *scene_line(asked),
        *many_against_one_by_one(asked),
        *studies(),
    ]


def studies() -> list[str]:
    """The studies as the command line runs them, and the memory of a long one."""
    matched, steep = (load(scenarios_folder() / f"{name}.toml") for name in ("08-matched-swing", "09-steep-swing"))
    spread_time = best_of(3, lambda: spread.run(matched, plays=MANY))
    single = best_of(20, lambda: play(matched.to_inputs()).result)
    goal = remedy.goal("fly-ball", "pull")
    return [
        row(f"spread of {MANY} plays", spread_time, "s", f"wanted: {SPREAD_WANTED_S} on two cores"),
        row("  a single play against one of these", single / (spread_time / MANY), "x", "wanted: 10"),
        row("remedy, five levers over their sliders", 1e3 * best_of(5, lambda: remedy.run(matched, goal)), "ms"),
        row("target, the chart of one hitter", 1e3 * best_of(5, lambda: target.run(matched)), "ms"),
        row("compare, 9 pitches, 1000 plays of each, twice", best_of(2, lambda: versus.run(matched, steep)), "s"),
        row(f"most memory of a process with {LONG} plays", peak_memory(), "MiB", f"wanted: {MEMORY_WANTED_MIB}"),
    ]


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


def scene_line(asked: Inputs) -> list[str]:
    """The description of the scene, where that part is installed."""
    try:
        from plane3d.scene.describe import describe
    except ImportError:
        return []
    shown = play(asked)
    return [row("scene description of a solved play", 1e3 * best_of(10, lambda: describe(shown)), "ms")]


if __name__ == "__main__":
    print("\n".join(lines()))
