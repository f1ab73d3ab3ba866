"""The breakdown into pieces, the bill of materials, the lengths to cut and the joint schedule."""

from __future__ import annotations

import csv
import io
from collections import Counter, defaultdict
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specc.kinds.plumbing import End, Fitted, Joint, Network, Part
from specc.measure.units import FOOT, INCH, POUND
from specc.model.blocks import Table
from specc.model.result import Result
from specc.model.values import Quantity
from specc.model.view import View
from specc.testing import Patch, all_but, project, result_of
from specc.verbs.table import csv_of
from specc_plumbing.bill import lines_of, sizes
from specc_plumbing.breakdown import pieces_of
from specc_plumbing.joint_schedule import seal, since
from specc_plumbing.network import network_of

GOOD = Path(__file__).parents[1] / "rules" / "geometry.yaml"
WITHOUT = all_but("plumbing")


def made(folder: Path, *patches: Patch) -> Result:
    return result_of(project(folder, GOOD, *patches), block=WITHOUT)


def table(result: Result, key: str) -> Table:
    found = dict(result.tables)[key]
    assert isinstance(found, Table)
    return found


def rows(result: Result, key: str) -> list[dict[str, str]]:
    shown = table(result, key)
    names = [c.name for c in shown.columns]
    return [dict(zip(names, row.cells, strict=True)) for row in shown.rows]


# Made up of plain records, so that hundreds of plumbings can be tried.

KINDS = ("valve", "fitting", "pipe", "tube", "hose", "burner")


def part_of(number: int, kind: str, size: str, length: float) -> Part:
    data: dict[str, object] = {"size": size, "material": "brass"}
    if kind in ("pipe", "tube", "hose"):
        data["length"] = Quantity(length, "length", f"{length} m")
    spec = View(data, f"/plumbing/parts/p{number}")
    return Part(f"p{number}", kind, "", kind, spec, spec.at)


def joint_of(number: int, between: tuple[Part, ...], comes_apart: bool) -> Joint:
    spec = View({"comes_apart": comes_apart}, f"/plumbing/joints/j{number}")
    return Joint(number, f"j{number}", "flared", True, between, (), spec, spec.at)


def linked(count: int, pairs: list[tuple[int, int]], apart: list[bool]) -> tuple[Network, tuple[Joint, ...]]:
    parts = [part_of(i, "fitting", "1/2 in", 1) for i in range(count)]
    links = list(dict.fromkeys((f"p{a % count}", f"p{b % count}") for a, b in pairs if a % count != b % count))
    net = network_of(parts, (), links)
    joints = tuple(
        joint_of(i + 1, (net.by_tag[a], net.by_tag[b]), apart[i % len(apart)]) for i, (a, b) in enumerate(links)
    )
    return net, joints


@given(
    st.integers(1, 30),
    st.lists(st.tuples(st.integers(0, 99), st.integers(0, 99)), max_size=60),
    st.lists(st.booleans(), min_size=1, max_size=60),
)
def test_each_part_is_in_one_piece_and_what_is_joined_stays_together(
    count: int, pairs: list[tuple[int, int]], apart: list[bool]
) -> None:
    net, joints = linked(count, pairs, apart)
    pieces = pieces_of(net, joints)
    assert Counter(p.tag for piece in pieces for p in piece) == Counter(p.tag for p in net.parts)
    home = {p.tag: i for i, piece in enumerate(pieces) for p in piece}
    kept = [(a.tag, b.tag) for j in joints if not j.spec.yes("comes_apart") for a, b in [j.parts]]
    assert all(home[a] == home[b] for a, b in kept)
    # And nothing else is held together: going along what is kept, all of a piece is reached from its first part.
    ways: dict[str, set[str]] = defaultdict(set)
    for a, b in kept:
        ways[a].add(b)
        ways[b].add(a)
    for piece in pieces:
        seen, stack = set(), [piece[0].tag]
        while stack:
            here = stack.pop()
            if here not in seen:
                seen.add(here)
                stack.extend(ways[here])
        assert seen == {p.tag for p in piece}


def test_a_union_that_comes_apart_within_stays_with_what_feeds_it() -> None:
    net, joints = linked(3, [(0, 1), (1, 2)], [False])
    within = joint_of(3, (net.by_tag["p1"],), True)
    assert [[p.tag for p in piece] for piece in pieces_of(net, (*joints, within))] == [["p0", "p1"], ["p2"]]


def fitted_of(part: Part, nuts: int) -> Fitted:
    ends = tuple(End("flare", "3/8", "female", nut=i < nuts) for i in range(2))
    return Fitted(part, ends, False, "", {})


plumbings = st.lists(
    st.tuples(
        st.sampled_from(KINDS),
        st.sampled_from(("1/8 in", "1/2 in", "1 in", "1-1/4 in")),
        st.floats(0.1, 9),
        st.integers(0, 2),
    ),
    max_size=40,
)


