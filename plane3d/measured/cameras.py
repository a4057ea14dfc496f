"""A fixed camera found from marks of known points, and where in its picture any point is seen.

The camera is a pinhole with square pixels, its axis through the middle of the picture, and one radial term: as in
Hartley and Zisserman, Multiple View Geometry, 2nd ed. 2004, chapters 6-7 (from memory). It is found by least squares
from starts that direct linear transformation gives: of the points on the ground for a row of focal lengths, and of all
points. How well the marks tell it comes with it, and goes into every point seen through it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.linalg import rq
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from plane3d.errors import Plane3dError
from plane3d.frames import Array, Z, norm
from plane3d.language import mark, tr
from plane3d.physics.field import plate_corners

NOISE = 1.0  # px, standard error of a mark made with care, own choice
FEWEST = 6  # marks of known points
RADIAL_USUAL = 0.1  # how large radial terms of ordinary lenses are, own choice; marks may say otherwise
FOCAL_KNOWN = 0.002  # standard error of the logarithm of a focal length that is said to be known
FOCALS = np.geomspace(0.4, 8.0, 8)  # tried at the start, in widths of the picture
MISFIT = 5.0  # a root mean square of this many times the noise is no noise
FLAT = 0.01  # points whose third extent is below this share of the first lie in a plane, own choice
REFINED, MOST_STEPS = 5, 60  # how many starts are followed, and how far
TRIED = 4  # exchanges of two marks that are looked at closely
MOST, MOST_LOG = 1e4, 20.0  # no misfit, in standard errors, and no logarithm of a focal length counts for more
BEHIND = 1e-6  # m, least depth of what is seen

CORNERS = {
    "rear": mark("rear point of the plate"),
    "first-rear": mark("rear corner of the plate on the first-base side"),
    "first-front": mark("front corner of the plate on the first-base side"),
    "third-front": mark("front corner of the plate on the third-base side"),
    "third-rear": mark("rear corner of the plate on the third-base side"),
}
TOP = "+stick"  # ends the name of a corner: the top of the stick stood on it


class MarksError(Plane3dError):
    """One sentence about marks from which no camera, or no point, can be found."""


def known_points(stick: float) -> dict[str, Array]:
    """Corners of the plate and the tops of a stick stood upright on each, (3,) m in the field frame, by name.

    stick : m, height of the stick
    """
    if not 0.1 <= stick <= 5.0:
        raise MarksError(tr("The stick's height must be between 0.1 and 5 m; {given} m was given.", given=f"{stick:g}"))
    feet = {name: np.array([*corner, 0.0]) for name, corner in zip(CORNERS, plate_corners(), strict=True)}
    return feet | {name + TOP: foot + stick * Z for name, foot in feet.items()}


def point_name(name: str) -> str:
    """A known point in words; a name of the user's own comes back as it is."""
    if name.endswith(TOP) and name.removesuffix(TOP) in CORNERS:
        return tr("top of the stick on the {corner}", corner=tr(CORNERS[name.removesuffix(TOP)]))
    return tr(CORNERS[name]) if name in CORNERS else name


@dataclass(frozen=True)
class FixedCamera:
    """Where a camera stands and how it sees.

    size : width and height of the picture, px
    values : (8,) rotation vector from the field frame to the camera's (x right, y down, z ahead), place (m), logarithm
        of the focal length in px, and the radial term: a ray of slope r is seen at slope ``r (1 + radial r^2)``
    covariance : (8, 8) of the values
    residuals : (n, 2) px, marks less where the points are seen
    noise : px, standard error of a mark that the covariance counts with
    """

    size: tuple[int, int]
    values: Array
    covariance: Array
    residuals: Array
    noise: float

    @property
    def place(self) -> Array:
        """(3,) m."""
        return self.values[3:6]

    @property
    def place_error(self) -> Array:
        """(3,) m, standard error of the place."""
        return np.sqrt(np.diag(self.covariance)[3:6])

    @property
    def focal(self) -> float:
        """px."""
        return float(np.exp(self.values[6]))

    @property
    def misfit(self) -> float:
        """px, root mean square of the residuals of both coordinates."""
        return float(np.sqrt(np.mean(self.residuals**2)))

    def project(self, points: Array) -> Array:
        """Pixels (..., 2) from the upper left corner of points (..., 3) m; NaN for what is behind the camera."""
        return project(self.values, self.size, points)


