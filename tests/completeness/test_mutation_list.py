"""The faults of tests/mutation still apply. That list is run by hand, and a text that moves away makes it void."""

from __future__ import annotations

import importlib.util
from pathlib import Path

RUN = Path(__file__).parents[1] / "mutation" / "run.py"


def test_each_fault_of_the_list_still_applies() -> None:
    spec = importlib.util.spec_from_file_location("mutation_run", RUN)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    listed = made.faults()
    assert len(listed) >= made.LEAST
    assert [why for fault in listed if (why := made.stale(fault))] == []