@given(plumbings)
def test_the_bill_counts_every_part_once_and_every_loose_nut(
    described: list[tuple[str, str, float, int]],
) -> None:
    parts = [part_of(i, kind, size, length) for i, (kind, size, length, _) in enumerate(described)]
    fitted = {p.tag: fitted_of(p, nuts) for p, (*_, nuts) in zip(parts, described, strict=True)}
    lines = lines_of(parts, fitted)
    bought = [line for line in lines if line.kind != "nut"]
    assert sum(line.number for line in bought) == len(parts)
    assert Counter(tag for line in bought for tag in line.tags) == Counter(p.tag for p in parts)
    assert sum(line.number for line in lines if line.kind == "nut") == sum(nuts for *_, nuts in described)
    for kind in ("pipe", "tube", "hose"):
        stated = sum(length for k, _, length, _ in described if k == kind)
        feet = sum(float(line.length.removesuffix(" ft")) for line in bought if line.kind == kind)
        assert feet == pytest.approx(stated / FOOT, abs=0.006 * len(lines) + 1e-6)
    assert [line.kind for line in lines] == sorted(line.kind for line in lines)
    for kind in KINDS:
        listed = [sizes(line.size) for line in bought if line.kind == kind]
        assert listed == sorted(listed)


def test_the_order_of_sizes() -> None:
    written = ["1/8 in", "3/16 in", "1/4 in", "3/8 in", "½ in", "3/4 in", "1 in", "1-1/4 in", "1 1/2 in", "2 in"]
    assert sorted(reversed(written), key=sizes) == written
    assert sizes("not stated") > sizes("48 in")
    assert sizes("1/2 x 1/4 in NPT") < sizes("1/2 x 3/8 in NPT")
    assert sizes("1/0 in") == (float("inf"),)


# The good spec's own tables.


def test_the_bill_of_the_good_spec(tmp_path: Path) -> None:
    result = made(tmp_path)
    bill = rows(result, "plumbing.bill")
    by_tags = {row["tags"]: row for row in bill}
    assert by_tags["el1, el2"]["count"] == "2"
    # The item has the catalog's name for it.
    assert "nipple" in by_tags["n1, n2, n3"].pop("item")
    assert by_tags["n1, n2, n3"] == {
        "size": "1/2 in NPT, close, schedule 40",
        "ends": "1/2 in male NPT (2)",
        "material": "not stated",
        "rated": "not stated",
        "count": "3",
        "total length": "each",
        "tags": "n1, n2, n3",
    }
    # 10 13/16 in of pipe is 0.90 ft.
    assert (by_tags["riser"]["total length"], by_tags["riser"]["ends"]) == ("0.9 ft", "as cut")
    assert (by_tags["t1 (2)"]["item"], by_tags["t1 (2)"]["count"]) == ("flare nut, loose", "2")
    assert by_tags["tank"]["size"] == "20 lb"
    assert by_tags["ring"]["item"] == "ring burner, 24 in across, 36 jets of 1/16 in"
    assert sum(int(row["count"]) for row in bill) == 18 + 2


def test_alike_parts_with_another_rating_or_title_are_another_line(tmp_path: Path) -> None:
    line = "el2: {kind: fitting, form: elbow, size: 1/2 in NPT}"
    for more in ("rating: 300 psi", "title: long sweep elbow", "material: brass", "coating: zinc", "standard: B16.3"):
        bill = rows(made(tmp_path, (line, line.replace("1/2 in NPT", f"1/2 in NPT, {more}"))), "plumbing.bill")
        assert {"el1", "el2"} <= {row["tags"] for row in bill}, more


def test_one_rating_in_two_spellings_is_one_line(tmp_path: Path) -> None:
    bill = rows(
        made(
            tmp_path,
            ("el1: {kind: fitting, form: elbow,", "el1: {kind: fitting, form: elbow, rating: 300 psi,"),
            ("el2: {kind: fitting, form: elbow,", "el2: {kind: fitting, form: elbow, rating: 300 psig,"),
        ),
        "plumbing.bill",
    )
    assert "el1, el2" in {row["tags"] for row in bill}


@pytest.mark.parametrize(
    "key",
    ["plumbing.bill", "plumbing.pieces", "plumbing.cuts", "plumbing.joint_schedule", "plumbing.burner_geometry"],
)
def test_csv_has_a_value_in_each_cell(tmp_path: Path, key: str) -> None:
    shown = table(made(tmp_path), key)
    read = list(csv.reader(io.StringIO(csv_of(shown))))
    assert len(read) == len(shown.rows) + 1 > 1
    assert {len(row) for row in read} == {len(shown.columns)}
    assert all(cell.strip() and "\n" not in cell for row in read for cell in row)


