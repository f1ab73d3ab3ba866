"""The catalog against published numbers, and finding a size by what people write."""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specc import read_references
from specc.kinds.plumbing import End, Family, Size
from specc.model.values import CHOICE, Constant
from specc_plumbing.catalog import families, find_size, near_families, near_sizes, search, tables
from specc_plumbing.ends import BadEnd, every_end, inches, parse_end

INCH = 0.0254
ALL = families()
SIZES = [(f, s) for f in ALL for s in f.sizes]
# As in the plugin's schema, and jets, which belong to a burner or pilot.
FORMS = {
    "fitting": "tee cross manifold elbow street_elbow coupling union bushing nipple adapter reducer plug cap flare_nut "
    "connector",
    "valve": "ball needle globe check solenoid excess_flow relief",
    "regulator": "single_stage first_stage second_stage two_stage high_pressure",
    "burner": "ring bar stem nozzle open_end",
    "jet": "drilled slit open_end nozzle",
}
PLAIN = {"pipe", "tube", "hose", "gauge", "orifice", "accumulator", "pilot"}


def named(family: str, size: str) -> Size:
    return next(s for f, s in SIZES if (f.name, s.name) == (family, size))


def measure(family: str, size: str, name: str) -> Constant:
    return dict(named(family, size).measures)[name]


def value(family: str, size: str, name: str) -> float:
    """In inches."""
    return measure(family, size, name).si / INCH


def found(kind: str, form: str, text: str, *more: str) -> tuple[str, str] | None:
    pair = find_size(ALL, kind, form, text, *more)
    return (pair[0].name, pair[1].name) if pair else None


# What it is made of


def test_families_are_made_once_and_have_names_of_their_own() -> None:
    assert families() is ALL
    assert [n for n, count in Counter(f.name for f in ALL).items() if count > 1] == []
    assert [f.order for f in ALL] == sorted({f.order for f in ALL})
    assert len(SIZES) > 1000


@pytest.mark.parametrize("family", ALL, ids=lambda f: f.name)
def test_each_family_has_a_kind_and_form_of_the_spec_and_sizes_with_readable_ends(family: Family) -> None:
    if family.kind in PLAIN:
        assert family.form == ""
    else:
        assert family.form in FORMS[family.kind].split()
    assert family.sizes
    for size in family.sizes:
        ends = [parse_end(t) for t in size.ends]
        assert not [e for e in ends if isinstance(e, BadEnd)], size
        assert [e.words for e in ends if isinstance(e, End)] == list(size.ends)
        assert bool(ends) == (family.kind not in ("jet", "orifice"))
        if family.adapter:
            assert len(ends) == 2


def test_all_kinds_and_forms_are_there() -> None:
    assert {(f.kind, f.form) for f in ALL} == {(k, form) for k, fs in FORMS.items() for form in fs.split()} | {
        (kind, "") for kind in PLAIN
    }


def test_the_direction_of_gas_is_told_where_it_matters() -> None:
    ordered = {(f.kind, f.form) for f in ALL if f.ordered}
    one_way = {"needle", "globe", "check", "solenoid", "excess_flow", "relief"}
    assert {("valve", form) for form in one_way} <= ordered
    assert ("valve", "ball") not in ordered
    assert all(f.ordered for f in ALL if f.kind == "regulator")


def test_no_rating_and_no_setting_is_in_it() -> None:
    allowed = {"bore", "outside", "wall", "length", "take_out", "thread", "loss", "loss_bores", "discharge"}
    for family, size in SIZES:
        for name, constant in size.measures:
            base = name.rstrip("_0123456789")
            assert base in allowed | {"engaged", "hand_tight"}, (family.name, name)
            assert constant.dim == ("ratio" if base in ("loss", "loss_bores", "discharge") else "length")
            assert constant.si > 0


def test_every_number_has_its_source() -> None:
    references = {r.id for r in read_references(Path(tables.__file__).parents[1] / "references.yaml")}
    for family, size in SIZES:
        for citation in (family.citation, *(c.citation for _, c in size.measures)):
            assert citation.basis in ("read", "reprint", "computed", "memory", "practice", "choice")
            if citation.basis in ("read", "reprint", "computed", "memory"):
                assert citation.reference in references
                assert citation.where
    assert measure("90 degree elbow", "1/2 in NPT", "take_out").citation.basis == "memory"
    assert measure("flare connector", "3/8 flare x 1/4 NPT", "bore").citation.basis != "read"
    assert measure("hex bushing", "1/2 x 1/4 in NPT", "bore").citation.basis == CHOICE.basis


