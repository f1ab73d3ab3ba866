"""Writing out the short forms of a whole sample costs little of a check."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from specc.engine.host import find
from specc.engine.long_form import long_form
from specc.spec.source import load

REEDS = Path(__file__).resolve().parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"
MOST = 0.015  # s of processor time

pytestmark = pytest.mark.benchmark


def test_the_short_forms_of_lantern_reeds_are_written_out_in_time() -> None:
    host = find()
    taken = []
    for _ in range(6):
        source = load(str(REEDS))
        before = time.process_time()
        written, _, _ = long_form(source, host)
        taken.append(time.process_time() - before)
    assert len(written.data["plumbing"]["parts"]) > 60
    assert min(taken) < MOST, taken
