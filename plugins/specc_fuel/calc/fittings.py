"""What fittings and valves do to the flow: equivalent lengths, loss coefficients K, and valves by Kv or Cv.

A tool for the fluid mechanics of a fitting, not a table of makers' parts: a maker's own Cv or Kv goes first.
"""

from __future__ import annotations

import math

from specc_fuel.calc import checks
from specc_fuel.calc.isothermal import friction

# L/d of threaded fittings, from the heading of the 2018 IRC's table A.2.2 (read in a reprint).
# A bend of tube with a wide radius loses less.
ELL_45, ELL_90, TEE_BRANCH, RETURN_BEND = 14.0, 30.0, 60.0, 67.0
# Into a pipe from a wide space with a sharp edge, and out into one: textbook values, from memory.
ENTRY, EXIT = 0.5, 1.0

# kg/s per m3/h of Kv and per root of Pa times kg/m3. By definition 1 m3/h of water (1000 kg/m3) at 1 bar; IEC 60534
# rounds it to its N6 of 3.16.
KV = math.sqrt(1000 / 1e5) / 3600
KV_OF_CV = 0.865  # IEC 60534-2-1, from memory


def loss_of(ratio: float, bore: float, roughness: float) -> float:
    """K of a fitting of L/d = `ratio`: f_T L/d, f_T the factor of full turbulence at a bore and roughness in m.

    Smooth tube has no full turbulence; its f at Re 1e8 is taken. Source: Crane TP-410 (from memory).
    """
    checks.above_zero("the bore", bore, "m")
    checks.not_below_zero("L/d", ratio, "")
    checks.not_below_zero("the roughness", roughness, "m")
    return ratio * friction(1e8, roughness / bore)[0]


def area_of_kv(kv: float) -> float:
    """The effective area (C times A, m2) that passes, at a small drop, what a valve of Kv (m3/h) does."""
    checks.above_zero("Kv", kv, "m³/h")
    return KV * kv / math.sqrt(2)


def kv_of_cv(cv: float) -> float:
    """Kv (m3/h, bar) of a Cv (US gallons a minute, psi)."""
    checks.above_zero("Cv", cv, "gpm")
    return KV_OF_CV * cv


def loss_of_kv(kv: float, bore: float) -> float:
    """K at a bore (m) that loses, at a small drop, what a valve of Kv (m3/h) does."""
    checks.above_zero("the bore", bore, "m")
    return (math.pi * bore**2 / 4 / area_of_kv(kv)) ** 2


def kv_of_loss(loss: float, bore: float) -> float:
    """Kv (m3/h) of a K at a bore (m): `loss_of_kv` turned round."""
    checks.above_zero("K", loss, "")
    checks.above_zero("the bore", bore, "m")
    return math.pi * bore**2 / 4 * math.sqrt(2 / loss) / KV


def choked_drop(k: float, xt: float) -> float:
    """The drop over the pressure ahead at which a valve of xT chokes: k/1.4 xT (IEC 60534)."""
    return k / 1.4 * xt