# Published numbers


# ASME B1.20.1, read in reprints (gas.md 4d): threads an inch, L2 effective thread, L1 + L3.
NPT = {
    "1/8": (27, 0.2639, 0.273), "1/4": (18, 0.4018, 0.395), "3/8": (18, 0.4078, 0.407), "1/2": (14, 0.5337, 0.534),
    "3/4": (14, 0.5457, 0.553), "1": (11.5, 0.6828, 0.661), "1-1/4": (11.5, 0.7068, 0.681),
    "1-1/2": (11.5, 0.7235, 0.681), "2": (11.5, 0.7565, 0.697),
}  # fmt: skip


@pytest.mark.parametrize("size", NPT)
def test_thread_engagement(size: str) -> None:
    turns, effective, engaged = NPT[size]
    # As printed, to three places.
    assert tables.engaged(size).si / INCH == pytest.approx(engaged, abs=0.0006)
    assert (tables.engaged(size).si - tables.hand_tight(size).si) / INCH == pytest.approx(3 / turns, rel=1e-9)
    # The standard's own equation for L2, (0.80 D + 6.8) / n, ties the outside diameters to the threads.
    assert (0.80 * tables.PIPE[size].outside + 6.8) / tables.THREAD[size][0] == pytest.approx(effective, abs=0.0001)


def test_ends_of_two_sizes_have_numbered_engagements() -> None:
    bushing = dict(named("hex bushing", "1/2 x 1/4 in NPT").measures)
    assert bushing["engaged_1"] == tables.engaged("1/2")
    assert bushing["engaged_2"] == tables.engaged("1/4")
    assert "engaged" not in bushing
    assert dict(named("coupling", "1/2 in NPT").measures)["engaged"] == tables.engaged("1/2")


