"""What stands on each card. All of it is what the packet says, from the same Result; a card only adds room to write."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specc.kinds.procedures import AFTER_STOP, CHECKS, STEPS, Check, Step
from specc.model.blocks import Fact, Table
from specc.model.wording import in_runs
from specc.packet.card_items import Card, CardGroup, Letters, TickBox, Write
from specc.packet.desk import Desk
from specc.packet.layout import PageItem
from specc.packet.signing import Blanks
from specc.packet.still_open import open_lines
from specc.packet.style import QUIET
from specc.packet.summary import OTHER_SIDES, facts_of, one_side
from specc.packet.text import Paragraph

_NIGHT = {"every": "", "first": "First night: ", "later": "Later nights: ", "last": "Last night: "}
_WHILE_ON = {
    "firing": "Each burst",
    "scene_change": "From one scene to the next",
    "pilot_out": "A pilot goes out",
    "hold": "Weather hold",
    "hand_over": "Hand-over",
    "cylinder_change": "A cylinder is changed",
}
_STOPS = "In this order. What does not go as written stops it: close the gas, then ask."
AS_BEFORE = "As before."


def cards(desk: Desk) -> list[Card]:
    """All cards that a result has something for: the moments of a night in order, then each person's own."""
    start = _moments(_numbered(desk, "start"))
    first, last = _first_fill(start)
    test = max(first - 1, 1)  # the moment before it, where gas comes as far as soap shows it
    made: list[Card | None] = [
        Card("gate", "Gate sheet", lambda t: _gate(desk, t)),
        _if(_table(desk, "operators.crew"), "briefing", "Briefing", lambda t: _briefing(desk, t)),
        _if(_table(desk, "plumbing.tests"), "leak-tests", "Leak and pressure tests", lambda t: _tests(desk, t)),
        _if(_checks(desk), "before-gas", "Before gas", lambda t: _before_gas(desk, t)),
        _if(start[:test], "start-up", "Start-up", lambda t: _procedure(start[:test], t)),
        _if(start[test:first], "soap", "Leak test with gas", lambda t: _procedure(start[test:first], t)),
        _if(start[first:last], "first-fill", "First fill", lambda t: _procedure(start[first:last], t)),
        _if(start[last:], "lighting", "Lighting", lambda t: _procedure(start[last:], t)),
        _if(_steps_of(desk, *_WHILE_ON), "during", "While gas is on", lambda t: _during(desk, t)),
        Card("hourly", "Every hour", lambda t: _hourly(desk, t)),
        _if(_steps_of(desk, "stop"), "shutdown", "Normal shutdown", lambda t: _shutdown(desk, t)),
        Card("emergency", "Emergency", lambda t: _emergency(desk, t)),
        _if(_after(desk), "after", AFTER_STOP, lambda t: iter([CardGroup("", tuple(_rows(_after(desk), t)))])),
        _if(_steps_of(desk, "leak"), "leak", "Gas leaks and does not burn", lambda t: _leak(desk, t)),
        _if(_steps_of(desk, "incident"), "incidents", "By what you see", lambda t: _incidents(desk, t)),
        _if(_steps_of(desk, "stop"), "strike", "Strike", lambda t: _strike(desk, t)),
        Card("log", "Nightly log", lambda t: _log(desk, t)),
        _if(_to_walk(desk), "walk", "The marshal's walk", lambda t: _walk(desk, t)),
        *(Card(f"for-{who}", f"{who}{duties}", _person(desk, who)) for who, duties in _people(desk).items()),
    ]
    return [card for card in made if card is not None]


def _if(there: object, key: str, title: str, write: Write) -> Card | None:
    return Card(key, title, write) if there else None


# -- what they are made from


def _facts(desk: Desk) -> dict[str, Fact]:
    found: dict[str, Fact] = {}
    for _, fact in facts_of(desk):
        if fact.slot:
            found.setdefault(fact.slot, fact)
    return found


def _table(desk: Desk, key: str) -> Table | None:
    table = desk.tables.get(key)
    return table if table is not None and table.rows else None


