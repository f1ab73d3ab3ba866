"""Which failures the one page of the front shows, where there are more than it has room for."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from specc.kinds.faults import Fault
from specc.kinds.plumbing import Network, Part
from specc.model.blocks import Row, Table
from specc.model.result import Result
from specc.model.view import View
from specc_plumbing.fault_page import shortened
from specc_plumbing.fault_table import FaultLine, Stops
from specc_plumbing.network import network_of

HOSES = 60


def device() -> Network:
    kinds = [("tank", "cylinder", ""), *((f"h{i}", "hose", "") for i in range(HOSES)), ("v", "valve", "ball")]
    parts = [Part(tag, kind, form, tag, View({}, f"/{tag}"), f"/{tag}") for tag, kind, form in kinds]
    return network_of(parts, (), [("tank", p.tag) for p in parts[1:]])


def line(fault: Fault, flow: float, heat: float) -> FaultLine:
    then = f"gas from {fault.what}"
    return FaultLine(fault, then, "v", "10 s", "1 oz", "30 oz", "computed", (fault,), flow, heat)


def parted(tag: str) -> Fault:
    return Fault(f"{tag}.parted", "parted", (tag,), f"hose {tag} parted", "")


def many() -> tuple[Sequence[Row], Sequence[Row]]:
    lines = [line(parted(f"h{i}"), 1.0 + i, 0.0) for i in range(HOSES)]
    lines.append(line(Fault("v.stuck_open", "stuck_open", ("v",), "v stuck open", ""), 0.0, 2e6))
    return shortened(device(), lines)


def test_what_burns_most_is_never_among_the_rest() -> None:
    """Sixty hoses let out more unlit gas than a valve whose flame is the largest: "no more gas than above" hid it."""
    rows, folds = many()
    assert [row.cells[0] for row in rows if row.kept] == ["v stuck open"]
    assert rows[0].cells[0] == f"hose h{HOSES - 1} parted"
    assert len(folds) == HOSES
    assert folds[4].cells[0] == "5 other failures"


def test_what_is_folded_is_told_by_the_worst_of_it() -> None:
    rows, folds = many()
    least = [row for row in rows if not row.kept][-3:]
    assert folds[2].cells[4] == least[0].cells[4]


def test_a_device_of_which_nothing_fails_has_no_rows() -> None:
    assert shortened(device(), ()) == ((), ())


def test_of_several_that_other_valves_stop_those_are_named() -> None:
    net = device()

    def joint(n: int, *valves: str) -> FaultLine:
        fault = Fault(f"j{n}", "parted", (f"h{n}", f"h{n + 1}"), f"h{n} off h{n + 1}", "")
        stops: Stops = (("hand", valves),)
        return line(fault, 5.0 - n, 0.0)._replace(stops=stops, stopped_by=" and ".join(valves))

    some = [joint(0, "h10", "h9"), joint(1, "h9", "h10"), joint(2, "h7", "h8"), joint(3, "h6", "h5")]
    ((row, *_), _) = shortened(net, some)
    # The same two in another order are no others.
    assert row.cells[2] == "h10 and h9 (h2 off h3: h7 and h8; h3 off h4: h6 and h5)"
    ((row, *_), _) = shortened(net, [*some, joint(4, "h4", "h3")])
    assert row.cells[2] == "h10 and h9 (others: h7 and h8; h6 and h5; h4 and h3)"


def table_of(result: Result) -> tuple[Table, Sequence[str]]:
    table = dict(result.tables)["plumbing.if_this_fails"]
    section = next(s for s in result.sections if s.id == "plumbing_faults")
    return table, [str(getattr(block, "text", "")) for block in section.blocks]


def test_power_lost_names_the_valves_of_what_burns_on(complete: Callable[[str], Result]) -> None:
    table, words = table_of(complete("lantern_reeds"))
    (row,) = [row for row in table.rows if row.cells[0] == "power lost"]
    assert row.cells[2] == "sv_2, by itself; what burns on: v_a and v_b"
    assert "valves by hand: v_a, v_b, v1, v_r1 to v_r5, v_p, v2, v3, v_d" in words[-1]
    assert "solenoid valves: sv_1, sv_2" in words[-1]
    assert not any("others differ" in cell for row in table.rows for cell in row.cells)
