"""An installed wheel carries the page and the scenarios, and finds them from any folder."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SHIPPED = [
    *(p.relative_to(ROOT) for kind in ("*.py", "*.js", "*.css", "*.html") for p in (ROOT / "apps").rglob(kind)),
    *(p.relative_to(ROOT) for kind in ("*.py", "*.po", "*.toml") for p in (ROOT / "plane3d").rglob(kind)),
    *("plane3d" / p.relative_to(ROOT) for p in (ROOT / "scenarios").rglob("*.toml")),
    *("plane3d" / p.relative_to(ROOT) for kind in ("*.md", "*.png") for p in (ROOT / "docs").rglob(kind)),
]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The contents of the wheel, unpacked as an installer would."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = folder.glob("*.whl")
    zipfile.ZipFile(wheel).extractall(folder / "site")
    return folder / "site"


def test_everything_is_in_the_wheel(installed: Path) -> None:
    missing = [str(path) for path in SHIPPED if not (installed / path).is_file()]
    assert not missing
    assert not (installed / "tests").exists()
    assert not list((installed / "plane3d" / "docs").rglob("*.py"))


def test_scenarios_and_documents_are_found_with_no_checkout(installed: Path, tmp_path: Path) -> None:
    code = (
        "from apps.document_list import documents_folder, shelf\n"
        "from plane3d.lesson import scenarios_folder\n"
        "print(scenarios_folder(), documents_folder(), sum(len(names) for _, names in shelf()), sep='\\n')"
    )
    environment = {**os.environ, "PYTHONPATH": str(installed)}
    run = [sys.executable, "-P", "-c", code]
    found = subprocess.run(run, cwd=tmp_path, env=environment, check=True, capture_output=True, text=True)
    scenarios, documents, count = found.stdout.splitlines()
    assert Path(scenarios) == installed / "plane3d" / "scenarios"
    assert Path(documents) == installed / "plane3d" / "docs"
    assert int(count) == len([*(ROOT / "docs").glob("*.md"), *(ROOT / "docs" / "lessons").glob("*.md")])
