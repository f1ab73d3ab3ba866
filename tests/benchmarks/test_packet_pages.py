"""How long a packet of 300 pages takes to lay out, and how much memory; and how long two specs take to compare.

Measured 2026-11 in processor time: 300 pages under 5 s and 200 MB; `specc compare` from the shell of `broken_mast` (413
lines) with itself 1.0 s, of `lantern_reeds` (458 lines, much more of it computed) with a changed copy 1.7 s; where
Python keeps no bytecode 1.4 and 2.0 s.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "sample_projects"
PAGES, SECONDS, MEGABYTES = 300, 5.0, 200.0
COMPARED = 1.5

LAID_OUT = """
import json, re, sys, time
from specc.engine.road import COMPILE, Ask, travel
from specc.packet import render
result = travel(sys.argv[1], None, Ask(COMPILE))
own = [s for s in result.sections if s.part == "appendix" and s.blocks]
many = [s._replace(id=f"{s.id}_{n}", blocks=s.blocks) for n in range(int(sys.argv[2])) for s in own]
result = result._replace(sections=(*result.sections, *many))
start = time.process_time()
data = render(result)
took = time.process_time() - start
# Not ru_maxrss, which begins with what the process that started this one held.
held = re.search(r"VmHWM:\\s+(\\d+) kB", open("/proc/self/status").read())
print(json.dumps([took, int(held[1]) / 1024, data.count(b"/Type /Page\\n")]))
"""

COMPARE = """
import sys, time
from specc.cli import main
main(["compare", sys.argv[1], sys.argv[1]])
print(time.process_time())
"""


def child(code: str, *words: str) -> str:
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True)
    return done.stdout.strip().splitlines()[-1]


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the most memory held, as Linux tells it")
def test_a_packet_of_300_pages_is_laid_out_in_time_and_memory() -> None:
    took, megabytes, pages = json.loads(child(LAID_OUT, str(SAMPLES / "garden_brazier" / "project.yaml"), "49"))
    assert PAGES <= pages < PAGES * 1.1, pages
    assert took * PAGES / pages < SECONDS, (took, pages)
    assert megabytes < MEGABYTES, megabytes


def test_two_specs_are_compared_in_time() -> None:
    took = float(child(COMPARE, str(SAMPLES / "broken_mast" / "project.yaml")))
    assert took < COMPARED
