"""A cylinder's usual diameter and height, where nobody measured them: the only values that a size alone stands for.

Of a range the smaller is taken, since a smaller cylinder boils off less. Never more than that: tare, marking and what
else is stamped stand on the cylinder in hand, and a marking made up would make up a rating.
"""

from __future__ import annotations

from specc.measure.reading import parse
from specc.model.values import Quantity
from specc.spec.short_forms import Tree, spot_for

_READ, _MEMORY = "read in trade tables", "from memory"
# Pounds of propane to diameter and height of an upright steel cylinder, and how that is known. 20 lb, and the height
# of 30 lb: a seller's table of consumer cylinders (propane101.com, reprint). 100 lb: reprints. The rest: from memory.
# None for 5, 11 and 60 lb, of which no two sources agree.
SIZES = {
    20: ("12.5 in", "18 in", _READ),
    30: ("12.5 in", "24 in", f"height {_READ}, diameter {_MEMORY}"),
    40: ("12.5 in", "29 in", _MEMORY),
    100: ("14.5 in", "48 in", _READ),
}
_POUND = 0.45359237  # kg


def fill_in(part: Tree) -> None:
    """Diameter and height of a cylinder that has neither, in place."""
    if part.data.get("kind") != "cylinder" or "diameter" in part.data or "height" in part.data:
        return
    capacity = parse(part.data.get("capacity"), "mass")
    if not isinstance(capacity, Quantity):
        return
    pounds = round(capacity.si / _POUND)
    if pounds not in SIZES or abs(capacity.si - pounds * _POUND) > 0.01 * capacity.si:
        return
    diameter, height, known = SIZES[pounds]
    stands = part.child("capacity")
    origin = f"typical of {pounds} lb, not measured; {known}"
    for key, value in (("diameter", diameter), ("height", height)):
        spot = spot_for(value, stands.spot.value, stands.place, origin)
        spot.typical = True
        part.put(key, value, spot)
