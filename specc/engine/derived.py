"""What a Result says of its figures: where their inputs stand, what nobody measured, what is lacking, what is cited."""

from __future__ import annotations

from specc.engine.run import Ran
from specc.kinds.weather import CASES
from specc.model.findings import Place
from specc.model.result import Origin, Result
from specc.model.values import Citation
from specc.spec.short_forms import OWN_TEXT, Tree, filled_in
from specc.spec.source import Source
from specc.spec.source.places import steps_of


def origins_of(source: Source) -> tuple[Origin, ...]:
    """What short forms filled in from elsewhere than the part's own text; nothing that is private."""
    tree = Tree(source.data, source.places.root)
    return tuple(
        Origin(below.at, str(below.data), below.spot.origin, below.spot.typical)
        for below in filled_in(tree)
        if below.spot.origin != OWN_TEXT and below.at not in source.private
    )


def typical(ran: Ran, origins: tuple[Origin, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """By figure, the values that it comes from and that nobody measured."""
    from specc.engine.tolerances import quantities_of

    guessed = {o.at: o for o in origins if o.typical}
    if not guessed:
        return ()
    made = []
    for figure in ran.figures:
        rests = dict.fromkeys(q.at for q in quantities_of((figure,)) if q.at in guessed)
        if rests:
            words = tuple(f"{' '.join(steps_of(at)[-2:])} {guessed[at].text}, {guessed[at].origin}" for at in rests)
            made.append((figure.key, words))
    return tuple(made)


def lacking(ran: Ran) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """By figure, what was lost of what it is computed from, and the weather cases in which it was not computed."""
    without = {(o.plugin, o.id): o.without for o in ran.outcomes if o.without and o.kind in ("figure", "figures")}
    cases = [case.name for case in ran.values.get(CASES.name, ())]
    made = []
    for figure in ran.figures:
        own = {c.case for c in figure.cases}
        left = [case for case in cases if case not in own] if own != {""} else []
        said = [text for (plugin, id), texts in without.items() if plugin == figure.plugin
                and (figure.key == id or figure.key.startswith(f"{id}.")) for text in texts]  # fmt: skip
        said += [f"not computed in the case {', '.join(left)}"] if left else []
        if said:
            made.append((figure.key, tuple(said)))
    return tuple(made)


def places_of_inputs(ran: Ran, source: Source) -> tuple[tuple[str, Place], ...]:
    """The places of all spec values that figures come from."""
    from specc.engine.tolerances import quantities_of

    found: dict[str, Place] = {}
    for quantity in quantities_of(tuple(ran.figures)):
        if quantity.at and quantity.at not in found:
            found[quantity.at] = source.places.of(quantity.at)
    return tuple(sorted(found.items()))


def citations_in(result: Result, first: bool = False) -> tuple[tuple[str, Citation], ...]:
    """Every citation that a result rests on, with what it stands beside: not those of rules about what is not there,
    or that ended before they compared anything, nor of limits that only such rules read. `first`: of what several
    figures come from, with the first of them alone.
    """
    from specc.engine.tolerances import citations_of

    found: list[tuple[str, Citation]] = []
    seen: set[int] | None = set() if first else None
    for figure in result.figures:
        found.extend((figure.key, c) for c in citations_of(figure, seen))
    compared = [r for r in result.rules if r.status != "not checked" or r.limits or r.figures]
    applied = [r for r in compared if r.status != "not applicable"]
    read = {key for r in applied for key in r.limits}
    found.extend((r.id, r.citation) for r in applied)
    found.extend((limit.key, limit.citation) for limit in result.limits if limit.key in read or limit.by)
    found.extend(("caution", c.citation) for c in result.cautions)
    return tuple(dict.fromkeys(found))