def _told(fact: Fact | None, label: str, type_: Letters) -> Iterator[PageItem]:
    """One fact in large letters; where nobody says it, that."""
    yield Paragraph(label, QUIET, before=8, keep=True)
    yield Paragraph(fact.value if fact else "not stated", type_.strong, keep=bool(fact and fact.note))
    if fact and fact.note:
        yield Paragraph(fact.note, type_.body)


def _signed(who: str = "lead operator") -> PageItem:
    return Blanks(((f"{who}, name", 1.2), ("signature", 1.3), ("date and time", 0.8)), 30, before=8)


def _steps_of(desk: Desk, *procedures: str) -> list[tuple[str, Step]]:
    """What a step says, with whose it is, and the step."""
    items = [(i, i.item) for i in desk.result.items(STEPS.name)]
    own = [(i.whose, step) for i, step in items if isinstance(step, Step)]
    return [(f"{whose}{_NIGHT[s.night]}{s.text}", s) for p in procedures for whose, s in own if s.procedure == p]


Numbered = Sequence[tuple[int, str, Step]]


def _numbered(desk: Desk, procedure: str) -> Numbered:
    """Steps with the numbers that they have in the packet. One that says "as before" says what that is: on a person's
    card the step before may not stand."""
    made, before = [], ""
    for n, (text, step) in enumerate(_steps_of(desk, procedure), 1):
        before = before if step.if_not == AS_BEFORE else step.if_not or before
        made.append((n, text, step._replace(if_not=before) if step.if_not == AS_BEFORE else step))
    return made


def _moments(steps: Numbered) -> list[tuple[str, Numbered]]:
    """Steps by the moment that they make up; one that names none belongs to the moment before it."""
    made: list[tuple[str, list[tuple[int, str, Step]]]] = []
    for n, text, step in steps:
        if not made or (step.moment and step.moment != made[-1][0]):
            made.append((step.moment, []))
        made[-1][1].append((n, text, step))
    return [(moment, some) for moment, some in made]


def _first_fill(moments: Sequence[tuple[str, Numbered]]) -> tuple[int, int]:
    """From which moment gas first goes where air was, and from which on it is lit: as the steps' acts say."""

    def does(some: Numbered, *actions: str) -> bool:
        return any(act.action in actions for _, _, step in some for act in step.acts)

    lit = next((n for n, (_, some) in enumerate(moments) if does(some, "light")), len(moments))
    fills = [n for n, (_, some) in enumerate(moments[:lit]) if does(some, "purge", "bleed")]
    return (fills[0], fills[-1] + 1) if fills else (lit, lit)


def _doers(step: Step) -> list[str]:
    """Who does a step, each with the places: "cedar at desk"."""
    places: dict[str, dict[str, None]] = {}
    for act in step.acts:
        if act.who:
            places.setdefault(act.who, {})[act.where] = None
    return [f"{w} at {', '.join(in_runs(filter(None, p)))}" if any(p) else w for w, p in places.items()]


def _rows(steps: Numbered, type_: Letters, *, who: bool = True) -> Iterator[PageItem]:
    """A box for each step, numbered, or one for each who has to do it; under it what one looks for, and what to do if
    it is not so."""
    for number, text, step in steps:
        doers = _doers(step) if who else []
        several = len(doers) > 1
        said = [
            "" if several else "; ".join(doers),
            f"look for: {step.look_for}" if step.look_for else "",
            f"if not: {step.if_not}" if step.if_not else "",
        ]
        yield TickBox(text, type_, number, "; ".join(filter(None, said)), doers if several else ())


# -- the moments of a night


