"""How it comes apart for transport: the pieces, what each weighs as far as is known, and joints that should not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from specc import (
    PRACTICE,
    Column,
    Context,
    FigureList,
    FigureSet,
    Heading,
    Key,
    Para,
    Row,
    Table,
    TableBlock,
    Trouble,
    Unchecked,
    Worked,
    figures,
    not_applicable,
    rule,
    show,
    table,
    value,
)
from specc.kinds.plumbing import FITTED, JOINTS, NETWORK, Fitted, Joint, Network, Part
from specc.model.blocks import Block
from specc.model.passes import Judging, passed
from specc.model.values import Equation, Quantity, Scalar, Symbol
from specc.model.view import Unreadable
from specc.model.wording import counted
from specc_plumbing.as_written import NOT_STATED, in_flow, yes
from specc_plumbing.burners import ring_tube
from specc_plumbing.calc.cuts import density_of, tube_wall, tube_weight

_FOR_GOOD = ("brazed", "soldered", "welded")
# Threads that seal on their taper; the others seal elsewhere and may come apart.
_TAPER = ("NPT", "BSPT")
_SHORT = 12  # figures in a list that a reader still goes through; the table has them all
_TAGS = 60  # in one row of the table
_ABOVE = "see above"
# What a part measures along its longest side, by kind.
_LONGEST = {
    "pipe": "length",
    "tube": "length",
    "hose": "length",
    "cylinder": "height",
    "burner": "length",
}

_TOGETHER = Equation(
    forms=(("", "m = sum(m_i)"),),
    symbols=(
        Symbol("m", "mass", "weight as far as it is known"),
        Symbol("m_i", "mass", "weight of each part that states one, or whose size and metal give it"),
    ),
    citations=(PRACTICE,),
    validity="parts that state no weight, and whose size and metal do not give it, are not in it; no gas is",
)


class Piece(NamedTuple):
    """Parts that stay together. `comes_apart` are the joints at which it parts from others.

    `weights` are those that are known, and `unweighed` the parts of which all or some of the weight is not.
    """

    number: int
    parts: tuple[Part, ...]
    comes_apart: tuple[Joint, ...]
    weights: tuple[Scalar, ...]
    unweighed: tuple[Part, ...]


PIECES: Key[tuple[Piece, ...]] = Key("plumbing.pieces_made", tuple)
PIECE_WEIGHT: Key[FigureSet] = Key("plumbing.piece_weight", dict)


def parting(joints: tuple[Joint, ...]) -> tuple[Joint, ...]:
    """The joints that are said to come apart for transport."""
    return tuple(j for j in joints if yes(j.spec, "comes_apart"))


def pieces_of(net: Network, joints: tuple[Joint, ...]) -> list[tuple[Part, ...]]:
    """The parts that hold together when the joints that come apart are undone, each in flow order.

    A union that comes apart within itself stays with the piece that its gas comes from.
    """
    cut: set[tuple[str, str]] = set()
    for joint in parting(joints):
        if len(joint.parts) == 2:
            cut.add((joint.parts[0].tag, joint.parts[1].tag))
        else:
            tag = joint.parts[0].tag
            cut.update((tag, after) for after in net.after.get(tag, ()))
    root = {p.tag: p.tag for p in net.parts}

    def root_of(tag: str) -> str:
        while root[tag] != tag:
            root[tag] = root[root[tag]]  # halve the way for the next time
            tag = root[tag]
        return tag

    for link in net.links:
        if link not in cut:
            root[root_of(link[1])] = root_of(link[0])
    together: dict[str, list[Part]] = {}
    for part in in_flow(net):
        together.setdefault(root_of(part.tag), []).append(part)
    return [tuple(parts) for parts in together.values()]


def weight_of(fitted: Fitted) -> tuple[Scalar | None, bool]:
    """A part's weight when empty, if it is known; and whether that is the whole of it.

    Stated, else a cylinder's tare, else from outside diameter, wall, length and metal. Of a burner that way only
    the tube is known, not its fittings and caps.
    """
    part, m = fitted.part, fitted.measures
    try:
        if "weight" in m:
            return m["weight"], True
        if part.kind == "cylinder":
            return part.spec.quantity_or_none("tare"), True
        if part.kind == "burner":
            length: Scalar | None = ring_tube(part) or part.spec.quantity_or_none("length")
        elif part.kind in ("pipe", "tube"):
            length = part.spec.quantity_or_none("length")
        else:
            return None, True
        density, outside = density_of(part.spec.text_or("material")), m.get("outside")
        wall: Scalar | None = m.get("wall")
        if wall is None and outside is not None and "bore" in m:
            wall = tube_wall.work(f"wall of {part.tag}", outside=outside, bore=m["bore"])
        if length is None or density is None or outside is None or wall is None:
            return None, True
        name = f"tube of {part.tag}"
        weight = tube_weight.work(name, outside=outside, wall=wall, length=length, density=density)
        return weight, part.kind != "burner"
    except (Unreadable, ValueError):
        return None, True  # reported where it stands


@value(PIECES, needs=(NETWORK, FITTED, JOINTS))
def pieces(ctx: Context) -> tuple[Piece, ...]:
    fitted = ctx[FITTED]
    groups = pieces_of(ctx[NETWORK], ctx[JOINTS])
    home = {part.tag: i for i, parts in enumerate(groups) for part in parts}
    at: list[dict[int, Joint]] = [{} for _ in groups]
    for joint in parting(ctx[JOINTS]):
        tags = [p.tag for p in joint.parts]
        if len(tags) == 1:
            tags += ctx[NETWORK].after.get(tags[0], ())
        for tag in tags:
            at[home[tag]][joint.number] = joint
    made = []
    for i, parts in enumerate(groups):
        known = [(part, *weight_of(fitted[part.tag])) for part in parts]
        made.append(
            Piece(
                i + 1,
                parts,
                tuple(at[i][n] for n in sorted(at[i])),
                tuple(weight for _, weight, _ in known if weight is not None),
                tuple(part for part, weight, whole in known if weight is None or not whole),
            )
        )
    return tuple(made)


@figures(PIECE_WEIGHT, title="Weight of piece {tag}, as far as it is known", unit="lb", needs=(PIECES,))
def piece_weights(ctx: Context) -> Mapping[str, Worked]:
    return {
        str(piece.number): Worked(
            sum(w.si for w in piece.weights),
            "mass",
            _TOGETHER,
            (("m_i", piece.weights),),
            name=f"weight of piece {piece.number}",
        )
        for piece in ctx[PIECES]
        if piece.weights
    }


def _weight_words(piece: Piece) -> str:
    """Never a bare number when something is missing from it."""
    if not piece.weights:
        return f"not known: {counted(len(piece.unweighed), 'part')} with no weight stated"
    known = show(sum(w.si for w in piece.weights), "mass", "lb")
    if not piece.unweighed:
        return known
    return f"at least {known}; {counted(len(piece.unweighed), 'part')} with no weight stated"


def _longest(parts: Sequence[Part]) -> str:
    """The longest of the parts that state a length. How they stand to each other is not known."""
    lengths: list[tuple[float, str]] = []
    for part in parts:
        key = "diameter" if part.form == "ring" else _LONGEST.get(part.kind)
        try:
            length: Quantity | None = part.spec.quantity_or_none(key) if key else None
        except Unreadable:
            continue  # reported by the schema
        if length is not None:
            lengths.append((length.si, f"{length.text} ({part.tag})"))
    # The first of several alike.
    return max(lengths, key=lambda f: f[0])[1] if lengths else NOT_STATED


def joint_words(joint: Joint) -> str:
    return f"{joint.number} ({joint.method or 'method not stated'})"


@table("plumbing.pieces", title="Pieces for transport", needs=(PIECES, JOINTS))
def pieces_table(ctx: Context) -> Table:
    rows = []
    for piece in ctx[PIECES]:
        tags = [p.tag for p in piece.parts]
        rows.append(
            Row(
                (
                    str(piece.number),
                    str(len(tags)),
                    tags[0],
                    tags[-1],
                    ", ".join(tags[:_TAGS]),
                    ", ".join(joint_words(j) for j in piece.comes_apart) or "nowhere",
                    _longest(piece.parts),
                    _weight_words(piece),
                )
            )
        )
        # A row is never so high that the page cuts it: further tags go into rows of their own.
        for i in range(_TAGS, len(tags), _TAGS):
            more = tags[i : i + _TAGS]
            rows.append(Row((str(piece.number), _ABOVE, more[0], more[-1], ", ".join(more), *[_ABOVE] * 3)))
    columns = (
        Column("piece", 0.5, "right"),
        Column("parts", 0.5, "right"),
        Column("from", 0.8),
        Column("to", 0.8),
        Column("tags", 2.2),
        Column("comes apart at joint", 1.3),
        Column("longest part", 1.1),
        Column("weight", 1.5),
    )
    note = (
        "Weights are of empty parts: gas in cylinders is on top. Of a burner that states no weight the tube alone is "
        "counted. The longest part is not the length of the piece: how parts stand to each other is not in the spec."
    )
    if not parting(ctx[JOINTS]):
        note = "No joint is said to come apart (comes_apart: true), so all that is joined is one piece. " + note
    return Table("", "", columns, tuple(rows), note)


@rule(
    "plumbing.comes_apart",
    level="error",
    statement="What comes apart for transport is made to: not brazed, soldered or welded; rather a union or a flare "
    "than a taper thread",
    source=PRACTICE,
    needs=(JOINTS,),
)
def comes_apart(ctx: Context) -> Judging:
    joints = parting(ctx[JOINTS])
    if not joints:
        return not_applicable("no joint is said to come apart for transport")
    for joint in joints:
        at = joint.spec.here("comes_apart")
        families = {end.family for end in joint.ends if end is not None and end.family}
        if joint.method in _FOR_GOOD:
            yield Trouble(
                at,
                f"{joint.words} is said to come apart for transport",
                "a union or a flare there, or comes_apart: false",
                "it comes apart by cutting or heat alone, and no joint made again on site like that is tested",
            )
        elif joint.method == "threaded" and (not families or families & set(_TAPER)):
            yield Trouble(
                at,
                f"{joint.words} comes apart for transport each time",
                "a union or a flare there; else clean it, seal it anew and test it each time",
                "old compound and tape in a taper thread let it leak, and each time it goes a little further in",
                "warning",
            )
        elif not joint.method:
            yield Unchecked(f"nothing is said of how {joint.words} is made", joint.where("method"))
    return passed(f"{counted(len(joints), 'joint')} that come apart")


def blocks(ctx: Context) -> Sequence[Block]:
    """Of the plumbing section: pieces for transport. Its pass needs NETWORK and wants PIECE_WEIGHT."""
    if not ctx[NETWORK].parts:
        return ()
    keys = tuple(figure.key for figure in (ctx.get(PIECE_WEIGHT) or {}).values())
    return [
        Heading("Breakdown for transport", "breakdown"),
        Para(
            "What holds together when the joints that come apart are undone. Joints go by their number in the joint "
            "schedule. Each has to be made again and tested for leaks on site."
        ),
        TableBlock("plumbing.pieces"),
        *((FigureList(keys),) if 0 < len(keys) <= _SHORT else ()),
    ]


WANTED = (PIECE_WEIGHT,)
