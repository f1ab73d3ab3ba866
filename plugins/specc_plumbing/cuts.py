"""Pipe, tube and hose by length: what each piece is cut to, and whether a pipe's length fits its fittings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from specc import (
    PRACTICE,
    Column,
    Constant,
    Context,
    Cure,
    FigureBlock,
    FigureSet,
    Heading,
    Judging,
    Key,
    Para,
    Quantity,
    Row,
    Table,
    TableBlock,
    Trouble,
    Worked,
    figures,
    not_applicable,
    passed,
    rule,
    show,
    table,
    value,
)
from specc.kinds.plumbing import FITTED, JOINTS, NETWORK, End, Fitted, Joint, Network, Part
from specc.measure.units import INCH
from specc.model.blocks import Block
from specc.model.values import Scalar
from specc.model.wording import counted
from specc_plumbing.as_written import NOT_STATED, in_flow, said, written
from specc_plumbing.burners import RING_CUT
from specc_plumbing.calc.cuts import pipe_cut, thread_engagement

# Kinds that are bought and cut by length.
BY_LENGTH = ("pipe", "tube", "hose")
# How far off a pipe may be at an end that has no thread to take it up: specc default.
_SLACK = INCH / 16


class _Meeting(NamedTuple):
    """One end of a pipe in its fitting: what the fitting takes out, how far the pipe goes in, how far it may be off."""

    take_out: Scalar
    engaged: Scalar
    slack: float


class Cut(NamedTuple):
    """A pipe's length as its fittings want it. `slack` is one turn of thread at each end, in m."""

    worked: Worked
    slack: float


class Cuts(NamedTuple):
    """By tag, the pipes whose length could be calculated, and why the others could not."""

    made: Mapping[str, Cut]
    lacking: Mapping[str, str]


CUTS: Key[Cuts] = Key("plumbing.cuts_calculated", Cuts)
PIPE_CUT: Key[FigureSet] = Key("plumbing.pipe_cut", dict)


def measure_at(fitted: Fitted, name: str, end: End | None) -> Quantity | Constant | None:
    """A measure of a part at one of its ends: where they differ the catalog numbers them, as in take_out_2."""
    if name in fitted.measures or end is None or end not in fitted.ends:
        return fitted.measures.get(name)
    return fitted.measures.get(f"{name}_{fitted.ends.index(end) + 1}")


def _engaged(pipe: Fitted, other: Fitted, end: End | None, there: End | None) -> tuple[Scalar | None, float]:
    """How far a pipe's end goes into the end of a fitting, and one turn of its thread."""
    pitch = None
    from specc_plumbing.catalog.tables import THREAD, THREADS, hand_tight, length

    if end is not None and end.family == "NPT" and end.size in THREAD:
        turns = THREAD[end.size][0]
        pitch = length(1 / turns, THREADS, f"1/{turns:g} in")
    slack = pitch.si if pitch else _SLACK
    by_catalog = measure_at(other, "engaged", there) or measure_at(pipe, "engaged", end)
    if by_catalog is not None:
        return by_catalog, slack
    if end is None or pitch is None:
        return None, slack
    name = f"how far {pipe.part.tag} screws into {other.part.tag}"
    return thread_engagement.work(name, hand_tight=hand_tight(end.size), pitch=pitch), slack


def _meeting(pipe: Fitted, other: Fitted, end: End | None, there: End | None) -> _Meeting | str:
    tag = other.part.tag
    take_out = measure_at(other, "take_out", there)
    if take_out is None:
        return f"no take-out is known of {tag}"
    engaged, slack = _engaged(pipe, other, end, there)
    if engaged is None:
        return f"how far {pipe.part.tag} goes into {tag} is not known"
    return _Meeting(take_out, engaged, slack)


def _cut(net: Network, fitted: Mapping[str, Fitted], by_link: Mapping[tuple[str, str], Joint], pipe: Part) -> Cut | str:
    tag = pipe.tag
    before, after = net.before.get(tag, ()), net.after.get(tag, ())
    # At its far end a pipe may meet another line, that runs the other way.
    links = [*((other, tag) for other in before), *((tag, other) for other in after)]
    if len(links) != 2:
        return f"{tag} does not stand between two fittings"
    met = []
    for link in links:
        joint = by_link.get(link)
        place = link.index(tag)
        ends = joint.ends if joint is not None and len(joint.ends) == 2 else (None, None)
        meeting = _meeting(fitted[tag], fitted[link[1 - place]], ends[place], ends[1 - place])
        if isinstance(meeting, str):
            return meeting
        met.append(meeting)
    first, second = met
    try:
        worked = pipe_cut.work(
            f"length of {tag}",
            centers=pipe.spec.quantity("centers"),
            first_take_out=first.take_out,
            second_take_out=second.take_out,
            first_engaged=first.engaged,
            second_engaged=second.engaged,
        )
    except ValueError as e:
        return str(e)
    return Cut(worked, first.slack + second.slack)


@value(CUTS, needs=(NETWORK, FITTED, JOINTS))
def cuts_calculated(ctx: Context) -> Cuts:
    net, fitted = ctx[NETWORK], ctx[FITTED]
    by_link = {(j.parts[0].tag, j.parts[1].tag): j for j in ctx[JOINTS] if len(j.parts) == 2}
    made: dict[str, Cut] = {}
    lacking: dict[str, str] = {}
    for pipe in net.of_kind("pipe"):
        if pipe.spec.has("centers"):
            cut = _cut(net, fitted, by_link, pipe)
            if isinstance(cut, Cut):
                made[pipe.tag] = cut
            else:
                lacking[pipe.tag] = cut
    return Cuts(made, lacking)


