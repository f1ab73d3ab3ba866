"""How soon what a stranger may send is read or refused, how the bill's tables grow, and how long a plot takes.

Processor time; the default run has no clocks, since a busy machine fails them. Measured 2026-11 on two busy cores: each
bomb of aliases under 0.4 s, each hostile text under 1 ms, a spec of 2,000 parts 0.25 s, four times the parts 4 to 5
times the bill's tables, 10,000 points of a plot 0.01 s.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from measures import busy
from test_check import spec as wall

from specc.drawing.plot import PlotLine, PlotMark, plot
from specc.measure.reading import parse
from specc.spec.source import load
from specc.testing import result_of


def bomb(levels: int, wide: int, first: str) -> str:
    lines = [f"a0: &a0 {first}"]
    lines += [f"a{level}: &a{level} [{', '.join([f'*a{level - 1}'] * wide)}]" for level in range(1, levels)]
    return "\n".join(lines)


BOMBS = {
    "lists": bomb(30, 9, "[x, x, x]"),
    "pairs": bomb(58, 2, "{k: v}"),
    "text": bomb(30, 9, "x"),
    "wide": bomb(4, 2000, "[x]"),
    "long text": "a: &a '" + "x" * 3_000_000 + "'\nb: [" + "*a," * 100_000 + "]",
    "long list": "a: &a [" + "x," * 90_000 + "]\nb: [" + "*a," * 100_000 + "]",
}


@pytest.mark.parametrize("what", BOMBS)
def test_a_bomb_of_aliases_is_refused_at_once(tmp_path: Path, what: str) -> None:
    path = tmp_path / "bomb.yaml"
    path.write_text(BOMBS[what], encoding="utf-8")
    assert busy(lambda: load(path)) < 1.0


def test_a_spec_of_two_thousand_parts_is_read_in_time(tmp_path: Path) -> None:
    part = "    p{}:\n      kind: valve\n      size: 1/2 in\n      length: 12.5 ft\n      rating: 250 psi\n"
    part += '      note: "ball valve, é"\n      at: [1.0, 2, 3.5]\n'
    path = tmp_path / "large.yaml"
    path.write_text("plumbing:\n  parts:\n" + "".join(part.format(n) for n in range(2000)), encoding="utf-8")
    assert min(busy(lambda: load(path)) for _ in range(3)) < 0.4


@pytest.mark.parametrize(
    "text",
    [
        "9" * 10_000 + " in",
        "1 " + "/" * 9_998,
        "(" * 70 + "1 in",
        "1 in" + " 1 in" * 15,
        "1" + "±1" * 39,
        "1 " + "+ - " * 19,
        "1" + " " * 78 + "x",
        "9**9**9 ft",
    ],
)
def test_a_hostile_text_is_refused_at_once(text: str) -> None:
    assert busy(lambda: parse(text, "length")) < 0.1


def test_the_bill_grows_as_the_parts_do(tmp_path: Path) -> None:
    """Four times the parts: 4 times as long, or 16 if every part looked at every other."""
    tables = ("table plumbing.bill", "table plumbing.joint_schedule")
    took = []
    for runs in (75, 300):
        path = tmp_path / f"wall_{runs}.yaml"
        path.write_text(wall(runs, 12), encoding="utf-8")
        took.append(min(busy(lambda path=path: result_of(path, only=tables)) for _ in range(2)))
    assert took[1] < 7 * took[0], took


def test_ten_thousand_points_are_drawn_in_time() -> None:
    falling = [(i * 1.44, 50 + 40 * math.exp(-i / 3000)) for i in range(10_000)]
    noisy = [(float(i), (i * 7919) % 1000 / 10) for i in range(10_000)]
    marks = [PlotMark(5000.0, 20.0, "weak burst")]
    for points in (falling, noisy):
        lines = [PlotLine("tank", points)]
        took = [busy(lambda lines=lines: plot("k", "t", lines, "", "", marks=marks)) for _ in range(5)]
        assert min(took) < 0.05, took
