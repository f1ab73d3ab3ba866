"""What fittings and valves do to the flow: equivalent lengths, loss coefficients K, and valves by Kv or Cv.

A tool for the fluid mechanics of a fitting, not a table of makers' parts: a maker's own Cv or Kv goes first.
"""

from __future__ import annotations

import math

from specc.model.values import Citation
from specc_fuel.calc import checks
from specc_fuel.calc.isothermal import friction

IRC_FITTINGS = Citation("irc-2018-appendix-a", "table A.2.2: equivalent lengths, L/d and k of fittings", "reprint")
IEC_VALVE = Citation("iec-60534-2-1", "compressible fluid, sizing equations and example 3", "reprint")
CRANE = Citation("crane-tp-410", "K = f_T*(L/d), f_T the friction factor of full turbulence", "memory")
CV = Citation("iec-60534-2-1", "Kv = 0.865 Cv", "memory")

# L/d of threaded fittings, from the table's heading. A bend of tube with a wide radius loses less.
ELL_45, ELL_90, TEE_BRANCH, RETURN_BEND = 14.0, 30.0, 60.0, 67.0
# Into a pipe from a wide space with a sharp edge, and out into one: textbook values, from memory.
ENTRY, EXIT = 0.5, 1.0

# kg/s per m3/h of Kv and per root of Pa times kg/m3. By definition 1 m3/h of water (1000 kg/m3) at 1 bar; IEC 60534
# rounds it to its N6 of 3.16.
KV = math.sqrt(1000 / 1e5) / 3600
KV_OF_CV = 0.865


def equivalent_length(ratio: float, bore: float) -> float:
    """Length of straight pipe (m) that loses what a fitting of L/d = `ratio` does, at a bore in m.

    Source: 2018 IRC table A.2.2; its lengths are these ratios times the bore. ValueError for a size not above zero.
    """
    checks.not_below_zero("L/d", ratio, "")
    checks.above_zero("the bore", bore, "m")
    return ratio * bore


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


def valve_flow(
    kv: float,
    xt: float,
    pressure: float,
    behind: float,
    rho: float,
    k: float,
    bore: float = 0.0,
    before: float = 0.0,
    after: float = 0.0,
) -> float:
    """Flow of gas through a control valve, kg/s, by IEC 60534-2-1.

    w = N Fp Kv Y sqrt(x p rho), x the drop over the pressure ahead, at most that which chokes;
    Y = 1 - x/(3 k/1.4 xT), at least 2/3.
    kv: m3/h. xt: no unit. pressure, behind: Pa absolute. rho: kg/m3 ahead. k: ratio of specific heats. bore, before,
    after: of the valve and of the pipes at it, m; 0 if all alike. Reducers lower Kv (Fp) and change xT.
    Errors: ValueError for impossible inputs. Source: IEC 60534-2-1, example 3 read in a reprint: 3,800 m3/h of carbon
    dioxide at 680 to 310 kPa need a Kv of 72.587.
    """
    checks.above_zero("Kv", kv, "m³/h")
    checks.above_zero("the pressure ahead", pressure, "Pa")
    checks.above_zero("the density", rho, "kg/m³")
    checks.heat_ratio(k)
    if not 0 < xt <= 1:
        raise ValueError(f"xT lies above 0 and at most at 1, not at {xt:g}")
    if not 0 <= behind <= pressure:
        raise ValueError(f"the pressure behind the valve, {behind:g} Pa, is not between 0 and that ahead")
    fp, limit = 1.0, choked_drop(k, xt)
    if bore > 0:
        before, after = before or bore, after or bore
        if min(before, after) < bore:
            raise ValueError("a valve is not wider than the pipes at it")
        inlet, outlet = (bore / before) ** 2, (bore / after) ** 2
        entry = 0.5 * (1 - inlet) ** 2 + 1 - inlet**2
        whole = entry + (1 - outlet) ** 2 - (1 - outlet**2)
        # How many velocity heads the valve itself loses, turned round: the standard's N2 without its rounding.
        head = (KV * kv / (math.pi * bore**2 / 4)) ** 2 / 2
        fp = 1 / math.sqrt(1 + whole * head)
        # The standard's N5 is 1.8e-3 where N2 is 1.6e-3.
        limit = limit / fp**2 / (1 + xt * entry * head * 1.6e-3 / 1.8e-3)
    x = min((pressure - behind) / pressure, limit)
    # As in the standard's example, Y has the valve's own xT, whatever the reducers.
    y = max(1 - x / (3 * choked_drop(k, xt)), 2 / 3)
    return fp * KV * kv * y * math.sqrt(x * pressure * rho)
