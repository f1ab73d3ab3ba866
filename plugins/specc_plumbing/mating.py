"""Rules on whether parts that follow one another can be joined at all, and on ends that nothing closes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from specc import CHOICE, Citation, Context, Trouble, Unchecked, not_applicable, not_checked, rule
from specc.kinds.plumbing import CATALOG, FITTED, JOINTS, NETWORK, OUTLETS, End, Family, Fitted, Joint, Part
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_plumbing.adapters import AdapterStep, between
from specc_plumbing.catalog import near_sizes
from specc_plumbing.ends import BadEnd, mates, methods, parse_end, pol_in_791, why_not
from specc_plumbing.fitted import asked, unreadable
from specc_plumbing.swaps import Neighbors, flared, swap

_THREADS = Citation("asme-b1-20-1", "taper pipe threads seal with their own kind and size only", "memory")
# Parts whose outlet stands open on purpose.
_OPEN_FORMS = ("relief",)
_VALVE = Citation("cga-v-1", "a valve for CGA 791 usually has the left-hand thread of CGA 510 inside", "reprint")
_HOW_TO_SAY = "ends: with how each end joins, such as [1/4 FNPT, 3/8 male flare]; or a size: of the catalog"


@rule(
    "plumbing.ends_read",
    level="error",
    statement="Each stated end names a thread, flare, tube, hose or cylinder connection with its size",
    source=CHOICE,
    needs=(NETWORK,),
    reads=("plumbing",),
)
def ends_read(ctx: Context) -> Judging:
    views = [(p.tag, p.spec) for p in ctx[NETWORK].parts]
    views += ctx.spec("plumbing").child("catalog").children()
    count = 0
    for tag, spec in views:
        for i, text in enumerate(spec.texts("ends")):
            count += 1
            read = parse_end(text)
            if isinstance(read, BadEnd):
                yield Trouble(spec.here("ends", i), f"{tag}: {read.message}", read.fix)
    if not count:
        return not_applicable("no end is stated; sizes of the catalog say how each part joins")
    return passed(counted(count, "end"))


@rule(
    "plumbing.like_known",
    level="error",
    statement="A part that is like another names an entry of the project's catalog, of the same kind",
    source=CHOICE,
    needs=(NETWORK, CATALOG),
    reads=("plumbing",),
)
def like_known(ctx: Context) -> Judging:
    kinds = {f.name: f.kind for f in ctx[CATALOG] if len(f.sizes) == 1}
    named = [p for p in ctx[NETWORK].parts if p.spec.has("like")]
    if not named:
        return not_applicable("no part is like: another")
    # An entry that the schema refuses is there all the same, and reported there.
    refused = {tag for tag, _ in ctx.spec("plumbing").child("catalog").children()} - set(kinds)
    for part in named:
        like = part.spec.text("like")
        if like in refused:
            continue
        if like not in kinds:
            wrong, fix = f"there is no {like!r} under plumbing: catalog:", "the tag of an entry there"
        elif kinds[like] != part.kind:
            wrong, fix = f"{like!r} is a {kinds[like]}, and {part.tag} a {part.kind}", "an entry of the same kind"
        else:
            continue
        yield Trouble(join(part.at, "like"), f"{part.tag}: {wrong}", fix)
    return passed(counted(len(named), "part"))


@rule(
    "plumbing.size_known",
    level="error",
    statement="A part's size is one that the catalog knows, and only one",
    source=CHOICE,
    needs=(NETWORK, FITTED, CATALOG),
)
def size_known(ctx: Context) -> Judging:
    """A size that is not known would be taken as nothing: no ends, no bore, and another figure without a word."""
    kinds = {family.kind for family in ctx[CATALOG]}
    sized = [p for p in ctx[NETWORK].parts if p.kind in kinds and p.spec.has("size") and not p.spec.has("like")]
    if not sized:
        return not_applicable("no part states a size")
    for part in sized:
        if ctx[FITTED][part.tag].family:
            continue
        words = ", ".join(w for w in asked(part) if w)
        near = near_sizes(ctx[CATALOG], part.kind, part.form, words)
        yield Trouble(
            part.spec.here("size"),
            f"{part.tag}: the catalog has no {(part.form or part.kind).replace('_', ' ')} {words!r}, or several",
            (f"nearest: {'; '.join(near)}; " if near else "")
            + "or leave size: out, and state ends: and what is measured on it",
            "nothing is known then of its ends and bore, and figures are computed without them",
        )
    return passed(counted(len(sized), "size"))


def _known(joint: Joint) -> tuple[End, End] | None:
    """Both ends of a joint, when both are known."""
    if len(joint.ends) != 2 or joint.ends[0] is None or joint.ends[1] is None:
        return None
    if unreadable(joint.ends[0]) or unreadable(joint.ends[1]):
        return None
    return joint.ends[0], joint.ends[1]


def _unknown(joints: tuple[Joint, ...], fitted: Mapping[str, Fitted]) -> list[str]:
    """Parts whose ends nobody knows, as words."""
    tags = dict.fromkeys(p.tag for j in joints if len(j.parts) == 2 for p in j.parts)
    return [f"{tag}" for tag in tags if not fitted[tag].ends]


def _ends_of(tags: Iterable[str]) -> Iterator[str]:
    """Where the ends of some parts would be stated."""
    return (join("/plumbing/parts", tag, key) for key in ("ends", "size") for tag in tags)


def _chain(steps: tuple[AdapterStep, ...] | None) -> str:
    """What to put between two ends, in words."""
    if steps is None:
        return "parts with ends that fit; no chain of common adapters joins these"
    named = [s.words for s in steps]
    first = "an" if named[0][0] in "aeiou" else "a"
    return f"{first} {named[0]} between them" if len(named) == 1 else "between them, in this order: " + ", ".join(named)


@rule(
    "plumbing.ends_mate",
    level="error",
    statement="Parts that follow one another have ends that mate: by family, size and gender",
    source=_THREADS,
    needs=(JOINTS, FITTED, CATALOG),
)
def ends_mate(ctx: Context) -> Judging:
    joints = tuple(j for j in ctx[JOINTS] if len(j.parts) == 2)
    if not joints:
        return not_applicable("no parts follow one another")
    known = [(joint, pair) for joint in joints if (pair := _known(joint)) is not None]
    wrong = [(joint, pair) for joint, pair in known if mates(*pair) is None]
    if wrong:
        yield from _misfits(wrong, Neighbors(joints, ctx[FITTED]), ctx[CATALOG])
    if unknown := _unknown(joints, ctx[FITTED]):
        yield Unchecked(f"the ends of {several(unknown)} are not known ({_HOW_TO_SAY})", *_ends_of(unknown))
    return passed(counted(len(known), "joint"))


def _misfits(
    wrong: Sequence[tuple[Joint, tuple[End, End]]], line: Neighbors, catalog: Sequence[Family]
) -> Iterator[Trouble]:
    """Each joint that does not fit; a part that fits neither of its neighbors, and of another size both, said once."""
    why = "what does not mate is forced, sealed over or made up on site, and leaks there"
    swaps = {p.tag: swap(p, line, catalog) for joint, _ in wrong for p in joint.parts}
    times = Counter(p.tag for joint, _ in wrong for p in joint.parts)
    told: set[str] = set()
    for joint, pair in wrong:
        before, to = joint.parts
        both = next((p for p in (to, before) if times[p.tag] == 2 and swaps[p.tag]), None)
        if both is not None:
            if both.tag not in told:
                others = [q.tag for j, _ in wrong if both in j.parts for q in j.parts if q is not both]
                message = f"{both.tag} fits neither {others[0]} nor {others[1]}: {why_not(*pair)}"
                yield Trouble(_where(joint, both), message, f"{both.tag} as {_a(swaps[both.tag])}", why)
                told.add(both.tag)
            continue
        changes = [f"{p.tag} as {_a(swaps[p.tag])}" for p in (to, before) if swaps[p.tag]]
        steps = between(*pair, catalog)
        put = flared(joint, catalog) or ("" if changes and steps is None else _chain(steps))
        fix = "; else ".join(w for w in (" or ".join(changes), put) if w)
        yield Trouble(_where(joint), f"{before.tag} and {to.tag} do not fit: {why_not(*pair)}", fix, why)


@rule(
    "plumbing.own_nut",
    level="warning",
    statement="A cylinder valve for CGA 791 is joined by its own nut, which closes on heat and on too much flow",
    source=_VALVE,
    needs=(JOINTS, FITTED),
)
def own_nut(ctx: Context) -> Judging:
    """The two mate, and nothing stops gas by itself then: neither a nut that is not seated, nor a fire, nor a burst."""
    known = [(joint, pair) for joint in ctx[JOINTS] if (pair := _known(joint)) is not None]
    at_791 = [(joint, pair) for joint, pair in known if any((e.family, e.size) == ("CGA", "791") for e in pair)]
    if not at_791:
        unknown = _unknown(tuple(j for j in ctx[JOINTS] if any(p.kind == "cylinder" for p in j.parts)), ctx[FITTED])
        if unknown:
            said = f"the ends of {several(unknown)} are not known ({_HOW_TO_SAY})"
            return not_checked(said, *_ends_of(unknown))
        return not_applicable("no cylinder is joined by CGA 791")
    for joint, pair in at_791:
        if pol_in_791(*pair):
            valve, other = joint.parts if pair[0].size == "791" else joint.parts[::-1]
            yield Trouble(
                _where(joint, other),
                f"{other.tag} goes into {valve.tag} by CGA 510 (POL), inside its valve for CGA 791",
                f"{other.tag} with a CGA 791 nut; or see that the valve has that thread inside, and waive this",
                "gas comes then as soon as the valve is opened, and nothing in the nut stops it in a fire or "
                "when the hose parts: only a hand at the valve does",
            )
    return passed(counted(len(at_791), "connection"))


def _a(words: str) -> str:
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def _where(joint: Joint, part: Part | None = None) -> str:
    """Where a mismatch stands: at the part itself, or the second part's stated ends, the first's, or in the run."""
    if part is not None:
        return part.at
    for end in reversed(joint.ends):
        if end is not None and end.at:
            return end.at
    return joint.parts[-1].at


@rule(
    "plumbing.ends_enough",
    level="error",
    statement="A part has an end for each line that it is joined to",
    source=CHOICE,
    needs=(JOINTS, FITTED),
)
def ends_enough(ctx: Context) -> Judging:
    joints, fitted = ctx[JOINTS], ctx[FITTED]
    looked = 0
    for joint in joints:
        for part, end in zip(joint.parts, joint.ends, strict=False):
            if len(joint.parts) == 2 and fitted[part.tag].ends:
                looked += 1
                if end is None:
                    other = next(p.tag for p in joint.parts if p is not part)
                    count = counted(len(fitted[part.tag].ends), "end")
                    message = f"{part.tag} has {count}, and none is left for {other}"
                    yield Trouble(part.at, message, "a part with more ends")
    if not looked:
        if joints:
            return not_checked("no part's ends are known", *_ends_of(_unknown(joints, fitted)))
        return not_applicable("no parts follow one another")
    return passed(counted(looked, "end"))


@rule(
    "plumbing.open_ends",
    level="error",
    statement="No end of a part is left open: each is joined, plugged or capped",
    source=CHOICE,
    needs=(JOINTS, FITTED, NETWORK),
)
def open_ends(ctx: Context) -> Judging:
    """What lets gas out on purpose (outlets, a relief valve's outlet, the end of a line from one) is not an open end:
    a plug there would shut the relief valve."""
    fitted, net = ctx[FITTED], ctx[NETWORK]
    vents = {p.tag for r in net.of_kind("valve") if r.form == "relief" for p in net.downstream(r.tag)}
    taken: Counter[str] = Counter()
    for joint in ctx[JOINTS]:
        if len(joint.parts) == 2:
            taken.update(p.tag for p, end in zip(joint.parts, joint.ends, strict=True) if end is not None)
    looked, unknown = 0, []
    linked = {tag for link in net.links for tag in link}
    for part in net.parts:
        ends = fitted[part.tag].ends
        if part.tag not in linked:
            continue  # a part in no run, which has a rule of its own
        if not ends:
            unknown.append(part.tag)
            continue
        looked += 1
        left = len(ends) - taken[part.tag] - (part.tag in vents and not net.after.get(part.tag))
        if left > 0 and part.kind not in OUTLETS and part.form not in _OPEN_FORMS:
            yield Trouble(
                part.spec.here("ends") if part.spec.has("ends") else part.at,
                f"{part.tag} ({part.title}) has {counted(len(ends), 'end')}, and {left} of them lead nowhere",
                "a plug or a cap as the last part of a run from there",
                "gas leaves by an open end as soon as a valve before it opens",
            )
    if unknown:
        yield Unchecked(f"the ends of {several(unknown)} are not known", *_ends_of(unknown))
    elif not looked:
        return not_applicable("no part is in a run")
    return passed(counted(looked, "part"))


@rule(
    "plumbing.joint_method",
    level="error",
    statement="A joint is made the way that its ends are made for",
    source=_THREADS,
    needs=(JOINTS,),
)
def joint_method(ctx: Context) -> Judging:
    looked = 0
    for joint in ctx[JOINTS]:
        pair = _known(joint)
        if pair is None or not joint.stated:
            continue
        allowed = methods(*pair)
        if not allowed:
            continue  # they do not mate, which has a rule of its own
        looked += 1
        if joint.method not in allowed:
            a, b = pair
            yield Trouble(
                join(joint.at, "method"),
                f"{joint.words} is said to be {joint.method}, but {a.words} goes into {b.words}",
                " or ".join(allowed),
                "one of the two is a slip, and the rules on joints go by the method",
            )
    if not looked:
        if not ctx[JOINTS]:
            return not_applicable("no joints")
        return not_checked("no stated joint has both its ends known", "/plumbing/parts/*/ends", "/plumbing/joints")
    return passed(counted(looked, "stated joint"))
