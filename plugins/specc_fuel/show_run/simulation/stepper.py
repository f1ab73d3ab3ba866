"""One step of a Runge-Kutta method with its own error: Dormand and Prince, fifth order with fourth embedded.

J. Comput. Appl. Math. 6 (1980) 19-26; coefficients from memory, and checked by the tests against scipy's. What is
only summed up along the way (heat, gas by effect) takes no part in the stages, which saves time.
"""

from __future__ import annotations

from collections.abc import Callable

Vector = list[float]
Rates = Callable[[Vector], tuple[Vector, Vector]]


def step(rates: Rates, y: Vector, k1: Vector, q1: Vector, h: float) -> tuple[Vector, Vector, Vector, Vector, Vector]:
    """From y over h seconds. `rates(y)` gives slopes and the rates of what is summed; k1 and q1 are those at y.

    Returns the new y, its slopes and summing rates, what was summed, and the estimated error of y. Raises what
    `rates` raises.
    """
    c = h * 0.2
    k2, _ = rates([a + c * b for a, b in zip(y, k1, strict=False)])
    c1, c2 = h * (3 / 40), h * (9 / 40)
    k3, q3 = rates([a + c1 * b + c2 * d for a, b, d in zip(y, k1, k2, strict=False)])
    c1, c2, c3 = h * (44 / 45), h * (-56 / 15), h * (32 / 9)
    k4, q4 = rates([a + c1 * b + c2 * d + c3 * e for a, b, d, e in zip(y, k1, k2, k3, strict=False)])
    c1, c2, c3, c4 = h * (19372 / 6561), h * (-25360 / 2187), h * (64448 / 6561), h * (-212 / 729)
    k5, q5 = rates([a + c1 * b + c2 * d + c3 * e + c4 * f for a, b, d, e, f in zip(y, k1, k2, k3, k4, strict=False)])
    c1, c2, c3, c4, c5 = (
        h * (9017 / 3168),
        h * (-355 / 33),
        h * (46732 / 5247),
        h * (49 / 176),
        h * (-5103 / 18656),
    )
    k6, q6 = rates(
        [
            a + c1 * b + c2 * d + c3 * e + c4 * f + c5 * g
            for a, b, d, e, f, g in zip(y, k1, k2, k3, k4, k5, strict=False)
        ]
    )
    c1, c3, c4, c5, c6 = h * (35 / 384), h * (500 / 1113), h * (125 / 192), h * (-2187 / 6784), h * (11 / 84)
    new = [
        a + c1 * b + c3 * e + c4 * f + c5 * g + c6 * i for a, b, e, f, g, i in zip(y, k1, k3, k4, k5, k6, strict=False)
    ]
    summed = [c1 * b + c3 * e + c4 * f + c5 * g + c6 * i for b, e, f, g, i in zip(q1, q3, q4, q5, q6, strict=False)]
    k7, q7 = rates(new)
    c1, c3, c4, c5, c6, c7 = (
        h * (71 / 57600),
        h * (-71 / 16695),
        h * (71 / 1920),
        h * (-17253 / 339200),
        h * (22 / 525),
        h * (-1 / 40),
    )
    error = [
        c1 * b + c3 * e + c4 * f + c5 * g + c6 * i + c7 * j
        for b, e, f, g, i, j in zip(k1, k3, k4, k5, k6, k7, strict=False)
    ]
    return new, k7, q7, summed, error
