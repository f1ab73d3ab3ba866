"""Steel and brass pipe and what is threaded onto it. Sizes are nominal, threads NPT."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from specc.kinds.plumbing import End, Family, Size
from specc.model.values import Citation, Constant
from specc_plumbing.catalog import tables
from specc_plumbing.catalog.making import family, female, male, size, smaller
from specc_plumbing.catalog.tables import NPS, Measures, length
from specc_plumbing.ends import inches

_TAKE_OUT = "take-outs are those of class 150 malleable iron; measure others"


@cache
def _pipe(nps: str, schedule: int) -> Measures:
    pipe = tables.PIPE[nps]
    wall, bore = (pipe.wall_40, pipe.bore_40) if schedule == 40 else (pipe.wall_80, pipe.bore_80)
    sizes = (("outside", pipe.outside), ("wall", wall), ("bore", bore))
    return tuple((name, length(value, tables.PIPES)) for name, value in sizes)


def _of_pipe(name: str, nps: str, schedule: int, end: End, more: Measures = ()) -> Size:
    return size(f"{name} schedule {schedule}", end, end, more=_pipe(nps, schedule) + more, bored=False)


def _pipes() -> Iterator[Family]:
    schedules = (40, 80)
    yield family(
        "threaded pipe", "pipe", "",
        [_of_pipe(f"{n} in NPT", n, s, male(n)) for n in NPS for s in schedules],
        tables.PIPES,
    )  # fmt: skip
    weld = [(n, End("weld", n, "")) for n in NPS]
    yield family(
        "pipe to weld", "pipe", "", [_of_pipe(f"{n} in weld", n, s, w) for n, w in weld for s in schedules],
        tables.PIPES,
    )  # fmt: skip
    # Where the schedule of a nipple is not said, its bore is the narrower reading, as for other male ends.
    outside = {n: (("outside", length(pipe.outside, tables.PIPES)),) for n, pipe in tables.PIPE.items()}
    nipples = [size(f"{n} in NPT", male(n), male(n), more=outside[n]) for n in NPS]
    note = "of any length: say which under length:"
    yield family("nipple", "fitting", "nipple", nipples, adapter=True, note=note)
    of_schedule = [_of_pipe(f"{n} in NPT", n, s, male(n)) for n in NPS for s in schedules]
    yield family("nipple of a schedule", "fitting", "nipple", of_schedule, tables.PIPES, note=note)
    long = {n: (("length", _inches(c, tables.NIPPLES)),) for n, c in tables.CLOSE.items()}
    close = [size(f"{n} in NPT close", male(n), male(n), more=outside[n] + long[n]) for n in NPS]
    close += [_of_pipe(f"{n} in NPT close", n, s, male(n), long[n]) for n in NPS for s in schedules]
    yield family("close nipple", "fitting", "nipple", close, tables.NIPPLES)
    longer = [
        size(f"{n} in NPT x {x} in", male(n), male(n), more=(*outside[n], ("length", _inches(x, tables.LENGTHS))))
        for n, c in tables.CLOSE.items()
        for x in tables.LONGER
        if inches(x) > inches(c)
    ]
    yield family("long nipple", "fitting", "nipple", longer, tables.LENGTHS)
    one_end = [size(f"{n} in weld x {n} in NPT", w, male(n), more=outside[n]) for n, w in weld]
    yield family("nipple threaded on one end", "fitting", "nipple", one_end, adapter=True)


def _inches(text: str, citation: Citation) -> Constant:
    return length(inches(text), citation, f"{text} in")


def _straight(name: str, form: str, ends: int, loss: str, take_out: bool = True) -> Family:
    """A fitting with all ends female and of one size, each as far from the center."""
    sizes = [
        size(
            f"{n} in NPT",
            *[female(n)] * ends,
            more=(
                *((("take_out", length(tables.ELBOW_90[n], tables.MALLEABLE, digits=2)),) if take_out else ()),
                *(tables.loss(loss) if loss else ()),
            ),
        )
        for n in NPS
    ]
    return family(name, "fitting", form, sizes, note=_TAKE_OUT if take_out else "")


def _turns() -> Iterator[Family]:
    yield _straight("90 degree elbow", "elbow", 2, "elbow_90")
    sizes = [
        size(
            f"{n} in NPT 45 degrees", female(n), female(n),
            more=(("take_out", length(out, tables.MALLEABLE, digits=2)), *tables.loss("elbow_45")),
        )
        for n, out in tables.ELBOW_45.items()
    ]  # fmt: skip
    yield family("45 degree elbow", "fitting", "elbow", sizes, note=_TAKE_OUT)
    street = [
        size(
            f"{n} in NPT", male(n), female(n),
            more=(
                ("take_out_1", length(tables.STREET_MALE[n], tables.MALLEABLE, digits=2)),
                ("take_out_2", length(tables.ELBOW_90[n], tables.MALLEABLE, digits=2)),
                *tables.loss("elbow_90"),
            ),
        )
        for n in NPS
    ]  # fmt: skip
    yield family("street elbow", "fitting", "street_elbow", street, note=_TAKE_OUT)
    reducing = [
        size(f"{n} x {s} in NPT", female(n), female(s), more=tables.loss("elbow_90"))
        for n in NPS
        for s in smaller(n, 2)
    ]
    yield family("reducing elbow", "fitting", "elbow", reducing)


def _branches() -> Iterator[Family]:
    yield _straight("tee", "tee", 3, "tee")
    reducing = [
        size(f"{n} x {n} x {s} in NPT", female(n), female(n), female(s), more=tables.loss("tee"), bored=False)
        for n in NPS
        for s in smaller(n, 4)
    ]
    yield family("reducing tee", "fitting", "tee", reducing, note="run, run, branch; the branch's bore is its pipe's")
    yield _straight("cross", "cross", 4, "tee")


def _lines() -> Iterator[Family]:
    half = {
        n: (("take_out", length(w / 2, tables.MALLEABLE_LENGTHS, f"{w:.2f}/2 in")),) for n, w in tables.COUPLING.items()
    }
    yield family(
        "coupling", "fitting", "coupling", [size(f"{n} in NPT", female(n), female(n), more=half[n]) for n in NPS],
        adapter=True, note=_TAKE_OUT,
    )  # fmt: skip
    yield family(
        "reducing coupling", "fitting", "reducer",
        [size(f"{n} x {s} in NPT", female(n), female(s)) for n in NPS for s in smaller(n, 4)],
        adapter=True,
    )  # fmt: skip
    yield family(
        "hex bushing", "fitting", "bushing",
        [size(f"{n} x {s} in NPT", male(n), female(s)) for n in NPS for s in smaller(n, 5)],
        adapter=True, note="male end first",
    )  # fmt: skip
    yield family(
        "reducing nipple", "fitting", "nipple",
        [size(f"{n} x {s} in NPT", male(n), male(s)) for n in NPS for s in smaller(n, 3)],
        adapter=True,
    )  # fmt: skip
    yield family(
        "enlarging adapter", "fitting", "adapter",
        [size(f"{s} MNPT x {n} FNPT", male(s), female(n)) for n in NPS for s in smaller(n, 2)],
        adapter=True,
    )  # fmt: skip
    yield _straight("ground joint union", "union", 2, "", take_out=False)


def _closed() -> Iterator[Family]:
    yield family("plug", "fitting", "plug", [size(f"{n} in NPT", male(n), bored=False) for n in NPS])
    yield family("cap", "fitting", "cap", [size(f"{n} in NPT", female(n), bored=False) for n in NPS])


def pipework() -> tuple[Family, ...]:
    """Pipe, nipples and threaded fittings."""
    return (*_pipes(), *_turns(), *_branches(), *_lines(), *_closed())
