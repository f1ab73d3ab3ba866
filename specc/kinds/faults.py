"""What one fault lets through: faults, what they release, what closures share, and in which order things are closed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple, TypeAlias

from specc.model.passes import Gathered, Key
from specc.model.values import PRACTICE, Citation, Constant, Scalar
from specc.model.wording import in_runs

Means: TypeAlias = Literal["coil", "driver", "relay", "contact", "supply"]
MEANS: tuple[Means, ...] = ("coil", "driver", "relay", "contact", "supply")


class SharedMeans(NamedTuple):
    """What moves closures: when `tag` fails, all of `closures` (tags of valves) fail with it.

    `said_by` is whoever says so: "plumbing" for `driven_by:` on a valve, else the plugin's name. A means that moves
    one closure is given too, so that two who speak of the same valve can be compared.
    """

    kind: Means
    tag: str
    closures: tuple[str, ...]
    said_by: str
    at: str


class Fault(NamedTuple):
    """One thing that fails. `tags`: what fails in it (several where they share a means); `state`: how; `name`: a tag
    for it: a part, a joint's two parts with a dash between, a means, the place where nobody is; `means`: what kind of
    means it is."""

    key: str
    state: Literal[
        "stuck_open",
        "stuck_shut",
        "failed_open",
        "parted",
        "leaks",
        "power_lost",
        "operator_gone",
        "means_on",
        "means_off",
    ]
    tags: tuple[str, ...]
    what: str
    at: str
    order: int = 0
    name: str = ""
    means: str = ""


class GasWay(NamedTuple):
    """Where gas would come out under a fault, and what holds it back.

    `where`: the outlet or relief valve; of a break the part whose end is open, and `side` which of its ends ("in" or
    "out", "" for an outlet). `shut`: what is closed while nobody acts: all that closes by itself when told to stop, but
    for what failed. `cut`: pairs of parts that no longer join. `sources`: the cylinders and accumulators that gas still
    comes from then; if there are none, `by_itself` are the closures that hold it. `by_hand`: the nearest closures by
    hand that stop what still comes, a cylinder's tag for its own valve. `unstopped`: sources that nothing stops: an
    accumulator empties, a cylinder's valve cannot be reached.
    """

    fault: str
    where: str
    side: Literal["", "in", "out"]
    shut: tuple[str, ...]
    cut: tuple[tuple[str, str], ...]
    sources: tuple[str, ...]
    by_itself: tuple[str, ...]
    by_hand: tuple[str, ...]
    unstopped: tuple[str, ...]


class Release(NamedTuple):
    """What a fault lets out at one place, in the weather case that lets out most. None is not computed, which is not
    nothing.

    `flow`: what goes on as long as nobody acts. `heat`: of it, where it burns (net). `duration`: the time taken for
    somebody to close what stops it. `mass`: what comes out until then, `longer`: in five minutes, each with what
    accumulators give up first. `lit`: whether it burns there. `pressure`: gauge, at the jets of an outlet.
    """

    fault: str
    where: str
    case: str
    flow: Scalar | None
    heat: Scalar | None = None
    duration: Scalar | None = None
    mass: Scalar | None = None
    longer: Scalar | None = None
    lit: bool = False
    why: str = ""  # why it is not computed
    order: int = 0
    pressure: Scalar | None = None


class FaultFlame(NamedTuple):
    """The flame at an outlet that burns on under a fault: how far it is seen, m, upright or laid flat. `fired`: of a
    burst, if somebody fires it then."""

    fault: str
    where: str
    length: float
    fired: bool = False


class ExcessFlow(NamedTuple):
    """What an excess-flow device does at a break: `device` is its valve, or a cylinder for the one in its connection.

    `flow`: what passes it then, kg/s, with the cylinders at the lowest pressure that the show draws them down to; None
    where it cannot be said. `closes`: the flow at which it closes, None if not stated. `counts`: whether it closes
    there for sure, with a margin, and lets pass what is drawn in use; `why` not.
    """

    device: str
    fault: str
    flow: float | None
    closes: float | None
    counts: bool
    why: str = ""


class ClosingTime(NamedTuple):
    """How long `person` walks from their `post` (a place) to a closure by hand, a cylinder's tag for its own valve.
    None where they do not get there."""

    valve: str
    time: Constant | None
    person: str
    post: str
    order: int = 0


ClosingAction: TypeAlias = Literal["close", "fire_down", "burn_off", "bleed", "switch_off"]


class Closing(NamedTuple):
    """One place in a closing order. `tag`: what is closed, let down or put out, a cylinder's for its own valve; `who`:
    a role or a tag of people; `where`: the tag of the place where it is done.

    Steps of one `order` may be done at once by different people; in "emergency" all are but what puts out a flame that
    bursts are lit by. `plugs`: what closes a bleed behind its valve, and is taken out before it is opened. `waits_for`:
    outlets that blow on unlit if it is closed before they are out, `feeds`: the pilots that it would put out, and
    `at_most`: how long it waits for them after STOP.
    """

    order: int
    procedure: Literal["normal", "emergency", "leak_upstream"]
    tag: str
    action: ClosingAction
    who: str = ""
    why: str = ""
    citation: Citation = PRACTICE
    where: str = ""
    plugs: tuple[str, ...] = ()
    waits_for: tuple[str, ...] = ()
    feeds: tuple[str, ...] = ()
    at_most: Constant | None = None

    @property
    def plugs_first(self) -> str:
        """What is done with the plugs before it is opened, in words; "" where there are none."""
        return f"plug {', '.join(self.plugs)} out first, {self.tag} shut" if self.plugs else ""


def _read_out(tags: Iterable[str]) -> str:
    words = in_runs(dict.fromkeys(tags))
    return ", ".join(words[:-1]) + " and " + words[-1] if len(words) > 1 else "".join(words)


def while_it_blows(order: Iterable[Closing]) -> str:
    """What of an order waits until a burst is seen out, in words; "" where nothing does. Every page says it by this.

    >>> while_it_blows([Closing(10, "emergency", "v", "close", waits_for=("jet",), feeds=("pilot",))])
    'While jet blows v waits: it feeds pilot'
    """
    late = [c for c in order if c.feeds]
    if not late:
        return ""
    outs, tags = dict.fromkeys(o for c in late for o in c.waits_for), dict.fromkeys(c.tag for c in late)
    most = "".join(dict.fromkeys(f", {c.at_most.text} at most" for c in late if c.at_most))
    waits = f"wait{most}: they feed" if len(tags) > 1 else f"waits{most}: it feeds"
    blow = "blow" if len(outs) > 1 else "blows"
    return f"While {_read_out(outs)} {blow} {_read_out(tags)} {waits} {_read_out(p for c in late for p in c.feeds)}"


class FlameProof(NamedTuple):
    """A sensor without whose flame no gas reaches a burst, over every state of the wiring: `sensor` sees `lighter`."""

    outlet: str
    lighter: str
    sensor: str


def seen_out(order: Iterable[Closing]) -> str:
    """What has to be so before what waits in an order is closed, in words: the same on every page and card.

    >>> seen_out([Closing(10, "emergency", "v", "close", waits_for=("jet",), feeds=("pilot",))])
    'jet is seen out'
    """
    late = [c for c in order if c.waits_for]
    outs = dict.fromkeys(o for c in late for o in c.waits_for)
    most = "".join(dict.fromkeys(f", or after {c.at_most.text}" for c in late if c.at_most))
    return f"{_read_out(outs)} {'are' if len(outs) > 1 else 'is'} seen out{most}" if outs else ""


class ShutIn(NamedTuple):
    """A piece of the plumbing that a stop shuts in under pressure. `key`: the procedure and a part of it, as
    "emergency.acc1". `zones`: by part that holds gas, its zone. `vessels`: accumulators in it. `fired_down`: burned
    down to a few psi before. `closed`: the closures that shut it in, a cylinder's tag for its own valve. `opened`: hand
    valves in the order that they are opened to let it down, () if there are none, and `comes_out`: where ("" for none).
    `close_first`: where cylinders still feed it, what a hand closes before. `same_as`: the key of a piece that holds
    the same gas after another stop, "" for none.
    """

    key: str
    procedure: Literal["normal", "emergency", "leak", "power_lost"]
    zones: tuple[tuple[str, str], ...]
    vessels: tuple[str, ...]
    fired_down: bool
    closed: tuple[str, ...]
    opened: tuple[str, ...]
    comes_out: str
    at: str
    close_first: tuple[str, ...] = ()
    same_as: str = ""


SHARED_MEANS: Gathered[SharedMeans] = Gathered("faults.shared_means", SharedMeans)
"""Coils, drivers, relays, contacts and supplies, each with the closures that it moves."""
FLAME_PROOFS: Gathered[FlameProof] = Gathered("faults.flame_proofs", FlameProof)
"""The bursts that a wired flame sensor holds back while it sees no flame."""
SHUT_IN: Key[tuple[ShutIn, ...]] = Key("plumbing.shut_in", tuple)
"""What stays under pressure after each stop: the end of a night, an emergency, a leak, power that is lost."""
FAULTS: Gathered[Fault] = Gathered("faults.faults", Fault)
"""Single faults that are followed: what fails, and how."""
WAYS: Key[tuple[GasWay, ...]] = Key("plumbing.fault_ways", tuple)
"""For each fault, one for each place where gas would come out with all else open; none where nothing opens."""
DEVICE_WAYS: Key[tuple[GasWay, ...]] = Key("plumbing.device_ways", tuple)
"""Of these alone those of hoses and joints that part behind an excess-flow valve: none where there is no such valve."""
RELEASES: Gathered[Release] = Gathered("faults.releases", Release)
"""What each fault lets out at each place: flow, duration, mass."""
FAULT_FLAMES: Key[tuple[FaultFlame, ...]] = Key("flame.fault_flames", tuple)
"""For each release that burns, if its flame can be computed: how large it is."""
EXCESS_FLOW: Key[tuple[ExcessFlow, ...]] = Key("fuel.excess_flow", tuple)
"""For each excess-flow device, and each hose or joint that parts where gas passes it: whether it closes."""
CLOSING_ORDER: Gathered[Closing] = Gathered("faults.closing_order", Closing)
"""In which order things are closed, let down and put out, by procedure."""
CLOSING_TIMES: Gathered[ClosingTime] = Gathered("faults.closing_times", ClosingTime)
"""For closures by hand that stop a fault: the walk from each post."""
