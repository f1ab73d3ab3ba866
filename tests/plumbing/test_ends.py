"""Reading ends as fitters write them, and which ends mate."""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specc.kinds.plumbing import End
from specc_plumbing.ends import (
    NUTS,
    ON_CYLINDER,
    SIZES,
    BadEnd,
    every_end,
    inches,
    mates,
    methods,
    parse_end,
    why_not,
)

ENDS = every_end()
METHODS = json.loads((Path(__file__).parents[2] / "schemas/common/joint.json").read_text(encoding="utf-8"))[
    "properties"
]["method"]["enum"]


def end(text: str) -> End:
    read = parse_end(text)
    assert isinstance(read, End), read
    return read


def bad(text: str) -> BadEnd:
    read = parse_end(text)
    assert isinstance(read, BadEnd), read
    return read


# Reading


@pytest.mark.parametrize(
    ("words", "texts"),
    [
        (
            "1/2 in male NPT",
            "1/2 MNPT|1/2 in NPT male|1/2 in male NPT|1/2 MPT|1/2 MIP|1/2 in. M NPT|½ MNPT|0.5 MNPT|.50 MNPT|1/2MNPT"
            '|1/2" MIPT|1/2 NPT(M)|1/2-in MNPT|male 1/2 NPT|1/2 male IPS|2/4 MNPT',
        ),
        ("1/2 in female NPT", "1/2 FNPT|1/2 FIP|1/2 FPT|1/2 NPT F|1/2 in. internal NPT threads"),
        ("1-1/4 in male NPT", "1-1/4 MNPT|1 1/4 MNPT|1.25 MNPT|1¼ MNPT|1 - 1/4 in MNPT"),
        ("3/8 in male flare", "3/8 male flare|3/8 in flare male|3/8 MFL|3/8 SAE 45° flare male|.38 male flare"),
        ("3/8 in female flare", "3/8 female flare|3/8 FFL|3/8 flare swivel|3/8 female flare swivel"),
        ("3/8 in flare with nut", "3/8 flare nut|3/8 in flare with nut|3/8 in flared tube|3/8 female flare nut"),
        ("CGA 510 male", "CGA 510 male|CGA510 M|cga-510 nut|POL male|POL nut|CGA 510 nut, left hand"),
        ("CGA 510 female", "CGA 510 female|CGA510 on the cylinder|POL cylinder valve"),
        ("CGA 791 female", "CGA 791 female|QCC1 nut|QCC female|type 1 nut|CGA 791 nut"),
        ("CGA 791 male", "CGA 791 male|CGA 791 on cylinder|type 1 cylinder valve"),
        ("5/8 in OD tube", '5/8 OD tube|5/8 in OD tube|5/8" O.D. copper tube|5/8 OD|5/8 outside diameter tubing'),
        ("socket for 5/8 in OD tube", "5/8 OD socket|socket for 5/8 in OD tube|5/8 OD sweat|5/8 in OD female socket"),
        ("3/8 in hose barb", "3/8 barb|3/8 hose barb|3/8 hosebarb|3/8 barbed male"),
        ("bare end of 3/8 in hose", "3/8 hose|bare end of 3/8 in hose"),
        ("3/8 in male compression", "3/8 compression|3/8 male compression|3/8 in compression for OD tube"),
        ("1/2 in weld end", "1/2 weld|1/2 in welded end|1/2 butt weld"),
        ("1/2 in female NPSM", "1/2 NPSM female|1/2 FNPSM|1/2 NPSM swivel"),
        ("1/2 in male BSPT", "1/2 BSPT male|1/2 MBSPT"),
        ("1/2 in female BSPP", "1/2 BSPP female|1/2 in female BSPP"),
    ],
)
def test_what_fitters_write(words: str, texts: str) -> None:
    for text in texts.split("|"):
        assert end(text).words == words, text


