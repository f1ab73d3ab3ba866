"""`specc parts`: the catalog by words, and what goes between two ends that do not mate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from specc import Verb
from specc.kinds.plumbing import CATALOG

if TYPE_CHECKING:
    from specc.kinds.plumbing import End, Family, Size
    from specc.model.blocks import Row, Table
    from specc.model.values import Citation

_HELP = "what the catalog has by some words, or what joins two ends"
_NO_RATING = "No rating is given: what a part may carry is stamped on the part itself."
# Measures that have a column of their own; the others are in the column with their names.
_COLUMNS = ("bore", "take_out")


def _setup(parser: Any) -> None:
    parser.add_argument("words", nargs="*", metavar="WORD", help="such as: bushing 1/2; none lists the families")
    parser.add_argument(
        "--between",
        nargs=2,
        metavar=("END", "END"),
        help='the adapters that join two ends, such as "1/2 MNPT" "3/8 male flare"',
    )


def _parts(given: Mapping[str, Any]) -> Table:
    from specc import Cannot

    words, pair, families = given["words"], given["between"], given[CATALOG.name]
    if words and pair:
        raise Cannot("--between takes two ends and no other words", fix="put each end in quotes")
    if pair:
        return _between(pair[0], pair[1], families)
    return _sizes(words, families) if words else _families(families)


def _families(families: Sequence[Family]) -> Table:
    from specc.model.blocks import Column, Row, Table

    columns = (
        Column("family"), Column("kind"), Column("form"), Column("sizes", align="right"), Column("source"),
        Column("note"),
    )  # fmt: skip
    rows = tuple(
        Row((f.name, f.kind, f.form, str(len(f.sizes)), f"{f.citation.reference} ({f.citation.basis})".strip(), f.note))
        for f in families
    )
    note = f"specc parts WORD lists the sizes. {_bases(rows, 4)}{_NO_RATING}"
    return Table("parts", "The catalog's families", columns, rows, note)


def _sizes(words: Sequence[str], families: Sequence[Family]) -> Table:
    from specc import Cannot
    from specc.model.blocks import Column, Row, Table
    from specc_plumbing.catalog import near_families, search

    # A drill is said by its bare number: orifice 60.
    found = search(families, " ".join(words)) or search(families, " ".join(map(_as_drill, words)))
    if not found:
        near = near_families(families, words)
        raise Cannot(
            f"the catalog has no part by {' '.join(words)!r}",
            fix=f"specc parts {near[0]}" if near else "specc parts, which lists the families",
        )
    columns = (
        Column("family"), Column("size"), Column("ends"), Column("bore"), Column("take-out"), Column("more"),
        Column("source"),
    )  # fmt: skip
    rows = tuple(Row(_row(family, size)) for family, size in found)
    note = f"{_bases(rows, len(columns) - 1)}{_NO_RATING}"
    return Table("parts", f"Parts by {' '.join(words)!r}", columns, rows, note)


def _as_drill(word: str) -> str:
    return f"No. {word}" if word.isdecimal() else word


def _bases(rows: Sequence[Row], column: int) -> str:
    """What the words in brackets behind the sources mean, of those that stand there."""
    from specc.model.values import BASIS_WORDS

    cells = [row.cells[column] for row in rows]
    told = [f"{basis}: {words}" for basis, words in BASIS_WORDS.items() if any(f"({basis})" in c for c in cells)]
    return "; ".join(told) + ". " if told else ""


def _row(family: Family, size: Size) -> tuple[str, ...]:
    measures = dict(size.measures)
    own = [measures[name].text if name in measures else "" for name in _COLUMNS]
    # Ends of one thread say the same: a manifold with eight outlets says it once.
    said_of: dict[str, list[str]] = {}
    for name, c in measures.items():
        if name not in _COLUMNS:
            texts = said_of.setdefault(name.rstrip(" _0123456789").replace("_", " "), [])
            if c.text not in texts:
                texts.append(c.text)
    more = [f"{name} {', '.join(texts)}" for name, texts in said_of.items()]
    by_source: dict[Citation, list[str]] = {}
    for name, constant in measures.items():
        # What belongs to a thread has one source, and one word here.
        said = "thread" if name.startswith(("engaged", "hand_tight")) else name.replace("_", " ")
        names = by_source.setdefault(constant.citation, [])
        if said not in names:
            names.append(said)
    if not measures:
        by_source[family.citation] = []
    sources = []
    for citation, names in by_source.items():
        of = f"{', '.join(names)}: " if names else ""
        sources.append(f"{of}{citation.reference or 'none'} ({citation.basis})")
    return (family.name, size.name, _ends(size.ends), *own, "; ".join(more), "; ".join(sources))


def _ends(ends: Sequence[str]) -> str:
    """The ends in their order; three or more alike are counted: "1 in female NPT; 8 of 1/2 in female NPT"."""
    from itertools import groupby

    alike = [(end, len(list(group))) for end, group in groupby(ends)]
    return "; ".join(f"{n} of {end}" if n > 2 else "; ".join([end] * n) for end, n in alike)


def _end(text: str) -> End:
    from specc import Cannot
    from specc_plumbing.ends import BadEnd, parse_end

    end = parse_end(text)
    if isinstance(end, BadEnd):
        raise Cannot(end.message, fix=end.fix)
    return end


def _between(one: str, other: str, families: Sequence[Family]) -> Table:
    from specc import Cannot, show
    from specc.model.blocks import Column, Row, Table
    from specc_plumbing.adapters import MOST, between
    from specc_plumbing.ends import mates, why_not

    a, b = _end(one), _end(other)
    columns = (
        Column("part", align="right"), Column("family"), Column("size"), Column("from"), Column("to"), Column("bore"),
    )  # fmt: skip
    title = f"From {a.words} to {b.words}"
    mating = mates(a, b)
    if mating:
        how = " or ".join((mating.method, *mating.also))
        return Table("parts", title, columns, (), f"they mate directly: {how}; what seals: {mating.seal}")
    chain = between(a, b, families)
    if chain is None and between(b, a, families) is not None:
        raise Cannot(
            f"no adapters take gas from {a.words} to {b.words}, but some do the other way",
            fix="the end that gas comes from first",
        )
    if chain is None:
        raise Cannot(f"{why_not(a, b)}; no chain of up to {MOST} common adapters joins them")
    rows = tuple(
        Row((
            str(i), s.family, s.size, s.ends[0].words, s.ends[1].words,
            "not known" if s.bore is None else show(s.bore, "length", "in"),
        ))
        for i, s in enumerate(chain, 1)
    )  # fmt: skip
    return Table("parts", title, columns, rows, f"{why_not(a, b)}. {_NO_RATING}")


PARTS = Verb("parts", _HELP, (), _parts, _setup, reads=(CATALOG,))
