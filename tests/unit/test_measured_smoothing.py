"""The smoothing spline against what it must do: laws of least squares, and polynomials fitted by numpy."""

from __future__ import annotations

import numpy as np
import pytest

from plane3d.measured.smoothing import Smoother

TIMES = np.sort(np.random.default_rng(3).uniform(-0.06, 0.0, 24))


def columns(noise: float, seed: int = 0) -> np.ndarray:
    t = TIMES[:, None]
    true = np.concatenate([26 * t + 300 * t**2, 1.0 - 2 * t, 0 * t + 0.5], axis=1)
    return true + noise * np.random.default_rng(seed).standard_normal(true.shape)


def test_a_parabola_goes_through_untouched() -> None:
    smoother = Smoother(TIMES, -0.06, 0.0)
    fit = smoother.fit(columns(0.0))
    value, rate = smoother.at(np.zeros(1))
    assert value @ fit.coefficients == pytest.approx(np.array([[0.0, 1.0, 0.5]]), abs=1e-5)
    assert rate @ fit.coefficients == pytest.approx(np.array([[26.0, -2.0, 0.0]]), abs=2e-3)


def test_noise_on_a_parabola_is_smoothed_nearly_to_numpys_own_parabola() -> None:
    noisy = columns(0.003)
    smoother = Smoother(TIMES, -0.06, 0.0)
    fit = smoother.fit(noisy)
    parabola = np.polynomial.polynomial.polyval(TIMES, np.polynomial.polynomial.polyfit(TIMES, noisy, 2)).T
    assert np.abs(smoother.spline(fit.coefficients)(TIMES) - parabola).max() < 0.0025
    assert 3.0 <= fit.free < 6.0
    assert np.median([smoother.fit(columns(0.003, s)).noise for s in range(40)]) == pytest.approx(0.003, rel=0.1)


def test_the_answer_does_not_depend_on_how_the_axes_lie() -> None:
    turn = np.linalg.qr(np.random.default_rng(1).standard_normal((3, 3)))[0]
    smoother = Smoother(TIMES, -0.06, 0.0)
    one, two = smoother.fit(columns(0.003)), smoother.fit(columns(0.003) @ turn)
    assert np.allclose(one.coefficients @ turn, two.coefficients, atol=1e-9)
    assert one.noise == pytest.approx(two.noise)


def test_draws_lie_round_the_fit_and_spread_as_the_parabola_says() -> None:
    noisy = columns(0.003)
    smoother, rng = Smoother(TIMES, -0.06, 0.0), np.random.default_rng(2)
    fit = smoother.fit(noisy)
    which, noise = smoother.choose(fit, noisy, 4000, rng)
    drawn = smoother.draw(noisy, which, noise, rng)
    value, _ = smoother.at(np.array([-0.03]))
    places = np.einsum("k,dkq->dq", value[0], drawn)
    assert np.allclose(places.mean(axis=0), (value @ fit.coefficients)[0], atol=3e-4)
    design = np.vander(TIMES, 3)
    row = np.vander([-0.03], 3)[0]
    parabola = 0.003 * np.sqrt(row @ np.linalg.inv(design.T @ design) @ row)
    assert np.all(places.std(axis=0) > 0.8 * parabola)
    assert np.all(places.std(axis=0) < 2.5 * parabola)