def _gate(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    facts = _facts(desk)
    event = dict(desk.result.event)
    what = ", ".join(t for t in (desk.result.title, event.get("event", ""), event.get("site", "")) if t)
    made: list[PageItem] = [Paragraph(what, type_.body)]
    for slot, label in (
        ("responsible", "Responsible"),
        ("phone", "Phone"),
        ("nights", "Nights"),
        ("audience_distance", "Nobody of the public is nearer to a flame than"),
        ("stop_wind", "It stops at a wind of"),
        ("tallest_flame", "Tallest flame above the ground"),
        ("gas_on_site", "Gas on site"),
        ("main_shutoff", "Main shutoff"),
        ("fire_department", "Fire department"),
    ):
        fact = facts.get(slot)
        if slot == "audience_distance" and fact and one_side(desk):
            label = f"Nearest of the public that is described; {OTHER_SIDES}"
        made += _told(fact, label, type_)
    yield CardGroup("", tuple(made))


def _briefing(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    crew, signals = _table(desk, "operators.crew"), _table(desk, "operators.signals")
    words = "I was briefed tonight, know the signals and my post, am rested and have had no alcohol."
    made: list[PageItem] = [Paragraph(words, type_.body)]
    if signals and signals.note:
        made.append(Paragraph(signals.note, type_.body))
    for row in crew.rows if crew else ():
        made.append(Blanks(((f"{row.cells[0]}: {row.cells[1]}", 1.6), ("signature", 1.4), ("time", 0.5)), 30))
    made.append(Blanks((("held by", 1.2), ("date", 0.8), ("time", 0.5)), 36, before=10))
    yield CardGroup("", tuple(made))


def _tests(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    tests = _table(desk, "plumbing.tests")
    words = "Never with oxygen, never with a flame. What falls, or bubbles, is mended and tested again."
    yield CardGroup("", (Paragraph(words, type_.body),))
    for row in tests.rows if tests else ():
        name, *cells = row.cells
        said = [f"{c.name}: {cell}" for c, cell in zip(tests.columns[1:] if tests else (), cells, strict=False) if cell]
        blanks = (
            ("gauge at the start", 1),
            ("at the end", 0.8),
            ("minutes held", 0.8),
            ("passed or not", 0.9),
            ("by", 0.9),
        )
        yield CardGroup(name, (Paragraph("; ".join(said), type_.body, keep=True), Blanks(blanks, 30)))


def _checks(desk: Desk) -> list[str]:
    return [f"{i.whose}{i.item.text}" for i in desk.result.items(CHECKS.name) if isinstance(i.item, Check)]


def _before_gas(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    made: list[PageItem] = [Paragraph('Go only if every item is yes; any "no" means no go.', type_.strong)]
    made += [TickBox(text, type_) for text in (*_checks(desk), *open_lines(desk))]
    made.append(Blanks((("gust, highest", 1.0), ("measured at", 1.0), ("by", 1.0)), 30, before=6))
    yield CardGroup("", (*made, _signed()))


def _procedure(moments: Sequence[tuple[str, Numbered]], type_: Letters) -> Iterator[CardGroup]:
    yield CardGroup("", (Paragraph(_STOPS, type_.body),))
    for moment, steps in moments:
        yield CardGroup(moment, tuple(_rows(steps, type_)))
    yield CardGroup("", (_signed(),))


def _during(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    for procedure, title in _WHILE_ON.items():
        made: list[PageItem] = []
        for moment, steps in _moments(_numbered(desk, procedure)):
            made += [Paragraph(moment, type_.strong, before=6, keep=True)] if moment else []
            made += _rows(steps, type_)
        if made:
            yield CardGroup(title, tuple(made))


def _hourly(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    wind = _facts(desk).get("stop_wind")
    limit = f"it stops at {wind.value}" if wind else "its limit is not stated"
    labels = (("time", 0.6), ("gust", 0.6), *((t, 0.7) for t in ("frost", "leaks", "flames", "public", "by")))
    look = "Look at frost on cylinders, at hoses and joints, at every flame, at the line of the public."
    yield CardGroup(
        "",
        (
            Paragraph(f"Once an hour while gas is on. Wind: {limit}.", type_.body),
            Paragraph("Once an hour: common practice, no published source.", QUIET),
            Paragraph(look, type_.body),
            *(Blanks(labels, 34) for _ in range(10)),
        ),
    )


def _shutdown(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    steps = tuple(_rows(_numbered(desk, "stop"), type_))
    yield CardGroup("", (Paragraph(_STOPS, type_.body), *steps, _signed()))


def _emergency(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    facts = _facts(desk)
    first = list(_told(facts.get("fire_department"), "Call first", type_))
    call = _table(desk, "operators.call")
    first += [Paragraph(": ".join(row.cells), type_.body) for row in (call.rows if call else ())]
    yield CardGroup("", (*first, *_told(facts.get("main_shutoff"), "Main shutoff", type_)))
    steps = [one for one in _numbered(desk, "emergency") if one[2].moment != AFTER_STOP]
    if steps:
        yield CardGroup("Anything is wrong", tuple(_rows(steps, type_)))
    yield CardGroup("", (Blanks((("called at", 1), ("gas off at", 1), ("name", 1.4)), 30, before=6),))


def _after(desk: Desk) -> Numbered:
    """What is done after an emergency, a leak or a hold that ends the night."""
    return [one for one in _numbered(desk, "emergency") if one[2].moment == AFTER_STOP]


def _leak(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    yield CardGroup(
        "", (*_rows(_numbered(desk, "leak"), type_), Blanks((("smelled at", 1), ("gas off at", 1), ("name", 1.4)), 30))
    )


def _incidents(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    made: list[PageItem] = []
    for n, (text, step) in enumerate(_steps_of(desk, "incident")):
        seen = step.look_for[:1].upper() + step.look_for[1:]
        made += [Paragraph(seen, type_.strong, before=8 if n else 0, keep=True), Paragraph(text, type_.body)]
    yield CardGroup("", tuple(made))


def _strike(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    """Taking it down: what the steps and the stated transport ask for, with a box for each thing that held gas."""
    yield CardGroup(
        "", (Paragraph("After normal shutdown and the fire watch. Nothing is moved while it holds gas.", type_.body),)
    )
    acts = [act for _, step in _steps_of(desk, "stop", "start") for act in step.acts]
    vessels = dict.fromkeys(row.cells[0] for row in getattr(_table(desk, "plumbing.letting_down"), "rows", ()))
    off = list(dict.fromkeys(act.tag for act in acts if act.action == "disconnect"))
    shut = list(dict.fromkeys(act.tag for act in acts if act.action == "close" and act.tag not in off))
    gas: list[PageItem] = [TickBox(f"Shut, by a hand on each: {', '.join(in_runs(shut))}.", type_)] if shut else []
    gas += [TickBox(f"{tag} holds nothing: let down, and open to the air.", type_) for tag in vessels]
    gas += [
        TickBox(f"{tag}: valve shut, disconnected, plugged, upright and held. Weighed: ______", type_) for tag in off
    ]
    if gas:
        yield CardGroup("What held gas", tuple(gas))
    apart = _apart(desk)
    if apart:
        words = f"Taken apart only at joints {apart}. Each open end is capped, and is tested when joined again."
        yield CardGroup("The piping", (TickBox(words, type_),))
    stands = _table(desk, "structure.stands")
    if stands:
        yield CardGroup(
            "What stands",
            tuple(TickBox(f"{r.cells[0]}: held while its ballast or tie comes off.", type_) for r in stands.rows),
        )
    rules = [r for r in desk.result.rules if r.id.startswith("structure.transport_") and r.status in _DESCRIBED]
    if rules:
        yield CardGroup("Loading and storage", tuple(TickBox(f"{r.statement}.", type_) for r in rules))
    yield CardGroup("", (TickBox("The ground is looked over; extinguishers leave last.", type_), _signed()))


def _apart(desk: Desk) -> str:
    """The joints that come apart, by the numbers of the joint table: "1, 6 (cylinder); 83 (union)"."""
    joints = _table(desk, "plumbing.joint_schedule")
    if joints is None:
        return ""
    names = [c.name for c in joints.columns]
    number, method, apart = names.index("no."), names.index("method"), names.index("comes apart")
    by_method: dict[str, list[str]] = {}
    for row in joints.rows:
        if row.cells[apart] == "yes":
            by_method.setdefault(row.cells[method], []).append(row.cells[number])
    return "; ".join(f"{', '.join(some)} ({how})" for how, some in by_method.items())


_DESCRIBED = ("stated", "shown", "planned", "passed")


def _log(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    cylinders = _table(desk, "materials.cylinders")
    weights = (("weight before", 1), ("weight after", 1), ("condition", 1.4))
    yield CardGroup(
        "",
        (
            Blanks((("night", 1), ("lead operator", 1.4)), 30),
            Blanks((("gas on at", 1), ("first flame", 1), ("last flame", 1), ("gas off at", 1)), 30),
            Blanks((("gust, highest", 1), ("measured at", 1), ("air, lowest", 1)), 30),
        ),
    )
    rows = cylinders.rows if cylinders else ()
    yield CardGroup("", tuple(Blanks(((f"{r.cells[0]}: weight before", 1), *weights[1:]), 30) for r in rows))
    title = "Incidents, stops and why; what was taken apart, and tested again"
    yield CardGroup(title, tuple(Blanks((("", 1.0),), 24) for _ in range(7)))
    yield CardGroup("", (Blanks((("fire watch ended at", 0.8), ("fire watch, name", 1), ("signature", 1.2)), 30),))


# -- the marshal's walk


def _to_walk(desk: Desk) -> bool:
    return any(r.status in ("stated", "planned", "authority to decide") for r in desk.result.rules)


def _walk(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    words = "What was only typed, still to happen, or yours to say: to see, to touch, or to have shown."
    yield CardGroup("", (Paragraph(words, type_.body),))
    yield from _to_touch(desk, type_)
    yield from _unseen(desk, type_)
    fine = type_._replace(body=type_.small, strong=type_.small._replace(weight="semibold"))
    for status, title in (
        ("authority to decide", "For you to say"),
        ("planned", "Still to happen"),
        ("stated", "Stated"),
    ):
        some = [r for r in desk.result.rules if r.status == status]
        # Many are told by what they are about, so that a page ends with a subject.
        for plugin in dict.fromkeys(r.plugin for r in some) if status == "stated" else [""] if some else []:
            mine = [r for r in some if not plugin or r.plugin == plugin]
            boxes = tuple(TickBox(f"{r.statement}: {r.looked}", fine, before=3) for r in mine)
            yield CardGroup(f"{title}: {plugin}" if plugin else title, boxes)


def _unseen(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    """Every property that a rule rests on and nobody has seen, with all the tags that it is typed of: a rule's own line
    names the first few. By what the rules are about, each pair once."""
    small = type_._replace(body=type_.small, strong=type_.small._replace(weight="semibold"))
    told: set[tuple[str, str]] = set()
    for plugin in dict.fromkeys(r.plugin for r in desk.result.rules if r.unseen):
        by: dict[str, list[str]] = {}
        for property_, tag in sorted(
            {pair for r in desk.result.rules if r.plugin == plugin for pair in r.unseen} - told
        ):
            by.setdefault(property_.replace("_", " "), []).append(tag)
            told.add((property_, tag))
        if by:
            boxes = tuple(TickBox(f"{what}: {', '.join(tags)}", small, before=3) for what, tags in by.items())
            yield CardGroup(f"To see, typed and seen by nobody: {plugin}", boxes)


def _to_touch(desk: Desk, type_: Letters) -> Iterator[CardGroup]:
    """Valves by their place, as their tags are read on the brass; stamps and tags; what is to be shown."""
    valves: dict[str, dict[str, None]] = {}
    powered: dict[str, None] = {}
    lit: dict[str, None] = {}
    moments = _moments(_numbered(desk, "start"))
    for _, _, step in moments[0][1] if moments else ():
        for act in step.acts:
            if act.action == "close":
                valves.setdefault(act.where or "place not stated", {})[act.tag] = None
            if act.action == "switch_off":
                powered[act.tag] = None
    for _, step in _steps_of(desk, "start"):
        lit.update(dict.fromkeys(act.tag for act in step.acts if act.action == "light"))
    if valves:
        boxes = tuple(TickBox(f"{place}: {', '.join(tags)}", type_) for place, tags in valves.items())
        yield CardGroup("To touch: each valve has its tag, turns, and is shut", boxes)
    # Which one it is that stands there is told by its serial number, written down on the night.
    for key, title, more in (
        ("materials.cylinders", "To read: the stamps of the cylinders", "; serial ______"),
        ("materials.plates", "To read: the plate of each accumulator", ""),
        ("extinguishers.units", "To read: the tags of the extinguishers", "; serial ______"),
        ("extinguishers.upkeep", "To read: the dates on them, and the seal whole", ""),
        ("extinguishers.to_see", "To see: how the extinguishers hang and stand", ""),
        ("materials.heated", "To see: cylinders that may have been in heat", ""),
        ("plumbing.undated", "To see: hoses and regulators, whose date no page has", ""),
        ("control.valves", "To see: the arrow on each solenoid valve, and what may press on it from behind", ""),
    ):
        table = _table(desk, key)
        if table is not None and table.rows:
            rows = [zip(table.columns, row.cells, strict=False) for row in table.rows]
            said = ["; ".join(f"{c.name} {cell}".strip() for c, cell in told if cell) + more for told in rows]
            yield CardGroup(title, tuple(TickBox(text, type_) for text in said))
    # A margin is as good as the tape, and a way as the walk: both in the dark of the night itself.
    for key, title, more in (
        ("site.nearest", "To measure on the ground", "; measured ______"),
        ("operators.walks", "To walk in the dark, by a clock", "; took ______"),
    ):
        table = _table(desk, key)
        if table is not None:
            rows = [zip(table.columns, row.cells[:3], strict=False) for row in table.rows]
            said = ["; ".join(f"{c.name} {cell}".strip() for c, cell in told if cell) + more for told in rows]
            yield CardGroup(title, tuple(TickBox(text, type_) for text in said))
    shown = []
    if powered:
        let_go = ", ".join(powered)
        shown.append(f"With gas shut off, the stop is pressed: {let_go} let go; turning it back starts nothing.")
    if lit:
        limits = _table(desk, "operators.limits")
        wind = next((row.cells[1] for row in (limits.rows if limits else ()) if row.cells[0] == "wind"), "")
        blown = f" as hard as the wind that stops the show ({wind})" if wind else ""
        shown.append(f"Each is lit as the steps say, and holds when it is blown at{blown}: {', '.join(lit)}.")
    if shown:
        yield CardGroup("To have shown", tuple(TickBox(text, type_) for text in shown))


# -- each person's own


def _people(desk: Desk) -> dict[str, str]:
    """Who is named in a step, with their duties."""
    crew = _table(desk, "operators.crew")
    duties = {row.cells[0]: f", {row.cells[1]}" for row in (crew.rows if crew else ()) if row.cells[1]}
    acts = [a for i in desk.result.items(STEPS.name) if isinstance(i.item, Step) for a in i.item.acts]
    named = dict.fromkeys(a.who for a in acts if a.who)
    return {
        who: duties.get(who, "") for who in (*(t for t in duties if t in named), *(w for w in named if w not in duties))
    }


_OWN = {
    "emergency": "Anything is wrong",
    "leak": "Gas leaks and does not burn",
    "start": "Start-up",
    **_WHILE_ON,
    "stop": "Normal shutdown",
}


def _person(desk: Desk, who: str) -> Write:
    def write(type_: Letters) -> Iterator[CardGroup]:
        words = "Your steps only, by their numbers in the whole: wait for those between. Anybody may stop."
        yield CardGroup("", (Paragraph(words, type_.body),))
        some = False
        for procedure, title in _OWN.items():
            mine = [(n, t, s) for n, t, s in _numbered(desk, procedure) if any(a.who == who for a in s.acts)]
            if mine:
                some = True
                yield CardGroup(title, tuple(_rows(mine, type_, who=False)))
        if not some:
            yield CardGroup("", (Paragraph(f"No step names {who}.", type_.strong),))

    return write
