"""Brazed copper only where gas runs out freely: on burner sections open to the air that carry no pressure.

The limit is specc default; the gas code allows brazed copper more widely. That a section is open is read
from the runs, and that it carries no pressure from the computed flow. Neither is taken on anyone's word.
"""

from __future__ import annotations

from collections.abc import Generator, Iterable, Mapping

from specc import (
    CHOICE,
    Context,
    Cure,
    Figure,
    Judging,
    Limit,
    Trouble,
    Unchecked,
    answers_of,
    not_checked,
    passed,
    psig,
    rule,
)
from specc.kinds.gas import SECTION_BLOCKED, SECTION_FAILED_OPEN, SECTION_HIGHEST, SMALLER_FEEDS, SmallerFeed
from specc.kinds.plumbing import Joint, Network, Part
from specc.kinds.show import EFFECTS
from specc.measure.drills import at_most
from specc.measure.units import INCH
from specc.model.findings import Level
from specc.model.values import Quantity
from specc.model.view import join
from specc.model.wording import counted
from specc_materials.joined import JOINED, JoinedParts, bare_words, no_such
from specc_materials.made import made_of
from specc_materials.reading import NAMES

OPEN_PRESSURE = Limit(
    "materials.open_pressure",
    "0.5 psi",
    "gauge_pressure",
    "min",
    "most pressure in a section of brazed copper, at the highest setting and with part of the jets blocked",
    CHOICE,
)
FAILED_OPEN = Limit(
    "materials.open_pressure_failed",
    "5 psi",
    "gauge_pressure",
    "min",
    "most pressure in a section of brazed copper when its regulator fails open",
    CHOICE,
)
# Kinds of part that close, or that a foot or a kink closes, and what holds pressure by its nature.
_CLOSING_KINDS = ("valve", "regulator", "hose", "accumulator")
_WHY = (
    "brazed copper is kept to sections where gas can always get out, so that no joint made by hand has to hold "
    "pressure; the gas code allows more, and an authority or club may move this limit"
)


def _copper(joint: Joint) -> bool | None:
    """Whether a brazed joint is of copper; None when the materials are not all stated."""
    made = [made_of(p) for p in joint.parts]
    if any(m.copper for m in made):
        return True
    return None if any(m.asked for m in made) else False


def _ahead(net: Network, joint: Joint) -> tuple[Part, ...]:
    """What gas meets from the joint on: the part it leads into, or is within, and all after it. From a dead end gas
    runs back to the tee that it stands on, so that what counts is what comes after that tee."""
    last = joint.parts[-1]
    passed: set[str] = set()  # a run may lead back to itself, which a rule of plumbing finds
    while True:
        passed.add(last.tag)
        ahead = (last, *net.downstream(last.tag))
        before = net.before.get(last.tag, ())
        if any(p.kind in ("burner", "pilot") or _closes(p) for p in ahead) or len(before) != 1 or before[0] in passed:
            return ahead
        above = net.by_tag[before[0]]
        if _closes(above) or above.kind in ("orifice", "cylinder"):
            return ahead
        last = above


def _closes(part: Part) -> bool:
    return part.kind in _CLOSING_KINDS


def _closed(net: Network, joint: Joint, bursts: Iterable[str]) -> str:
    """Why the section of a joint is not open to the air; "" when it is."""
    ahead = _ahead(net, joint)
    for part in ahead:
        if _closes(part):
            return f"{part.tag} ({part.title}) after it can close or holds pressure"
        if part.kind == "orifice":
            return f"the orifice {part.tag} stands after it, so that it carries the pressure ahead of that orifice"
    outlets = [p for p in ahead if p.kind in ("burner", "pilot")]
    if not outlets:
        return "no outlet lets gas out after it"
    of_burst = set(bursts) & {p.tag for p in outlets}
    if of_burst:
        return f"it leads to {min(of_burst)}, the outlet of a burst, which is never an open section"
    return ""


