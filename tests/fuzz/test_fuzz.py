"""A few mutated samples in each run of the suite, and every case that once failed. `.ci/run` searches for a minute."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from fuzzing import ODD, Fault, case, fault_of, nodes, structured

# (seed, number): faults that were found. While the mutations stay as they are, these make the same files again.
KEPT = [(1, 327), (2, 584)]


@pytest.mark.parametrize(("seed", "number"), [*KEPT, *((20, n) for n in range(12))])
def test_a_mutated_sample_ends_in_findings(seed: int, number: int, tmp_path: Path) -> None:
    _, words = case(seed, number, tmp_path)
    assert fault_of(words) is None, f"tests/fuzz/fuzzing.py --seed {seed} --case {number}"


def test_a_case_is_the_same_each_time(tmp_path: Path) -> None:
    made = [case(5, 3, tmp_path / name)[0].read_bytes() for name in ("a", "b")]
    assert made[0] == made[1]
    assert made[0] != case(5, 4, tmp_path / "c")[0].read_bytes()


def test_mutations_change_values_at_every_depth() -> None:
    from random import Random

    data = {"a": {"b": [1, {"c": "2 ft"}]}}
    assert ("a", "b", 1, "c") in set(nodes(data))
    made = [structured(data, Random(n)) for n in range(90)]
    assert data == {"a": {"b": [1, {"c": "2 ft"}]}}
    assert sum(one != data for one in made) > 50
    assert sum(repr(odd) in repr(made) for odd in ODD if isinstance(odd, str) and len(odd) > 3) > 5


def test_a_crash_of_a_built_in_is_a_fault(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import specc_materials.joined as joined

    _, words = case(1, 327, tmp_path)
    monkeypatch.setattr(joined, "Joined", None)
    fault = fault_of(words)
    assert isinstance(fault, Fault)
    assert "materials.joined" in fault.kind
