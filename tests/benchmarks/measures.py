"""What is measured: start-up, compute and layout, each against something else done in the same run.

A time alone says more about the machine than about specc; a ratio holds from one machine to the next. As a script it
prints one table of all, with the complete sample's road by plugin and how time grows, today against what before.json
keeps; `--keep` keeps today's:

    .venv/bin/python tests/benchmarks/measures.py [--keep]
"""

from __future__ import annotations

import datetime
import gc
import io
import json
import os
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import cache
from html import escape
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = str(ROOT / "sample_projects/garden_brazier/project.yaml")
COMPLETE = str(ROOT / "sample_projects/lantern_reeds/project.yaml")
BEFORE = Path(__file__).with_name("before.json")


class Ratio(NamedTuple):
    """`ours` and `theirs` in seconds, each the best of several."""

    ours: float
    theirs: float
    note: str

    @property
    def value(self) -> float:
        return self.ours / self.theirs


def best(*tasks: Callable[[], float], times: int) -> list[float]:
    """The shortest time of each task. Taking turns, so that a slow moment of the machine hits all."""
    took: list[list[float]] = [[] for _ in tasks]
    for _ in range(times):
        for i, task in enumerate(tasks):
            took[i].append(task())
    return [min(t) for t in took]


def timed(task: Callable[[], object]) -> float:
    start = time.perf_counter()
    task()
    return time.perf_counter() - start


def busy(task: Callable[[], object]) -> float:
    """The processor's seconds, so that what else runs on the machine counts little; without looking for garbage, as
    the command line runs, and with nothing remembered of an earlier run."""
    forget_answers()
    gc.disable()
    try:
        start = time.process_time()
        task()
        return time.process_time() - start
    finally:
        gc.enable()


def forget_answers() -> None:
    """Drop what networks and shows that were solved before have given: each call of specc starts without."""
    from specc.engine import remembered
    from specc.formulas import ways
    from specc_control import circuit
    from specc_fuel.calc import vessel
    from specc_fuel.faults import shut_in
    from specc_fuel.network import piece_solver
    from specc_fuel.show_run import from_spec
    from specc_fuel.show_run.simulation import all_supplies

    remembered.forget()
    piece_solver._SOLVED.clear()
    for function in (
        from_spec._burst_table,
        all_supplies._remembered,
        vessel.emptying_isothermal,
        vessel.emptying_adiabatic,
        shut_in._runs_out,
        circuit._looked,
        ways.ground,
        ways._between,
    ):
        function.cache_clear()


# -- start-up: processor time that loading each built-in plugin takes, the libraries apart


CORE = "import pluggy, yaml, jsonschema, referencing"
COUNT = "len(find().plugins) - 1"  # the core's own passes are loaded with them
LOAD = f"from specc.engine.host import find; count = {COUNT}; assert count > 2"


def _environment() -> dict[str, str]:
    """What stands on the path is what this run uses. Bytecode is kept, as wherever specc was installed."""
    return {**os.environ, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p), "PYTHONDONTWRITEBYTECODE": ""}


def _fresh(code: str) -> float:
    """Seconds of processor time that code takes in a Python of its own, without starting that Python."""
    program = f"import time; s = time.process_time(); {code}; print(time.process_time() - s)"
    ran = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, env=_environment()
    )
    return float(ran.stdout)


def start_up(times: int = 7) -> float:
    """Milliseconds of processor time for each built-in plugin, beyond what importing the core libraries takes."""
    from specc.engine.host import find

    _fresh(LOAD)  # the first time compiles
    ours, theirs = best(lambda: _fresh(LOAD), lambda: _fresh(CORE), times=times)
    return (ours - theirs) * 1000 / (len(find().plugins) - 1)


# -- compute: what the road takes for each call of a pass, without what the pass itself takes


STEPS = 2_000


def calibration() -> float:
    """Some work in plain Python, of the kind that the road does: small tuples, dicts and texts."""
    start = time.perf_counter()
    kept: dict[str, tuple[int, str]] = {}
    for i in range(STEPS):
        name = f"/parts/{i % 97}/{i}"
        kept[name] = (i, name.split("/")[2])
    assert len(sorted(kept.items())) == STEPS
    return time.perf_counter() - start


