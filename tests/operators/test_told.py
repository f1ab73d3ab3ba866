"""What the crew's plan says in words has to say something: a dash or "none" passed for a telephone."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import checked, project

GOOD = Path(__file__).parent.parent / "rules" / "operators.yaml"


@pytest.mark.parametrize(
    ("said", "nothing"),
    [
        ("call: 911 by telephone", "call: none"),
        ("address: The Meadow", "address: unknown"),
        ("access: north gate", 'access: "-"'),
        ("assembly: fence", "assembly: nobody"),
        ("how: hand-held", "how: TBD"),
        ("who: the club, at", 'who: "?", at'),
    ],
)
def test_a_word_for_nothing_is_refused_at_its_line(tmp_path: Path, said: str, nothing: str) -> None:
    result = checked(project(tmp_path, GOOD, (said, nothing)))
    (found,) = [f for f in result.findings if f.rule == "spec.value"]
    assert "tells a reader nothing" in found.message