def project(values: Array, size: tuple[int, int], points: Array) -> Array:
    """As `FixedCamera.project`, for a camera by its values (8,)."""
    arm = (points - values[3:6]) @ Rotation.from_rotvec(values[:3]).as_matrix().T
    depth = np.where(arm[..., 2:] > BEHIND, arm[..., 2:], np.nan)
    slope = arm[..., :2] / depth
    bent = slope * (1.0 + values[7] * np.sum(slope**2, axis=-1, keepdims=True))
    return np.array(size) / 2 + np.exp(values[6]) * bent


def by_points(values: Array, points: Array) -> Array:
    """Derivative (n, 2, 3), px/m, of the pixels of a camera, values (8,), by the points (n, 3) it sees."""
    turn = Rotation.from_rotvec(values[:3]).as_matrix()
    arm = (points - values[3:6]) @ turn.T
    depth = np.where(arm[:, 2] > BEHIND, arm[:, 2], np.nan)[:, None, None]
    slope = arm[:, :2] / depth[:, 0]
    straight = (np.eye(2, 3) - slope[:, :, None] * np.array([0.0, 0.0, 1.0])) / depth
    square = np.sum(slope**2, axis=-1)[:, None, None]
    bend = (1.0 + values[7] * square) * np.eye(2) + 2.0 * values[7] * slope[:, :, None] * slope[:, None, :]
    return np.exp(values[6]) * bend @ straight @ turn


def sight(values: Array, size: tuple[int, int], pixels: Array) -> Array:
    """Unit vectors (n, 3), field frame, of the lines of sight of a camera, values (8,), through pixels (n, 2)."""
    bent = (pixels - np.array(size) / 2) / np.exp(values[6])
    slope = bent
    for _ in range(5):  # the radial term is small, so that this settles at once
        slope = bent / (1.0 + values[7] * np.sum(slope**2, axis=-1, keepdims=True))
    way = np.column_stack([slope, np.ones(len(slope))]) @ Rotation.from_rotvec(values[:3]).as_matrix()
    return way / norm(way)[:, None]


def solve_camera(
    known: Mapping[str, Array],
    marks: Mapping[str, Sequence[float] | Array],
    size: tuple[int, int],
    noise: float = NOISE,
    focal: float | None = None,
) -> FixedCamera:
    """The camera that sees known points where they were marked.

    Parameters
    ----------
    known : (3,) m in the field frame, by name; see `known_points`
    marks : (2,) px from the upper left corner of the picture, by the same names; those marked
    size : width and height of the picture, px
    noise : px, standard error of a mark; a larger scatter that the marks show is counted instead
    focal : px, where it is known

    Raises MarksError with one sentence where the marks do not give a camera.
    """
    names = [name for name in marks if name in known]
    points = np.array([known[name] for name in names], dtype=float).reshape(-1, 3)
    pixels = np.array([marks[name] for name in names], dtype=float).reshape(-1, 2)
    _check_marks(names, points, pixels, size)
    values, misfit = _best(points, pixels, size, noise, focal)
    if misfit > MISFIT * noise:
        raise MarksError(_why_no_fit(names, points, pixels, size, noise, focal))
    if values[5] <= 0:
        raise MarksError(tr("The camera would be under the ground; are marks on the left and the right swapped?"))
    return _with_errors(values, points, pixels, size, noise, focal)