def _passing(feeds: Iterable[SmallerFeed], most: float, most_failed: float) -> float | None:
    """The largest share of the orifices' bores at which all three pressures are what they may be."""
    for feed in feeds:
        if max(feed.highest, feed.blocked) <= most and feed.failed_open <= most_failed:
            return feed.share
    return None


def _smaller_feed(
    ctx: Context, net: Network, joint: Joint, outlets: tuple[str, ...], most: float, most_failed: float
) -> Cure | None:
    """The number drills of the feed orifices that would pass; None where none of those solved does,
    or where gas also comes by a way without an orifice."""
    holes = net.first_above(joint.parts[-1].tag, "orifice")
    met = net.walk((joint.parts[-1].tag,), net.before, lambda p: p.kind == "orifice")
    if not holes or any(net.by_tag[tag].kind in ("cylinder", "regulator") for tag in met):
        return None
    feeds = ctx.get(SMALLER_FEEDS) or {}
    shares = [_passing(feeds.get(tag, ()), most, most_failed) for tag in outlets]
    least = min((s for s in shares if s is not None), default=0.0) if None not in shares else 0.0
    words, edits = [], []
    for hole in holes:
        bore = hole.spec.quantity_or_none("bore")
        drill = at_most(bore.si * least / INCH) if bore is not None else None
        if bore is None or drill is None:
            return None
        number, inches = drill
        words.append(f"a No. {number} drill ({inches:.4f} in) for the orifice {hole.tag}")
        edits.append((bore.at, f"{inches:.4f} in"))
    return Cure(f"{' and '.join(words)} would pass", tuple(edits))


def _turned_open(net: Network, joint: Joint) -> str:
    """What is said of valves whose Cv is stated, and that count as wide open all the same."""
    above = net.walk((joint.parts[-1].tag,), net.before, lambda p: p.kind == "regulator")
    valves = [p.tag for p in net.of_kind("valve") if p.tag in above and p.spec.has("cv")]
    return f", {', '.join(valves)} fully open" if valves else ""


def _over(
    joint: Joint, state: str, figure: Figure, most: Quantity, cure: Cure | None, level: Level = "error"
) -> Trouble:
    case = f", case: {figure.case}" if figure.case else ""
    return Trouble(
        joint.at,
        f"{joint.words} is of copper and sees {_psig(figure.si)} {state} ({figure.key}{case})",
        f"at most {most.text}, by a smaller feed orifice, wider or shorter lines after it or more jet area, or a joint "
        "that is not brazed copper",
        _WHY,
        None if level == "error" else level,
        cure,
    )


def _psig(si: float) -> str:
    return psig(si, 2)


def _pressures(
    ctx: Context, net: Network, joint: Joint, outlets: tuple[str, ...], families: tuple[Mapping[str, Figure], ...]
) -> Generator[Trouble, None, str]:
    """Troubles with the pressures at a joint; returns the pressures in words."""
    highest, blocked, failed = families
    most, most_failed = ctx.limit(OPEN_PRESSURE.key), ctx.limit(FAILED_OPEN.key)
    missing = [t for t in outlets if t not in highest or t not in failed]
    if missing:
        yield Trouble(
            joint.at,
            f"{joint.words} is of copper, and the pressure before {missing[0]} cannot be shown",
            "highest: of each regulator before it, the most it can be set to; and bore: and length: of each line "
            "between its orifice and its jets",
            _WHY,
        )
        return ""
    at_set, at_blocked, at_failed = (
        max((f[t] for t in outlets), key=lambda figure: figure.si) for f in (highest, blocked, failed)
    )
    # One orifice for all states; where none is over its limit, for this tool's aim when the regulator fails.
    over = max(at_set.si / most.si, at_blocked.si / most.si, at_failed.si / most_failed.si)
    aim = most_failed.si if over > 1 else most.si
    cure = _smaller_feed(ctx, net, joint, outlets, most.si, aim) if at_failed.si > most.si or over > 1 else None
    valves = _turned_open(net, joint)
    if at_set.si > most.si:
        yield _over(joint, f"at the highest setting{valves}", at_set, most, cure)
    elif at_blocked.si > most.si:
        share = ctx.limit("fuel.jets_blocked").text
        yield _over(joint, f"with {share} of the jets blocked{valves}", at_blocked, most, cure)
    if at_failed.si > most_failed.si:
        yield _over(joint, f"when the regulator fails open{valves}", at_failed, most_failed, cure)
    elif at_failed.si > most.si >= max(at_set.si, at_blocked.si):
        yield _over(joint, "when the regulator fails open, above this tool's aim", at_failed, most, cure, "warning")
    return (
        f"before {', '.join(outlets)}: {_psig(at_set.si)} at the highest setting, "
        f"{_psig(at_blocked.si)} with jets blocked, {_psig(at_failed.si)} failed open"
    )


