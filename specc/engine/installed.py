"""Where plugins are found: entry points of what is installed, the file that is named, the core itself."""

from __future__ import annotations

import hashlib
import importlib.metadata
import importlib.util
import sys
from collections.abc import Callable
from functools import lru_cache
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import CodeType, ModuleType
from typing import Any, NamedTuple

GROUP = "specc"
OWN_DISTRIBUTION = "specc"


class Found(NamedTuple):
    name: str
    version: str
    origin: str
    load: Callable[[], Any]


def entry_points() -> tuple[Found, ...]:
    return _points(tuple(sys.path))


@lru_cache(maxsize=8)
def _points(path: tuple[str, ...]) -> tuple[Found, ...]:
    """What is installed, read once in a process; `path` is what Python finds packages by."""
    found: dict[tuple[str, str, str], Found] = {}
    for point in importlib.metadata.entry_points(group=GROUP):
        dist = point.dist.name if point.dist else ""
        own = dist.lower() == OWN_DISTRIBUTION
        version = point.dist.version if point.dist else ""
        # An editable install beside a plain one lists the same entry point twice.
        found.setdefault(
            (point.name, point.value, dist),
            Found(point.name, version, "built-in" if own else "installed", point.load),
        )
    return tuple(sorted(found.values(), key=lambda f: (f.origin != "built-in", f.name)))


def installed() -> tuple[str, ...]:
    """The names of the installed plugins that are not built in; none of them is imported for that."""
    return tuple(dict.fromkeys(p.name for p in entry_points() if p.origin == "installed"))


class AbsentFile(Exception):
    """A plugin's file that is named and not there, or not for this user to read."""

    def __init__(self, message: str, fix: str) -> None:
        super().__init__(message)
        self.message, self.fix = message, fix


class _Afresh(SourceFileLoader):
    """Reads a plugin's file each time. Kept bytecode counts as new by the second and the size of the file: who mends a
    number and runs at once would have run what stood there before. And nothing is written beside the file."""

    def get_code(self, fullname: str) -> CodeType:
        code: CodeType = self.source_to_code(self.get_data(self.path), self.path)
        return code


def from_file(path: Path) -> Found:
    def load() -> ModuleType:
        _look_at(path)
        name = f"specc_plugin_{path.stem}"
        spec = importlib.util.spec_from_file_location(name, path, loader=_Afresh(name, str(path)))
        if path.suffix != ".py" or spec is None or spec.loader is None:
            raise ImportError(f"{path} is not a Python file")
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        return module

    try:
        version = "file " + hashlib.sha256(path.read_bytes()).hexdigest()[:12]
    except OSError:
        version = "file"
    return Found(path.stem, version, "file", load)


def _look_at(path: Path) -> None:
    """Raises AbsentFile for what is not there, or what this user may not read."""
    try:
        if not path.is_file():
            fix = "give the path of a Python file, from here or from the root"
            raise AbsentFile(f"the plugin file {path} is not there", fix)
        path.open("rb").close()
    except PermissionError:
        raise AbsentFile(f"no permission to read the plugin file {path}", "allow this user to read the file") from None


def core() -> Found:
    def load() -> ModuleType:
        return importlib.import_module("specc.basics")

    from specc import __version__

    return Found("core", __version__, "core", load)