def _check_marks(names: Sequence[str], points: Array, pixels: Array, size: tuple[int, int]) -> None:
    for name, pixel in zip(names, pixels, strict=True):
        if not (np.isfinite(pixel).all() and (pixel >= 0).all() and (pixel <= size).all()):
            where = ", ".join(f"{value:.0f}" for value in pixel)
            told = tr("The mark of the {point} ({where}) is outside the picture.", point=point_name(name), where=where)
            raise MarksError(told)
    extent = np.linalg.svd(points - points.mean(axis=0), compute_uv=False) if len(points) else np.zeros(3)
    if len(points) >= 3 and extent[1] < FLAT * extent[0]:
        raise MarksError(tr("The marked points all lie on one line; mark corners of the plate on both sides."))
    if len(points) < FEWEST:
        told = tr("{given} known points are marked; at least {least} are needed.", given=len(points), least=FEWEST)
        raise MarksError(told)
    if extent[2] < FLAT * extent[0]:
        raise MarksError(tr("The marked points all lie in one plane; stand the stick on the plate and mark its top."))
    for one, two in combinations(range(len(names)), 2):
        if np.hypot(*(pixels[one] - pixels[two])) < 1.0:
            both = {"one": point_name(names[one]), "two": point_name(names[two])}
            raise MarksError(tr("The {one} and the {two} are marked at the same place.", **both))


def _best(
    points: Array, pixels: Array, size: tuple[int, int], noise: float, focal: float | None
) -> tuple[Array, float]:
    """Values of the camera that fits best of all starts, and its misfit, px."""
    fits = [
        least_squares(_residual, start, args=(points, pixels, size, noise, focal), x_scale="jac", max_nfev=MOST_STEPS)
        for _, start in _ranked(points, pixels, size, noise, focal)[:REFINED]
    ]
    if not fits:
        raise MarksError(tr("No camera sees the points where they are marked; check which mark is which point."))
    values = min(fits, key=lambda fit: fit.cost).x
    return values, float(np.sqrt(np.mean((project(values, size, points) - pixels) ** 2)))


def _ranked(
    points: Array, pixels: Array, size: tuple[int, int], noise: float, focal: float | None
) -> list[tuple[float, Array]]:
    """Starts with how far they are from fitting, the best first."""
    found = []
    for start in _starts(points, pixels, size, focal):
        residual = _residual(start, points, pixels, size, noise, focal)
        if np.isfinite(residual).all():
            found.append((float(np.minimum(np.abs(residual), MOST).sum()), start))
    return sorted(found, key=lambda one: one[0])


def _residual(
    values: Array, points: Array, pixels: Array, size: tuple[int, int], noise: float, focal: float | None
) -> Array:
    """Misfits in standard errors: of the marks, and of what is known of the lens."""
    if abs(values[6]) > MOST_LOG:
        return np.full(2 * len(points) + (1 if focal is None else 2), MOST)
    seen = np.clip(np.nan_to_num((project(values, size, points) - pixels) / noise, nan=MOST), -MOST, MOST)
    lens = [values[7] / RADIAL_USUAL]
    if focal is not None:
        lens.append((values[6] - np.log(focal)) / FOCAL_KNOWN)
    return np.concatenate([seen.ravel(), lens])


def _with_errors(
    values: Array, points: Array, pixels: Array, size: tuple[int, int], noise: float, focal: float | None
) -> FixedCamera:
    residuals = pixels - project(values, size, points)
    left = residuals.size - 7
    shown = float(np.sqrt(np.sum(residuals**2) / left))
    noise = max(noise, shown)
    jacobian = slopes(lambda v: _residual(v, points, pixels, size, noise, focal), values)
    return FixedCamera(size, values, np.linalg.inv(jacobian.T @ jacobian), residuals, noise)


def slopes(function: Callable[[Array], Array], at: Array, step: float = 1e-6) -> Array:
    """Derivative (m, k) of a function of (k,) values that gives (m,) values, by central differences."""
    columns = []
    for k in range(len(at)):
        change = np.zeros(len(at))
        change[k] = step
        columns.append((function(at + change) - function(at - change)) / (2 * step))
    return np.stack(columns, axis=-1)