def compute(times: int = 15) -> Ratio:
    """Own time of `travel` as `check` asks for it, for each call of a pass, weather cases counted."""
    from specc.engine import road

    inside = 0.0
    evaluations = 0

    def clocked(function: Callable[[Any], Any]) -> Callable[[Any], Any]:
        def call(ctx: Any) -> Any:
            nonlocal inside
            start = time.perf_counter()
            try:
                return function(ctx)
            finally:
                inside += time.perf_counter() - start

        return call

    find, run = road.find, road.run

    def find_clocked(*args: Any, **named: Any) -> Any:
        host = find(*args, **named)
        plugins = (
            p._replace(passes=tuple(x._replace(function=clocked(x.function)) for x in p.passes)) for p in host.plugins
        )
        return host._replace(plugins=tuple(plugins))

    def run_counted(*args: Any, **named: Any) -> Any:
        nonlocal evaluations
        ran = run(*args, **named)
        evaluations += ran.evaluations
        return ran

    def own() -> float:
        nonlocal inside, evaluations
        inside, evaluations = 0.0, 0
        took = timed(lambda: road.travel(SAMPLE))
        return (took - inside) / evaluations

    road.find, road.run = find_clocked, run_counted
    try:
        own()
        ours, theirs = best(own, calibration, times=times)
    finally:
        road.find, road.run = find, run
    return Ratio(ours, theirs, f"own time for each of {evaluations} calls of passes, against a calibration loop")


# -- layout: the packet, against the same blocks through reportlab's own layout


@cache
def sample() -> Any:
    """The sample's Result, as `compile` asks for it."""
    from specc.engine.road import COMPILE, Ask, travel

    return travel(SAMPLE, ask=Ask(kinds=COMPILE, tolerance=True))


def _forget() -> None:
    """Drop what the packet's modules remember of earlier texts: a compile starts without."""
    from specc.packet import text

    for name, module in list(sys.modules.items()):
        if name.startswith("specc.packet") and not name.endswith(".fonts"):
            for thing in list(vars(module).values()):
                if hasattr(thing, "cache_clear"):
                    thing.cache_clear()
    assert text.lines.cache_info().currsize == 0


