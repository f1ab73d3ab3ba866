"""A verb of the trade that a plugin adds to the command line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from specc.model.passes import Key


class Verb(NamedTuple):
    """A verb of the trade that a plugin adds. `function` takes the arguments by name and gives a
    blocks.Table or a model.Answer; the core prints it. `arguments`: (name, help) each, all optional text.

    A verb with options, or with any number of words, gives `setup` in place of `arguments`: it is handed
    the argparse parser, and `function` gets what argparse read, by name. `--plugin` and `--format` are the
    core's. Arguments that make no sense: raise specc.Cannot, which is printed with its `fix`; the exit
    code is then 2.

    `reads`: keys. `function` finds what the plugins gave under each, by the key's name, and the core adds
    `--spec FILE`, so that what one project adds counts too. `of_spec`: the verb is about a project; its FILE comes
    first, or as `--spec FILE`, and without one it is refused. `function` then finds the spec, a View, under "spec".
    """

    name: str
    help: str
    arguments: Sequence[tuple[str, str]]
    function: Callable[[Mapping[str, Any]], Any]
    setup: Callable[[Any], None] | None = None
    reads: tuple[Key[Any], ...] = ()
    of_spec: bool = False
