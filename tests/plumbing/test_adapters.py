"""Chains of adapters, against all chains there are."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specc.kinds.plumbing import End, Family, Size
from specc.model.values import CHOICE
from specc_plumbing.adapters import MOST, AdapterStep, between
from specc_plumbing.catalog import families
from specc_plumbing.ends import BadEnd, every_end, mates, parse_end

INCH = 0.0254
ALL = families()
ENDS = every_end()
NEVER_BETWEEN = {"BSPT", "BSPP", "NPSM", "compression"}


def end(text: str) -> End:
    read = parse_end(text)
    assert isinstance(read, End), read
    return read


def chain(a: str, b: str, catalog: Sequence[Family] = ALL) -> list[str] | None:
    steps = between(end(a), end(b), catalog)
    return None if steps is None else [f"{s.size} {s.family}" for s in steps]


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        ("1/2 MNPT", "1/2 FNPT", []),
        ("3/8 OD tube", "3/8 compression", []),
        ("1/2 MNPT", "1/2 MNPT", ["1/2 in NPT coupling"]),
        ("1/2 FNPT", "1/2 FNPT", ["1/2 in NPT nipple"]),
        ("1/2 FNPT", "1/4 MNPT", ["1/2 x 1/4 in NPT hex bushing"]),
        ("1/4 MNPT", "1/2 FNPT", ["1/2 x 1/4 in NPT hex bushing"]),
        ("1/2 MNPT", "1/4 MNPT", ["1/2 x 1/4 in NPT reducing coupling"]),
        ("1/4 MNPT", "3/8 female flare", ["3/8 flare x 1/4 FNPT flare connector for male pipe"]),
        ("1/4 FNPT", "3/8 flare nut", ["3/8 flare x 1/4 NPT flare connector"]),
        ("3/8 male flare", "3/8 male flare", ["3/8 in female flare flare swivel union"]),
        ("3/8 flare nut", "3/8 flare nut", ["3/8 in flare flare union"]),
        ("CGA 510 female", "3/8 female flare", ["CGA 510 x 3/8 flare CGA 510 connector"]),
        ("CGA 791 male", "1/4 FNPT", ["CGA 791 x 1/4 NPT CGA 791 connector"]),
        ("5/8 OD tube", "1/2 FNPT", ["5/8 in OD socket x 1/2 NPT socket adapter"]),
        ("5/8 OD tube", "5/8 OD tube", ["5/8 in OD socket socket coupling"]),
        ("3/8 hose", "3/8 male flare", ["3/8 barb x 3/8 female flare flare swivel barb"]),
        ("1/2 MNPT", "3/8 male flare", ["1/2 in NPT coupling", "3/8 female flare x 1/2 NPT flare swivel connector"]),
    ],
)
def test_chains(a: str, b: str, expected: list[str]) -> None:
    assert chain(a, b) == expected


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("1/2 BSPT male", "1/2 FNPT"),
        ("1/2 BSPP female", "1/2 MNPT"),
        ("1/2 NPSM female", "1/2 MNPT"),
        ("3/8 compression", "3/8 male flare"),
        ("3/8 compression", "1/2 OD tube"),
        ("2-5/8 OD tube", "1/2 FNPT"),
        ("CGA 555 female", "1/4 FNPT"),
    ],
)
def test_no_chain(a: str, b: str) -> None:
    assert chain(a, b) is None


def test_gas_goes_through_a_cylinders_connector_one_way() -> None:
    assert chain("CGA 510 female", "1/4 FNPT") is not None
    assert chain("1/4 FNPT", "CGA 510 female") is None


def test_a_turned_step_has_its_ends_turned() -> None:
    (step,) = between(end("1/4 MNPT"), end("1/2 FNPT"), ALL) or ()
    assert (step.ends[0].words, step.ends[1].words) == ("1/4 in female NPT", "1/2 in male NPT")
    assert step.turned
    assert step.bore == pytest.approx(0.364 * INCH)


def test_a_step_in_words() -> None:
    steps = between(end("1/2 MNPT"), end("3/8 male flare"), ALL) or ()
    assert [s.words for s in steps] == ["1/2 in NPT coupling", "3/8 female flare x 1/2 NPT swivel connector"]
    (cylinder,) = between(end("CGA 510 female"), end("1/4 FNPT"), ALL) or ()
    assert cylinder.words == "CGA 510 x 1/4 NPT connector"


def test_where_an_end_stands_makes_no_difference() -> None:
    a, b = end("1/2 MNPT"), end("1/4 MNPT")
    assert between(a._replace(at="/a"), b._replace(at="/b"), ALL) == between(a, b, ALL)


# Against all chains


def turned(catalog: Sequence[Family]) -> list[AdapterStep]:
    """Each adapter both ways round, written down afresh."""
    steps = []
    for family in catalog:
        for size in family.sizes:
            ends = [parse_end(t) for t in size.ends]
            if not family.adapter or len(ends) != 2:
                continue
            a, b = ends
            if isinstance(a, BadEnd) or isinstance(b, BadEnd):
                continue
            bore = dict(size.measures)["bore"].si if "bore" in dict(size.measures) else None
            steps.append(AdapterStep(family.name, size.name, (a, b), bore))
            if not family.ordered and a != b:
                steps.append(AdapterStep(family.name, size.name, (b, a), bore, turned=True))
    return steps


def best(a: End, b: End, steps: list[AdapterStep], most: int) -> tuple[AdapterStep, ...] | None:
    """The best of all chains of up to `most` steps: each is built, and all are compared."""
    chains: list[tuple[AdapterStep, ...]] = [()]
    for parts in range(1, most + 1):
        longer = []
        for so_far in chains:
            last = so_far[-1].ends[1] if so_far else a
            for step in steps:
                inner = bool(so_far)
                if mates(last, step.ends[0]) is None or "compression" in (last.family, step.ends[0].family):
                    continue
                if inner and last.family in NEVER_BETWEEN:
                    continue
                longer.append((*so_far, step))
        chains = longer
        done = [c for c in chains if mates(c[-1].ends[1], b) and "compression" not in (c[-1].ends[1].family, b.family)]
        if done:
            assert all(len(c) == parts for c in done)
            return min(
                done,
                key=lambda c: (-min(s.bore or 0.0 for s in c), [(s.family, s.size, s.turned) for s in c]),
            )
    return None


def small(*names: str, sizes: int = 99) -> tuple[Family, ...]:
    return tuple(f._replace(sizes=f.sizes[:sizes]) for f in ALL if f.name in names)


BSP = Family(
    "thread changer", "fitting", "adapter",
    (
        Size("1/2 BSPT x 1/2 NPT", ("1/2 BSPT male", "1/2 FNPT")),
        Size("1/4 BSPT x 1/2 NPT", ("1/4 BSPT female", "1/2 MNPT")),
        Size("1/2 NPSM x 1/4 NPT", ("1/2 NPSM female", "1/4 MNPT")),
        Size("3/8 compression x 1/4 NPT", ("3/8 compression", "1/4 MNPT")),
    ),
    CHOICE, adapter=True,
)  # fmt: skip
LITTLE = (
    *small("coupling", "nipple", "hex bushing", "reducing coupling", "enlarging adapter", sizes=9),
    *small("flare connector", "flare connector for male pipe", "flare swivel connector", "flare union", sizes=7),
    *small("CGA 510 connector", "socket adapter", "barb adapter", sizes=4),
    BSP,
)
LITTLE_STEPS = turned(LITTLE)
LITTLE_ENDS = sorted({e for s in LITTLE_STEPS for e in s.ends} | {end("CGA 510 female"), end("1/4 OD tube")})


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(LITTLE_ENDS), st.sampled_from(LITTLE_ENDS))
def test_up_to_three_parts_the_chain_is_the_best_of_all(a: End, b: End) -> None:
    found = between(a, b, LITTLE)
    if mates(a, b):
        assert found == ()
        return
    expected = best(a, b, LITTLE_STEPS, 3)
    if expected is None:
        assert found is None or len(found) > 3
    else:
        assert found == expected


STEPS = turned(ALL)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(ENDS), st.sampled_from(ENDS))
def test_of_the_whole_catalog_up_to_two_parts(a: End, b: End) -> None:
    found = between(a, b, ALL)
    if mates(a, b):
        assert found == ()
        return
    expected = best(a, b, STEPS, 2)
    if expected is None:
        assert found is None or len(found) > 2
    else:
        assert found == expected


def test_for_many_pairs_of_ends_each_joint_of_the_chain_mates() -> None:
    lengths = set()
    for a, b in itertools.product(ENDS[::2], ENDS[1::2]):
        found = between(a, b, ALL)
        if found is None:
            continue
        lengths.add(len(found))
        met = [a, *[e for s in found for e in s.ends], b]
        for one, other in zip(met[::2], met[1::2], strict=True):
            assert mates(one, other), (a, b, found)
        assert not {e.family for s in found for e in s.ends} & NEVER_BETWEEN
        assert len(found) <= MOST
    assert lengths >= {0, 1, 2, 3}


def test_the_longest_chain_that_is_offered() -> None:
    """A ladder of couplings, each a size smaller, so that the number of parts is known beforehand."""
    steps = [("2", "1-1/2"), ("1-1/2", "1-1/4"), ("1-1/4", "1"), ("1", "3/4"), ("3/4", "1/2"), ("1/2", "3/8")]
    sizes = tuple(Size(f"{a} x {b}", (f"{a} FNPT", f"{b} MNPT")) for a, b in steps)
    ladder = (Family("ladder", "fitting", "reducer", sizes, CHOICE, adapter=True),)
    assert len(between(end("2 MNPT"), end("1/2 FNPT"), ladder) or ()) == MOST == 5
    assert between(end("2 MNPT"), end("3/8 FNPT"), ladder) is None


def test_a_wider_bore_goes_before_a_name_and_a_known_bore_before_an_unknown() -> None:
    wide = ALL[0].sizes[4].measures[-1][1]._replace(si=0.02)
    narrow = wide._replace(si=0.01)

    def made(name: str, bore: tuple[tuple[str, object], ...]) -> Family:
        size = Size("s", ("1/2 FNPT", "1/4 MNPT"), bore)  # type: ignore[arg-type]
        return Family(name, "fitting", "reducer", (size,), CHOICE, adapter=True)

    a, b = end("1/2 MNPT"), end("1/4 FNPT")
    bores = {"a": (), "b": (("bore", narrow),), "c": (("bore", wide),), "d": (("bore", wide),)}
    catalog = tuple(made(name, bore) for name, bore in bores.items())
    assert [s.family for s in between(a, b, catalog) or ()] == ["c"]
    assert [s.family for s in between(a, b, catalog[:2]) or ()] == ["b"]
    assert math.isclose((between(a, b, catalog) or ())[0].bore or 0, 0.02)


def test_what_cannot_be_read_or_is_no_adapter_is_left_out() -> None:
    odd = Family("odd", "fitting", "reducer", (Size("s", ("1/2 FNPT", "what")),), CHOICE, adapter=True)
    plain = Family("plain", "fitting", "elbow", (Size("s", ("1/2 FNPT", "1/2 FNPT")),), CHOICE)
    assert between(end("1/2 MNPT"), end("1/2 MNPT"), (odd, plain)) is None
    assert between(end("1/2 MNPT"), end("1/2 MNPT"), ()) is None