def multi_build(result: Any) -> bytes:
    """The same blocks through platypus: paragraphs, tables, figures, contents and page numbers."""
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.lib.units import mm
    from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Paragraph, Table
    from reportlab.platypus.tableofcontents import TableOfContents

    from specc.drawing.shapes import Circle, Line, Polygon, Text
    from specc.formulas.equations import substitute
    from specc.measure.printing import both
    from specc.model.blocks import (
        Bullets,
        DrawingBlock,
        Facts,
        FigureBlock,
        FigureList,
        Heading,
        Para,
        RulesBlock,
        TableBlock,
    )

    styles = getSampleStyleSheet()
    measure = 510.0
    figures = {f.key: f for f in result.figures}

    def say(text: str, style: str = "BodyText") -> Any:
        return Paragraph(escape(text), styles[style])

    def grid(rows: Any, shares: Any) -> Any:
        cells = [[say(str(c)) for c in row] for row in rows]
        return Table(cells, [measure * s / sum(shares) for s in shares], repeatRows=1) if cells else say("-")

    class Sketch(Flowable):  # type: ignore[misc]
        def __init__(self, sheet: Any) -> None:
            super().__init__()
            self.sheet, self.width, self.height = sheet, sheet.width * mm, sheet.height * mm

        def draw(self) -> None:
            c = self.canv
            c.scale(mm, mm)
            for s in self.sheet.shapes:
                if isinstance(s, Line | Polygon):
                    path = c.beginPath()
                    path.moveTo(*s.points[0])
                    for point in s.points[1:]:
                        path.lineTo(*point)
                    c.drawPath(path)
                elif isinstance(s, Circle):
                    c.circle(s.x, s.y, s.radius)
                elif isinstance(s, Text):
                    c.setFont("Helvetica", s.size / mm)
                    c.drawString(s.x, s.y, s.text)

    def in_full(figure: Any) -> list[Any]:
        w = figure.worked
        rows = [(c.case, *both(c.worked.si, figure.dim, figure.unit, figure.digits)) for c in figure.cases]
        return [
            say(figure.title, "Heading3"),
            say(w.equation.form(w.regime)),
            say(substitute(w.equation, w)),
            grid(rows, (1, 1, 1)),
            *(say(f"{name}: {getattr(i, 'text', '')}") for name, i in w.inputs),
            *(say(f"{c.reference}, {c.where}") for c in w.equation.citations),
        ]

    def rules(prefix: str) -> Any:
        head = [("rule", "looked at", "status", "source")]
        listed = [r for r in result.rules if r.id.startswith(prefix)]
        return grid(head + [(r.statement, r.looked, r.status, r.citation.where) for r in listed], (3, 2, 1, 1))

    def block(b: Any) -> list[Any]:
        match b:
            case Heading():
                return [say(b.text, "Heading2")]
            case Para():
                return [say(b.text)]
            case Bullets():
                return [say(t) for t in b.items]
            case Facts():
                return [grid(b.rows, (1, 3))]
            case TableBlock():
                t = dict(result.tables)[b.key]
                rows = [[c.name for c in t.columns], *(r.cells for r in t.rows)]
                return [grid(rows, [c.share for c in t.columns]), say(t.title)]
            case DrawingBlock():
                d = dict(result.drawings)[b.key]
                return [*(Sketch(s) for s in d.sheets), say(d.title)]
            case FigureBlock():
                return in_full(figures[b.key])
            case FigureList():
                some = [figures[k] for k in b.keys if k in figures]
                return [grid([(f.title, *both(f.si, f.dim, f.unit, f.digits), f.case, f.key) for f in some], (2,) * 5)]
            case RulesBlock():
                return [rules(b.prefix)]
        raise TypeError(b)

    story: list[Any] = [say(result.title, "Title"), say(result.summary), grid(result.event, (1, 3))]
    story += [say(f"{f.value} {f.label}, {f.note}") for f in result.summary_facts]
    story.append(TableOfContents())
    for section in result.sections:
        story.append(say(section.title, "Heading1"))
        for b in section.blocks:
            story += block(b)
    story += [say("Rules", "Heading1"), rules(""), say("Limits", "Heading1")]
    story.append(
        grid(
            [(x.key, x.statement, *(v.text if v else "not set" for v in (x.value, x.default))) for x in result.limits],
            (2, 3, 1, 1),
        )
    )
    story += [say(c.text) for c in result.cautions]
    story += [grid([(m.subject, m.text) for m in result.model_limits], (1, 3))]
    story += [say(f"{r.title}. {r.publisher}. {r.edition}. {r.note}") for r in result.references]

    class Document(BaseDocTemplate):  # type: ignore[misc]
        def afterFlowable(self, flowable: Any) -> None:
            if isinstance(flowable, Paragraph) and flowable.style.name in ("Heading1", "Heading2"):
                level = int(flowable.style.name[-1]) - 1
                self.notify("TOCEntry", (level, flowable.getPlainText(), self.page))

    def foot(canvas: Any, document: Any) -> None:
        canvas.setFont("Helvetica", 7)
        canvas.drawString(51, 30, f"{result.title}, digest {result.digest[:16]}, page {document.page}")

    buffer = io.BytesIO()
    document = Document(buffer, invariant=1)
    document.addPageTemplates(PageTemplate(frames=[Frame(45, 45, measure + 12, 700)], onPage=foot))
    document.multiBuild(story)
    return buffer.getvalue()


def layout(times: int = 5) -> Ratio:
    from specc.packet import render

    result = sample()

    def ours() -> float:
        _forget()
        return timed(lambda: render(result))

    render(result)  # imports and fonts, which both use
    multi_build(result)
    mine, theirs = best(ours, lambda: timed(lambda: multi_build(result)), times=times)
    return Ratio(mine, theirs, "the packet, against the same blocks under multiBuild")


# -- the report


class Measure(NamedTuple):
    """One line of the table. `unit`: "ms" and "s" of processor time unless the name says otherwise; "" for a ratio
    or an exponent."""

    name: str
    unit: str
    value: float


def verb(*words: str) -> float:
    """Seconds for a verb from the shell, best of five, Python's own start included."""
    code = "import sys; from specc.cli import main; sys.exit(main())"
    env = _environment()

    def once() -> float:
        return timed(
            lambda: subprocess.run([sys.executable, "-c", code, *words], capture_output=True, check=True, env=env)
        )

    return best(once, times=5)[0]


