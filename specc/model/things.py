"""What modules make at their top, so that a plugin need not list by name what it has just written.

    @hookimpl
    def specc_passes() -> Sequence[Pass | Limit]:
        return passes_of(supply, rules)

They come in the order of the modules given, then of the text. What a module imports is not its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from specc.model.passes import Limit, Pass

if TYPE_CHECKING:
    from types import ModuleType


def things_of(*modules: ModuleType) -> Iterator[object]:
    """Each thing that stands at the top of the modules, alone or in a tuple, once."""
    seen: set[int] = set()
    for module in modules:
        for named in vars(module).values():
            for thing in named if type(named) is tuple else (named,):
                # A limit is no function and does not say where it was made: what imports one gives it again.
                made_in = getattr(getattr(thing, "function", None), "__module__", module.__name__)
                if made_in == module.__name__ and id(thing) not in seen:
                    seen.add(id(thing))
                    yield thing


def passes_of(*modules: ModuleType) -> list[Pass | Limit]:
    """The passes made in these modules, with their limits."""
    return [thing for thing in things_of(*modules) if isinstance(thing, Pass | Limit)]