@rule(
    "materials.brazed_copper_open",
    level="error",
    statement="Brazed copper is only on burner sections open to the air that carry no pressure: specc default, "
    "the gas code allows more",
    source=CHOICE,
    needs=(JOINED, EFFECTS),
    wants=(SECTION_HIGHEST, SECTION_BLOCKED, SECTION_FAILED_OPEN, SMALLER_FEEDS),
    limits=("fuel.jets_blocked", "materials.open_pressure", "materials.open_pressure_failed"),
    recalls=(NAMES,),
)
def brazed_copper_open(ctx: Context) -> Judging:
    j: JoinedParts = ctx[JOINED]
    unsaid = list(bare_words(j))
    made = {p.tag for joint in j.joints if len(joint.parts) == 1 for p in joint.parts}
    # What is put together from pieces: a manifold of copper is brazed or soldered inside.
    manifolds = tuple(p for p in j.net.of_kind("fitting") if p.form == "manifold")
    for part in (*j.net.of_kind("burner", "pilot", "accumulator"), *manifolds):
        of = made_of(part)
        if of.copper and part.tag not in made:
            said = f"{part.tag} is of copper, and nothing is said of how it is put together (joint:)"
            unsaid.append(Unchecked(said, join(part.at, "joint")))
        elif of.asked:
            unsaid.append(of.asked)
    brazed = [(joint, _copper(joint)) for joint in j.by("brazed")]
    unsaid += [
        Unchecked(
            f"{joint.words}: the material of its parts is not stated",
            *answers_of(*(made_of(p).asked for p in joint.parts)),
        )
        for joint, copper in brazed
        if copper is None
    ]
    of_copper = [joint for joint, copper in brazed if copper]
    if not of_copper:
        return not_checked("; ".join(unsaid[:3]), *answers_of(*unsaid)) if unsaid else no_such(j, "brazed copper")
    bursts = {tag for e in ctx[EFFECTS] if e.kind == "burst" for tag in e.outlets}
    families = tuple(ctx.get(k) for k in (SECTION_HIGHEST, SECTION_BLOCKED, SECTION_FAILED_OPEN))
    words = []
    # Joints of one section see one pressure, which is said once.
    sections: set[tuple[str, ...]] = set()
    for joint in of_copper:
        closed = _closed(j.net, joint, bursts)
        if closed:
            yield Trouble(
                joint.at,
                f"{joint.words} is of copper, and {closed}",
                "flared copper, steel pipe or stainless tube there; brazed copper after the last thing that closes",
                _WHY,
            )
            continue
        known = tuple(f for f in families if f is not None)
        if len(known) < len(families):
            unsaid.append(f"{joint.words}: the pressure in its section could not be computed")
            continue
        outlets = tuple(p.tag for p in _ahead(j.net, joint) if p.kind in ("burner", "pilot"))
        if outlets in sections:
            continue
        sections.add(outlets)
        said = yield from _pressures(ctx, j.net, joint, outlets, known)
        if said:
            words.append(said)
    yield from unsaid
    return passed(f"{counted(len(of_copper), 'joint')} of brazed copper; " + ("; ".join(words) or "none open"))