def test_the_pieces_of_the_good_spec(tmp_path: Path) -> None:
    result = made(tmp_path)
    pieces = rows(result, "plumbing.pieces")
    assert [(p["from"], p["to"], p["parts"], p["comes apart at joint"]) for p in pieces] == [
        ("tank", "u1", "11", "11 (union)"),
        ("n3", "bar", "4", "11 (union), 15 (flared)"),
        ("t1", "ring", "3", "15 (flared)"),
    ]
    assert [p["longest part"] for p in pieces] == ["18 in (tank)", "18 in (bar)", "24 in (ring)"]
    # The tank's tare of 18 lb, and 0.901 ft of 1/2 in schedule 40 at 0.851 lb/ft, 0.77 lb.
    assert pieces[0]["weight"] == "at least 18.8 lb; 9 parts with no weight stated"
    assert pieces[1]["weight"] == "not known: 4 parts with no weight stated"
    # Type L of 5/8 in: 0.285 lb/ft. 20 in of tube and 73.9 in of ring are 7.82 ft: 2.23 lb. The ring has fittings too.
    assert pieces[2]["weight"] == "at least 2.23 lb; 2 parts with no weight stated"
    weight = result.figure("plumbing.piece_weight.3")
    assert weight is not None
    assert weight.si / POUND == pytest.approx(7.82 * 0.285, rel=2e-3)


def test_a_weight_without_a_doubt_stands_alone(tmp_path: Path) -> None:
    pieces = rows(
        made(
            tmp_path,
            ("fc2: {kind: fitting, form: connector,", "fc2: {kind: fitting, form: connector, weight: 0.25 lb,"),
            ("      kind: burner\n      form: ring\n", "      kind: burner\n      form: ring\n      weight: 3 lb\n"),
            ("      kind: tube\n", "      kind: tube\n      weight: 0.5 lb\n"),
        ),
        "plumbing.pieces",
    )
    assert pieces[2]["weight"] == "3.75 lb"


def test_nothing_comes_apart_and_it_is_one_piece(tmp_path: Path) -> None:
    result = made(
        tmp_path,
        ("method: union, comes_apart: true", "method: union"),
        ("[fc1, t1], comes_apart: true", "[fc1, t1]"),
    )
    assert [(p["parts"], p["comes apart at joint"]) for p in rows(result, "plumbing.pieces")] == [("18", "nowhere")]
    assert table(result, "plumbing.pieces").note.startswith("No joint is said to come apart")


def test_a_piece_of_many_parts_names_each_of_them(tmp_path: Path) -> None:
    """In rows of sixty tags, so that no page cuts a row."""
    many = [f"more_{i}" for i in range(150)]
    result = made(
        tmp_path,
        (
            "  runs:\n",
            "".join(f"    {tag}: {{kind: fitting, form: coupling, size: 1/2 in NPT}}\n" for tag in many) + "  runs:\n",
        ),
        ("el2, n2, u1", f"el2, n2, {', '.join(many)}, u1"),
    )
    first = [row for row in rows(result, "plumbing.pieces") if row["piece"] == "1"]
    assert [row["parts"] for row in first] == ["161", "see above", "see above"]
    assert [tag for row in first for tag in row["tags"].split(", ")][-151:] == [*many, "u1"]
    bill = next(row for row in rows(result, "plumbing.bill") if row["item"] == "coupling")
    assert (bill["count"], bill["tags"].endswith(" and 90 more")) == ("150", True)


def test_the_schedule_of_the_good_spec(tmp_path: Path) -> None:
    schedule = rows(made(tmp_path), "plumbing.joint_schedule")
    assert [row["no."] for row in schedule] == [str(n) for n in range(1, 19)]
    screwed, union, flare = schedule[4], schedule[10], schedule[14]
    assert screwed == {
        "no.": "5",
        "tag": "screwed",
        "between": "v1 to n1",
        "ends": "1/2 in NPT",
        "method": "threaded",
        "seal": "paste for LP-gas",
        "reassembled, and tested since": "2027-04-20, cleaned; test 2027-05-02",
        "comes apart": "not stated",
        "note": "none",
    }
    assert (union["between"], union["seal"], union["comes apart"]) == ("within u1", "dry", "yes")
    assert (flare["ends"], flare["seal"]) == ("5/8 in flare with nut", "dry")
    assert (schedule[0]["tag"], schedule[0]["seal"]) == ("no tag", "not stated")
    assert schedule[1]["method"] == "threaded *"


