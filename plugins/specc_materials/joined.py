"""Joints as the spec describes them, beside the parts they hold; and how the rules here end."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

from specc import (
    CHOICE,
    Context,
    Key,
    Trouble,
    Unchecked,
    Verdict,
    answers_of,
    not_applicable,
    not_checked,
    rule,
    value,
)
from specc.kinds.plumbing import JOINTS, NETWORK, Joint, Network
from specc.model.passes import Judging, judged, passed
from specc.model.view import join
from specc.model.wording import counted, puts_off, several


class JoinedParts(NamedTuple):
    """The network with the joints whose method is known. `bare` are the parts of each where it is not."""

    net: Network
    joints: tuple[Joint, ...]
    bare: tuple[tuple[str, ...], ...]

    def by(self, *methods: str) -> tuple[Joint, ...]:
        return tuple(j for j in self.joints if j.method in methods)


JOINED: Key[JoinedParts] = Key("materials.joined", JoinedParts)


@value(JOINED, wants=(NETWORK, JOINTS))
def joined(ctx: Context) -> JoinedParts:
    """Joints as stated, or as the ends that meet leave no other way; `materials.joint_parts` reports entries that
    join nothing."""
    net = ctx.get(NETWORK) or Network((), (), (), {}, {}, {}, {}, {}, {}, {}, {})
    joints = ctx.get(JOINTS) or ()
    bare = tuple(tuple(part.tag for part in j.parts) for j in joints if not j.method)
    return JoinedParts(net, tuple(j for j in joints if j.method), bare)


def nothing(j: JoinedParts) -> Verdict | None:
    """How a rule ends when there is nothing to look at."""
    return None if j.net.parts else not_applicable("no plumbing is described")


def bare_words(j: JoinedParts) -> tuple[str, ...]:
    """What to say when some connections are not described."""
    if not j.bare:
        return ()
    pairs = several([" to ".join(link) for link in j.bare])
    return (Unchecked(f"nothing is said of how {pairs} are joined (plumbing: joints:)", "/plumbing/joints"),)


def no_such(j: JoinedParts, what: str) -> Verdict:
    """How a rule on a kind of joint ends when no described joint is of that kind."""
    if j.bare:
        return not_checked("; ".join(bare_words(j)), *answers_of(*bare_words(j)))
    return nothing(j) or not_applicable(f"none of the {counted(len(j.joints), 'joint')} is {what}")


def each_joint(
    j: JoinedParts,
    method: str,
    judge: Callable[[Joint], Iterable[Trouble | str]],
    what: str,
    thing: str,
    more: str = "",
) -> Verdict:
    """How a rule about each joint of a method ends. `judge` gives troubles, and words for what could not be checked;
    what stands at one place (the sealant of all joints) is found there once. `more` follows their number."""
    joints = j.by(method)
    if not joints:
        return no_such(j, what)
    said = [one for joint in joints for one in judge(joint)]
    troubles: dict[str, Trouble] = {}
    for one in said:
        if isinstance(one, Trouble):
            troubles.setdefault(one.at, one)
    left = [*bare_words(j), *(one for one in said if isinstance(one, str))]
    return judged(troubles.values(), left, counted(len(joints), thing) + more)


_GAS_WORDS = re.compile(r"\blp[ -]?gas(?:es)?\b|\blpg\b|\bpropane\b|\bfuel gas(?:es)?\b", re.IGNORECASE)
# Welding hose of grade T is for any fuel gas, of R and RM for acetylene alone (CGA E-1, from memory).
_NOT_FOR = re.compile(
    r"\b(not|never|no|nor|neither|cannot|without|except|excluding|avoid|unsuitable|incompatible|unfit|grade[ -]rm?|"
    r"(?:but|unless|other than|apart from|all bar) (?:for )?(?:lp[ -]?gas|lpg|propane|butane|fuel gas))\b|n['’]t\b",
    re.IGNORECASE,
)


def says_gas(text: str) -> bool:
    """Whether a text says that something is for LP-gas: "NOT FOR PROPANE" does not; "non-hardening" denies nothing."""
    return bool(_GAS_WORDS.search(text)) and not _NOT_FOR.search(text) and not puts_off(text)


@rule(
    "materials.joint_parts",
    level="error",
    statement="Each joint names two parts that are described and next to each other in a run",
    source=CHOICE,
    needs=(JOINED,),
    reads=("plumbing",),
)
def joint_parts(ctx: Context) -> Judging:
    j = ctx[JOINED]
    links = set(j.net.links)
    given = ctx.spec("plumbing").child("joints").children()
    if not given:
        return not_applicable("no joint is described")
    for tag, spec in given:
        named = spec.texts("between")
        unknown = [(i, t) for i, t in enumerate(named) if j.net.part(t) is None]
        for i, other in unknown:
            yield Trouble(
                join(spec.at, "between", i),
                f"the joint {tag} names {other!r}, which is not among the parts",
                "tags of two parts",
            )
        if not unknown and not {(named[0], named[1]), (named[1], named[0])} & links:
            yield Trouble(
                join(spec.at, "between"),
                f"the joint {tag} is between {named[0]} and {named[1]}, which are not next to each other",
                "two parts that follow one another in a run",
                "the list of joints would not be that of the device",
            )
    return passed(counted(len(given), "joint"))
