"""What one fault lets through: faults, what they release, what closures share, and in which order things are closed."""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from specc.model.passes import Gathered
from specc.model.values import PRACTICE, Citation, Scalar

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
    """One thing that fails. `tags`: what fails in it (several where they share a means); `state`: how."""

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


class Release(NamedTuple):
    """What a fault lets out at one place, in one weather case. None is not computed, which is not nothing.

    `where`: tag of the outlet or broken part. `duration`: until it stops, None when nothing stops it but the
    cylinder's end. `lit`: whether it burns there.
    """

    fault: str
    where: str
    case: str
    flow: Scalar | None
    duration: Scalar | None
    mass: Scalar | None
    lit: bool
    stopped_by: str = ""
    order: int = 0


class Closing(NamedTuple):
    """One place in a closing order. `tag`: what is closed, let down or put out; `who`: a role or a tag of people.

    Steps of one `order` may be done at once by different people; in "emergency" all are.
    """

    order: int
    procedure: Literal["normal", "emergency", "leak_upstream"]
    tag: str
    action: Literal["close", "fire_down", "burn_off", "bleed", "switch_off"]
    who: str = ""
    why: str = ""
    citation: Citation = PRACTICE


SHARED_MEANS: Gathered[SharedMeans] = Gathered("faults.shared_means", SharedMeans)
FAULTS: Gathered[Fault] = Gathered("faults.faults", Fault)
RELEASES: Gathered[Release] = Gathered("faults.releases", Release)
CLOSING_ORDER: Gathered[Closing] = Gathered("faults.closing_order", Closing)