@pytest.mark.parametrize(
    ("spec", "method", "tested", "cell"),
    [
        ({}, "flared", "2027-05-02", "not stated"),
        ({"reassembled": "2027-05-02"}, "flared", "2027-05-02", "2027-05-02; test 2027-05-02"),
        ({"reassembled": "2027-05-03"}, "flared", "2027-05-02", "2027-05-03; NOT tested since"),
        (
            {"reassembled": "2027-05-03", "cleaned": True},
            "threaded",
            "2027-05-02",
            "2027-05-03, cleaned; NOT tested since",
        ),
        ({"reassembled": "2027-05-03"}, "threaded", "", "2027-05-03, not said to be cleaned; no test stated"),
    ],
)
def test_remade_since_the_last_test(spec: dict[str, object], method: str, tested: str, cell: str) -> None:
    view = View(spec, "/plumbing/joints/j")
    assert since(Joint(1, "j", method, True, (), (), view, view.at), tested) == cell


@pytest.mark.parametrize(
    ("spec", "method", "cell"),
    [
        ({}, "threaded", "not stated"),
        ({"sealant": "paste for LP-gas"}, "threaded", "paste for LP-gas"),
        ({"sealant": "none"}, "union", "dry"),
        ({}, "flared", "dry"),
        ({"sealant": "a drop of oil"}, "flared", "a drop of oil"),
        ({}, "brazed", "filler not stated"),
        ({"filler": "BAg-5", "sealant": "paste"}, "brazed", "BAg-5"),
        ({}, "cylinder", "not stated"),
        ({}, "flanged", "not stated"),
        ({}, "", "not stated"),
    ],
)
def test_what_seals_a_joint(spec: dict[str, object], method: str, cell: str) -> None:
    view = View(spec, "/plumbing/joints/j")
    sealant = str(spec.get("sealant", ""))
    assert seal(Joint(1, "j", method, True, (), (), view, view.at, sealant)) == cell


def test_cut_list(tmp_path: Path) -> None:
    result = made(tmp_path)
    cut = {row["tag"]: row for row in rows(result, "plumbing.cuts")}
    assert list(cut) == ["riser", "t1", "ring", "bar"]
    # 12 - 2 x 1.12 + 2 x 0.5343 = 10.83 in; 75.398 - 1.5 = 73.90 in.
    assert (cut["riser"]["cut to"], cut["riser"]["calculated"]) == ("10 13/16 in", "10.8 in")
    assert cut["ring"]["cut to"] == "73.9 in"
    figures = {key: result.figure(key) for key in ("plumbing.pipe_cut.riser", "plumbing.ring_cut.ring")}
    assert {key: f and f.si / INCH for key, f in figures.items()} == {
        "plumbing.pipe_cut.riser": pytest.approx(10.8286, abs=1e-3),
        "plumbing.ring_cut.ring": pytest.approx(73.898, abs=1e-3),
    }


def test_a_fitting_of_the_project_with_its_own_take_out(tmp_path: Path) -> None:
    result = made(
        tmp_path,
        ("el1: {kind: fitting, form: elbow, size: 1/2 in NPT}", "el1: {kind: fitting, form: elbow, like: mine}"),
        (
            "  joints:\n",
            "  catalog:\n    mine: {kind: fitting, form: elbow, ends: [1/2 FNPT, 1/2 FNPT], take_out: 1 in, "
            "source: measured}\n  joints:\n",
        ),
    )
    figure = result.figure("plumbing.pipe_cut.riser")
    assert figure is not None
    # 12 - 1 - 1.12 + 2 x 0.5343 = 10.949 in, by the thread where the entry says nothing of engagement.
    assert figure.si / INCH == pytest.approx(10.949, abs=1e-3)
    bill = {row["tags"]: row["item"] for row in rows(result, "plumbing.bill")}
    assert bill["el1"] == "elbow fitting, as mine"


def test_refused_values_do_not_stop_the_tables(tmp_path: Path) -> None:
    result = made(
        tmp_path,
        ("length: 10 13/16 in", "length: about a foot"),
        ("tare: 18 lb", "tare: 18 stone"),
        ("diameter: 24 in", "diameter: -24 in"),
    )
    bill = {row["tags"]: row for row in rows(result, "plumbing.bill")}
    assert bill["riser"]["total length"] == "not stated"
    assert "see findings across" in bill["ring"]["item"]
    assert rows(result, "plumbing.pieces")[0]["weight"] == "not known: 11 parts with no weight stated"
    assert {row["tag"]: row["cut to"] for row in rows(result, "plumbing.cuts")}["riser"] == "see findings"


def test_every_figure_on_the_good_spec_is_traced_to_it(tmp_path: Path) -> None:
    result = made(tmp_path)
    own = [f for f in result.figures if f.key.startswith("plumbing.")]
    assert {f.key.split(".")[1] for f in own} >= {
        "ring_cut",
        "jet_spacing",
        "jet_area_ratio",
        "pipe_cut",
        "piece_weight",
    }
    assert all(f.worked.inputs for f in own)
