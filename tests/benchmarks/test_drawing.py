"""How the schematic's time grows, measured within one run at about 250, 500 and 1,000 parts, and the whole verb.

Measured 2026-11-25, Python 3.11.7, two cores that others were using: from 500 to 2,000 parts 4.0 to 4.5 times as long
(2.0 to 2.1 at each doubling), 0.9 to 1.1 s for 2,000; `specc drawing` of 2,102 parts in 300 runs 2.4 s as SVG and 3.2 s
as PDF. Work that grows as n log n takes 4.9 times as long at four times 500, work that grows as the square 16 times:
the ceilings lie between. As a script this prints the numbers again.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from measures import best, busy

from specc.cli import main
from specc.drawing.flow import Node, ZoneLabel, laid_out
from specc.drawing.svg import to_svg

ZONES = {
    "supply": ZoneLabel("cylinder pressure", "110 psig"),
    "pr": ZoneLabel("regulated", "10 psig, most 20"),
    "open": ZoneLabel("open to the air"),
}
DOUBLING = 3.2
FOURFOLD = 7.0
SECONDS = 10.0
Network = tuple[list[Node], list[tuple[str, str]]]


def in_line(start: str, run: int, kinds: list[tuple[str, str]]) -> Network:
    line = [Node(f"{kind[0]}{run}.{i}", kind, ("1/4 in NPT",), zone) for i, (kind, zone) in enumerate(kinds)]
    return line, [(start, line[0].tag), *((a.tag, b.tag) for a, b in pairwise(line))]


def runs(count: int) -> Network:
    """A manifold that feeds runs of seven parts."""
    kinds = [("regulator", "supply"), ("hose", "pr"), ("ball_valve", "pr"), ("tube", "pr")]
    kinds += [("solenoid_valve", "pr"), ("orifice", "pr"), ("stem", "open")]
    nodes, links = [Node("tank", "cylinder", (), "supply"), Node("man", "manifold", (), "supply")], [("tank", "man")]
    for r in range(count):
        line, joins = in_line("man", r, kinds)
        nodes, links = nodes + line, links + joins
    return nodes, links


def fittings(count: int) -> Network:
    """Runs of which most parts are small fittings."""
    kinds = [("bushing", "supply"), ("regulator", "supply"), ("nipple", "pr"), ("coupling", "pr")]
    kinds += [("flare_nut", "pr"), ("orifice", "pr"), ("stem", "open")]
    nodes, links = [Node("tank", "cylinder", (), "supply"), Node("man", "manifold", (), "supply")], [("tank", "man")]
    for r in range(count):
        line, joins = in_line("man", r, kinds)
        nodes, links = nodes + line, links + joins
    return nodes, links


def cylinders(count: int) -> Network:
    """So many cylinders, each with a hose, a check valve and more, on one manifold."""
    nodes, links = [Node("man", "manifold", (), "supply")], []
    for r in range(count):
        kinds = [(k, "supply") for k in ("cylinder", "connector", "hose", "bushing", "check_valve", "nipple", "union")]
        line, joins = in_line("", r, kinds)
        nodes, links = nodes + line, [*links, *joins[1:], (line[-1].tag, "man")]
    return nodes, links


def tees(count: int) -> Network:
    """One line with a branch at each of so many tees."""
    nodes, links, last = [Node("tank", "cylinder", (), "supply")], [], "tank"
    for r in range(count):
        nodes.append(Node(f"tee{r}", "tee", ("3/8 in",), "supply"))
        links.append((last, f"tee{r}"))
        last = f"tee{r}"
        kinds = [("ball_valve", "supply"), ("bushing", "supply"), ("orifice", "supply"), ("nipple", "open")]
        line, joins = in_line(last, r, [*kinds, ("coupling", "open"), ("stem", "open")])
        nodes, links = nodes + line, links + joins
    return nodes, links


SHAPES: dict[str, Callable[[int], Network]] = {
    "runs": runs,
    "fittings": fittings,
    "cylinders": cylinders,
    "tees": tees,
}


def seconds(make: Callable[[int], Network], counts: tuple[int, ...] = (36, 72, 144)) -> list[float]:
    """The processor's shortest of three times to lay out and write, for each count of lines of seven parts."""
    made = [make(count) for count in counts]

    def task(network: Network) -> Callable[[], float]:
        return lambda: busy(lambda: to_svg(laid_out(*network, ZONES, open_zone="open").drawing, None))

    return best(*(task(network) for network in made), times=3)


@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_time_grows_no_faster_than_n_log_n(shape: str) -> None:
    took = seconds(SHAPES[shape])
    for less, more in pairwise(took):
        assert more / less < DOUBLING, took
    assert took[-1] / took[0] < FOURFOLD, took


def spec_of(count: int) -> str:
    """A spec with one cylinder and so many lines of seven parts."""
    parts = ["    tank: {kind: cylinder, capacity: 100 lb}", "    man: {kind: fitting, form: manifold}"]
    lines = ["    feed: {from: tank, line: [man]}"]
    for i in range(count):
        parts += [
            f"    r{i}: {{kind: regulator, set: 10 psi}}",
            f"    h{i}: {{kind: hose, bore: 3/8 in, length: 10 ft}}",
            f"    v{i}: {{kind: valve, form: ball, normally: closed}}",
            f"    b{i}: {{kind: fitting, form: bushing, size: 3/8 in}}",
            f"    s{i}: {{kind: valve, form: solenoid, normally: closed}}",
            f"    f{i}: {{kind: orifice, bore: 0.03 in, discharge: 0.8}}",
            f"    e{i}: {{kind: burner, form: stem, jets: {{count: 1, bore: 1/8 in, discharge: 0.8}}}}",
        ]
        lines.append(f"    l{i}: {{from: man, line: [r{i}, h{i}, v{i}, b{i}, s{i}, f{i}, e{i}]}}")
    head = "format: 1\nproject: {id: many, title: Many Lines}\nevent: {elevation: 100 ft}\n"
    return head + "\n".join(["plumbing:", "  parts:", *parts, "  runs:", *lines, ""])


def drawing_of(count: int, folder: Path, out: str) -> float:
    spec = folder / "project.yaml"
    spec.write_text(spec_of(count), encoding="utf-8")
    took = busy(lambda: main(["drawing", str(spec), "plumbing", "-o", str(folder / out)]))
    assert (folder / out).stat().st_size > 100_000
    return took


def test_two_thousand_parts_are_drawn_in_time(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert drawing_of(300, tmp_path, "many.svg") < SECONDS


if __name__ == "__main__":
    import tempfile

    for name, make in SHAPES.items():
        took = seconds(make)
        said = ", ".join(f"{t * 1000:5.0f} ms" for t in took)
        print(f"{name:10} {said}   times {took[1] / took[0]:.2f} and {took[2] / took[1]:.2f}", file=sys.stderr)
    with tempfile.TemporaryDirectory() as folder:
        for ending in ("svg", "pdf"):
            print(f"specc drawing, 300 runs, {ending}: {drawing_of(300, Path(folder), 'many.' + ending):.2f} s")