@pytest.mark.parametrize(
    ("text", "message", "fix"),
    [
        ("1/2 NPT", "male or female", '"1/2 in male NPT" or "1/2 in female NPT"'),
        ("CGA 791", "male on the cylinder and female on the nut", '"CGA 791 male"'),
        ("CGA 510 male on the cylinder", "contradicts", '"CGA 510 female"'),
        ("CGA 580 male", "not a connection for propane", "CGA 510"),
        ("3/8 poly hose", "'poly'", "write an end"),
        ("CGA male", "which CGA", '"CGA 510 male"'),
        ("POL CGA 791 male", "two connections", '"CGA 791 male"'),
        ("CGA 510 male NPT", "two ways", "CGA 510"),
        ("1/2 nominal copper", "nominal", '"5/8 in OD tube"'),
        ("1/2 in copper tube", "nominal", '"5/8 in OD tube"'),
        ("1 nominal copper socket", "nominal", '"socket for 1-1/8 in OD tube"'),
        ("1/2 sweat", "nominal", '"socket for 5/8 in OD tube"'),
        ("5/8 tube", "outside diameter", '"5/8 in OD tube" if it measures 5/8 in outside, or "3/4 in OD tube"'),
        ("1-1/4 tube", "outside diameter", '"1-3/8 in OD tube" if it is called 1-1/4 in'),
        ("9/16 male flare", "no 9/16 in flare", '"1/2 in flare" or "5/8 in flare"'),
        ("7/8 MNPT", "no 7/8 in NPT", '"3/4 in NPT" or "1 in NPT"'),
        ("0.6 male flare", "no 0.6 in flare", '"1/2 in flare" or "5/8 in flare"'),
        ("1/0 MNPT", "no 1/0 in NPT", "nearest"),
        ("15 OD tube", "no 15 in OD tube", "2-5/8"),
        ("15 mm OD tube", "inches", "1/2 in male NPT"),
        ("1/2 NPTF", "dryseal", '"1/2 in male NPT" or "1/2 in female NPT"'),
        ("3/8 JIC male", "37", '"3/8 in male flare"'),
        ("3/8 37 degree flare male", "does not seal on an SAE flare", "write an end"),
        ("3/8 inverted flare male", "not the SAE 45", '"3/8 in male flare"'),
        ("1/2 BSP male", "taper (BSPT) or parallel (BSPP)", '"1/2 in male BSPT" or "1/2 in male BSPP"'),
        ("1/2 fmale NPT", "'fmale'", '"1/2 in female NPT"'),
        ("1/2 flair male", "'flair'", '"1/2 in male flare"'),
        ("male NPT", "no size", "write an end"),
        ("", "no size", "write an end"),
        ("1/2 x 1/4 NPT male", "'x'", "write an end"),
        ("1/2 1/4 NPT male", "more than one size", "write an end"),
        ("1/2 male", "how it joins", "NPT"),
        ("1/2 NPT flare male", "two ways to join", "write an end"),
        ("1/2 NPT male female", "both", '"1/2 in male NPT"'),
        ("1/2 NPT nut", "no nut", '"1/2 in male NPT"'),
        ("3/8 male flare nut", "contradicts", '"3/8 in flare with nut"'),
        ("3/8 male hose", "contradicts", "bare end"),
        ("1/2 male weld", "neither", '"1/2 in weld end"'),
        ("1/2 MNPT on the cylinder", "only a CGA", '"1/2 in male NPT"'),
        ("1/2 MNPT " * 20, "a few words", "write an end"),
    ],
)  # fmt: skip
def test_what_is_no_end_is_refused_with_the_nearest_reading(text: str, message: str, fix: str) -> None:
    read = bad(text)
    assert message in read.message
    assert fix in read.fix


@pytest.mark.parametrize("one", ENDS, ids=lambda e: f"{e.words}{' nut' if e.nut else ''}")
def test_words_read_back_to_the_same_end(one: End) -> None:
    assert parse_end(one.words, "/plumbing/parts/a/ends/0") == one._replace(at="/plumbing/parts/a/ends/0")


