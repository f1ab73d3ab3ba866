"""A verb of the trade that a plugin adds to the command line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from specc.model.passes import Gathered


class Verb(NamedTuple):
    """A verb of the trade that a plugin adds. `function` takes the arguments by name and gives a
    blocks.Table or a model.Answer; the core prints it. `arguments`: (name, help) each, all optional text.

    A verb with options, or with any number of words, gives `setup` in place of `arguments`: it is handed
    the argparse parser, and `function` gets what argparse read, by name. `--plugin` and `--format` are the
    core's. Arguments that make no sense: raise specc.Cannot, which is printed with its `fix`; the exit
    code is then 2.

    `reads`: gathered keys. `function` finds what all plugins gave under each, by the key's name, and the core
    adds `--spec FILE`, so that what one project adds counts too.
    """

    name: str
    help: str
    arguments: Sequence[tuple[str, str]]
    function: Callable[[Mapping[str, Any]], Any]
    setup: Callable[[Any], None] | None = None
    reads: tuple[Gathered[Any], ...] = ()
