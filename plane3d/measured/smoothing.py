"""Smoothing splines whose roughness is weighed by likelihood, with draws of what the samples leave open.

The quintic smoothing spline (penalty on the third derivative) as Wahba's Gaussian process: one spline for each
amount of smoothing on a grid, each weighed by its restricted likelihood, and the mean of them all. Where a spline of
least generalised cross-validation is the usual choice, this one was measured to be better at the edge, which is where
contact lies (docs/measured.md has the figures). All columns of one fit share the smoothing, so that the answer does
not depend on how the axes lie.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import BSpline
from scipy.linalg import eigh

from plane3d.frames import Array

ORDER = 3  # of the derivative that is held down
DEGREE = 2 * ORDER - 1
MOST_KNOTS = 100
GRID = 60  # amounts of smoothing
LEAST_FREE = 0.02  # equivalent parameters above a parabola
MOST_FREE = 0.25  # and at most this share of the samples that a parabola leaves,
FEW_FREE = 3.0  # but so many where there are few samples, all but half of one: too few must not look smooth
RIDGE = 1e-9  # keeps the directions apart that no sample tells apart
GAUSS = np.polynomial.legendre.leggauss(ORDER)  # places and weights of the integral over one piece of a spline


@dataclass(frozen=True)
class Fit:
    """Smoothed columns (q).

    coefficients : (k, q) of the spline; weights : (grid,) of the amounts of smoothing
    noise : standard deviation of one sample, pooled over the columns; free : equivalent parameters of a column
    """

    coefficients: Array
    weights: Array
    noise: float
    free: float


class Smoother:
    """Smooths columns sampled at times (n,), n at least `ORDER` + 2, over a stretch that may reach past them."""

    def __init__(self, times: Array, start: float, end: float):
        self.times = times
        inner = np.linspace(start, end, min(max(len(times), DEGREE + 1), MOST_KNOTS))
        self.knots = np.concatenate([[start] * DEGREE, inner, [end] * DEGREE])
        basis = BSpline.design_matrix(times, self.knots, DEGREE).toarray()
        penalty = self._penalty(inner)
        gram = basis.T @ basis
        penalty *= np.trace(gram) / np.trace(penalty)
        steady = gram + 1e-6 * penalty + RIDGE * np.trace(gram) / len(gram) * np.eye(len(gram))
        rough, self._turn = eigh(penalty, steady)
        self._rough = np.clip(rough, 0.0, None)
        self._rough[:ORDER] = 0.0  # parabolas are free
        self.sampled = basis  # (n, k): gives the columns at the sample times when multiplied with coefficients
        self._basis = basis @ self._turn
        self._seen = np.sum(self._basis**2, axis=0)
        self._shrink = 1.0 / (1.0 + self._grid()[:, None] * self._rough)

    def _penalty(self, inner: Array) -> Array:
        """Integral of products of third derivatives of the basis, exact by Gauss's rule."""
        x, w = GAUSS
        half = np.diff(inner)[:, None] / 2
        place, weight = (inner[:-1, None] + half + half * x).ravel(), (half * w).ravel()
        bent = BSpline(self.knots, np.eye(len(self.knots) - DEGREE - 1), DEGREE).derivative(ORDER)(place)
        return (bent * weight[:, None]).T @ bent

    def _grid(self) -> Array:
        """Amounts of smoothing, evenly spaced in equivalent parameters."""
        left = len(self.times) - ORDER
        most = max(MOST_FREE * left, min(FEW_FREE, left - 0.5))
        tried = np.logspace(-10.0, 18.0, 600)
        free = ((1.0 / (1.0 + tried[:, None] * self._rough)) * self._seen).sum(axis=1)
        wanted = np.linspace(ORDER + LEAST_FREE, ORDER + most, GRID)
        return np.exp(np.interp(wanted, free[::-1], np.log(tried[::-1])))

    def fit(self, columns: Array) -> Fit:
        """Smooth columns (n, q) that all have the same noise."""
        n, q = columns.shape
        turned = self._basis.T @ columns
        left = self._left(columns, turned)
        freedom = (n - ORDER) * q
        kept = self._rough > 0
        share = np.where(kept, 1.0 - self._shrink, 1.0)
        share = np.where(self._seen > 1e-6, share, 1.0)
        score = 0.5 * q * np.log(np.maximum(share, 1e-300)).sum(axis=1) - 0.5 * freedom * np.log(left)
        weights = np.exp(score - score.max())
        weights /= weights.sum()
        shrink = weights @ self._shrink
        return Fit(
            coefficients=self._turn @ (shrink[:, None] * turned),
            weights=weights,
            noise=float(np.sqrt(weights @ left / freedom)),
            free=float(shrink @ self._seen),
        )

    def _left(self, columns: Array, turned: Array) -> Array:
        """Penalised sum of squares (grid,) for each amount of smoothing."""
        total = np.sum(columns**2)
        explained = self._shrink @ np.sum(turned**2, axis=1)
        return np.maximum(total - explained, 1e-12 * total + 1e-300)

    def choose(self, fit: Fit, columns: Array, count: int, rng: np.random.Generator) -> tuple[Array, Array]:
        """Amounts of smoothing (count,), by place on the grid, and noises (count,) that the samples leave open."""
        n, q = columns.shape
        freedom = (n - ORDER) * q
        left = self._left(columns, self._basis.T @ columns)
        which = rng.choice(len(fit.weights), size=count, p=fit.weights)
        return which, np.sqrt(left[which] / rng.chisquare(freedom, size=count))

    def draw(self, columns: Array, which: Array, noise: Array, rng: np.random.Generator) -> Array:
        """Splines' coefficients (count, k, q) drawn from what columns (n, q) or (count, n, q) leave open."""
        turned = self._basis.T @ columns
        shrink = self._shrink[which]
        spread = noise[:, None, None] * np.sqrt(shrink)[..., None]
        shape = (len(which), len(self._rough), columns.shape[-1])
        return self._turn @ (shrink[..., None] * turned + spread * rng.standard_normal(shape))

    def spline(self, coefficients: Array) -> BSpline:
        """The spline of coefficients (k, q)."""
        return BSpline(self.knots, coefficients, DEGREE)

    def at(self, times: Array) -> tuple[Array, Array]:
        """Rows (d, k) that give value and rate at times (d,) when multiplied with coefficients."""
        every = BSpline(self.knots, np.eye(len(self.knots) - DEGREE - 1), DEGREE)
        return every(times), every.derivative()(times)