def test_every_end_is_there_once() -> None:
    assert len(set(ENDS)) == len(ENDS) > 200
    assert {e.family for e in ENDS} == set(SIZES)
    assert {e.family for e in ENDS if e.nut} == set(NUTS)
    for family, sizes in SIZES.items():
        assert list(sizes) == sorted(sizes, key=inches), family


@given(st.sampled_from(ENDS), st.data())
def test_case_blanks_and_order_make_no_difference(one: End, data: st.DataObject) -> None:
    words = one.words.split(" ")
    if one.family not in ("CGA", "hose") and "for" not in words:
        # The size and "in" stay together; the others come in any order.
        head, rest = words[:2], words[2:]
        words = data.draw(st.permutations([" ".join(head), *rest]))
    text = data.draw(st.sampled_from(["  ", " ", "\t"])).join(words)
    text = data.draw(st.sampled_from([text.upper(), text.lower(), text.title()]))
    assert parse_end(text) == one


@given(st.text(max_size=100) | st.text('0123456789/-. xinNPTMFflareOD"½', max_size=30))
def test_any_text_is_an_end_or_refused_with_words(text: str) -> None:
    read = parse_end(text)
    if isinstance(read, BadEnd):
        assert read.message
        assert read.fix
        assert "nan" not in read.fix
    else:
        assert read.size in SIZES[read.family]
        assert read.gender in (("",) if read.family == "weld" else ("male", "female"))
        assert parse_end(read.words) == read


@given(st.sampled_from([e for e in ENDS if e.family != "CGA"]), st.integers(2, 5))
def test_decimals_are_taken_as_rounded(one: End, digits: int) -> None:
    text = one.words.replace(f"{one.size} in", f"{inches(one.size):.{digits}f} in", 1)
    assert parse_end(text) == one


@pytest.mark.parametrize("text", ["1/2 NPT", "1/2 sweat", "1/2 NPTF", "3/8 male flare nut", "CGA 791", "1/2 BSP male"])
def test_what_is_offered_instead_is_an_end(text: str) -> None:
    offered = re.findall(r'"([^"]+)"', bad(text).fix)
    assert offered
    assert all(isinstance(parse_end(t), End) for t in offered)


# Mating

THREADS = ("NPT", "NPSM", "BSPT", "BSPP")


@pytest.mark.parametrize(
    ("a", "b", "method"),
    [
        ("1/2 MNPT", "1/2 FNPT", "threaded"),
        ("3/8 male flare", "3/8 female flare", "flared"),
        ("3/8 male flare", "3/8 flare nut", "flared"),
        ("CGA 510 male", "CGA 510 female", "cylinder"),
        ("5/8 OD tube", "5/8 OD socket", "brazed"),
        ("3/8 OD tube", "3/8 compression", "compression"),
        ("3/8 barb", "3/8 hose", "barb"),
        ("1/2 weld", "1/2 weld", "welded"),
        ("1/2 BSPT male", "1/2 BSPT female", "threaded"),
    ],
)
def test_what_mates(a: str, b: str, method: str) -> None:
    found = mates(end(a), end(b))
    assert found is not None
    assert found.method == method
    assert found.seal


def test_what_seals_is_said() -> None:
    npt = mates(end("1/2 MNPT"), end("1/2 FNPT"))
    flare = mates(end("3/8 male flare"), end("3/8 female flare"))
    bspp = mates(end("1/2 BSPP male"), end("1/2 BSPP female"))
    assert npt is not None
    assert "LP-gas" in npt.seal
    assert flare is not None
    assert "dry" in flare.seal
    assert bspp is not None
    assert "thread itself does not seal" in bspp.seal
    assert methods(end("5/8 OD tube"), end("5/8 OD socket")) == ("brazed", "soldered", "welded")
    assert methods(end("5/8 OD tube"), end("1/2 OD socket")) == ()


