"""Where something might stand instead, so that a finding on its distance ends: tried by running the rules again.

A rule names the places that might move (`Trouble.moves`); which spot would do depends on every other rule on the site,
so none is computed: the spec is judged again with the place moved, first by the rules that found it, then by all. What
is offered ends the finding, and brings neither a new error or warning nor a rule that was checked and no longer is.
Where no move of one place alone does, the finding says so.

Tried are eight directions, the rule's own first, and distances that grow. How much is tried is bounded, since each try
is a run: what is beyond that is offered no spot, and nothing is said of it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple, TypeAlias

from specc.engine.run import FindingDraft, Ran
from specc.engine.tolerances import moved
from specc.measure.units import FOOT
from specc.model.findings import LEVELS, Cure, Move
from specc.model.result import RuleOutcome
from specc.model.values import Quantity
from specc.model.view import join

FARTHEST = 100 * FOOT
# Runs of all rules: each takes the longer the more parts and places there are, on a whole device some tenths of a
# second. Of those rules alone that found something there are four times as many.
# A draft with many faults gets fewer: whoever mends one asks again.
MOST_RUNS, FEWEST_RUNS, RUNS_BY_SIZE, RUNS_BY_FINDINGS = 48, 4, 1500, 200
_TURNS = (0, 45, -45, 90, -90, 135, -135, 180)
_PASSED = ("passed", "stated", "shown", "planned", "not applicable")
_GRID = {"ft": 0.5 * FOOT, "m": 0.1}  # people pace a plan off no finer

# Runs rules on other data: those of these ids, or all that were asked for.
Again: TypeAlias = Callable[[Mapping[str, Any], frozenset[str] | None], Ran]
_Shift: TypeAlias = tuple[float, float]


class _Tried(NamedTuple):
    """A place moved: the data, what is written where and how it is told, and what is found still."""

    data: Mapping[str, Any]
    cure: Cure
    left: frozenset[tuple[Any, ...]] = frozenset()


def with_moves(ran: Ran, data: Mapping[str, Any], again: Again) -> Ran:
    """What was found, where it can be with the spot that would end it."""
    if not any(one.trouble.moves and one.trouble.cure is None for one in ran.said):
        return ran
    return ran._replace(said=_Search(ran, data, again).all())


class _Search:
    def __init__(self, ran: Ran, data: Mapping[str, Any], again: Again) -> None:
        self.before, self.data, self.again = ran, data, again
        size = len(data.get("places", {})) + len(data.get("plumbing", {}).get("parts", {}))
        found = sum(1 for one in ran.said if one.trouble.moves and one.trouble.cure is None)
        self.whole = max(FEWEST_RUNS, min(MOST_RUNS, RUNS_BY_SIZE // max(size, 1), RUNS_BY_FINDINGS // max(found, 1)))
        self.few = 4 * self.whole

    def all(self) -> tuple[FindingDraft, ...]:
        said = list(self.before.said)
        cured: dict[int, Cure] = {}
        open_ = [i for i, one in enumerate(said) if one.trouble.moves and one.trouble.cure is None]
        many = Counter(said[i].trouble.moves[0].place for i in open_)
        # Errors first, and of them those of the place that has most: its spot may end others as well.
        for i in sorted(open_, key=lambda i: (LEVELS.index(said[i].level), -many[said[i].trouble.moves[0].place])):
            one = said[i]
            if i in cured or self.few <= 0 or self.whole <= 0:
                continue
            for move in one.trouble.moves:
                if not self._can_move(move.place):
                    continue
                # One spot for all that is found of a place is worth more than one for each.
                every = [k for k in open_ if k not in cured and _move_of(said[k], move.place)]
                alike = [k for k in every if said[k].rule == one.rule]
                for group in (every, alike) if len(alike) < len(every) else (alike,):
                    if spot := self._spot(move.place, [said[k] for k in group]):
                        cured |= {k: spot.cure for k in open_ if k not in cured and _who(said[k]) not in spot.left}
                        break
                if i in cured:
                    break
            else:
                if self.few > 0 and self.whole > 0:
                    cured[i] = _none([m.place for m in one.trouble.moves if self._can_move(m.place)])
        kept = {i: cure for i, cure in cured.items() if cure.words}
        return tuple(
            d._replace(trouble=d.trouble._replace(cure=kept[i])) if i in kept else d for i, d in enumerate(said)
        )

    def _can_move(self, place: str) -> bool:
        told = self.data.get("places", {}).get(place)
        return isinstance(told, Mapping) and bool(_coordinates(told))

    def _spot(self, place: str, found: Sequence[FindingDraft]) -> _Tried | None:
        """The first spot that ends all of these: by a move that one of them asks for, or in the eight directions."""
        gravest = min(found, key=lambda one: LEVELS.index(one.level)).level
        moves = [m for one in found if one.level == gravest and (m := _move_of(one, place))]
        stop = self.few * 3 // 4  # something is left for what is found of other places
        told = (m for one in found for m in one.trouble.moves if m.place == place)
        asked = dict.fromkeys(_shift(math.atan2(*m.way), m.by) for m in told if m.by and any(m.way))
        for shift in sorted(asked, key=lambda s: -math.hypot(*s))[:4]:  # the largest more likely ends the others too
            if self._ends(place, shift, found) and (tried := self._clean(place, shift, found)):
                return tried
        least = max(m.by for m in moves)
        for angle in _angles(moves):
            low, far = 0.0, max(least + 0.25 * FOOT, FOOT)
            while not self._ends(place, _shift(angle, far), found):
                if self.few <= stop or far > FARTHEST:
                    break
                low, far = far, far * 2
            else:
                for _ in range(0 if least else 3):  # no farther than need be
                    middle = (low + far) / 2
                    if middle > FOOT and self._ends(place, _shift(angle, middle), found):
                        far = middle
                    else:
                        low = middle
                for more in (1.0, 2.0):
                    if far * more <= FARTHEST and (tried := self._clean(place, _shift(angle, far * more), found)):
                        return tried
        return None

    def _ends(self, place: str, shift: _Shift, found: Sequence[FindingDraft]) -> bool:
        """Whether the rules that found these no longer do, and find nothing else in their place."""
        if self.few <= 0:
            return False
        rules = frozenset(one.rule for one in found)
        self.few -= (1 + len(rules)) // 2  # several rules take nearly as long as all
        ran = self.again(_moved(self.data, place, shift).data, rules)
        return not self._new(ran, found, [one for one in self.before.said if one.rule in rules])

    def _clean(self, place: str, shift: _Shift, found: Sequence[FindingDraft]) -> _Tried | None:
        """The same by all rules, and all that was checked is checked still."""
        if self.whole <= 0:
            return None
        self.whole -= 1
        tried = _moved(self.data, place, shift)
        ran = self.again(tried.data, None)
        then = {r.id: r for r in self.before.rules}
        if self._new(ran, found, self.before.said) or any(_lost(then[r.id], r) for r in ran.rules if r.id in then):
            return None
        asked = {r.id for r in ran.rules if r.status == "authority to decide"}.intersection(one.rule for one in found)
        words = f"{tried.cure.words}{', if the authority agrees' if asked else ''}"
        return tried._replace(cure=tried.cure._replace(words=words), left=frozenset(map(_who, ran.said)))

    def _new(self, ran: Ran, found: Sequence[FindingDraft], before: Sequence[FindingDraft]) -> bool:
        """Whether more is found than what was, less these."""
        gone = not set(map(_who, found)) & set(map(_who, ran.said))
        return not gone or bool(_counts(ran.said) - (_counts(before) - _counts(found)))


def _who(one: FindingDraft) -> tuple[Any, ...]:
    """What a finding is about, whatever the figures in it."""
    return one.rule, one.trouble.at, tuple((m.place, m.about) for m in one.trouble.moves)


def _move_of(one: FindingDraft, place: str) -> Move | None:
    return next((m for m in one.trouble.moves if m.place == place), None)


def _counts(said: Sequence[FindingDraft]) -> Counter[tuple[Any, ...]]:
    return Counter((one.rule, one.level, one.trouble.at) for one in said if one.level != "note")


def _lost(before: RuleOutcome, after: RuleOutcome) -> bool:
    """Whether a rule no longer checks what it did."""
    if before.status in _PASSED:
        return after.status not in _PASSED
    return not set(after.left) <= set(before.left)


def _angles(moves: Sequence[Move]) -> Iterator[float]:
    """Directions in radians clockwise from the y axis: that of all moves together, then to both sides of it."""
    x = sum(m.way[0] / size for m in moves if (size := math.hypot(*m.way)))
    y = sum(m.way[1] / size for m in moves if (size := math.hypot(*m.way)))
    first = math.atan2(x, y) if math.hypot(x, y) > 1e-6 else 0.0
    return (first + math.radians(turn) for turn in _TURNS)


def _shift(angle: float, far: float) -> _Shift:
    return far * math.sin(angle), far * math.cos(angle)


def _coordinates(place: Mapping[str, Any]) -> list[tuple[str, Any]]:
    return [(key, place[key]) for key in ("at", "area", "line", "holes") if place.get(key)]


def _unit(one: Any) -> str:
    while isinstance(one, Sequence) and not isinstance(one, Quantity):
        one = one[0]
    return "m" if str(one.text).rstrip().endswith(" m") else "ft"


def _moved(data: Mapping[str, Any], place: str, shift: _Shift) -> _Tried:
    """The spec with a place moved, by whole steps of the plan's grid."""
    told = data["places"][place]
    keys = _coordinates(told)
    unit = _unit(keys[0][1])
    right, back = (round(s / _GRID[unit]) * _GRID[unit] for s in shift)
    edits, other = [], data
    for key, value in keys:
        at = join("/places", place, key)
        new = _carried(value, (right, back), unit)
        other = moved(other, at, new)
        edits.append((at, _written(new)))
    if [key for key, _ in keys] == ["at"]:
        words = f"{place} at {edits[0][1]} would pass"
    else:
        steps = [_step(right, ("right", "left"), unit), _step(back, ("back", "forward"), unit)]
        words = f"{place} {' and '.join(s for s in steps if s)} would pass"
    return _Tried(other, Cure(words, tuple(edits)))


def _carried(value: Any, shift: _Shift, unit: str) -> Any:
    """Points of any depth, each moved on the level."""
    if not isinstance(value[0], Quantity):
        return [_carried(one, shift, unit) for one in value]
    size = FOOT if unit == "ft" else 1.0
    new = []
    for q, by in zip(value, (*shift, *(0.0,) * len(value)), strict=False):
        si = q.si + by
        new.append(q._replace(si=si, text=f"{round(si / size, 2):g} {unit}") if by else q)
    return new


def _written(value: Any) -> str:
    return value.text if isinstance(value, Quantity) else f"[{', '.join(map(_written, value))}]"


def _step(by: float, words: tuple[str, str], unit: str) -> str:
    if not by:
        return ""
    return f"{abs(by) / (FOOT if unit == 'ft' else 1.0):.3g} {unit} farther {words[0] if by > 0 else words[1]}"


def _none(places: Sequence[str]) -> Cure:
    """What is said where each place was tried, and none of its spots would do."""
    if not places:
        return Cure("")
    return Cure(f"no move of {' or of '.join(dict.fromkeys(places))} alone by 100 ft or less was found that would pass")


__all__ = ["with_moves"]
