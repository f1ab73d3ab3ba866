"""One thing has one figure, wherever it is printed: in the drawing, in its zone's table, on page one, in the rules."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from sample_packets import complete

from specc.kinds.plumbing import zone_tag
from specc.measure.printing import both, psig
from specc.model.result import Result
from specc.packet.desk import Desk
from specc.packet.summary import not_known


@pytest.fixture
def reeds() -> Result:
    return complete("lantern_reeds")


def test_a_nozzle_stands_at_no_more_than_its_zone(reeds: Result) -> None:
    """A regulator that says where it locks up does so by as much when it is turned up, for zone and burner alike."""
    figures = {f.key: f for f in reeds.figures}
    nozzle = figures["fuel.section_blocked.nozzle"]
    zone = figures[f"fuel.zone_pressure.{zone_tag('pr2', 'highest')}"]
    assert nozzle.si <= zone.si * (1 + 1e-9)
    assert psig(nozzle.si, 2) == psig(zone.si, 2) == "44 psig"


def test_what_is_open_to_the_air_stands_at_what_the_drawing_says_of_its_outlets(reeds: Result) -> None:
    figures = {f.key: f for f in reeds.figures}
    drawn = [f.si for key, f in figures.items() if re.fullmatch(r"fuel\.section_blocked\.(stem_\d|pilot_1)", key)]
    assert figures[f"fuel.zone_pressure.{zone_tag('open to the air', 'highest')}"].si == max(drawn)


def test_a_figure_is_no_finer_than_the_table_beside_it() -> None:
    assert both(24.05, "gauge_pressure", "psig")[0] == psig(24.05) == "< 0.01 psig"
    assert both(96.0, "gauge_pressure", "psig")[0] == psig(96.0) == "0.01 psig"


def test_rules_are_counted_alike_in_both_places_of_page_one() -> None:
    """The list of reasons says how many rules it leaves out, as the answer above it does, and not how many reasons."""
    garden = complete("garden_brazier")
    silent = [r for r in garden.rules if r.status in ("not checked", "blocked", "crashed")]
    reasons = not_known(silent, Desk(garden, False))
    assert sum(n for _, n in reasons) == len(silent)
    assert len(reasons) < len(silent)
