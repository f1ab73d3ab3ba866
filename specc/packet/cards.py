"""Cards to carry: one moment a card, in large letters, with boxes to tick, blanks to fill and lines to sign.

A card says what the packet says, from the same Result, and adds only room to write. Nothing is printed from a draft:
a card with steps for what was refused would be worse than none.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from specc.kinds.procedures import CHECKS, STEPS, Check, Step
from specc.model.blocks import Fact, Table
from specc.model.result import Result
from specc.packet import fonts
from specc.packet.back import DEFERRAL
from specc.packet.canvas import bare_streams, opened
from specc.packet.desk import Desk, clip, short_digest
from specc.packet.layout import PageItem, paginate
from specc.packet.press import Press
from specc.packet.signing import Blanks
from specc.packet.style import FINE_STRONG, INK, PAPERS, QUIET, THICK, Style
from specc.packet.summary import facts_of
from specc.packet.text import Paragraph

SUBJECT = "Cards for the crew: a computed aid, not an approval"
# Read at arm's length, at night, in gloves.
NAME = Style(26.0, 31, "semibold")
LARGE = Style(13.0, 17)
LARGE_STRONG = Style(13.0, 17, "semibold")
SMALL = Style(10.5, 14)
BOX = 11.0


class Card(NamedTuple):
    """One moment. `key` is its name on the command line."""

    key: str
    title: str
    items: tuple[PageItem, ...]


class TickBox(PageItem):
    """A line to tick: a box, a number where the order counts, and what is to be done or so."""

    def __init__(self, text: str, number: int = 0, before: float = 7.0) -> None:
        self.words = Paragraph(text, LARGE, indent=50 if number else 22)
        self.number, self.before = number, before

    def height(self, width: float) -> float:
        return self.words.height(width)

    def draw(self, press: Press, x: float, y: float, width: float) -> None:
        low = y - 13
        press.canvas.setStrokeColorRGB(*INK)
        press.canvas.setLineWidth(THICK)
        press.canvas.rect(x, low, BOX, BOX)
        if self.number:
            press.text(x + 44, y - 12.5, str(self.number), LARGE_STRONG, "right")
        self.words.draw(press, x, y, width)


def cards(result: Result) -> list[Card]:
    """All cards that a result has something for."""
    desk = Desk(result, public=False)
    made = [
        Card("gate", "Gate sheet", tuple(_gate(desk))),
        Card("briefing", "Briefing", tuple(_briefing(desk))),
        Card("leak-tests", "Leak and pressure tests", tuple(_tests(desk))),
        Card("before-gas", "Before gas", tuple(_before_gas(desk))),
        Card("lighting", "First fill and lighting", tuple(_steps(desk, ("start",)))),
        Card("during", "While gas is on", tuple(_during(desk))),
        Card("hourly", "Every hour", tuple(_hourly(desk))),
        Card("shutdown", "Normal shutdown", tuple(_steps(desk, ("stop",)))),
        Card("emergency", "Emergency", tuple(_emergency(desk))),
        Card("log", "Nightly log", tuple(_log(desk))),
        Card("walk", "The marshal's walk", tuple(_walk(desk))),
    ]
    return [card for card in made if card.items]


def render_cards(result: Result, paper_name: str = "letter", only: Sequence[str] = ()) -> bytes:
    """The cards as PDF bytes, each on a page of its own, or more where it is long. The same Result, the same bytes.

    Raises ValueError for a draft, for a paper that there is not, and for a card in `only` that there is not.
    """
    if paper_name not in PAPERS:
        raise ValueError(f"no paper {paper_name!r}; there is {', '.join(PAPERS)}")
    if result.draft:
        raise ValueError("the spec has errors: nobody is given steps for what was refused")
    every = cards(result)
    for key in only:
        if key not in {card.key for card in every}:
            raise ValueError(f"there is no card {key!r}; there are: {', '.join(c.key for c in every)}")
    paper = PAPERS[paper_name]
    buffer = io.BytesIO()
    with bare_streams():
        name = fonts.font_of("regular")
        fonts.face(name)
        canvas = opened(buffer, result, paper, f"{result.title}, cards", SUBJECT, name)
        press = Press(canvas, paper, {})
        for card in every:
            if only and card.key not in only:
                continue
            pages = paginate([Paragraph(card.title, NAME, keep=True), *card.items], paper)
            for number, page in enumerate(pages, 1):
                _frame(press, result, card, f"{number} of {len(pages)}")
                for placed in page.placed:
                    placed.item.show(press, paper.left, paper.first_line - placed.top, paper.measure)
                canvas.showPage()
        canvas.save()
    return buffer.getvalue()


def _frame(press: Press, result: Result, card: Card, page: str) -> None:
    paper = press.paper
    left, right, y = paper.left, paper.width - paper.right, paper.height - paper.top - 8
    said = f"revision {clip(result.revision, 24) or 'not stated'}" + (
        f", issued {result.issued}" if result.issued else ""
    )
    used = press.text(left, y, clip(result.title, 60), FINE_STRONG)
    press.text(left + used + 10, y, said, QUIET)
    press.text(right, y, f"{card.title}, {page}", QUIET, "right")
    press.line(left, y - 7, right, y - 7)
    y = paper.bottom + 10
    press.line(left, y + 11, right, y + 11)
    press.text(left, y, DEFERRAL, QUIET)
    press.text(left, y - 10, f"digest {short_digest(result.digest)}", QUIET)


# -- what stands on them


def _facts(desk: Desk) -> dict[str, Fact]:
    found: dict[str, Fact] = {}
    for _, fact in facts_of(desk):
        if fact.slot:
            found.setdefault(fact.slot, fact)
    return found


def _told(fact: Fact | None, label: str) -> Iterator[PageItem]:
    """One fact in large letters; where nobody says it, that."""
    yield Paragraph(label, QUIET, before=10, keep=True)
    yield Paragraph(fact.value if fact else "not stated", LARGE_STRONG, keep=bool(fact and fact.note))
    if fact and fact.note:
        yield Paragraph(fact.note, LARGE)


def _signed(who: str = "lead operator") -> PageItem:
    return Blanks(((f"{who}, name", 1.2), ("signature", 1.3), ("date and time", 0.8)), 36, before=10)


def _steps_of(desk: Desk, *procedures: str) -> list[tuple[str, Step]]:
    """What a step says, with whose it is, and the step."""
    items = [(i, i.item) for i in desk.result.items(STEPS.name)]
    own = [(i.whose, step) for i, step in items if isinstance(step, Step)]
    return [(f"{whose}{_NIGHT[s.night]}{s.text}", s) for p in procedures for whose, s in own if s.procedure == p]


_NIGHT = {"every": "", "first": "First night: ", "later": "Later nights: ", "last": "Last night: "}


def _rows(steps: Sequence[tuple[str, Step]]) -> Iterator[PageItem]:
    """A box for each step, numbered; under it who, what one looks for, and what to do if it is not so."""
    moment = ""
    for number, (text, step) in enumerate(steps, 1):
        if step.moment and step.moment != moment:
            yield Paragraph(step.moment, LARGE_STRONG, before=12, keep=True)
        moment = step.moment or moment
        yield TickBox(text, number)
        places: dict[str, dict[str, None]] = {}
        for act in step.acts:
            if act.who:
                places.setdefault(act.who, {})[act.where] = None
        who = "; ".join(f"{w} at {', '.join(filter(None, p))}" if any(p) else w for w, p in places.items())
        said = [
            who,
            f"look for: {step.look_for}" if step.look_for else "",
            f"if not: {step.if_not}" if step.if_not else "",
        ]
        if any(said):
            yield Paragraph("; ".join(filter(None, said)), SMALL, indent=50)


def _steps(desk: Desk, procedures: Sequence[str]) -> Iterator[PageItem]:
    steps = _steps_of(desk, *procedures)
    if not steps:
        return
    yield Paragraph("In this order. What does not go as written stops it: close the gas, then ask.", LARGE, before=4)
    yield from _rows(steps)
    yield _signed()


def _during(desk: Desk) -> Iterator[PageItem]:
    for procedure, title in _WHILE_ON.items():
        steps = _steps_of(desk, procedure)
        if steps:
            yield Paragraph(title, LARGE_STRONG, before=14, keep=True)
            yield from _rows(steps)


_WHILE_ON = {
    "firing": "Each burst",
    "scene_change": "From one scene to the next",
    "pilot_out": "A pilot goes out",
    "hold": "Weather hold",
    "hand_over": "Hand-over",
    "cylinder_change": "A cylinder is changed",
}


def _before_gas(desk: Desk) -> Iterator[PageItem]:
    checks = [f"{i.whose}{i.item.text}" for i in desk.result.items(CHECKS.name) if isinstance(i.item, Check)]
    if not checks:
        return
    yield Paragraph("Every line is so, or no gas is let in.", LARGE_STRONG, before=4)
    for text in checks:
        yield TickBox(text)
    yield Blanks((("gust, highest", 1.0), ("measured at", 1.0), ("by", 1.0)), 36, before=8)
    yield _signed()


def _emergency(desk: Desk) -> Iterator[PageItem]:
    facts = _facts(desk)
    yield from _told(facts.get("fire_department"), "Call first")
    call = _table(desk, "operators.call")
    for row in call.rows if call else ():
        yield Paragraph(": ".join(row.cells), LARGE)
    yield from _told(facts.get("main_shutoff"), "Main shutoff")
    titles = {"emergency": "Anything is wrong", "leak": "Gas leaks and does not burn"}
    for procedure, title in titles.items():
        steps = _steps_of(desk, procedure)
        if steps:
            yield Paragraph(title, LARGE_STRONG, before=14, keep=True)
            for number, (text, _) in enumerate(steps, 1):
                yield TickBox(text, number)
    seen = _steps_of(desk, "incident")
    if seen:
        yield Paragraph("By what you see", LARGE_STRONG, before=14, keep=True)
    for text, step in seen:
        yield Paragraph(step.look_for[:1].upper() + step.look_for[1:], LARGE_STRONG, before=8, keep=True)
        yield Paragraph(text, LARGE)
    yield Blanks((("called at", 1), ("gas off at", 1), ("name", 1.4)), 36, before=10)


def _gate(desk: Desk) -> Iterator[PageItem]:
    facts = _facts(desk)
    event = dict(desk.result.event)
    yield Paragraph(
        ", ".join(t for t in (desk.result.title, event.get("event", ""), event.get("site", "")) if t), LARGE
    )
    for slot, label in (
        ("responsible", "Responsible"),
        ("nights", "Nights"),
        ("audience_distance", "Nobody of the public is nearer to a flame than"),
        ("stop_wind", "It stops at a wind of"),
        ("tallest_flame", "Tallest flame above the ground"),
        ("gas_on_site", "Gas on site"),
        ("main_shutoff", "Main shutoff"),
        ("fire_department", "Fire department"),
    ):
        yield from _told(facts.get(slot), label)


def _table(desk: Desk, key: str) -> Table | None:
    table = desk.tables.get(key)
    return table if table is not None and table.rows else None


def _briefing(desk: Desk) -> Iterator[PageItem]:
    crew = _table(desk, "operators.crew")
    if crew is None:
        return
    yield Paragraph("I was briefed tonight, know the signals and my post, am rested and have had no alcohol.", LARGE)
    for row in crew.rows:
        yield Blanks(((f"{row.cells[0]}: {row.cells[1]}", 1.6), ("signature", 1.4), ("time", 0.5)), 30)
    yield Blanks((("held by", 1.2), ("date", 0.8), ("time", 0.5)), 36, before=10)


def _tests(desk: Desk) -> Iterator[PageItem]:
    tests = _table(desk, "plumbing.tests")
    if tests is None:
        return
    yield Paragraph("Never with oxygen, never with a flame. What falls, or bubbles, is mended and tested again.", LARGE)
    for row in tests.rows:
        name, *cells = row.cells
        yield Paragraph(name, LARGE_STRONG, before=14, keep=True)
        said = [f"{c.name}: {cell}" for c, cell in zip(tests.columns[1:], cells, strict=False) if cell]
        yield Paragraph("; ".join(said), LARGE, keep=True)
        yield Blanks((("at the start", 1), ("at the end", 1), ("minutes", 0.7), ("passed or not", 0.9), ("by", 1)), 34)


def _hourly(desk: Desk) -> Iterator[PageItem]:
    wind = _facts(desk).get("stop_wind")
    limit = f"it stops at {wind.value}" if wind else "its limit is not stated"
    yield Paragraph(f"Once an hour while gas is on. Wind: {limit}.", LARGE, before=4)
    yield Paragraph("Once an hour: common practice, no published source.", QUIET)
    yield Paragraph(
        "Look at frost on cylinders, at hoses and joints, at every flame, at the line of the public.", LARGE
    )
    labels = (
        ("time", 0.6),
        ("gust", 0.6),
        ("frost", 0.7),
        ("leaks", 0.7),
        ("flames", 0.7),
        ("public", 0.7),
        ("by", 0.7),
    )
    for _ in range(10):
        yield Blanks(labels, 34)


def _log(desk: Desk) -> Iterator[PageItem]:
    yield Blanks((("night", 1), ("lead operator", 1.4)), 34)
    yield Blanks((("gas on at", 1), ("first flame", 1), ("last flame", 1), ("gas off at", 1)), 34)
    yield Blanks((("gust, highest", 1), ("measured at", 1), ("air, lowest", 1)), 34)
    cylinders = _table(desk, "materials.cylinders")
    for row in cylinders.rows if cylinders else ():
        yield Blanks(((f"{row.cells[0]}: weight before", 1), ("weight after", 1), ("condition", 1.4)), 34)
    yield Paragraph("Incidents, stops and why; what was taken apart, and tested again", LARGE, before=12, keep=True)
    for _ in range(7):
        yield Blanks((("", 1.0),), 24)
    yield Blanks((("fire watch ended at", 0.8), ("fire watch, name", 1), ("signature", 1.2)), 36)


def _walk(desk: Desk) -> Iterator[PageItem]:
    rules = [r for r in desk.result.rules if r.status in ("stated", "planned", "authority to decide")]
    if not rules:
        return
    yield Paragraph("What was only typed, still to happen, or yours to say: to see, to touch, or to have shown.", LARGE)
    yield from _to_touch(desk)
    for status, title in (
        ("authority to decide", "For you to say"),
        ("stated", "Stated"),
        ("planned", "Still to happen"),
    ):
        some = [r for r in rules if r.status == status]
        if some:
            yield Paragraph(title, LARGE_STRONG, before=12, keep=True)
        for rule in some:
            yield TickBox(clip(f"{rule.statement}: {rule.looked}", 420))


def _to_touch(desk: Desk) -> Iterator[PageItem]:
    """Valves by their place, as their tags are read on the brass; stamps and tags; what is to be shown."""
    valves: dict[str, dict[str, None]] = {}
    powered: dict[str, None] = {}
    lit: dict[str, None] = {}
    for _, step in _steps_of(desk, "start"):
        if step.moment == "Before gas":
            for act in step.acts:
                if act.action == "close":
                    valves.setdefault(act.where or "place not stated", {})[act.tag] = None
                if act.action == "switch_off":
                    powered[act.tag] = None
        lit.update(dict.fromkeys(act.tag for act in step.acts if act.action == "light"))
    if valves:
        yield Paragraph("To touch: each valve has its tag, turns, and is shut", LARGE_STRONG, before=12, keep=True)
    for place, tags in valves.items():
        yield TickBox(f"{place}: {', '.join(tags)}")
    for key, title in (
        ("materials.cylinders", "To read: the stamps of the cylinders"),
        ("extinguishers.units", "To read: the tags of the extinguishers"),
        ("control.valves", "To see: the arrow on each solenoid valve, and what may press on it from behind"),
    ):
        table = _table(desk, key)
        if table is not None:
            yield Paragraph(title, LARGE_STRONG, before=12, keep=True)
            for row in table.rows:
                told = zip(table.columns, row.cells, strict=False)
                yield TickBox("; ".join(f"{c.name} {cell}".strip() for c, cell in told if cell))
    shown = []
    if powered:
        shown.append(
            f"With gas shut off, the stop is pressed: {', '.join(powered)} let go; turning it back starts nothing."
        )
    if lit:
        shown.append(f"Each is lit as the steps say, and holds when it is blown at: {', '.join(lit)}.")
    if shown:
        yield Paragraph("To have shown", LARGE_STRONG, before=12, keep=True)
    for text in shown:
        yield TickBox(text)