def test_all_pairs_mate_as_an_independent_list_says() -> None:
    """For every pair of ends: the same both ways round, by family, size and gender, and why not is said."""
    for a, b in itertools.product(ENDS, ENDS):
        if a.family == b.family == "weld":
            expected = a.size == b.size
        elif {a.family, b.family} == {"tube", "compression"}:
            expected = a.size == b.size and (a.gender, b.gender) == ("male", "male")
        else:
            expected = (a.family, a.size) == (b.family, b.size) and a.gender != b.gender
        if {a.words, b.words} == {"CGA 791 male", "CGA 510 male"}:
            expected = True  # a valve for CGA 791 has the thread for a POL nut inside as well
        found = mates(a, b)
        assert (found is not None) == expected, (a, b)
        assert found == mates(b, a)
        why = why_not(a, b)
        if found:
            assert why == ""
            assert set(methods(a, b)) <= set(METHODS)
        else:
            assert a.words in why
            assert b.words in why
            assert "\n" not in why
            assert methods(a, b) == ()


@pytest.mark.parametrize(
    ("a", "b", "says"),
    [
        ("1/2 MNPT", "3/8 FNPT", "one is 1/2 in, the other 3/8 in"),
        ("1/2 MNPT", "1/2 MNPT", "both are male"),
        ("3/8 female flare", "3/8 flare nut", "both are female"),
        ("1/2 OD tube", "1/2 OD tube", "coupling"),
        ("1/2 NPSM female", "1/2 MNPT", "washer or seat"),
        ("1/2 BSPP female", "1/2 BSPT male", "BSPT is taper and BSPP parallel"),
        ("3/8 male flare", "3/8 compression", "45 degree cone"),
        ("3/8 male flare", "3/8 OD tube", "has to be flared"),
        ("3/8 male flare", "3/8 FNPT", "not a pipe thread"),
        ("CGA 510 female", "CGA 791 female", "different numbers"),
        ("CGA 510 male", "1/4 FNPT", "own number"),
        ("3/8 hose", "3/8 male flare", "only onto a barb"),
        ("1/2 weld", "1/2 MNPT", "welded"),
        ("5/8 OD tube", "1/2 FNPT", "socket of its outside diameter"),
        ("1/4 MNPT", "1/2 BSPP female", "sizes differ as well"),
    ],
)
def test_why_not(a: str, b: str, says: str) -> None:
    assert says in why_not(end(a), end(b))


# Threads an inch. NPT: ASME B1.20.1 (seen in a reprint). BSP: ISO 7-1, from memory.
TURNS = {
    "1/8": ("27", "28"), "1/4": ("18", "19"), "3/8": ("18", "19"), "1/2": ("14", "14"), "3/4": ("14", "14"),
    "1": ("11.5", "11"), "1-1/4": ("11.5", "11"), "1-1/2": ("11.5", "11"), "2": ("11.5", "11"),
}  # fmt: skip


@pytest.mark.parametrize("size", TURNS)
@pytest.mark.parametrize("british", ["BSPT", "BSPP"])
def test_npt_against_bsp_tells_angle_and_pitch(size: str, british: str) -> None:
    why = why_not(End("NPT", size, "male"), End(british, size, "female"))
    ours, theirs = TURNS[size]
    assert "60 degrees" in why
    assert "55" in why
    if ours == theirs:
        assert f"both have {ours} threads an inch and seem to go in, but leak" in why
    else:
        assert f"{ours} threads an inch against {theirs}" in why
        assert "seem to go in" not in why
    assert ("parallel" in why) == (british == "BSPP")


def test_the_cylinders_side_of_each_connection() -> None:
    """CGA 510: internal thread on the valve; 791: external on the valve; 600: male on the cylinder (gas.md 4f)."""
    assert (ON_CYLINDER["510"], ON_CYLINDER["791"], ON_CYLINDER["600"]) == ("female", "male", "male")
