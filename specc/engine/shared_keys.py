"""The keys that plugins share, as the modules of specc.kinds declare them."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache
from typing import Any

import specc.kinds
from specc.model.passes import Key


@cache
def shared_keys() -> dict[str, tuple[str, str, Key[Any]]]:
    """Each shared key by its name: the module, the name it has there, and the key itself."""
    found: dict[str, tuple[str, str, Key[Any]]] = {}
    for info in sorted(pkgutil.iter_modules(specc.kinds.__path__), key=lambda i: i.name):
        module = importlib.import_module(f"specc.kinds.{info.name}")
        for name, thing in vars(module).items():
            if isinstance(thing, Key):
                found.setdefault(thing.name, (module.__name__, name, thing))
    return found
