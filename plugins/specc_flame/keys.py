"""The flame plugin's figures, by key. The heat at targets is in specc.kinds.targets."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from specc import FigureSet, Key, Unchecked, Worked
from specc.kinds.charged import LAID_FLAT
from specc.kinds.outlets import OutletPlace
from specc.model.values import Quantity, Scalar
from specc.model.view import join
from specc_flame.calc.reach import Flame

OUTLETS: Key[Mapping[str, OutletPlace]] = Key("flame.outlets", dict)
"""The burners and pilots whose gas was computed, by tag."""
UNKNOWN: Key[tuple[str, ...]] = Key("flame.unknown", tuple)


def flame_unknown(tag: str) -> Unchecked:
    """What a rule says of an outlet whose flame it cannot judge: something of the outlet is not stated."""
    return Unchecked(f"the flame of {tag} is not known", join("/plumbing/parts", tag))


"""Burners and pilots that gas reaches and whose flame nobody could compute: no rule that counts flames passes."""
OPEN: Key[Mapping[str, Quantity]] = Key("flame.open_times", dict)
"""By outlet of a burst effect: its longest open time."""
FORMS: Key[Mapping[str, Flame]] = Key("flame.forms", dict)
"""By outlet: every published form for its flame, and the one that governs, in the case with the longest flame."""


class FailedFlame(NamedTuple):
    """The flame of an outlet with a regulator failed open: one that burns on, or a burst that is fired then. `ball`:
    the gas of a burst that can burn as a ball; `liquid`: why its gas may come with liquid, "" where it does not."""

    regulator: str
    heat: Scalar
    length: Worked
    tip: Worked
    ball: Scalar | None = None
    liquid: str = ""


FAILED_FLAMES: Key[Mapping[str, FailedFlame]] = Key("flame.failed_flames", dict)
"""By outlet, in the air that makes each longest. One that cannot be computed is not in it."""

HEAT: Key[FigureSet] = Key("flame.burst_heat", dict)
LENGTH: Key[FigureSet] = Key("flame.length", dict)
WIDTH: Key[FigureSet] = Key("flame.width", dict)
BALL: Key[FigureSet] = Key("flame.ball_gas", dict)
BALL_SIZE: Key[FigureSet] = Key("flame.ball_size", dict)
TIP = LAID_FLAT
TOP: Key[FigureSet] = Key("flame.top", dict)
CLEAR: Key[FigureSet] = Key("flame.clear_height", dict)
"""By effect: the height above the ground below which nothing may hang over it."""
EXPECTED: Key[FigureSet] = Key("flame.expected_reach", dict)
STEADY_FLUX: Key[FigureSet] = Key("flame.flux_all_burning", dict)
DOSE: Key[FigureSet] = Key("flame.dose_each_burst", dict)
DOSES: Key[FigureSet] = Key("flame.dose_each_night", dict)
PUBLIC: Key[FigureSet] = Key("flame.public_distance", dict)
"""By effect: the largest of the stand-offs gathered for the audience."""
