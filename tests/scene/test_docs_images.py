"""The pictures of docs/ are what the code makes today."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

DOCS = Path(__file__).parents[2] / "docs"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Drawn in a process of its own, as a reader of the docs would."""
    folder = tmp_path_factory.mktemp("images")
    command = [sys.executable, str(DOCS / "make_images.py"), str(folder)]
    paths = os.pathsep.join([str(DOCS.parent), *filter(None, [os.environ.get("PYTHONPATH")])])
    environment = os.environ | {"PYTHONPATH": paths}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)
    assert done.returncode == 0, done.stderr
    return folder


def test_stored_pictures_are_the_made_ones(made: Path) -> None:
    """Renderers differ a little from machine to machine; another scene differs by much more than this."""
    stored = {path.name for path in (DOCS / "images").glob("*.png")}
    assert {path.name for path in made.iterdir()} == stored - {"page.png"}  # that one is the page in a browser
    for path in made.iterdir():
        new, old = (np.asarray(Image.open(p).convert("RGB"), dtype=int) for p in (path, DOCS / "images" / path.name))
        assert new.shape == old.shape
        assert (np.abs(new - old).max(axis=-1) > 40).mean() < 0.01, path.name
