"""Tags and acts put together as one reads them out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from specc.model.wording import follows, in_runs

T = TypeVar("T")


def first_up(text: str) -> str:
    """With a capital at its start; tags in it stay as they are."""
    return text[:1].upper() + text[1:]


def listed(tags: Iterable[str]) -> str:
    """Tags as one reads them out: three or more that count up become "v_r1 to v_r5"."""
    words = in_runs(tags)
    return ", ".join(words[:-1]) + " and " + words[-1] if len(words) > 1 else "".join(words)


def paired(pairs: Iterable[tuple[str, str]], joint: str) -> str:
    """Pairs as one reads them out: "pilot by v_p; stem_1 to stem_5 by v_r1 to v_r5", each of the first by its own."""
    runs: list[list[tuple[str, str]]] = []
    for pair in pairs:
        if runs and all(follows(a, b) for a, b in zip(runs[-1][-1], pair, strict=True)):
            runs[-1].append(pair)
        else:
            runs.append([pair])
    made = []
    for run in runs:
        some = [run] if len(run) > 2 else [[pair] for pair in run]
        made += [f"{listed(a for a, _ in own)}{joint}{listed(b for _, b in own)}" for own in some]
    return "; ".join(made)


def together(acts: Sequence[T], key: Callable[[T], object]) -> list[list[T]]:
    """What follows one another and is alike, in one group."""
    made: list[list[T]] = []
    for act in acts:
        if made and key(made[-1][-1]) == key(act):
            made[-1].append(act)
        else:
            made.append([act])
    return made
