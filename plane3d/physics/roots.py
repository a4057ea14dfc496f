"""Roots of many functions at once.

scipy's elementwise solver does the same; on the few balls of a single play its fixed cost (1.3 ms a call) was a
quarter of the whole, which is why these few lines stand here.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from plane3d.frames import Array

ROUNDS = 60


def bracketed_root(f: Callable[[Array, Array], Array], low: Array, high: Array, tolerance: float) -> Array:
    """x (n,) between low and high (n,) where f passes through zero, by the Illinois form of false position.

    f : f(x, index) gives the values (k,) of the functions numbered by ``index`` (k,) at x (k,)
    tolerance : on x. Where f has no change of sign between the ends, the nearer end is returned.
    """
    index = np.arange(len(low))
    a, b = low.copy(), high.copy()
    fa, fb = f(a, index), f(b, index)
    x = np.where(np.abs(fa) < np.abs(fb), a, b)
    going = fa * fb < 0
    for _ in range(ROUNDS):
        index, a, b, fa, fb = (values[going] for values in (index, a, b, fa, fb))
        if len(index) == 0:
            break
        new = b - fb * (b - a) / (fb - fa)
        f_new = f(new, index)
        x[index] = new
        crossed = f_new * fb < 0
        going = (np.abs(new - b) > tolerance) & (np.abs(b - a) > tolerance) & (f_new != 0)
        # Halving the kept end's value stops it from being kept for ever.
        a, fa = np.where(crossed, b, a), np.where(crossed, fb, 0.5 * fa)
        b, fb = new, f_new
    return x
