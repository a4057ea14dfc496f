"""A film drawn and written picture by picture, so that no more than one is ever held. Runs in the drawing process."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np

from plane3d.errors import Plane3dError
from plane3d.export.captions import Caption, Frame
from plane3d.language import mark, tr
from plane3d.scene.parts import Camera, Scene
from plane3d.scene.render import Drawing, Picture, with_labels

WORDED = "hold"  # the part in which names stand at the lines; while things move they would jump about
OPEN, TELLING = "in", ("batted ball", "hit marks")  # the part before the answer, and what would give it away
SAMPLES = 8  # pictures from which the colours of a GIF are chosen
QUALITY = 19  # of H.264: 0 without loss, 18 to 23 usual
NO_ENCODER = mark("Films need the package imageio-ffmpeg with its program: pip install imageio-ffmpeg.")
FAILED = mark("The film could not be written ({reason}).")


@dataclass(frozen=True)
class Moment:
    """One picture of a film: time (s from release), where it is seen from, and the part it belongs to."""

    t: float
    camera: Camera
    part: str


def draw(
    scene: Scene,
    frame: Frame,
    said: dict[str, Caption],
    moments: Sequence[Moment],
    rate: float,
    path: Path,
    told: Callable[[float], None],
) -> None:
    """Draw a film and write it to a path whose ending says how.

    Parameters
    ----------
    frame, said : the words round the pictures, by part
    rate : pictures a second
    told : is given the share done after each picture

    Raises Plane3dError where the file cannot be written.
    """
    with Drawing(scene, frame.inner, scene.camera, many=True) as drawing, tempfile.TemporaryDirectory() as folder:

        def shown(moment: Moment) -> Picture:
            image = drawing.at(moment.t, moment.camera, TELLING if moment.part == OPEN else ())
            if moment.part == WORDED:
                image = with_labels(scene, image, scene.camera, moment.t)
            return frame.around(image, said[moment.part])

        output = MP4
        if path.suffix.lower() == ".gif":
            palette = Path(folder) / "palette.png"
            with Encoder(frame.size, rate, palette, PALETTE) as samples:
                for n in np.linspace(0, len(moments) - 1, SAMPLES).round().astype(int):
                    samples.add(shown(moments[n]))
            output = ["-i", str(palette), *GIF]
        with Encoder(frame.size, rate, path, output) as film:
            image, last = None, None
            for n, moment in enumerate(moments):
                if image is None or moment != last:  # while it is stopped, one picture is drawn once
                    image, last = shown(moment), moment
                film.add(image)
                told((n + 1) / len(moments))


# What ffmpeg is to make of the pictures; a player takes a film of this kind for one in the colours of BT.709.
MP4 = [
    "-vf", "scale=out_color_matrix=bt709:out_range=tv", "-c:v", "libx264", "-preset", "veryfast", "-crf", str(QUALITY),
    "-pix_fmt", "yuv420p", "-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709",
    "-color_range", "tv", "-movflags", "+faststart", "-f", "mp4",
]  # fmt: skip
PALETTE = ["-vf", "palettegen=stats_mode=full", "-frames:v", "1", "-update", "1", "-f", "image2"]
GIF = ["-lavfi", "paletteuse=dither=none", "-f", "gif"]


class Encoder:
    """The program that packs a film, fed with one picture after the other. To be used in a ``with`` statement.

    Parameters
    ----------
    size : width and height, pixels; rate : pictures a second
    path : the file to make; output : what the program is told about it
    """

    def __init__(self, size: tuple[int, int], rate: float, path: Path, output: Sequence[str]):
        self._complaints = tempfile.TemporaryFile()  # noqa: SIM115  closed on leaving
        pictures = ["-f", "rawvideo", "-pix_fmt", "rgb24", "-s", f"{size[0]}x{size[1]}", "-r", f"{rate:g}", "-i", "-"]
        command = [_program(), "-y", "-loglevel", "error", *pictures, *output, f"file:{path.absolute()}"]
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=self._complaints
        )

    def add(self, image: Picture) -> None:
        """The next picture (height, width, 3)."""
        try:
            self._process.stdin.write(np.ascontiguousarray(image).data)  # type: ignore[union-attr]
        except OSError:  # it has ended already
            raise self._failed() from None

    def __enter__(self) -> Encoder:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            if error is not None:
                self._process.kill()
            self._close_input()
            if self._process.wait() and error is None:
                raise self._failed()
        finally:
            self._complaints.close()

    def _close_input(self) -> None:
        with suppress(OSError):  # pictures were still on their way to a program that has ended
            self._process.stdin.close()  # type: ignore[union-attr]

    def _failed(self) -> Plane3dError:
        self._process.wait()
        self._complaints.seek(0)
        said = self._complaints.read().decode(errors="replace").strip()
        return Plane3dError(tr(FAILED, reason=said.rpartition("\n")[2] or f"code {self._process.returncode}"))


def _program() -> Any:
    """The program that packs films, which comes with a package."""
    try:
        from imageio_ffmpeg import get_ffmpeg_exe  # here, because only films need it

        return get_ffmpeg_exe()
    except (ImportError, RuntimeError) as error:
        raise Plane3dError(tr(NO_ENCODER)) from error
