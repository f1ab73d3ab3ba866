"""What the catalog says of each part where the spec is silent: ends, bores, walls, take-outs.

The part's own value goes first: what is stamped on a real part, or measured on it, beats a table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from specc import Citation, Constant, Context, Quantity, gather, value
from specc.kinds.plumbing import CATALOG, FITTED, NETWORK, OUTLETS, End, Family, Fitted, Part, Size
from specc.model.view import Unreadable, View
from specc_plumbing.ends import BadEnd, parse_end

MEASURES = ("bore", "outside", "wall", "take_out", "loss", "length", "weight")
# Parts that gas goes through one way only, whatever the catalog says of them.
_ONE_WAY = ("regulator", "orifice")
_ONE_WAY_FORMS = ("needle", "check", "solenoid", "excess_flow", "relief")


@gather(CATALOG)
def built_in(ctx: Context) -> Sequence[Family]:
    # The catalog takes a while to import, and only a run needs it.
    from specc_plumbing.catalog import families

    return families()


@gather(CATALOG, reads=("plumbing",))
def of_the_project(ctx: Context) -> Sequence[Family]:
    """The project's own entries, each a family of one size with the entry's tag as its name."""
    made = []
    for tag, entry in ctx.spec("plumbing").child("catalog").children():
        try:
            citation = Citation("", entry.text("source"), "declared")
            measures = tuple(
                (name, Constant(q.si, q.dim, q.text, citation))
                for name in MEASURES
                if (q := entry.quantity_or_none(name)) is not None
            )
            size = Size(entry.text_or("size", tag), entry.texts("ends"), measures)
            kind, form = entry.text("kind"), entry.text_or("form")
            # A fitting in the drawer with two ends may be what joins two others.
            adapter = kind == "fitting" and len(size.ends) == 2
            made.append(Family(tag, kind, form, (size,), citation, entry.yes("one_way"), adapter, order=-1))
        except Unreadable:
            continue  # reported by the schema
    return made


def _one_way(part: Part, family: Family | None) -> bool:
    if part.kind in OUTLETS:
        return False  # each end of a burner is an inlet
    return part.kind in _ONE_WAY or part.form in _ONE_WAY_FORMS or (family is not None and family.ordered)


def unreadable(end: End) -> bool:
    """Whether an end was written so that nobody can tell what it is (a rule reports it)."""
    return not end.family


@lru_cache(maxsize=1024)
def _read(text: str) -> End | BadEnd:
    """The same few texts stand on most parts of a device."""
    return parse_end(text)


def _ends(texts: Sequence[str], view: View | None) -> tuple[End, ...]:
    made = []
    for i, text in enumerate(texts):
        at = view.here("ends", i) if view is not None else ""
        read = _read(text)
        made.append(End("", "", "", at=at) if isinstance(read, BadEnd) else read._replace(at=at))
    return tuple(made)


def _valve_of(part: Part) -> tuple[End, ...]:
    """The end that a cylinder's `connection:` names, if it can be read."""
    connection = _text(part.spec, "connection") if part.kind == "cylinder" else ""
    read = parse_end(f"{connection} cylinder", part.spec.here("connection")) if connection else None
    return (read,) if isinstance(read, End) else ()


def _own_ends(spec: View) -> tuple[str, ...]:
    try:
        return spec.texts("ends")
    except Unreadable:
        return ()  # reported by the schema


def _measures(part: Part, size: Size | None) -> Mapping[str, Quantity | Constant]:
    found: dict[str, Quantity | Constant] = dict(size.measures) if size else {}
    for name in MEASURES:
        try:
            stated = part.spec.get(name)
        except Unreadable:
            continue  # reported by the schema
        if isinstance(stated, Quantity):
            found[name] = stated
    return found


@value(FITTED, needs=(NETWORK, CATALOG))
def fitted(ctx: Context) -> Mapping[str, Fitted]:
    from specc_plumbing.catalog import agreed_size, find_size

    catalog = ctx[CATALOG]
    by_name = {family.name: family for family in catalog}
    known: dict[tuple[str, ...], tuple[Family, Size] | None] = {}
    made = {}
    for part in ctx[NETWORK].parts:
        chosen: tuple[Family, Size] | None = None
        like = _text(part.spec, "like")
        if like:
            family = by_name.get(like)
            if family is not None and (family.kind, len(family.sizes)) == (part.kind, 1):
                chosen = family, family.sizes[0]
        else:
            wanted = (part.kind, part.form, *asked(part))
            if wanted not in known:
                known[wanted] = find_size(catalog, *wanted) or agreed_size(catalog, *wanted) if wanted[2] else None
            chosen = known[wanted]
        own = _own_ends(part.spec)
        ends = _ends(own, part.spec) if own else _ends(chosen[1].ends, None) if chosen else _valve_of(part)
        made[part.tag] = Fitted(
            part,
            ends,
            _one_way(part, chosen[0] if chosen else None),
            chosen[0].name if chosen else "",
            _measures(part, chosen[1] if chosen else None),
        )
    return made


def asked(part: Part) -> tuple[str, str]:
    """The words that a size of the catalog is found by: its name, and what tells apart sizes of one name."""
    size = _text(part.spec, "size")
    if part.kind == "pipe":
        schedule = _text(part.spec, "schedule")
        return size, f"schedule {schedule}" if schedule else ""
    if part.kind == "tube":
        grade = _text(part.spec, "grade").lower().removeprefix("type").strip()
        outside = part.spec.get("outside")
        if not size and isinstance(outside, Quantity):
            size = f"{outside.text} OD"
        return size, f"type {grade}" if grade else ""
    return size, ""


def _text(spec: View, key: str) -> str:
    try:
        return spec.text_or(key)
    except Unreadable:
        return ""  # reported by the schema