@figures(PIPE_CUT, title="Length to cut {tag} to, from its centers", unit="in", digits=4, needs=(CUTS,))
def pipe_cuts(ctx: Context) -> Mapping[str, Worked]:
    return {tag: cut.worked for tag, cut in ctx[CUTS].made.items()}


@rule(
    "plumbing.cut_length",
    level="warning",
    statement="A pipe's length agrees with its distance from center to center, within one turn of thread at each end",
    source=PRACTICE,
    needs=(NETWORK, CUTS),
)
def cut_length(ctx: Context) -> Judging:
    net, cuts = ctx[NETWORK], ctx[CUTS]
    count = len(cuts.made) + len(cuts.lacking)
    if not count:
        return not_applicable("no pipe states its distance from center to center (centers:)")
    for tag, cut in cuts.made.items():
        spec = net.by_tag[tag].spec
        stated, centers = spec.quantity("length"), spec.quantity("centers")
        off = stated.si - cut.worked.si
        slack = cut.slack + stated.minus + stated.plus + centers.minus + centers.plus
        if abs(off) > slack + 1e-9:
            wanted = _cut_text(cut.worked.si)
            by = f"{show(abs(off), 'length', 'in', 2)} too {'long' if off > 0 else 'short'}"
            yield Trouble(
                spec.here("length"),
                f"{tag} is cut to {stated.text}, which is {by} for {centers.text} from center to center",
                "or the distance that it makes",
                "a pipe that does not fit is pulled into place, and its joints carry that for good",
                cure=Cure(f"{wanted} would fit", ((spec.here("length"), wanted),)),
            )
    yield from cuts.lacking.values()
    return passed(f"{counted(count, 'pipe')} with centers")


def _cut_text(si: float) -> str:
    """To a tenth of an inch from ten inches on, which is as well as a saw and a tape do; below, to a hundredth."""
    return show(si, "length", "in", 4 if si >= 99.95 * INCH else 3)


def size_words(part: Part, fitted: Fitted) -> str:
    """The size that a part by length is bought by."""
    size = written(part.spec, "size", "")
    if size:
        return size
    for key, words in (("outside", "outside"), ("bore", "bore")):
        measure = fitted.measures.get(key)
        if measure is not None:
            own = measure.text if isinstance(measure, Constant) else said(part.spec, key)
            return f"{own} {words}"
    return NOT_STATED


@table("plumbing.cuts", title="Cut list", needs=(NETWORK, FITTED), wants=(PIPE_CUT, RING_CUT))
def cuts_table(ctx: Context) -> Table:
    """One line for each pipe, tube, hose, and ring, bar or stem of tube, in flow order."""
    from_centers, rings = ctx.get(PIPE_CUT) or {}, ctx.get(RING_CUT) or {}
    rows = []
    for part in in_flow(ctx[NETWORK]):
        size, material = size_words(part, ctx[FITTED][part.tag]), written(part.spec, "material")
        if part.kind in BY_LENGTH:
            figure = from_centers.get(part.tag)
            centers = said(part.spec, "centers", "")
            calculated = _cut_text(figure.si) if figure else "not known" if centers else "no centers stated"
            if part.kind == "hose":
                calculated = "factory assembly"
            rows.append(
                Row((part.tag, part.kind, size, material, said(part.spec, "length"), centers or "-", calculated))
            )
        elif part.form == "ring":
            ring = rings.get(part.tag)
            cut = _cut_text(ring.si) if ring else "not known"
            rows.append(Row((part.tag, "ring, bent", size, material, cut, "-", "from its diameter")))
        elif part.form in ("bar", "stem"):
            rows.append(Row((part.tag, part.form, size, material, said(part.spec, "length"), "-", "as stated")))
    columns = (
        Column("tag", 0.9),
        Column("what", 0.9),
        Column("size", 1.3),
        Column("material", 1.3),
        Column("cut to", 1.0, "right"),
        Column("center to center", 1.0, "right"),
        Column("calculated", 1.2, "right"),
    )
    note = "Measure the fittings at hand before cutting: take-outs differ, and a thread may go one turn more or less."
    return Table("", "", columns, tuple(rows), note)


def blocks(ctx: Context) -> Sequence[Block]:
    """Of the plumbing section: the cut list. Its pass needs NETWORK and wants PIPE_CUT."""
    if not any(p.kind in BY_LENGTH or p.form in ("ring", "bar", "stem") for p in ctx[NETWORK].parts):
        return ()
    # One in full, so that the calculation can be followed; the table has them all.
    keys = [figure.key for figure in (ctx.get(PIPE_CUT) or {}).values()]
    return [
        Heading("Cut list", "cut_list"),
        Para(
            "What each piece of pipe and tube is cut to, and how long each hose is. Where a pipe states its distance "
            "from center to center, its calculated length stands beside it: less the take-out of the fitting at each "
            "end, plus how far it screws in."
        ),
        TableBlock("plumbing.cuts"),
        *((FigureBlock(keys[0]),) if keys else ()),
    ]


WANTED = (PIPE_CUT,)
