"""The plan as the other modules read it: places by kind, effects, cylinders, and what is said to be absent."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from specc import Context, Key, Move, Unchecked, Verdict, Worked, distance, farther, passed, show, stated, value
from specc.kinds.geometry import Area, Point, Polyline, Shape, corners
from specc.kinds.outlets import OUTLET_PLACES
from specc.kinds.places import MOVED_EASILY, PLACES, Spot
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.show import EFFECTS
from specc.model.values import Citation, Quantity, Scalar
from specc.model.view import join

ROOT = "site"
KIND = "/places/*/kind"
KIND_OR_NONE = (KIND, "/site/none")
NO_PLAN = Unchecked("no place says what it is, so there is no plan of the site", KIND)
PEOPLE_KINDS = ("audience", "queue")


class Stood(NamedTuple):
    """Something with a tag that stands somewhere; `shapes` are none where nothing says where."""

    tag: str
    shapes: tuple[Shape, ...]
    at: str
    place: str = ""


class Plan(NamedTuple):
    """`kinds`: places by kind, with coordinates. `lost`: tags of places with a kind and none. `absent`: kinds that the
    maker says are not there. `reliefs` are the relief valves of the plumbing, `pilots` its pilots that stand somewhere,
    `cylinders` all of its cylinders."""

    places: Mapping[str, Spot]
    kinds: Mapping[str, tuple[Spot, ...]]
    lost: tuple[str, ...]
    absent: tuple[str, ...]
    effects: tuple[Stood, ...]
    cylinders: tuple[Stood, ...]
    reliefs: tuple[Stood, ...]
    pilots: tuple[Stood, ...] = ()

    def of(self, *kinds: str) -> tuple[Spot, ...]:
        return tuple(s for k in kinds for s in self.kinds.get(k, ()))

    def unsaid(self, kinds: Iterable[str]) -> list[str]:
        """Those kinds that are neither described nor said to be absent."""
        return [k for k in kinds if k not in self.kinds and k not in self.absent]


def nowhere(things: Iterable[Stood]) -> Iterator[Unchecked]:
    """Which of some parts of the plumbing stand at no place with coordinates."""
    bare = (thing for thing in things if not thing.shapes)
    return (Unchecked(f"{t.tag} has no place with coordinates", join(t.at, "place"), "/places/*/at") for t in bare)


def effects_nowhere(plan: Plan) -> Iterator[Unchecked]:
    bare = (effect for effect in plan.effects if not effect.shapes)
    return (Unchecked(f"{e.tag} has no coordinates", join(e.at, "at"), "/places/*/at") for e in bare)


def unplaced(plan: Plan, kinds: Iterable[str]) -> Iterator[Unchecked]:
    """What is described and is on no plan, as it has no coordinates: nothing was measured to it."""
    asked = set(kinds)
    for spot in (plan.places[tag] for tag in plan.lost):
        if spot.kind in asked:
            said = f"where {spot.tag} ({words(spot.kind)}) is: it has no coordinates"
            yield Unchecked(said, join("/places", spot.tag, "at"), join("/places", spot.tag, "area"))


def not_told(plan: Plan, kinds: Iterable[str]) -> Iterator[Unchecked]:
    """Kinds of which neither is one on the plan nor is it said that there is none, and places of theirs that are
    nowhere."""
    asked = tuple(kinds)
    yield from unplaced(plan, asked)
    known = {plan.places[tag].kind for tag in plan.lost}
    left = (k for k in plan.unsaid(asked) if k not in known)
    yield from (Unchecked(f"nothing says whether there is: {words(k)}", *KIND_OR_NONE) for k in left)


class Apart(NamedTuple):
    """Two things of the plan, how far apart they are and how far they have to be (None: nobody knows). `what`: in short
    what is kept away from, "" where `why` has to say it."""

    start: str
    end: str
    measured: Worked
    needed: Scalar | None
    why: str
    citation: Citation
    at: str
    what: str = ""
    moves: tuple[Move, ...] = ()

    @property
    def short(self) -> bool:
        return self.needed is not None and self.measured.si < self.needed.si * (1 - 1e-9)


def ended(plan: Plan, kinds: Iterable[str], looked: str) -> Verdict:
    """A rule's end: passed only in what is drawn; where it rests on what the maker says is not there, it is stated."""
    told = [words(k) for k in kinds if k in plan.absent]
    return stated(f"{looked}; said not to be there: {', '.join(told)}") if told else passed(looked)


PLAN: Key[Plan] = Key("site.plan", Plan)


