"""The bill of materials: parts grouped as they are bought, with loose nuts, and the total of what is cut to length."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc import Column, Context, Heading, Para, Quantity, Row, Table, TableBlock, show, table
from specc.kinds.plumbing import FITTED, JOINTS, NETWORK, OUTLETS, Fitted, Joint, Part
from specc.measure.printing import to_unit
from specc.model.blocks import Block
from specc.model.view import Unreadable
from specc.model.wording import counted, several
from specc_plumbing.as_written import NOT_STATED, REFUSED, in_flow, said, written
from specc_plumbing.cuts import BY_LENGTH, size_words

_TAGS = 60  # in one line; the parts list has them all
BY_PIECE = "each"

# What tells parts of a kind apart for a buyer, beside size, material and rating: (key, words after its value).
_MEASURES = {
    "regulator": (("highest", "at most"),),
    "burner": (("diameter", "across"), ("length", "long")),
    "gauge": (("reads_to", "scale"),),
    "valve": (("opens", "to open"),),
}
_WORDS = ("like", "connection", "schedule", "grade", "standard", "made_for", "coating", "marking")
# What a buyer asks for by something else than a size: its capacity, volume or hole.
_SIZE = {"cylinder": "capacity", "accumulator": "volume", "orifice": "bore"}
_BEFORE = {"like": "as", "schedule": "schedule", "grade": "type", "coating": "coated with", "made_for": "for"}
_SAID = {"coating none": "not coated", "made_for lp_gas": "for LP-gas", "made_for fuel_gas": "for fuel gas"}
# Of a part with jets: how many, and their size.
_JETS = (("bore", "{} of {}"), ("width", "{}, {} wide"))


class BillLine(NamedTuple):
    """One line of the bill."""

    kind: str
    item: str
    size: str
    ends: str
    material: str
    rating: str
    number: int
    length: str
    tags: tuple[str, ...]


def _name(part: Part) -> str:
    form = part.form.replace("_", " ")
    return form if form.endswith((part.kind, "nut")) or form in ("union", "nipple") else f"{form} {part.kind}".strip()


def _item(fitted: Fitted) -> str:
    """What to ask for, in words: kind and form, and what tells it from its like."""
    part, spec = fitted.part, fitted.part.spec
    # The catalog has the trade's name; the project's own entries are named by their tag, which tells a buyer nothing.
    words = [_name(part) if spec.has("like") or not fitted.family else fitted.family]
    for key, after in _MEASURES.get(part.kind, ()):
        text = said(spec, key, "")
        if text:
            words.append(f"{text} {after}".strip())
    for key in _WORDS:
        text = written(spec, key, "")
        if text:
            words.append(_SAID.get(f"{key} {text}", f"{_BEFORE.get(key, '')} {text}".strip()))
    try:
        jets = spec.child("jets")
        for key, text in _JETS:
            if jets.has(key):
                count = int(jets.quantity("count").si)
                words.append(text.format(counted(count, "jet" if key == "bore" else "slit"), said(jets, key)))
    except Unreadable:
        words.append(REFUSED)
    # A burner's title is the name of a thing in the show; another part's may say what to buy.
    title = written(spec, "title", "") if part.kind not in OUTLETS else ""
    if title:
        words.append(f"called {title}")
    return ", ".join(words)


def _ends(fitted: Fitted) -> str:
    # A fitting is the same part whichever way it is put in.
    alike = Counter(sorted(end.words for end in fitted.ends if end.family))
    return "; ".join(f"{words} ({n})" if n > 1 else words for words, n in alike.items()) or NOT_STATED


def _length(part: Part) -> float | None:
    try:
        length = part.spec.quantity_or_none("length")
    except Unreadable:
        return None  # reported by the schema
    return length.si if length is not None else None


def _plain(feet: float) -> str:
    """Feet to a hundredth, without zeros that nobody measured."""
    return f"{feet:.2f}".rstrip("0").rstrip(".")


def _total(parts: Sequence[Part]) -> str:
    lengths = [_length(p) for p in parts]
    known = [length for length in lengths if length is not None]
    if not known:
        return NOT_STATED
    feet = to_unit(sum(known), "ft", "length")
    total = f"{_plain(feet)} ft" if feet >= 0.1 else show(sum(known), "length", "ft")
    return total if len(known) == len(lengths) else f"at least {total}"


def _rating(part: Part) -> tuple[float, str]:
    """The rating, so that 350 psi and 350 psig are one."""
    try:
        rating = part.spec.quantity_or_none("rating")
    except Unreadable:
        return (-1.0, REFUSED)
    return (round(rating.si, 3), rating.text) if isinstance(rating, Quantity) else (-1.0, NOT_STATED)


def lines_of(parts: Iterable[Part], fitted: Mapping[str, Fitted], joints: tuple[Joint, ...] = ()) -> list[BillLine]:
    """The bill, sorted by kind and size. Parts that differ in anything a buyer asks for have a line each."""
    groups: dict[tuple[object, ...], list[Part]] = {}
    ratings: dict[float, str] = {}
    nuts: dict[tuple[str, str], Counter[str]] = {}
    for part in parts:
        fit = fitted[part.tag]
        rating, text = _rating(part)
        ratings.setdefault(rating, text)
        size = said(part.spec, _SIZE[part.kind]) if part.kind in _SIZE else size_words(part, fit)
        if part.kind == "fitting" and _length(part) is not None:
            size = f"{size}, {said(part.spec, 'length')} long"
        # Hose comes with its ends on; pipe and tube get theirs when they are cut.
        ends = _ends(fit) if part.kind not in ("pipe", "tube") else "as cut"
        key = (part.kind, _item(fit), size, written(part.spec, "material"), rating, ends)
        groups.setdefault(key, []).append(part)
        for end in fit.ends:
            if end.nut:
                nuts.setdefault((end.family, end.size), Counter())[part.tag] += 1
    # Plain tube that a joint flares gets its nut there.
    for joint in joints:
        for part, met in zip(joint.parts, joint.ends, strict=False):
            if met is not None and met.nut and met not in fitted[part.tag].ends:
                nuts.setdefault((met.family, met.size), Counter())[part.tag] += 1
    lines = [
        BillLine(
            str(kind),
            str(item),
            str(size),
            str(ends),
            str(material),
            ratings[rating] if isinstance(rating, float) else NOT_STATED,
            len(group),
            _total(group) if kind in BY_LENGTH else BY_PIECE,
            tuple(p.tag for p in group),
        )
        for (kind, item, size, material, rating, ends), group in groups.items()
    ]
    for (family, size), carried in nuts.items():
        tags = tuple(f"{tag} ({n})" if n > 1 else tag for tag, n in carried.items())
        lines.append(
            BillLine(
                "nut",
                f"{family} nut, loose",
                f"{size} in",
                f"{size} in {family}",
                NOT_STATED,
                NOT_STATED,
                carried.total(),
                BY_PIECE,
                tags,
            )
        )
    return sorted(lines, key=lambda line: (line.kind, line.item.split(",")[0], sizes(line.size), line[1:6], line.tags))


_NUMBER = re.compile(r"(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*/\s*(\d+)|(\d*\.\d+|\d+)")
_VULGAR = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}


def sizes(text: str) -> tuple[float, ...]:
    """The numbers in a size, for the natural order of fractions; what has none comes last.

    >>> sizes("1/2 in NPT") < sizes("3/4 in NPT") < sizes("1 in") < sizes("1-1/4 in") < sizes("not stated")
    True
    """
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, plain)
    numbers = []
    for whole, over, under, plain in _NUMBER.findall(text):
        if plain:
            numbers.append(float(plain))
        elif int(under):
            numbers.append(int(whole or 0) + int(over) / int(under))
    return tuple(numbers) or (float("inf"),)


@table("plumbing.bill", title="Bill of materials", needs=(NETWORK, FITTED, JOINTS))
def bill_table(ctx: Context) -> Table:
    lines = lines_of(in_flow(ctx[NETWORK]), ctx[FITTED], ctx[JOINTS])
    rows = tuple(
        Row(
            (
                line.item,
                line.size,
                line.ends,
                line.material,
                line.rating,
                str(line.number),
                line.length,
                several(line.tags, _TAGS),
            )
        )
        for line in lines
    )
    columns = (
        Column("item", 1.9),
        Column("size", 1.1),
        Column("ends", 1.5),
        Column("material", 1.0),
        Column("rated", 0.8, "right"),
        Column("count", 0.6, "right"),
        Column("total length", 0.9, "right"),
        Column("tags", 1.5),
    )
    note = (
        "Lengths are of the pieces as cut: add for saw cuts, threads and what is spoiled. A burner is one item; the "
        "tube in it is among the tube burners. Sealants, fillers and spare parts are not in the bill."
    )
    return Table("", "", columns, rows, note)


def blocks(ctx: Context) -> Sequence[Block]:
    """Of the plumbing section: the bill of materials. Its pass needs NETWORK."""
    if not ctx[NETWORK].parts:
        return ()
    return [
        Heading("Bill of materials", "bill"),
        Para(
            "Every part once, grouped as it is bought, and with it the loose nuts that ends carry. Parts that differ "
            "in size, material, rating, ends or marking have a line of their own."
        ),
        TableBlock("plumbing.bill"),
    ]
