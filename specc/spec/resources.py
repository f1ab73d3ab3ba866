"""Where schemas and data files are: packaged inside specc first, in the checkout second."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from specc.model.values import Reference


def schemas_folder() -> Path:
    """The folder with project.schema.json. Raises FileNotFoundError when the install is broken."""
    here = Path(__file__).resolve().parent.parent
    for folder in (here / "schemas", here.parent / "schemas"):
        if (folder / "project.schema.json").is_file():
            return folder
    raise FileNotFoundError("specc's schemas are missing: install it again")


@cache
def read_json(path: Path) -> Any:
    import json

    return json.loads(path.read_text(encoding="utf-8"))


def schema(name: str) -> Any:
    """A schema file by its path under schemas/, such as "common/person.json"."""
    return read_json(schemas_folder() / name)


def read_references(path: Path) -> tuple[Reference, ...]:
    """A plugin's references.yaml (id to title, publisher, edition, note) as `Reference`s."""
    import yaml

    from specc.model.values import Reference

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    listed = yaml.load(path.read_text(encoding="utf-8"), Loader=loader)
    return tuple(Reference(id, **{k: str(v) for k, v in facts.items()}) for id, facts in listed.items())