def words(kind: str) -> str:
    return {"ignition": "ignition source"}.get(kind, kind.replace("_", " "))


@value(PLAN, needs=(PLACES,), wants=(EFFECTS, NETWORK, OUTLET_PLACES), reads=(ROOT,))
def plan(ctx: Context) -> Plan:
    places, net = ctx[PLACES], ctx.get(NETWORK)
    kinds: dict[str, tuple[Spot, ...]] = {}
    for spot in places.values():
        if spot.kind and spot.shape:
            kinds[spot.kind] = (*kinds.get(spot.kind, ()), _edged(spot))
    lost = tuple(s.tag for s in places.values() if s.kind and not s.shape)
    there = {s.kind for s in places.values()}  # one that is described is there, wherever it is
    absent = tuple(k for k in ctx.spec(ROOT).texts("none") if k not in there)
    outlets = {o.tag: o.point for o in ctx.get(OUTLET_PLACES) or ()}
    effects = []
    for e in ctx.get(EFFECTS) or ():
        points: tuple[Shape, ...] = tuple(p for t in e.outlets if (p := outlets.get(t)))
        spot_ = places.get(e.place)
        own = (spot_.shape,) if spot_ and spot_.shape else ()
        effects.append(Stood(e.tag, points or own, e.at, e.place))
    cylinders = [stood(p, places) for p in (net.of_kind("cylinder") if net else ())]
    reliefs = [stood(p, places) for p in (net.of_kind("valve") if net else ()) if p.form == "relief"]
    pilots = []
    for part in net.of_kind("pilot") if net else ():
        point, own_ = outlets.get(part.tag), stood(part, places)
        pilots.append(own_._replace(shapes=(point,)) if point else own_)
    return Plan(places, kinds, lost, absent, tuple(effects), tuple(cylinders), tuple(reliefs), tuple(pilots))


def _edged(spot: Spot) -> Spot:
    """A property line that is given as an area is the edge of it: distances are to the line, also from within."""
    if spot.kind == "property_line" and isinstance(spot.shape, Area):
        return spot._replace(shape=Polyline((*spot.shape.outline, spot.shape.outline[0])))
    return spot


def place_of(part: Part) -> str:
    """The tag of a part's place; "" for one that lies between two, such as a hose."""
    told = part.spec["place"] if part.spec.has("place") else ""
    return told if isinstance(told, str) else ""


def stood(part: Part, places: Mapping[str, Spot]) -> Stood:
    spot = places.get(place_of(part))
    return Stood(part.tag, (spot.shape,) if spot and spot.shape else (), part.at, place_of(part))


def apart(one: Stood, other: Stood, lacking: float, kind: str = "") -> tuple[Move, ...]:
    """Which of two things might be moved so that they stand farther apart: the one, and the other where its kind is
    easily moved; of something with no kind, such as an effect, its place too. None where nothing is lacking."""
    if lacking <= 0 or not one.shapes or not other.shapes:
        return ()
    mine, theirs = min(((a, b) for a in one.shapes for b in other.shapes), key=lambda pair: distance(*pair).si)
    moves = [farther(one.place, other.tag, mine, theirs, lacking)] if one.place else []
    if other.place and other.place != one.place and (not kind or kind in MOVED_EASILY):
        moves.append(farther(other.place, one.tag, theirs, mine, lacking))
    return tuple(moves)


def as_stood(spot: Spot) -> Stood:
    """A place as something that stands at it."""
    return Stood(spot.tag, (spot.shape,) if spot.shape else (), spot.at, spot.tag)


def nearest(shapes: Iterable[Shape], other: Shape, name: str) -> Worked | None:
    """The least distance on the level from any of some shapes to another one; None without shapes."""
    return min((distance(s, other, name) for s in shapes), key=lambda w: w.si, default=None)


def in_feet(si: float, *, meters: bool) -> str:
    """A length in feet, and beside it in meters where the plan is measured in them: a tape is held to it."""
    feet = show(si, "length", "ft")
    return f"{feet} ({show(si, 'length', 'm')})" if meters else feet


def middle(shape: Shape) -> tuple[float, float]:
    """A spot to draw a shape's mark at: its point, or the mean of its corners."""
    if isinstance(shape, Point):
        return shape.x.si, shape.y.si
    spots = corners(shape)
    return sum(p.x.si for p in spots) / len(spots), sum(p.y.si for p in spots) / len(spots)


def spot_at(at: tuple[float, float]) -> Point:
    """A spot on the level, in m, as a point."""
    return Point(*(Quantity(v, "length", f"{v:g} m") for v in at))
