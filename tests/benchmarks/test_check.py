"""How long `specc check` takes on a device of 2,000 parts in 300 runs, and how that grows.

Measured 2026-11-29, Python 3.11.7, two cores, processor time within one process: 0.4, 0.8 and 1.5 s for 75, 150 and
300 runs with hoses of twelve lengths, 0.6, 1.1 and 2.1 s with all runs different. Work that grows as n log n takes 4.9
times as long at four times 500 parts, work that grows as the square 16 times: the ceiling lies between. As a
script this prints the numbers again.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from measures import busy

# Processor time of the whole road, as `specc check` walks it, plugins and all. Devices have like runs; with none
# alike each is solved by itself: as it is set, turned up, turned up with jets blocked, and with a regulator failed
# open, in each weather case; and each of its 300 flames has its size, heat and distance in each case.
SECONDS = {12: 2.0, 1000: 2.7}
FOURFOLD = 7.0

HEAD = """format: 1
project: {id: wall_of_lamps, title: Wall of lamps}
event: {name: Trial evening, dates: [2027-06-19], elevation: 420 ft}
weather: {air: {low: 50 °F, usual: 64 °F, high: 86 °F}}
"""


def spec(runs: int, lengths: int) -> str:
    """A manifold that feeds so many runs of seven parts, with hoses of so many different lengths."""
    parts = [
        "    tank: {kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, connection: CGA 510}",
        "    pr: {kind: regulator, set: 10 psi, highest: 20 psi}",
        "    m0: {kind: fitting, form: manifold}",
    ]
    lines, effects = ["    main: {from: tank, line: [pr, m0]}"], []
    for r in range(runs):
        feet = 6 + r % lengths
        parts += [
            f"    v{r}: {{kind: valve, form: ball, size: 1/2 in NPT}}",
            f"    c{r}: {{kind: fitting, form: connector, size: 3/8 flare x 1/2 MNPT}}",
            f"    h{r}: {{kind: hose, bore: 3/8 in, length: {feet} ft, ends: [3/8 female flare, 3/8 female flare]}}",
            f"    a{r}: {{kind: fitting, form: connector, size: 3/8 flare x 1/4 MNPT}}",
            f"    b{r}: {{kind: fitting, form: coupling, size: 1/4 in NPT}}",
            f"    o{r}: {{kind: orifice, ends: [1/4 MNPT, 1/4 FNPT], bore: 0.02 in, discharge: 0.8}}",
            f"    x{r}: {{kind: burner, form: stem, ends: [1/4 MNPT], "
            "jets: {count: 5, bore: 1/16 in, discharge: 0.7}}",
        ]
        lines.append(f"    r{r}: {{from: m0, line: [v{r}, c{r}, h{r}, a{r}, b{r}, o{r}, x{r}]}}")
        effects.append(f"  e{r}: {{kind: steady, outlets: [x{r}]}}")
    burning = ", ".join(f"e{r}" for r in range(runs))
    show = f"show: {{scenes: {{dusk: {{lasts: 1 h, steady: [{burning}]}}}}}}"
    return "\n".join([HEAD, "effects:", *effects, show, "plumbing:", "  parts:", *parts, "  runs:", *lines, ""])


def taken(folder: Path, runs: int, lengths: int) -> float:
    """Processor time of checking such a spec, s; the best of two."""
    from specc.engine.road import CHECK, Ask, travel

    path = folder / f"wall_{runs}.yaml"
    path.write_text(spec(runs, lengths), encoding="utf-8")
    times, results = [], []
    for _ in range(2):
        results.clear()
        times.append(busy(lambda: results.append(travel(str(path), None, Ask(kinds=CHECK, spots=True)))))
        (result,) = results
        statuses = {r.id: r.status for r in result.rules}
        assert statuses["plumbing.one_place"] == "passed"
        assert sum(f.key.startswith("fuel.flow.") for f in result.figures) == runs
    return min(times)


@pytest.mark.parametrize("lengths", SECONDS, ids=["like runs", "all runs differ"])
def test_two_thousand_parts_are_checked_in_time(tmp_path: Path, lengths: int) -> None:
    few, many = taken(tmp_path, 75, lengths), taken(tmp_path, 300, lengths)
    assert many < SECONDS[lengths], (few, many)
    assert many < FOURFOLD * few, (few, many)


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as made:
        for kinds in (12, 1000):
            print(kinds, [round(taken(Path(made), n, kinds), 2) for n in (75, 150, 300)], file=sys.stderr)
