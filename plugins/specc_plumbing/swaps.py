"""The simplest change where two parts do not mate: another size of one of the two, before anything is put between.

A joint is read from both sides. A connector of another size costs no part and no joint more; an adapter costs both, and
a place to leak. A plain tube end is flared, where the other end is no socket: that is made with a tool, not bought.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from specc.kinds.plumbing import End, Family, Fitted, Joint, Part, full_name
from specc_plumbing.adapters import between
from specc_plumbing.ends import BadEnd, mates, parse_end, pol_in_791

# What is read from the thing itself, or holds pressure by itself, is not swapped for another size lightly.
_SWAPPED = ("fitting", "regulator", "valve")


@lru_cache(maxsize=4096)
def _read(text: str) -> End | BadEnd:
    return parse_end(text)


class Neighbors:
    """The parts as they follow one another: who stands at each end of a part."""

    def __init__(self, joints: Sequence[Joint], fitted: Mapping[str, Fitted]) -> None:
        self.fitted = fitted
        self.at: dict[str, list[tuple[Joint, End | None, End | None, Part]]] = {}
        for joint in joints:
            if len(joint.parts) == 2 and len(joint.ends) == 2:
                (a, b), (x, y) = joint.parts, joint.ends
                self.at.setdefault(a.tag, []).append((joint, x, y, b))
                self.at.setdefault(b.tag, []).append((joint, y, x, a))

    def others(self, tag: str) -> list[End | None]:
        """The neighbors' ends that a part is joined to, in the order of the joints."""
        return [other for _, _, other, _ in self.at.get(tag, ())]


def swap(part: Part, line: Neighbors, catalog: Sequence[Family]) -> str:
    """The size of the part's own kind and form that mates with all that it is joined to, in words, or "".

    Only for a part of two ends whose neighbors' ends are all known: of anything else nobody can say what would fit.
    """
    others = line.others(part.tag)
    own = line.fitted[part.tag].ends
    if part.kind not in _SWAPPED or len(own) != 2 or len(others) != 2 or any(e is None or not e.family for e in others):
        return ""
    first, second = (e for e in others if e is not None)
    found = sorted(_fitting(part, first, second, line.fitted[part.tag], catalog))
    return found[0][-1] if found else ""


def _fitting(
    part: Part, first: End, second: End, fitted: Fitted, catalog: Sequence[Family]
) -> Iterator[tuple[int, int, str]]:
    """Sizes that fit, each with how many of its ends differ from those that the part has now."""
    for family in catalog:
        if (family.kind, family.form) != (part.kind, part.form):
            continue
        if fitted.family and part.kind != "fitting" and family.name != fitted.family:
            continue  # a ball valve of another family is another valve
        for size in family.sizes:
            ends = [_read(text) for text in size.ends]
            if len(ends) != 2 or any(isinstance(e, BadEnd) for e in ends):
                continue
            pairs = [ends] if family.ordered else [ends, ends[::-1]]
            if any(_mates(first, a) and _mates(b, second) for a, b in pairs):
                had = [(e.family, e.size, e.gender) for e in fitted.ends]
                new = sum((e.family, e.size, e.gender) not in had for e in ends if isinstance(e, End))
                yield (family.name != fitted.family, new, full_name(family.name, size.name))


def _mates(a: End | BadEnd, b: End | BadEnd) -> bool:
    """Whether two ends mate in a way to advise: not a POL nut inside a valve for CGA 791."""
    return isinstance(a, End) and isinstance(b, End) and mates(a, b) is not None and not pol_in_791(a, b)


def flared(joint: Joint, catalog: Sequence[Family]) -> str:
    """What joins a plain tube end to an end that is no socket: the tube flared, with a connector where it takes one."""
    for place, other in ((0, 1), (1, 0)):
        tube, end = joint.ends[place], joint.ends[other]
        part = joint.parts[place]
        if tube is None or end is None or part.kind != "tube" or (tube.family, tube.gender) != ("tube", "male"):
            continue
        nut = End("flare", tube.size, "female", nut=True)
        said = f"{part.tag} flared, with a nut at that end"
        if mates(nut, end) is not None:
            return said
        pair = (nut, end) if place == 0 else (end, nut)
        steps = between(*pair, catalog)
        if steps:
            return f"{said}, and {' then '.join(f'a {s.words}' for s in steps)}"
    return ""
