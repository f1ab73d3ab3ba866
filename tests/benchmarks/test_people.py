"""How long `specc check` and the site's plan take on a site with much on it: obstacles, extinguishers and people.

As a script this prints the numbers again.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from measures import busy

from specc.model.result import Result

BASE = Path(__file__).parents[1] / "rules" / "posts.yaml"
# Obstacles, extinguishers, people, and processor time of the whole road, s: 0.9 and 1.9 measured. At 200 obstacles ways
# are searched toward where they lead, and remembered: without that it took 5.9 s.
SIZES = {"60 of each": (60, 60, 40, 2.0), "200 obstacles": (200, 60, 40, 4.0)}

# The same of `specc drawing FILE site`, where each label tries its places: 0.7 and 2.7 s here.
DRAWN = {"60 of each": (60, 60, 40, 2.0), "200 obstacles": (200, 60, 40, 6.0)}


def spec(obstacles: int, units: int, people: int) -> str:
    """The good spec of posts with walls in a field north of it, extinguishers among them, and a larger crew."""
    walls, spots, entries, crew, shifts = [], [], [], [], []
    for i in range(obstacles):
        x, y = -90 + 12 * (i % 15), 70 + 14 * (i // 15)
        lean = 3 * (i % 3)
        walls.append(
            f"  wall_{i}: {{kind: barrier, blocks: [walking, sight], height: 8 ft, "
            f"line: [[{x} ft, {y} ft], [{x + 8} ft, {y + lean} ft]]}}"
        )
    for i in range(units):
        x, y = -88 + 12 * (i % 15), 66 + 14 * (i // 15)
        spots.append(f"  stand_{i}: {{at: [{x} ft, {y} ft]}}")
        entries.append(
            f"    unit_{i}: {{type: stored_pressure_dry_chemical, rating: 4-A:40-B:C, agent: monoammonium phosphate, "
            f"mass: 10 lb, shell: mild_steel, place: stand_{i}, made: 2024-05, inspected: 2027-06-01, "
            "serviced: 2027-03-11}"
        )
    for i in range(people):
        crew.append(f"  person_{i}: {{age: 30, sober: true}}")
        shifts.append(
            f'    shift_{i}: {{person: person_{i}, role: spotter, station: stand_{i}, effects: [glow], from: "20:45", '
            'to: "22:00"}'
        )
    text = BASE.read_text(encoding="utf-8")
    text = text.replace("people:\n", "\n".join([*walls, *spots, "people:", *crew, ""]), 1)
    text = text.replace("  shifts:\n", "\n".join(["  shifts:", *shifts, ""]), 1)
    return "\n".join([text.rstrip(), "extinguishers:", "  hazard: ordinary", "  units:", *entries, ""])


def taken(folder: Path, *sizes: int) -> float:
    """Processor time of checking such a spec, s, imports and all; what misses is measured again by .ci/run."""
    from specc.engine.road import CHECK, Ask, travel

    path = folder / "field.yaml"
    path.write_text(spec(*sizes), encoding="utf-8")
    results: list[Result] = []
    took = busy(lambda: results.append(travel(str(path), None, Ask(kinds=CHECK, spots=True))))
    (result,) = results
    assert not [f for f in result.findings if f.rule.startswith("spec.") or "crashed" in f.message]
    statuses = {r.id: r.status for r in result.rules}
    assert statuses["operators.time_to_valves"] in ("passed", "failed")
    assert statuses["operators.in_sight"] == "failed"  # not all see the bowl past the walls
    assert statuses["extinguishers.class_a"] in ("passed", "failed", "stated")
    return took


@pytest.mark.parametrize("size", SIZES)
def test_a_site_with_much_on_it_is_checked_in_time(tmp_path: Path, size: str) -> None:
    *sizes, most = SIZES[size]
    assert taken(tmp_path, *sizes) < most


def drawn(folder: Path, *sizes: int) -> float:
    """Processor time of drawing the plan of such a site, s."""
    from specc.engine.road import Ask, travel

    path = folder / "field.yaml"
    path.write_text(spec(*sizes), encoding="utf-8")
    results: list[Result] = []
    ask = Ask(kinds=frozenset(), ids=frozenset({"drawing site"}))
    took = busy(lambda: results.append(travel(str(path), None, ask)))
    (result,) = results
    (sheet,) = dict(result.drawings)["site"].sheets
    texts = {shape.text for shape in sheet.shapes if type(shape).__name__ == "Text"}
    # The stands are too close to one another for names: they have numbers.
    assert {"wall_0", f"wall_{sizes[0] - 1}"} <= texts
    assert any(text == "1" or text.startswith("1 to ") for text in texts), texts
    return took


@pytest.mark.parametrize("size", DRAWN)
def test_a_site_with_much_on_it_is_drawn_in_time(tmp_path: Path, size: str) -> None:
    *sizes, most = DRAWN[size]
    assert drawn(tmp_path, *sizes) < most


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as made:
        for name, (*sizes, _) in SIZES.items():
            print(name, round(taken(Path(made), *sizes), 2), file=sys.stderr)
        for name, (*sizes, _) in DRAWN.items():
            print(name, "drawn", round(drawn(Path(made), *sizes), 2), file=sys.stderr)
