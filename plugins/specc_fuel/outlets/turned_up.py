"""How far the pressure behind a regulator rises with no flow when somebody turns it up as far as it goes."""

from __future__ import annotations

from specc import CHOICE, Worked
from specc.kinds.plumbing import Part
from specc.model.values import Equation, Scalar, Symbol
from specc_fuel.network.burning import locked_at

_MOST = Symbol("p_h", "gauge_pressure", "highest setting")
_LOCKED = Symbol("p", "gauge_pressure", "lock-up at the highest setting")
_AS_STATED = Equation(
    forms=(("", "p = p_h + p_l - p_s"),),
    symbols=(
        _LOCKED,
        _MOST,
        Symbol("p_l", "gauge_pressure", "lock-up as set"),
        Symbol("p_s", "gauge_pressure", "setting"),
    ),
    citations=(CHOICE,),
    validity="the rise from setting to lock-up taken as the same at any setting",
)
_BY_SHARE = Equation(
    forms=(("", "p = p_h*(1 + x)"),),
    symbols=(_LOCKED, _MOST, Symbol("x", "ratio", "how far above its setting it stands with no flow")),
    citations=(CHOICE,),
)


def turned_up(regulator: Part, share: Scalar) -> Worked | None:
    """Lock-up at the highest setting; None where that is not stated. `share`: how far above its setting it locks up
    where it does not say."""
    spec = regulator.spec
    highest, setting, locked = spec.quantity_or_none("highest"), spec.quantity("set"), spec.quantity_or_none("lock_up")
    if highest is None:
        return None
    name, most = f"{regulator.tag} turned up", highest if highest.si > setting.si else setting
    if locked is None or locked.si < setting.si:
        inputs: tuple[tuple[str, Scalar], ...] = (("p_h", most), ("x", share))
        return Worked(locked_at(regulator, most.si, share.si), "gauge_pressure", _BY_SHARE, inputs, name=name)
    inputs = (("p_h", most), ("p_l", locked), ("p_s", setting))
    return Worked(locked_at(regulator, most.si, share.si), "gauge_pressure", _AS_STATED, inputs, name=name)
