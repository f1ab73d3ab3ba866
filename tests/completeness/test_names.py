"""A class's name stands for one thing in the whole tree."""

from __future__ import annotations

import ast
import sys
from collections import defaultdict
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from parsed import parsed

ROOT = Path(__file__).resolve().parents[2]


def classes(*rooms: Path) -> dict[str, list[str]]:
    """By name, the places where a class of it is defined."""
    found = defaultdict(list)
    for room in rooms:
        for path in sorted(room.rglob("*.py")):
            for node in ast.walk(parsed(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ClassDef):
                    found[node.name].append(f"{path.relative_to(room.parent)}:{node.lineno}")
    return dict(found)


def test_no_two_classes_have_one_name() -> None:
    found = classes(ROOT / "specc", ROOT / "plugins")
    assert len(found) > 200, "the walk found the classes"
    assert {name: places for name, places in found.items() if len(places) > 1} == {}


def test_a_second_class_of_a_name_is_seen(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / f"{name}.py").write_text("class Point:\n    pass\n", encoding="utf-8")
    assert [len(places) for places in classes(tmp_path).values()] == [2]
