"""How far the inputs' tolerances move the decision figures.

Each input with a tolerance is taken to its low and its high end, one at a time, and the figure's passes
run again. The moves of all inputs are added up, the worst way: this assumes that the inputs are
independent and that a figure rises or falls steadily between an input's two ends.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

from specc.model.values import Citation, Constant, Figure, Mover, Quantity, Worked
from specc.model.wording import counted

MOST = 60
"""Inputs with a tolerance that are followed: each costs two reruns, some 0.3 s on a complete device."""


MOST_EVENTS = 2_000
"""Bursts and flames lit, of all nights, for all those inputs together: each rerun follows the whole show, in
some 3 ms for each of them."""


class TooMany(NamedTuple):
    """Why tolerances are not followed, with the first of the inputs that have one."""

    words: str
    first: Quantity


def too_many(figures: tuple[Figure, ...], events: int) -> TooMany | None:
    """Whether more inputs of decision figures have a tolerance than are followed, or a show that is so long. `events`:
    its bursts and flames lit, on all nights."""
    inputs = list({q.at: q for f in figures if f.decision for q in uncertain_inputs(f)}.values())
    if len(inputs) > MOST:
        return TooMany(f"{len(inputs)} values with a tolerance, and {MOST} are followed at most", inputs[0])
    if len(inputs) * events > MOST_EVENTS:
        most = MOST_EVENTS // len(inputs)
        values = counted(len(inputs), "value")
        words = f"{values} with a tolerance in a show of {events:,} bursts and flames lit, and {most:,} are the most"
        return TooMany(words, inputs[0])
    return None


def uncertain_inputs(figure: Figure) -> tuple[Quantity, ...]:
    """The spec's values with a tolerance that a figure comes from, in any weather case."""
    found: dict[str, Quantity] = {}
    for case in figure.cases:
        for quantity in quantities_of(case.worked):
            if quantity.at and (quantity.minus or quantity.plus):
                found.setdefault(quantity.at, quantity)
    return tuple(found.values())


def ancestors(value: object, passed: set[int] | None = None) -> Iterator[Quantity | Constant | Worked | Figure]:
    """A value and all that it was computed from, each once, without what is `passed`, by id; adds to that."""
    stack = [value]
    seen = passed if passed is not None else set()
    while stack:
        one = stack.pop()
        if id(one) in seen:
            continue
        seen.add(id(one))
        if isinstance(one, (Quantity, Constant)):
            yield one
        elif isinstance(one, Worked):
            yield one
            stack.extend(v for _, v in one.inputs)
        elif isinstance(one, Figure):
            yield one
            stack.extend(c.worked for c in one.cases)
        elif isinstance(one, tuple):
            stack.extend(one)


def quantities_of(value: object) -> Iterator[Quantity]:
    """The spec's values that a figure comes from."""
    return (one for one in ancestors(value) if isinstance(one, Quantity))


def citations_of(value: object, passed: set[int] | None = None) -> Iterator[Citation]:
    """The citations of a figure's equations and constants, and of all it comes from. `passed` as in `ancestors`."""
    for one in ancestors(value, passed):
        if isinstance(one, Constant):
            yield one.citation
        elif isinstance(one, Worked):
            yield from one.equation.citations
            yield from (c.citation for _, c in one.equation.constants)


def moved(data: Any, at: str, to: Quantity) -> Any:
    """A copy of the converted spec with one quantity replaced."""
    if not at:
        return to
    step, _, rest = at[1:].partition("/")
    key = step.replace("~1", "/").replace("~0", "~")
    below = "/" + rest if rest else ""
    if isinstance(data, dict):
        return {**data, key: moved(data[key], below, to)}
    i = int(key)
    return [*data[:i], moved(data[i], below, to), *data[i + 1 :]]


def spread(
    figures: tuple[Figure, ...],
    data: Mapping[str, object],
    again: Callable[[Mapping[str, object], frozenset[str]], tuple[Figure, ...]],
    events: int = 0,
) -> tuple[Figure, ...]:
    """Give the decision figures their low and high and the ranking of inputs.

    `again` runs the ancestors of the named figures on other data and gives the figures it could compute. `events` as in
    `too_many`.
    """
    asked = {f.key: uncertain_inputs(f) for f in figures if f.decision}
    asked = {key: inputs for key, inputs in asked.items() if inputs}
    if refused := too_many(figures, events):
        why = f"comes, with the others, from {refused.words}"
        return tuple(f._replace(unsure=why) if f.key in asked else f for f in figures)
    ends: dict[tuple[str, str], list[float]] = {}
    for at in dict.fromkeys(q.at for inputs in asked.values() for q in inputs):
        quantity = next(q for inputs in asked.values() for q in inputs if q.at == at)
        keys = frozenset(key for key, inputs in asked.items() if any(q.at == at for q in inputs))
        for end in (quantity.si - quantity.minus, quantity.si + quantity.plus):
            for figure in again(moved(data, at, quantity._replace(si=end)), keys):
                ends.setdefault((figure.key, at), []).append(figure.si)
    made = []
    for figure in figures:
        movers = []
        for quantity in asked.get(figure.key, ()):
            reached = ends.get((figure.key, quantity.at), [])
            if len(reached) == 2:
                movers.append(Mover(quantity.at, quantity.text, min(*reached, figure.si), max(*reached, figure.si)))
        if movers and len(movers) == len(asked[figure.key]):
            movers.sort(key=lambda m: (m.low - m.high, m.at))
            low = figure.si - sum(figure.si - m.low for m in movers)
            high = figure.si + sum(m.high - figure.si for m in movers)
            figure = figure._replace(low=low, high=high, movers=tuple(movers))
        elif figure.key in asked:
            lost = [q.text for q in asked[figure.key] if len(ends.get((figure.key, q.at), [])) != 2]
            figure = figure._replace(unsure=f"cannot be computed at an end of {', '.join(lost[:3])}")
        made.append(figure)
    return tuple(made)
