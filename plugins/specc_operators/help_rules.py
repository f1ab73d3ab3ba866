"""Rules on help for people: who gives first aid, and where everybody goes in thunder."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from specc import (
    PRACTICE,
    Citation,
    Context,
    Limit,
    Trouble,
    Unchecked,
    distance,
    ground,
    not_checked,
    obstacles_of,
    rule,
    show,
    stated,
)
from specc.formulas.ways import CLEAR, Ground, Walk
from specc.kinds.charged import LAID_FLAT, charged
from specc.kinds.geometry import Area, Point, Polyline, corners, edges, within
from specc.kinds.people import PEOPLE
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import NETWORK
from specc.kinds.procedures import STEPS
from specc.kinds.show import EFFECTS
from specc.model.passes import Judging, passed
from specc.model.values import Quantity
from specc.model.view import View, join
from specc.model.wording import counted, several
from specc_operators.after_stop import CALM
from specc_operators.clock import Moment, clock
from specc_operators.duty_rules import NO_ROSTER, unknown
from specc_operators.hours import DUTIES, NIGHTS, Duty, NightHours, by_night
from specc_operators.meeting import crosses
from specc_operators.rows import NWS

STEP = 5 * CLEAR  # m
_SHELTERS = ("building", "vehicle")
_EGRESS = Citation(
    "ifc-2018-minnesota", "chapter 10, 1005.3: 0.3 in for stairways; of buildings, here by analogy for steps", "read"
)
DOOR_EACH = Limit(
    "operators.shelter_door_each",
    "0.3 in",
    "length",
    "max",
    "width of all doors of a shelter for each who goes there",
    _EGRESS,
)
ONE_DOOR = 49  # people, in one room with one way out: table 1006.2.1 of the same code, from memory


def _moments(night: NightHours, own: Sequence[Duty]) -> list[Moment]:
    """From the first gas to the end of the last shift, whenever somebody comes or goes."""
    marks = sorted({m.real: m for d in own for m in (d.span.start, d.span.end)}.items())
    last = max((d.span.end.real for d in own), default=night.ends.real)
    return [night.starts, *(m for at, m in marks if night.starts.real < at < last)]


def _covered(night: NightHours, own: Sequence[Duty], aiders: Sequence[str], busy: dict[str, str]) -> Iterator[str]:
    """What is wrong at the first moment at which nobody can give first aid, in words."""
    for m in _moments(night, own):
        there = [d for d in own if d.span.start.real <= m.real < d.span.end.real]
        present = {d.person for d in there}
        # Whoever gives first aid moves nobody: another spotter does, who neither calls nor closes anything.
        movers = {d.person for d in there if d.role == "spotter"}
        only = movers if len(movers) == 1 else movers - {*busy}
        gas = m.real < night.ends.real
        free = [
            p for p in aiders
            if p in present and not (gas and (p in busy or only == {p}))
        ]  # fmt: skip
        if there and not free:
            here = [p for p in aiders if p in present]
            why = f"{here[0]} {busy.get(here[0], 'is the one spotter, who moves people away')}" if here else ""
            said = f": {why}" if why else ", and nobody who does is on duty"
            yield f"nobody is free to give first aid at {clock(m.wall)} on the night of {night.day.isoformat()}{said}"
            return


@rule(
    "operators.first_aider",
    level="warning",
    statement="Until the fire watch ends somebody trained is free to give first aid",
    source=PRACTICE,
    needs=(DUTIES, NIGHTS, PEOPLE, STEPS),
    reads=("operators",),
)
def first_aider(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    if stop := unknown(ctx, ctx[NIGHTS]):
        return stop
    told = operators.child("emergency")
    aiders = told.texts("first_aid")
    if not aiders:
        return not_checked("who gives first aid is not stated (emergency: first_aid:)", told.here("first_aid"))
    at_once = [s for s in ctx[STEPS] if s.procedure == "emergency" and s.order < CALM]
    busy = {a.who: "closes valves" for s in at_once for a in s.acts if a.who}
    busy |= {told.text_or(key): does for key, does in (("meets", "goes to meet help"), ("caller", "calls for help"))}
    duties = ctx[DUTIES]
    on_duty = by_night(duties)
    for night in ctx[NIGHTS].nights:
        for wrong in _covered(night, on_duty[night.day], aiders, busy):
            yield Trouble(
                told.here("first_aid"),
                wrong,
                "somebody on duty then without a valve to close and without a call to make",
                "a burn is cooled at once and for 20 min, and whoever does it does nothing else",
            )
    kind = operators.child("roles").child("first_aid").text_or("certificate")
    known = {p.tag: p for p in ctx[PEOPLE]}
    if not kind:
        said = "which certificate first aid asks for is not stated (roles: first_aid: certificate:)"
        yield Unchecked(said, operators.here("roles", "first_aid", "certificate"))
    for tag in aiders if kind else ():
        if tag in known and kind not in {c.kind for c in known[tag].certificates}:
            yield Trouble(
                known[tag].at,
                f"{tag} gives first aid and holds no {kind}",
                f"certificates: with one of the kind {kind!r}, or somebody who holds it",
                "roles: first_aid: asks for it",
            )
    return passed(f"{counted(len(aiders), 'person')}: {several(list(aiders))}")


@rule(
    "operators.shelter",
    level="warning",
    statement="In thunder all have a solid building or hard-topped vehicles to go to, past nothing charged",
    source=NWS,
    needs=(DUTIES, PLACES, EFFECTS),
    wants=(LAID_FLAT, NETWORK),
    reads=("operators",),
    limits=(DOOR_EACH.key,),
)
def shelter(ctx: Context) -> Judging:
    """Whether a building is substantial, and holds them all, nobody computes: it is stated."""
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    told = operators.child("emergency")
    where = told.text_or("shelter")
    if not where:
        return not_checked("where people go in thunder is not stated (emergency: shelter:)", told.here("shelter"))
    spot = ctx[PLACES].get(where)
    if spot is not None and spot.kind not in _SHELTERS:
        kind = f"of the kind {spot.kind}" if spot.kind else "of no kind"
        yield Trouble(
            told.here("shelter"),
            f"people go to {where} in thunder, which is {kind}",
            f"a place of the kind {' or '.join(_SHELTERS)}, or in words where else",
            "in a tent, under a tree or in the open lightning strikes people",
        )
    if spot is not None and not spot.shape:
        yield Unchecked(f"where {where} stands is not stated", join("/places", where, "at"))
    elif spot is None and any(s.kind and s.shape for s in ctx[PLACES].values()):
        yield Trouble(
            told.here("shelter"),
            f"{where!r}, where people go in thunder, is not among the places of the plan",
            f"the tag of a place of the kind {' or '.join(_SHELTERS)}, with coordinates",
            "all have to find it, and the way there may lead past what is charged",
        )
    yield from _room(ctx, told)
    yield from _doors(ctx, told, spot)
    ways = _ways(ctx, spot)
    yield from _way_there(ctx, told, spot, ways)
    public = [w for w in ways if w.tag in ctx[PLACES] and ctx[PLACES][w.tag].kind in ("audience", "queue")]
    far = [max(((w.walk.length, w.tag) for w in some if w.walk), default=None) for some in (public, ways)]
    said = [f"{show(one[0], 'length', 'ft')} from {one[1]}" for one in dict.fromkeys(far) if one]
    how = f", on foot at most {', '.join(said)}" if said else ""
    return stated(f"{where}{how}; that it is substantial, and holds all, is stated")


def _room(ctx: Context, told: View) -> Iterator[Trouble | Unchecked]:
    people, room = _to_go(ctx), told.whole("shelter_holds") if told.has("shelter_holds") else None
    if room is None:
        said = f"for how many people there is room in it is not stated, and {people} are to go there (shelter_holds:)"
        yield Unchecked(said, told.here("shelter_holds"))
    elif room < people:
        yield Trouble(
            told.here("shelter_holds"),
            f"there is room for {room} in thunder, and {people} are to go there",
            "a larger one, or fewer people",
            "whoever finds no room stands in the open",
        )


def _to_go(ctx: Context) -> int:
    """All of the public, as many as its areas are to hold, and all of the crew."""
    public = sum(s.people or 0 for s in ctx[PLACES].values() if s.kind in ("audience", "queue"))
    return public + len({d.person for d in ctx[DUTIES]})


def _doors(ctx: Context, told: View, spot: Spot | None) -> Iterator[Trouble]:
    """All get in at once, and out again where fire or smoke is at one door."""
    people = _to_go(ctx)
    if spot is None or spot.kind != "building" or not spot.doors:  # that nothing says where is said with the way
        return
    wide, each = sum(door.width for door in spot.doors), ctx.limit(DOOR_EACH.key)
    why = "a crowd that runs from thunder is crushed at a door"
    if wide < each.si * people * (1 - 1e-9):
        yield Trouble(
            told.here("shelter"),
            f"the doors of {spot.tag} are {show(wide, 'length', 'ft')} wide in all, enough for "
            f"{math.floor(wide / each.si + 1e-9)} people at {each.text} each, and {people} are to go there",
            "more or wider openings on it (kind: opening, with width:), or another shelter",
            why,
        )
    if len(spot.doors) < 2 and people > ONE_DOOR:
        yield Trouble(
            told.here("shelter"),
            f"{people} people go into {spot.tag} by one door; 2 are asked for above {ONE_DOOR}",
            "a second opening on another side of it",
            why,
        )


class _ToShelter(NamedTuple):
    """From where, its tag, and the shortest way from there; None where there is none."""

    tag: str
    start: tuple[float, float]
    walk: Walk | None


def _ways(ctx: Context, spot: Spot | None) -> list[_ToShelter]:
    """The ways to the shelter from each post, and from the edge of each area of the public, who steps over no rope that
    the crew steps over; none where nobody knows where one gets in."""
    places = ctx[PLACES]
    first = spot.stands if spot is not None else None
    if spot is None or first is None or _shut(spot):
        return []
    level = ground(obstacles_of(places.values(), "walking"))
    closed = (s._replace(blocks=(*s.blocks, "walking")) if s.kind == "barrier" else s for s in places.values())
    public = ground(obstacles_of(closed, "walking"))
    from_: list[tuple[str, tuple[float, float], Ground]] = [
        (area.tag, start, public)
        for area in places.values()
        if area.kind in ("audience", "queue") and area.shape
        for start in _inward(area)
    ]
    for tag in dict.fromkeys(d.station for d in ctx[DUTIES] if d.role != "fire_watch"):
        start = places[tag].stands if tag in places else None
        from_ += [(tag, start, level)] if start else []
    made = []
    for tag, start, on in from_:
        ends = [door.at for door in spot.doors] or on.beside(first)
        walks = [w for w in on.walk(start, ends) if w]
        made.append(_ToShelter(tag, start, min(walks, key=lambda w: w.length, default=None)))
    return made


def _inward(area: Spot) -> list[tuple[float, float]]:
    """Where people of an area stand: beside its corners, a little within it, as a rope may run along its edge."""
    assert area.shape is not None
    spots = [(p.x.si, p.y.si) for p in corners(area.shape)]
    if not isinstance(area.shape, Area):
        return spots[:1]
    walls = [Polyline(edge) for edge in edges(area.shape)]

    def off(spot: tuple[float, float]) -> float:
        """How far within the area a spot is, in m."""
        there = Point(*(Quantity(v, "length", "") for v in spot))
        return min(distance(wall, there).si for wall in walls) if within(*spot, area_) else 0.0

    area_ = area.shape
    turns = [math.radians(15 * n) for n in range(24)]
    around = [[(x + STEP * math.cos(t), y + STEP * math.sin(t)) for t in turns] for x, y in spots]
    return [max(some, key=off) for some in around]


def _shut(spot: Spot) -> bool:
    """Whether it is a building of which nothing says where one gets in."""
    return spot.kind == "building" and isinstance(spot.shape, Area) and "walking" in spot.blocks and not spot.doors


def _way_there(
    ctx: Context, told: View, spot: Spot | None, ways: Sequence[_ToShelter]
) -> Iterator[Trouble | Unchecked]:
    """Nobody passes a burst, or a vessel left charged, on the shortest way there from a post or from the public."""
    places = ctx[PLACES]
    if spot is not None and spot.stands and _shut(spot):
        said = f"where the door of {spot.tag} is (kind: opening, with width:), so how people get in is not known"
        yield Unchecked(said, "/places/*/width")
        return
    rounds = list(charged(ctx[EFFECTS], places, ctx.get(NETWORK), ctx.get(LAID_FLAT) or {}))
    roads = [s for s in places.values() if s.kind == "public_way" and s.tag != told.text("shelter")]
    for tag in dict.fromkeys(w.tag for w in ways if not w.walk):
        yield Unchecked(f"how people get on foot from {tag} to {told.text('shelter')}: the plan has no way", told.at)
    for tag, start, walk in ways:
        if not walk:
            continue
        met = [r for r in rounds if not r.holds(start) and (r.holds(walk.spots[-1]) or r.met(walk.spots))]
        if met:
            yield Trouble(
                told.here("shelter"),
                f"the way from {tag} to {told.text('shelter')} leads {met[0].what}",
                "another one, or a way round it",
                "in thunder nothing is let down first",
            )
            return
        if crossed := [r.tag for r in roads if r.shape and crosses(walk, r.shape)]:
            yield Trouble(
                told.here("shelter"),
                f"the way from {tag} to {told.text('shelter')} crosses {several(crossed)}",
                "a place on this side of it",
                "nobody stops the traffic for all who run",
            )
            return


__all__ = ["first_aider", "shelter"]