# ASME B36.10, as printed in IFGC 2018 table headings: bores of schedule 40 (gas.md 4b), independent of the table above.
IFGC_BORES = {"1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610, "2": 2.067}


@pytest.mark.parametrize("size", IFGC_BORES)
def test_pipe_bores_as_the_fuel_gas_code_prints_them(size: str) -> None:
    assert value("threaded pipe", f"{size} in NPT schedule 40", "bore") == pytest.approx(IFGC_BORES[size], abs=1e-9)


WALLED = [s for f, s in SIZES if f.name in ("threaded pipe", "pipe to weld", "copper tube")]


@pytest.mark.parametrize("size", WALLED, ids=lambda s: s.name)
def test_bore_and_two_walls_make_the_outside(size: Size) -> None:
    measures = dict(size.measures)
    # Each is printed to a thousandth of an inch.
    assert measures["bore"].si + 2 * measures["wall"].si == pytest.approx(measures["outside"].si, abs=0.0011 * INCH)


# IFGC 2018 table 402.4(29): bores of type K, by nominal size (gas.md 4b).
TYPE_K = {"1/4": 0.305, "3/8": 0.402, "1/2": 0.527, "5/8": 0.652, "3/4": 0.745, "1": 0.995}


@pytest.mark.parametrize("nominal", TYPE_K)
def test_tube_bores_as_the_fuel_gas_code_prints_them(nominal: str) -> None:
    outside = inches(nominal) + 0.125  # ASTM B88
    tubes = [dict(s.measures) for f, s in SIZES if f.name == "copper tube" and s.name.endswith("type K")]
    bores = [t["bore"].si / INCH for t in tubes if t["outside"].si / INCH == pytest.approx(outside, abs=1e-9)]
    assert bores == [pytest.approx(TYPE_K[nominal], abs=1e-9)]


def test_tube_goes_by_its_outside_diameter() -> None:
    for family, size in SIZES:
        if family.name == "copper tube":
            end = parse_end(size.ends[0])
            assert isinstance(end, End)
            # 5/16 is printed as 0.312
            assert inches(end.size) == pytest.approx(dict(size.measures)["outside"].si / INCH, abs=0.0006)


# SAE J512: the list of threads, smallest first (gas.md 4e).
J512 = [
    "5/16-24", "3/8-24", "7/16-20", "1/2-20", "5/8-18", "11/16-16", "3/4-16", "7/8-14", "1-1/16-14", "1-1/4-12",
    "1-3/8-12",
]  # fmt: skip


def test_flare_threads() -> None:
    nuts = [dict(s.measures)["thread"] for f, s in SIZES if f.name == "flare nut"]
    assert [n.text for n in nuts] == J512
    for nut in nuts:
        diameter = nut.text.rpartition("-")[0]
        assert nut.si / INCH == pytest.approx(inches(diameter), abs=1e-9)


# ASME B16.3 class 150, from memory: a change of the table is to be seen here.
TAKE_OUTS = [
    ("90 degree elbow", "1/2 in NPT", "take_out", 1.12), ("90 degree elbow", "1 in NPT", "take_out", 1.50),
    ("tee", "3/4 in NPT", "take_out", 1.31), ("cross", "1/2 in NPT", "take_out", 1.12),
    ("45 degree elbow", "1/2 in NPT 45 degrees", "take_out", 0.88),
    ("street elbow", "1/2 in NPT", "take_out_1", 1.63), ("street elbow", "1/2 in NPT", "take_out_2", 1.12),
    ("coupling", "1/2 in NPT", "take_out", 0.67),
]  # fmt: skip


@pytest.mark.parametrize(("family", "size", "name", "expected"), TAKE_OUTS)
def test_take_outs_recalled(family: str, size: str, name: str, expected: float) -> None:
    assert value(family, size, name) == pytest.approx(expected, abs=0.005)
    assert measure(family, size, name).citation.basis == "memory"


@pytest.mark.parametrize("table", [tables.ELBOW_90, tables.ELBOW_45, tables.STREET_MALE, tables.COUPLING])
def test_take_outs_leave_room_for_the_thread_and_grow_with_the_size(table: dict[str, float]) -> None:
    values = list(table.values())
    assert values == sorted(values)
    for size, out in table.items():
        assert out > tables.engaged(size).si / INCH


# IRC 2018 table A.2.2: feet of schedule 40 that lose as much, for 1/2 and 2 in (gas.md 4b).
@pytest.mark.parametrize(
    ("family", "suffix", "half", "two"),
    [("45 degree elbow", " 45 degrees", 0.73, 2.41), ("90 degree elbow", "", 1.55, 5.17), ("tee", "", 3.10, 10.3)],
)
def test_losses_give_the_codes_equivalent_lengths(family: str, suffix: str, half: float, two: float) -> None:
    for nps, feet in (("1/2", half), ("2", two)):
        bores = measure(family, f"{nps} in NPT{suffix}", "loss_bores").si
        # The code's own rounding to three digits.
        assert bores * tables.PIPE[nps].bore_40 / 12 == pytest.approx(feet, rel=0.006)
    assert measure("tee", "1/2 in NPT", "loss").si == pytest.approx(1.80)
    assert measure("90 degree elbow", "1/2 in NPT", "loss").si == pytest.approx(0.90)


def test_number_drills() -> None:
    """Numbers 60 and 80 as in OSHA 1910.110 (No. 60 bypass, 0.040 in) and in the public-domain table."""
    assert value("feed orifice", "No. 60 drill", "bore") == pytest.approx(0.040)
    assert value("feed orifice", "No. 80 drill", "bore") == pytest.approx(0.0135)
    both = tables.DRILL | tables.DRILL_RECALLED
    assert not tables.DRILL.keys() & tables.DRILL_RECALLED.keys()
    in_order = [both[n] for n in sorted(both, reverse=True)]
    assert in_order == sorted(in_order)


def test_a_fittings_bore_is_never_wider_than_its_narrowest_pipe() -> None:
    for family, size in SIZES:
        bore = dict(size.measures).get("bore")
        if bore and family.kind == "fitting":
            for text in size.ends:
                end = parse_end(text)
                assert isinstance(end, End)
                if end.family in ("NPT", "weld"):
                    assert bore.si / INCH <= tables.PIPE[end.size].bore_40 + 1e-9
                if end.family in ("tube", "flare"):
                    assert bore.si / INCH < inches(end.size)
    assert value("hex bushing", "1/2 x 1/4 in NPT", "bore") == pytest.approx(0.364)
    assert value("nipple", "1/2 in NPT", "bore") == pytest.approx(0.546)
    assert value("nipple of a schedule", "1/2 in NPT schedule 40", "bore") == pytest.approx(0.622)


def test_what_has_no_published_bore_has_none() -> None:
    for family, size in SIZES:
        if family.kind in ("valve", "regulator") or "CGA" in size.name or "barb" in size.name:
            assert "bore" not in dict(size.measures), size


# Finding


@pytest.mark.parametrize("family", ALL, ids=lambda f: f.name)
def test_every_size_is_found_by_its_own_name(family: Family) -> None:
    for size in family.sizes:
        pair = find_size(ALL, family.kind, family.form, size.name)
        assert pair is not None, size.name
        assert pair == (family, size)


@given(
    st.integers(0, len(SIZES) - 1),
    st.sampled_from([str.upper, str.lower, str.title]),
    st.sampled_from(["×", " x ", " X "]),
)
def test_spelling_makes_no_difference(i: int, case: object, times: str) -> None:
    family, size = SIZES[i]
    text = size.name.replace(" in ", " ").replace(" x ", times).replace(" ", "  ")
    assert callable(case)
    found = find_size(ALL, family.kind, family.form, case(text))
    assert found is not None
    assert found[1] is size


@pytest.mark.parametrize(
    ("kind", "form", "text", "more", "expected"),
    [
        ("fitting", "tee", "1/2 NPT", "", ("tee", "1/2 in NPT")),
        ("fitting", "tee", "1/2 x 1/2 x 1/2 in FNPT", "", ("tee", "1/2 in NPT")),
        ("fitting", "tee", "1/2 x 1/2 x 1/4 NPT", "", ("reducing tee", "1/2 x 1/2 x 1/4 in NPT")),
        ("fitting", "bushing", "1/2x1/4", "", ("hex bushing", "1/2 x 1/4 in NPT")),
        ("fitting", "bushing", "1/4 FNPT x 1/2 MNPT", "", ("hex bushing", "1/2 x 1/4 in NPT")),
        ("fitting", "bushing", "1/2 FNPT x 1/4 MNPT", "", None),
        ("fitting", "connector", "3/8 flare x 1/4 MNPT", "", ("flare connector", "3/8 flare x 1/4 NPT")),
        ("fitting", "connector", "1/4 NPT x 3/8 flare", "", ("flare connector", "3/8 flare x 1/4 NPT")),
        ("fitting", "connector", "3/8 male flare × 1/4 male NPT", "", ("flare connector", "3/8 flare x 1/4 NPT")),
        ("fitting", "connector", "1/4 flare x 3/8 NPT", "", ("flare connector", "1/4 flare x 3/8 NPT")),
        (
            "fitting", "connector", "3/8 flare swivel x 1/4 MNPT", "",
            ("flare swivel connector", "3/8 female flare x 1/4 NPT"),
        ),
        ("fitting", "connector", "POL x 1/4 MNPT", "", ("CGA 510 connector", "CGA 510 x 1/4 NPT")),
        ("fitting", "connector", "3/8 female flare x 1/4 FNPT", "", None),
        ("fitting", "connector", "3/8 flare x 1/4 flare", "", None),
        ("fitting", "connector", "3/8 flare x 3/8 flare", "", None),
        ("fitting", "connector", "3/8 flare x 3/8 MNPT", "", ("flare connector", "3/8 flare x 3/8 NPT")),
        ("fitting", "adapter", "3/8 OD socket x 3/8 OD socket", "", None),
        ("fitting", "elbow", "1/2 NPT", "", ("90 degree elbow", "1/2 in NPT")),
        ("fitting", "elbow", "1/2 FNPT 90°", "", ("90 degree elbow", "1/2 in NPT")),
        ("fitting", "elbow", "1/2 NPT, 45°", "", ("45 degree elbow", "1/2 in NPT 45 degrees")),
        ("fitting", "nipple", "1/2 x 3", "", ("long nipple", "1/2 in NPT x 3 in")),
        ("fitting", "nipple", "1-1/2 x 1/2 NPT", "", None),
        ("fitting", "nipple", "1/2 MNPT x 1-1/2 MNPT", "", None),
        ("fitting", "nipple", "1-1/2 x 1 NPT", "", ("reducing nipple", "1-1/2 x 1 in NPT")),
        ("fitting", "nipple", "1/2 x 3 in NPT", "", ("long nipple", "1/2 in NPT x 3 in")),
        ("fitting", "nipple", "1/2 NPT close, sch 80", "", ("close nipple", "1/2 in NPT close schedule 80")),
        ("fitting", "coupling", "1/2 MNPT", "", None),
        ("fitting", "coupling", "1/2", "", None),
        ("tube", "", "5/8 OD", "type L", ("copper tube", "5/8 in OD type L")),
        ("tube", "", "5/8 in OD", "", None),
        ("tube", "", "0.625 OD type l", "", ("copper tube", "5/8 in OD type L")),
        ("tube", "", "3/4 in OD type ACR", "", None),
        ("pipe", "", "1/2 in NPT", "schedule 40", ("threaded pipe", "1/2 in NPT schedule 40")),
        ("pipe", "", "1/2 in NPT", "", None),
        ("valve", "ball", "1/4 MNPT x 1/4 FNPT", "", ("ball valve", "1/4 MNPT x 1/4 FNPT")),
        ("valve", "ball", "1/4 x 1/4 NPT", "", ("ball valve", "1/4 in NPT")),
        ("valve", "ball", "1/4 MNPT", "", None),
        ("fitting", "street_elbow", "1/2 FNPT x 1/2 MNPT", "", ("street elbow", "1/2 in NPT")),
        ("fitting", "street_elbow", "1/2 FNPT x 1/2 FNPT", "", None),
        ("valve", "ball", "1/2 in NPT ball valve", "", ("ball valve", "1/2 in NPT")),
        ("fitting", "flare_nut", "3/8 flare nut", "", ("flare nut", "3/8 in flare")),
        ("hose", "", "3/8 hose with flare swivels", "", ("hose with flare swivels", "3/8 in with flare swivels")),
        ("valve", "ball", "3/8 in flare", "", ("ball valve", "3/8 in flare")),
        ("valve", "", "3/8 in NPT", "", None),
        ("orifice", "", "#60", "", ("feed orifice", "No. 60 drill")),
        ("fitting", "manifold", "1/2 × 1/4 NPT, 4 ports", "", ("manifold", "1/2 x 1/4 in NPT 4 outlets")),
        ("fitting", "tee", "1/2 NPTT", "", None),
        ("fitting", "tee", "9/16 NPT", "", None),
        ("fitting", "tee", "", "", None),
        ("fitting", "tee", "no size at all", "", None),
        ("cylinder", "", "20 lb", "", None),
    ],
)  # fmt: skip
def test_finding(kind: str, form: str, text: str, more: str, expected: tuple[str, str] | None) -> None:
    assert found(kind, form, text, more) == expected


@given(
    st.sampled_from(sorted({(f.kind, f.form) for f in ALL})),
    st.text(max_size=40) | st.text("0123456789/ x.,NPTinflare", max_size=20),
)
def test_any_text_finds_one_size_or_none(what: tuple[str, str], text: str) -> None:
    pair = find_size(ALL, *what, text)
    if pair:
        assert (pair[0].kind, pair[0].form) == what
        assert pair[1] in pair[0].sizes
    near = near_sizes(ALL, *what, text)
    assert 0 < len(near) <= 3


SAID = [e for e in every_end() if e.family in ("NPT", "flare", "tube", "CGA", "BSPT", "weld") and not e.nut]
TWO_ENDED = ["bushing", "connector", "coupling", "reducer", "adapter", "union", "nipple", "elbow", "street_elbow"]


@cache
def ends_of(form: str) -> st.SearchStrategy[End]:
    ends = (parse_end(t) for f, s in SIZES if f.form == form for t in s.ends)
    return st.sampled_from(sorted({e for e in ends if isinstance(e, End)}))


@settings(max_examples=1000)
@given(st.sampled_from(TWO_ENDED), st.data())
def test_two_ends_said_in_full_find_a_fitting_with_these_ends_or_none(form: str, data: st.DataObject) -> None:
    """Ends of fittings that are there, put together anew: most of the pairs are not made.

    That a fitting is for "5/8 in OD tube" may be said of its socket.
    """
    known = ends_of(form)
    a, b = data.draw(known | st.sampled_from(SAID)), data.draw(known | st.sampled_from(SAID))
    pair = find_size(ALL, "fitting", form, f"{a.words} x {b.words}")
    if pair:
        ends = [parse_end(t) for t in pair[1].ends]
        made = sorted((e.family, e.size, e.gender) for e in ends if isinstance(e, End))
        assert made == sorted((e.family, e.size, "female" if e.family == "tube" else e.gender) for e in (a, b))


@pytest.mark.parametrize("form", TWO_ENDED)
def test_every_two_ended_fitting_is_found_by_its_ends_unless_another_has_the_same(form: str) -> None:
    mine = [(f, s) for f, s in SIZES if (f.kind, f.form) == ("fitting", form) and len(s.ends) == 2]
    alike = Counter(s.ends for _, s in mine)
    single = [s for _, s in mine if alike[s.ends] == 1]
    assert single
    for size in single:
        pair = find_size(ALL, "fitting", form, " x ".join(size.ends))
        assert pair is not None, size.ends
        assert pair[1].ends == size.ends


def test_near_sizes_begin_with_what_the_text_may_mean() -> None:
    assert near_sizes(ALL, "tube", "", "5/8 in OD") == (
        "5/8 in OD type K", "5/8 in OD type L", "5/8 in OD type ACR",
    )  # fmt: skip
    assert near_sizes(ALL, "fitting", "bushing", "1/2 x 5/16 NPT")[0] in ("1/2 x 3/8 in NPT", "1/2 x 1/4 in NPT")
    assert near_sizes(ALL, "fitting", "tee", "7/8 NPT")[0] in ("3/4 in NPT", "1 in NPT")
    assert near_sizes(ALL, "cylinder", "", "20 lb") == ()


def test_a_projects_own_entry_goes_first() -> None:
    size = Size("1/2 in NPT", ("1/2 FNPT", "1/2 FNPT", "1/8 FNPT"))
    own = Family("ours", "fitting", "tee", (size,), CHOICE, order=-1)
    catalog = (own, *ALL)
    pair = find_size(catalog, "fitting", "tee", "1/2 NPT")
    assert pair is not None
    assert pair[0] is own
    # The catalog asked before is not mixed up with this one.
    assert found("fitting", "tee", "1/2 NPT") == ("tee", "1/2 in NPT")


def test_search_by_words() -> None:
    bushings = search(ALL, "bushing 1/2")
    assert {f.name for f, _ in bushings} == {"hex bushing"}
    assert all("1/2" in s.name for _, s in bushings)
    assert ("hex bushing", "1 x 1/2 in NPT") in {(f.name, s.name) for f, s in bushings}
    assert [s.name for _, s in search(ALL, "bush 1/4 1/2")] == ["1/2 x 1/4 in NPT"]
    assert {f.form for f, _ in search(ALL, "high-pressure regulator")} == {"high_pressure"}
    assert [s.name for _, s in search(ALL, "elbow 1/2 45")] == ["1/2 in NPT 45 degrees"]
    assert search(ALL, "bushnig") == ()
    assert search(ALL, "") == ()
    assert near_families(ALL, ["bushnig"]) == ("hex bushing",)


def test_no_name_of_a_size_breaks_in_flow_style() -> None:
    """A comma ends a value in {size: ...}, and what stood behind it would be another key."""
    assert [s.name for f in ALL for s in f.sizes if set(s.name) & set(",[]{}#:")] == []


@pytest.mark.parametrize("text", ["1/2 in NPT close", "1/2 in NPT, close", "1/2 NPT close"])
def test_a_size_is_found_with_and_without_its_comma(text: str) -> None:
    found = find_size(ALL, "fitting", "nipple", text)
    assert found is not None
    assert found[1].name == "1/2 in NPT close"
