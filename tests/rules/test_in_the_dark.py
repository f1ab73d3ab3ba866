"""Marks and signals by night, on the good spec of the operators: what is not said is asked, and by day is not asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, checked, project, status_of

GOOD = Path(__file__).with_name("operators.yaml")
OTHERS = all_but("operators", "core")
ARMS = ("by: [arms, voice]", "by: [arms]")
DAY: tuple[Patch, ...] = (
    ('hours: {from: "20:00", to: "01:00"}', 'hours: {from: "09:00", to: "16:00"}'),
    ('dusk: {starts: "21:30"', 'dusk: {starts: "10:00"'),
    ('starts: "23:30"', 'starts: "12:00"'),
)


@pytest.mark.parametrize(
    ("rule", "patches", "status"),
    [
        ("mark_lit", (), "stated"),
        ("mark_lit", (("lit: lamp on the barn, ", ""),), "not checked"),
        ("mark_lit", (("mark: barn, ", ""),), "not checked"),
        ("mark_lit", (("lit: lamp on the barn, ", ""), *DAY), "not applicable"),
        ("signals_given", (), "passed"),
        ("signals_given", (ARMS,), "failed"),
        ("signals_given", (ARMS, *DAY), "passed"),
        ("signals_given", (ARMS, ("gate: {at: [30 ft, 0 ft]}", "gate: {at: [29 ft, 0 ft]}"),
                           ("tank: {at: [30 ft, 10 ft]}", "tank: {at: [20 ft, 10 ft]}")), "passed"),
        ("signals_given", (("by: [arms, voice], ", ""),), "not checked"),
        ("signals_given", (("lets: [puff], ", ""),), "not checked"),
        ("signals_given", (("by: [radio], lets", "by: [light, horn], lets"),), "failed"),
    ],
)  # fmt: skip
def test_what_is_shown_by_night(rule: str, patches: tuple[Patch, ...], status: str, tmp_path: Path) -> None:
    made = checked(project(tmp_path, GOOD, *patches), block=OTHERS)
    assert status_of(made, f"operators.{rule}") == status
