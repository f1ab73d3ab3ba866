"""How long it takes whoever is posted to walk to each valve that is closed by hand."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    CHOICE,
    Context,
    Limit,
    Move,
    Trouble,
    Unchecked,
    gather,
    ground,
    not_applicable,
    not_checked,
    obstacles_of,
    rule,
    show,
)
from specc.formulas.ways import not_placed
from specc.kinds.faults import CLOSING_TIMES, ClosingTime
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, Network
from specc.model.passes import Judging, passed
from specc.model.values import Constant
from specc.model.view import join
from specc.model.wording import counted, several
from specc_operators.duty_rules import NO_ROSTER
from specc_operators.manned import MANNED, Manned
from specc_operators.posts import NOT_BY_HAND, POSTS, SPEED, Post, place_of, spot_of

TO_VALVE = Limit(
    "operators.time_to_valve",
    "10 s",
    "duration",
    "min",
    "walk from the nearest post to a valve by hand that stops a fault",
    CHOICE,
)


def _by_hand(net: Network) -> list[str]:
    """Every valve by hand and every cylinder in a line: whichever of them a fault needs, somebody gets to it.

    Not those alone that the faults as followed name: to follow every fault takes longer than all else of a check.
    """
    joined = {tag for link in net.links for tag in link}
    return [
        p.tag
        for p in net.parts
        if p.tag in joined and (p.kind == "cylinder" or (p.kind == "valve" and p.form not in NOT_BY_HAND))
    ]


@gather(
    CLOSING_TIMES,
    needs=(POSTS, PLACES),
    wants=(NETWORK,),
    limits=("operators.walking_speed",),
)
def closing_times(ctx: Context) -> Sequence[ClosingTime]:
    """For each closure by hand the walk from each post; None where nobody gets there."""
    net, places, speed = ctx.get(NETWORK), ctx[PLACES], ctx.limit(SPEED.key)
    manned: dict[str, Post] = {}
    for p in ctx[POSTS]:
        if p.spot:
            manned.setdefault(p.station, p)
    if net is None or not manned:
        return ()
    level = ground(obstacles_of(places.values(), "walking"))
    spots: dict[str, tuple[float, float]] = {}
    for tag in _by_hand(net):
        part = net.by_tag[tag]
        if spot := spot_of(places.get(place_of(part))):
            spots[tag] = spot
    made: list[ClosingTime] = []
    for station, post in manned.items():
        assert post.spot is not None
        for tag, walk in zip(spots, level.walk(post.spot, list(spots.values())), strict=True):
            seconds = walk.length / speed.si if walk else None
            time = (
                Constant(seconds, "duration", show(seconds, "duration", "s", 2), CHOICE)
                if seconds is not None
                else None
            )
            made.append(ClosingTime(tag, time, post.person, station, len(made)))
    return made


def _at_worst(
    times: Sequence[ClosingTime], moments: Sequence[Manned]
) -> tuple[dict[str, tuple[Constant, ClosingTime, str]], dict[str, str]]:
    """Of each valve the nearest manned post, at the moment when that is the farthest off, with when that is; and valves
    that nobody gets to at some moment, with when."""
    by_valve: dict[str, dict[str, ClosingTime]] = {}
    for one in times:
        by_valve.setdefault(one.valve, {}).setdefault(one.post, one)
    nearest: dict[str, tuple[Constant, ClosingTime, str]] = {}
    cut_off: dict[str, str] = {}
    for moment in moments:
        for valve, by_post in by_valve.items():
            here = [(c.time, c) for post, c in by_post.items() if post in moment.stations and c.time]
            said = moment.said if len(moments) > 1 else ""
            if not here:
                cut_off.setdefault(valve, said)
                continue
            time, one = min(here, key=lambda h: h[0].si)
            if valve not in nearest or time.si > nearest[valve][0].si:
                nearest[valve] = (time, one, said)
    return {valve: found for valve, found in nearest.items() if valve not in cut_off}, cut_off


@rule(
    "operators.time_to_valves",
    level="error",
    statement="Somebody gets in time, on foot, to each cylinder and each hand valve",
    source=CHOICE,
    needs=(CLOSING_TIMES, PLACES, MANNED),
    wants=(NETWORK,),
    reads=("operators",),
    limits=("operators.time_to_valve", "operators.walking_speed"),
)
def time_to_valves(ctx: Context) -> Judging:
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    net, limit, speed = ctx.get(NETWORK), ctx.limit(TO_VALVE.key), ctx.limit(SPEED.key)
    needed = _by_hand(net) if net is not None else []
    if net is None or not needed:
        return not_applicable("nothing is closed by hand")
    moments = ctx[MANNED]
    nearest, cut_off = _at_worst(ctx[CLOSING_TIMES], moments)
    walked = {one.valve for one in ctx[CLOSING_TIMES]}
    unknown = [t for t in needed if t not in walked]
    runs = "gas runs for as long as it takes to get there"
    level = ground(obstacles_of(ctx[PLACES].values(), "walking"))
    spots = {t: spot_of(ctx[PLACES].get(place_of(net.by_tag[t]))) for t in needed}
    on_line = {tag: level.on_line(spot) if spot else "" for tag, spot in spots.items()}
    yield from [
        Trouble(
            net.by_tag[tag].at,
            f"nobody gets from their post to {tag} on foot, and it may have to stop a fault{cut_off[tag]}"
            f"{on_line[tag]}",
            "a post on its side of what blocks walking, or a way that is free (crew_passes: on a barrier; of a "
            "building its door, kind: opening with width:)",
            runs,
        )
        for tag in needed
        if tag in walked and tag in cut_off
    ]
    yield from [
        Trouble(
            net.by_tag[tag].at,
            f"nobody's post is less than {time.text} from {tag} at {speed.text} ({one.person} at {one.post} is "
            f"nearest), and it may have to stop a fault{when}; the limit is {limit.text}{on_line[tag]}",
            "a post nearer to it, or a way that is free",
            runs,
            moves=_brought(ctx, one.post, tag, spots[tag]),
        )
        for tag, (time, one, when) in nearest.items()
        if time.si > limit.si * (1 + 1e-9)
    ]
    if not moments:
        yield Unchecked("who is on shift while gas is on (show: scenes: starts:)", "/show/scenes/*/starts")
    yield from not_placed(ctx[PLACES].values(), "walking")
    said = f"the way to {several(unknown)} is not known: no place: with coordinates, or nobody posted"
    places = (join(net.by_tag[tag].at, "place") for tag in unknown)
    yield from [Unchecked(said, *places, "/operators/shifts/*/station")] if unknown else []
    longest = max((time.si for time, *_ in nearest.values()), default=0.0)
    return passed(f"{counted(len(nearest), 'valve')}, at most {show(longest, 'duration', 's', 2)} on foot away")


def _brought(ctx: Context, station: str, valve: str, spot: tuple[float, float] | None) -> tuple[Move, ...]:
    here = spot_of(ctx[PLACES].get(station))
    return (Move(station, valve, (spot[0] - here[0], spot[1] - here[1])),) if here and spot else ()
