"""From a fresh checkout to a running page or passed tests: `python .ci/task.py app | test | cover | bench`.

Makes .venv if there is none and installs the locked packages and the project into it, again only when the
lock or pyproject.toml has changed. Further arguments go to the last program started.
Needs nothing but Python.
"""

import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
LOCK, PROJECT, STAMP = ROOT / "requirements.lock", ROOT / "pyproject.toml", VENV / "installed.stamp"

TASKS = {
    "app": ["python -m plane3d serve"],
    "test": [
        "ruff check",
        "ruff format --check",
        "codespell",
        "mypy",
        "lint-imports",
        # A browser waits a third of its time; its long files, which come first by name, must not come last.
        f"python -m pytest -n {(os.cpu_count() or 1) + 1} --dist loadfile --no-loadscope-reorder",
    ],
    "cover": [
        f"python -m pytest -n {os.cpu_count() or 1} --cov --cov-report=term-missing:skip-covered"
        " tests/reference tests/scene tests/unit",
    ],
    "bench": ["python -m tests.benchmarks"],
}


def run(command, *more):
    """Run a program of the environment in the project's folder; stop with its code if it fails."""
    program, *arguments = command.split()
    print("+", command, *more, flush=True)
    settings = os.environ | {"OPENBLAS_NUM_THREADS": "1"}  # as in plane3d/__init__.py; tests load numpy before that
    code = subprocess.call([str(BIN / program), *arguments, *more], cwd=ROOT, env=settings)
    if code:
        sys.exit(code)


def install():
    """Bring .venv in line with the lock and the project."""
    wanted = hashlib.sha256(LOCK.read_bytes() + PROJECT.read_bytes()).hexdigest()
    if STAMP.exists() and STAMP.read_text() == wanted:
        return
    print("Installing into .venv; the first time this takes a few minutes.", flush=True)
    if not (BIN / "python").exists() and not (BIN / "python.exe").exists():
        venv.create(VENV, with_pip=True)
    run("python -m pip install --quiet --disable-pip-version-check -r", str(LOCK))
    run(
        "python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e",
        str(ROOT),
    )
    STAMP.write_text(wanted)


def main():
    if sys.version_info < (3, 11):  # noqa: UP036, the one file an older Python may be given
        sys.exit("plane3d needs Python 3.11 or newer; this is " + sys.version.split()[0])
    name, *more = sys.argv[1:] or [""]
    if name not in TASKS:
        print(f"usage: python .ci/task.py {' | '.join(TASKS)}", file=sys.stderr)
        sys.exit(2)
    install()
    *first, last = TASKS[name]
    for command in first:
        run(command)
    try:
        run(last, *more)
    except KeyboardInterrupt:
        sys.exit(0)


if __name__ == "__main__":
    main()