def roads() -> Iterator[Measure]:
    """The complete sample, and what each built-in plugin's passes take of its road: what later work adds to it."""
    from specc.engine.road import CHECK, COMPILE, Ask, travel
    from specc.packet import render

    def took(ask: Ask, times: int = 3) -> float:
        return best(lambda: busy(lambda: travel(COMPLETE, None, ask)), times=times)[0]

    took(Ask(COMPILE), 1)  # what is read once a process
    yield Measure("lantern_reeds: check", "s", took(Ask(CHECK)))
    whole, tolerant = took(Ask(COMPILE)), took(Ask(COMPILE, tolerance=True))
    yield Measure("lantern_reeds: compile, without the pages", "s", whole)
    yield Measure("lantern_reeds: the same with tolerances, against without", "", tolerant / whole)
    result = travel(COMPLETE, None, Ask(COMPILE))
    yield Measure("lantern_reeds: the pages", "s", best(lambda: busy(lambda: render(result)), times=3)[0])
    for kinds, name in ((CHECK, "check"), (COMPILE, "compile")):
        for plugin, seconds in by_plugin(COMPLETE, Ask(kinds)).items():
            yield Measure(f"lantern_reeds: {name}, in the passes of {plugin}", "s", seconds)


def by_plugin(path: str, ask: Any) -> dict[str, float]:
    """Processor time in each plugin's passes, s, with what they call."""
    from specc.engine.road import travel
    from specc.engine.run import Running

    spent: dict[str, float] = defaultdict(float)
    call = Running.call

    def timed_call(self: Any, held: Any) -> Any:
        start = time.process_time()
        try:
            return call(self, held)
        finally:
            spent[held.plugin] += time.process_time() - start

    Running.call = timed_call  # type: ignore[method-assign]
    try:
        busy(lambda: travel(path, None, ask))
    finally:
        Running.call = call  # type: ignore[method-assign]
    return dict(sorted(spent.items()))


def measured(folder: str) -> Iterator[Measure]:
    import growth

    out = os.path.join(folder, "packet.pdf")
    yield Measure("loading a plugin, the libraries apart", "ms", start_up())
    yield Measure("the road's own time a call of a pass, against a loop of plain work", "", compute().value)
    yield Measure("the sample's pages, against multiBuild", "", layout().value)
    bare = best(lambda: timed(lambda: subprocess.run([sys.executable, "-c", ""], check=True)), times=5)[0]
    yield Measure("python alone, by the clock", "ms", bare * 1000)
    for words in (["--help"], ["check", SAMPLE], ["compile", SAMPLE, "-o", out]):
        of = " of garden_brazier" if SAMPLE in words else ""
        yield Measure(f"specc {words[0]}{of}, by the clock", "ms", verb(*words) * 1000)
    yield from roads()
    for kind in growth.KINDS:
        found = growth.growth(kind)
        most, seconds = list(found.seconds.items())[-1]
        yield Measure(f"{most} {kind}", "s", seconds)
        yield Measure(f"how time grows with {kind}: the power of their number", "", found.exponent)


def report(folder: str, keep: bool) -> None:
    """Today against what was kept before, line by line; `keep`: what is measured now is what comes to be before."""
    before: dict[str, float] = {}
    if BEFORE.exists():
        kept = json.loads(BEFORE.read_text(encoding="utf-8"))
        before = kept["measured"]
        print(f"before: {kept['when']}; clocks of another machine tell little, ratios and powers do\n")
    now: dict[str, float] = {}
    print(f"{'':70} {'before':>9} {'today':>9}")
    for name, unit, value in measured(folder):
        now[name] = round(value, 4)
        earlier = f"{before[name]:9.2f}" if name in before else f"{'-':>9}"
        print(f"{name:70} {earlier} {value:9.2f} {unit}", flush=True)
    if keep:
        when = f"{datetime.date.today()}, Python {sys.version.split()[0]}, {os.cpu_count()} cores"
        BEFORE.write_text(json.dumps({"when": when, "measured": now}, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        report(folder, "--keep" in sys.argv[1:])
