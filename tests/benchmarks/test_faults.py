"""The fault table of 40 closures and 60 breaks and more, whole. Measured 2026-11-29: see SECONDS.

A manifold feeds ten lines, each with four valves, a hose, an orifice and a burner: 100 joints, 10 hoses, 41 closures.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from measures import forget_answers

from specc.engine.road import Ask, travel
from specc.model.blocks import Table

pytestmark = pytest.mark.benchmark
SECONDS = 2.0


def spec_text() -> str:
    parts = ["tank: {kind: cylinder, capacity: 100 lb}", "v0: {kind: valve, form: ball, cv: 6, bore: 1/2 in}"]
    parts += [
        "pr: {kind: regulator, set: 10 psi, highest: 20 psi, seat: 1/8 in}",
        "m: {kind: fitting, form: manifold, bore: 3/8 in}",
    ]
    runs = ["main: {from: tank, line: [v0, pr, m]}"]
    outlets = []
    for i in range(10):
        line = []
        for j in range(4):
            parts.append(f"v{i}_{j}: {{kind: valve, form: ball, cv: {3 + i / 10}, bore: 3/8 in}}")
            line.append(f"v{i}_{j}")
        parts.append(f"h{i}: {{kind: hose, bore: 1/4 in, length: {10 + i} ft}}")
        parts.append(f"o{i}: {{kind: orifice, bore: 0.03 in, discharge: 0.8}}")
        parts.append(f"b{i}: {{kind: burner, form: bar, jets: {{count: 9, bore: 1/16 in, discharge: 0.7}}}}")
        outlets.append(f"b{i}")
        runs.append(f"r{i}: {{from: m, line: [{', '.join([*line, f'h{i}', f'o{i}', f'b{i}'])}]}}")
    inner = "".join(f"    {p}\n" for p in parts)
    lines = "".join(f"    {r}\n" for r in runs)
    return (
        "format: 1\nproject: {title: Many}\nevent: {name: T, dates: [2027-06-19], elevation: 0 ft}\n"
        "weather: {air: {low: 50 °F, usual: 64 °F, high: 86 °F}}\n"
        f"effects: {{glow: {{kind: steady, outlets: [{', '.join(outlets)}]}}}}\n"
        f"show: {{scenes: {{dusk: {{lasts: 1 h, steady: [glow]}}}}}}\nplumbing:\n  parts:\n{inner}  runs:\n{lines}"
    )


def test_forty_closures_and_sixty_breaks(tmp_path: Path) -> None:
    path = tmp_path / "project.yaml"
    path.write_text(spec_text(), encoding="utf-8")

    def taken(ask: Ask) -> tuple[float, object]:
        forget_answers()
        start = time.process_time()
        result = travel(str(path), None, ask)
        return time.process_time() - start, result

    kinds = Ask(kinds=frozenset({"table"}))
    seconds, result = min((taken(kinds) for _ in range(3)), key=lambda one: one[0])
    table = dict(result.tables)["plumbing.faults"]  # type: ignore[attr-defined]
    assert isinstance(table, Table)
    assert not any("not computed" in row.cells for row in table.rows)
    assert seconds < SECONDS, seconds
