"""The keys that plugins share, as the modules of specc.kinds declare them."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from functools import cache
from types import ModuleType
from typing import Any, NamedTuple, get_args, get_type_hints

import specc.kinds
from specc.model.passes import Key


@cache
def shared_keys() -> dict[str, tuple[str, str, Key[Any]]]:
    """Each shared key by its name: the module, the name it has there, and the key itself."""
    found: dict[str, tuple[str, str, Key[Any]]] = {}
    for info in _modules():
        module = importlib.import_module(f"specc.kinds.{info.name}")
        for name, thing in vars(module).items():
            if isinstance(thing, Key):
                found.setdefault(thing.name, (module.__name__, name, thing))
    return found


class KeyShown(NamedTuple):
    """A shared key for those who write plugins. `records`: each record in its type, with its fields."""

    name: str
    constant: str  # module and name to import it by
    type: str
    gathered: bool
    says: str
    records: tuple[tuple[str, tuple[str, ...]], ...]


def described() -> tuple[KeyShown, ...]:
    """Every shared key, in the order of the names, with what its module says of it."""
    made = []
    written = {info.name: _written(importlib.import_module(f"specc.kinds.{info.name}")) for info in _modules()}
    for name, (module, constant, key) in sorted(shared_keys().items()):
        type_, says = written[module.rpartition(".")[2]][constant]
        hint = get_args(get_type_hints(importlib.import_module(module))[constant])[0]
        records = tuple((record.__name__, record._fields) for record in _records(hint))
        made.append(KeyShown(name, f"{module}.{constant}", type_, key.gathered, says, records))
    return tuple(made)


def _modules() -> list[pkgutil.ModuleInfo]:
    return sorted(pkgutil.iter_modules(specc.kinds.__path__), key=lambda i: i.name)


def _written(module: ModuleType) -> dict[str, tuple[str, str]]:
    """By name, what a module annotates as a key: the type as written there, and the line below it."""
    made = {}
    body = ast.parse(inspect.getsource(module)).body
    for one, below in zip(body, [*body[1:], None], strict=True):
        if isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name):
            told = below.value if isinstance(below, ast.Expr) else None
            says = str(told.value) if isinstance(told, ast.Constant) else ""
            annotation = one.annotation
            type_ = ast.unparse(annotation.slice if isinstance(annotation, ast.Subscript) else annotation)
            made[one.target.id] = (type_, " ".join(says.split()))
    return made


def _records(hint: Any) -> Iterator[Any]:
    """The records in a type: itself, or those inside a tuple or mapping."""
    if hasattr(hint, "_fields"):
        yield hint
    for inner in get_args(hint):
        yield from _records(inner)