def _starts(points: Array, pixels: Array, size: tuple[int, int], focal: float | None) -> Iterator[Array]:
    """Values (8,) to start from."""
    focals = FOCALS * size[0] if focal is None else [focal]
    ground = np.abs(points[:, 2]) < 1e-9
    centred = pixels - np.array(size) / 2
    if ground.sum() >= 4:
        flat = _linear(points[ground][:, :2], centred[ground])
        for length in focals:
            yield from _placed(flat[:, :2] / [[length], [length], [1.0]], flat[:, 2] / [length, length, 1.0], length)
    full = _linear(points, centred)
    inner, _ = rq(full[:, :3])
    scale = np.sqrt(abs(inner[0, 0] * inner[1, 1])) / max(abs(inner[2, 2]), 1e-12)
    for length in [*focals, float(np.clip(scale, 0.2 * size[0], 20 * size[0]))]:
        yield from _placed(full[:, :3] / [[length], [length], [1.0]], full[:, 3] / [length, length, 1.0], length)


def _linear(points: Array, pixels: Array) -> Array:
    """Matrix (3, k + 1) that takes points (n, k) to pixels (n, 2), by direct linear transformation."""
    middle, size = points.mean(axis=0), points.std()
    spread = pixels.std()
    source = np.column_stack([(points - middle) / size, np.ones(len(points))])
    target = pixels / spread
    nothing = np.zeros_like(source)
    rows = [
        np.hstack([source, nothing, -target[:, :1] * source]),
        np.hstack([nothing, source, -target[:, 1:] * source]),
    ]
    matrix = np.linalg.svd(np.vstack(rows))[2][-1].reshape(3, -1)
    matrix = np.diag([spread, spread, 1.0]) @ matrix
    k = points.shape[1]
    return np.column_stack([matrix[:, :k] / size, matrix[:, k] - matrix[:, :k] @ (middle / size)])


def _placed(axes: Array, shift: Array, focal: float) -> Iterator[Array]:
    """Values (8,) of the camera whose matrix is, up to a factor, the images of two or three axes (3, k) and a shift."""
    for sign in (1.0, -1.0):
        turned = sign * axes / np.linalg.norm(axes[:, 0])
        if turned.shape[1] == 2:
            turned = np.column_stack([turned, np.cross(turned[:, 0], turned[:, 1])])
        u, _, v = np.linalg.svd(turned)
        if np.linalg.det(u @ v) > 0:
            rotation = u @ v
            place = -rotation.T @ (sign * shift / np.linalg.norm(axes[:, 0]))
            yield np.array([*Rotation.from_matrix(rotation).as_rotvec(), *place, np.log(focal), 0.0])


def _why_no_fit(
    names: Sequence[str], points: Array, pixels: Array, size: tuple[int, int], noise: float, focal: float | None
) -> str:
    """Whether two marks are swapped, or else which mark fits worst."""

    def by_start(rows: Array, marked: Array) -> float:
        ranked = _ranked(points[rows], pixels[marked], size, noise, focal)
        return ranked[0][0] if ranked else np.inf

    every = np.arange(len(names))
    swaps = []
    for one, two in combinations(range(len(names)), 2):
        order = every.copy()
        order[[one, two]] = two, one
        swaps.append((by_start(every, order), one, two, order))
    for _, one, two, order in sorted(swaps, key=lambda swap: swap[0])[:TRIED]:
        values, misfit = _best(points, pixels[order], size, noise, focal)
        if misfit <= MISFIT * noise and values[5] > 0:
            told = {"one": point_name(names[one]), "two": point_name(names[two])}
            return tr("The marks of the {one} and the {two} seem to be swapped.", **told)
    without = [np.delete(every, k) for k in every]
    worst = min(range(len(names)), key=lambda k: by_start(without[k], without[k]))
    values, misfit = _best(points[without[worst]], pixels[without[worst]], size, noise, focal)
    if misfit > MISFIT * noise:
        return tr("The marks do not fit together; check which mark is which point, and the height of the stick.")
    off = np.linalg.norm(np.nan_to_num(project(values, size, points[worst])) - pixels[worst])
    return tr(
        "The marks do not fit together; the {point} is {off} px from where the others put it.",
        point=point_name(names[worst]), off=f"{off:.0f}",
    )  # fmt: skip
