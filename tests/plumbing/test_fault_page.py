"""Which failures the one page of the front shows, where there are more than it has room for."""

from __future__ import annotations

from specc.kinds.faults import Fault
from specc.kinds.plumbing import Network, Part
from specc.model.view import View
from specc_plumbing.fault_page import shortened
from specc_plumbing.fault_table import FaultLine
from specc_plumbing.network import network_of

HOSES = 60


def device() -> Network:
    kinds = [("tank", "cylinder", ""), *((f"h{i}", "hose", "") for i in range(HOSES)), ("v", "valve", "ball")]
    parts = [Part(tag, kind, form, tag, View({}, f"/{tag}"), f"/{tag}") for tag, kind, form in kinds]
    return network_of(parts, (), [("tank", p.tag) for p in parts[1:]])


def line(fault: Fault, flow: float, heat: float) -> FaultLine:
    then = f"gas from {fault.what}"
    return FaultLine(fault, then, "v", "10 s", "1 oz", "30 oz", "computed", (fault,), flow, heat)


def test_what_burns_most_is_never_among_the_rest() -> None:
    """Sixty hoses let out more unlit gas than a valve whose flame is the largest: "no more gas than above" hid it."""
    lines = [line(Fault(f"h{i}.parted", "parted", (f"h{i}",), f"hose h{i} parted", ""), 1.0 + i, 0.0)
             for i in range(HOSES)]  # fmt: skip
    lines.append(line(Fault("v.stuck_open", "stuck_open", ("v",), "v stuck open", ""), 0.0, 2e6))
    rows = shortened(device(), lines)
    assert any("other failures" in row.cells[0] for row in rows)
    assert any(row.cells[0] == "v stuck open" for row in rows)
    assert rows[0].cells[0] == f"hose h{HOSES - 1} parted"


def test_a_device_of_which_nothing_fails_has_no_rows() -> None:
    assert shortened(device(), ()) == ()
