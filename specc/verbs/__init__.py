"""The verbs of the command line, one module each. A plugin's own verbs are described by `Verb`."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple


class Verb(NamedTuple):
    """A verb of the trade that a plugin adds. `function` takes the arguments by name and gives a
    blocks.Table or a model.Answer; the core prints it. `arguments`: (name, help) each, all optional text."""

    name: str
    help: str
    arguments: Sequence[tuple[str, str]]
    function: Callable[[Mapping[str, str]], Any]
