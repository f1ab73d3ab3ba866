"""What the core adds to every packet: the description, cautions, and the limits of its own models."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from specc.kinds.faults import CLOSING_ORDER, while_it_blows
from specc.kinds.geometry import Area, Polyline, corners
from specc.kinds.packet import CAUTIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.places import PLACES, Spot
from specc.kinds.show import EFFECTS, SHOW, TIMELINE, Bursts
from specc.kinds.weather import CASES, WIND
from specc.measure.printing import show
from specc.model.blocks import (
    Block,
    Bullets,
    Caution,
    Column,
    Fact,
    ModelLimit,
    Para,
    Row,
    Table,
    TableBlock,
)
from specc.model.passes import Context, gather, section, table
from specc.model.values import CHOICE, PRACTICE, Case, Citation

NO_WINDS = " Winds are printed once no error is left."
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def _bursts(b: Bursts) -> str:
    every = f", one every {b.every.text}" if b.every is not None else ""
    return f"{b.effect}, {b.times.text} of {b.open.text}{every}"


# A show of more than can be followed has no timeline, which says so once; then there are no tables of it either.
@table("core.cues", title="Cues within the scenes", needs=(SHOW, TIMELINE))
def cues_table(ctx: Context) -> Table:
    rows = [
        Row(
            (
                scene.tag,
                cue.after.text,
                ", ".join(cue.light) or "nothing",
                ", ".join(cue.out) or "nothing",
                _bursts(cue.bursts) if cue.bursts else "none",
            )
        )
        for scene in ctx[SHOW].scenes
        for cue in scene.cues
    ]
    columns = (Column("scene"), Column("after"), Column("lit", 2), Column("put out", 2), Column("bursts", 2))
    return Table("", "", columns, tuple(rows))


@table("core.scenes", title="Scenes, each night", needs=(SHOW, TIMELINE))
def scenes_table(ctx: Context) -> Table:
    rows = []
    for scene in ctx[SHOW].scenes:
        bursts = "; ".join(_bursts(b) for b in scene.bursts)
        rows.append(
            Row(
                (
                    scene.tag,
                    scene.starts or "not stated",
                    scene.lasts.text,
                    ", ".join(scene.steady) or "none",
                    bursts or "none",
                )
            )
        )
    return Table(
        "",
        "",
        (
            Column("scene"),
            Column("starts"),
            Column("lasts"),
            Column("steady effects", 2),
            Column("bursts", 2),
        ),
        tuple(rows),
    )


@section(
    "description",
    title="Effects and times",
    order=10,
    part="effects",
    needs=(EFFECTS, SHOW),
    wants=(CASES,),
)
def description(ctx: Context) -> Sequence[Block]:
    the_show, listed, weather = ctx[SHOW], ctx[EFFECTS], ctx.get(CASES)
    made: list[Block] = []
    if listed:
        words = (
            f"{e.title} ({e.kind}) from {', '.join(e.outlets)}" + (f" at {e.place}" if e.place else "") for e in listed
        )
        made.append(Para("; ".join(words) + "."))
    if the_show.scenes:
        made.append(TableBlock("core.scenes"))
        if any(scene.cues for scene in the_show.scenes):
            made.append(TableBlock("core.cues"))
    if weather:
        # One of the winds is that which stops the show: a draft names no such number.
        made.append(Para(_cases(weather), quiet=True, in_draft=_cases(weather, winds=False)))
    return made


def _cases(weather: Sequence[Case], winds: bool = True) -> str:
    told = "; ".join(
        f"{c.name}: air {c.air.text}, cylinder liquid {show(c.liquid.si, 'temperature')}"
        + ((f", wind {c.wind.text}" if c.wind else ", wind not stated") if winds else "")
        + (f", cylinders {c.fill}" if c.fill else "")
        for c in weather
    )
    return f"Computed for three weather cases, of which the worst counts. {told}." + ("" if winds else NO_WINDS)


def _place(spot: Spot) -> Row:
    def feet(v: float) -> str:
        return show(v, "length", "ft").removesuffix(" ft")

    drawn = _drawn(spot)
    at = tuple(feet(v) for v in spot.point) if spot.point else ("—" if drawn else "not stated",) * 3
    words = "; ".join(w for w in (spot.kind.replace("_", " "), spot.note, drawn if not spot.point else "") if w)
    return Row((spot.tag, *at, words))


def _drawn(spot: Spot) -> str:
    return {Area: "an area on the plan", Polyline: "a line on the plan"}.get(type(spot.shape), "")


def _places(some: Iterable[Spot]) -> Table:
    axes = (Column(f"{name}, ft", 1, "right") for name in ("x", "y", "z"))
    return Table(
        "", "", (Column("place"), *axes, Column("what is there, as the makers say", 3)), tuple(map(_place, some))
    )


@table("core.places", title="Places", needs=(PLACES,))
def places_table(ctx: Context) -> Table:
    return _places(ctx[PLACES].values())


@table("core.points", title="Places", needs=(PLACES,))
def points_table(ctx: Context) -> Table:
    """Those with coordinates, or that should have them: what is drawn as a line or an area stands in a sentence."""
    return _places(spot for spot in ctx[PLACES].values() if spot.point or not _drawn(spot))


@section("where", title="Places", order=90, part="site", needs=(PLACES,))
def places_section(ctx: Context) -> Sequence[Block]:
    none = "The spec describes no places, so no distance on the site was checked."
    return [] if ctx[PLACES] else [Para(none)]


@section("places", title="Places", order=90, needs=(PLACES,), reads=("event",))
def coordinates_section(ctx: Context) -> Sequence[Block]:
    """Where it stands, and every place with its coordinates: the front has the plan that is drawn from them."""
    event = ctx.spec("event")
    rows = [(key.replace("_", " "), event.text_or(key, "not stated")) for key in ("site", "authority", "time_zone")]
    rows.insert(1, ("elevation", event.quantity("elevation").text))
    made: list[Block] = [Para("; ".join(f"{name}: {told}" for name, told in rows) + ".")]
    if not ctx[PLACES]:
        return made
    made.append(TableBlock("core.points"))
    if any(s.kind and s.shape for s in ctx[PLACES].values()):  # the front has a plan, with what each is
        noted = [f"{s.tag} ({s.note})" for s in ctx[PLACES].values() if not s.point and _drawn(s) and s.note]
        return [
            *made,
            *([Para(f"Of areas and lines, drawn on the plan: {'; '.join(noted)}.", quiet=True)] if noted else []),
        ]
    for drawn in ("an area on the plan", "a line on the plan"):
        some = [s for s in ctx[PLACES].values() if not s.point and _drawn(s) == drawn]
        told = [
            (f"{s.tag} ({w})" if (w := ", ".join(t for t in (s.kind.replace("_", " "), s.note) if t)) else s.tag)
            + _corners(s)
            for s in some
        ]
        what = drawn.removesuffix(" on the plan")
        made += [Para(f"Each {what}: {'; '.join(told)}.", quiet=True)] if told else []
    return made


def _corners(spot: Spot) -> str:
    """Where no plan shows it: the corners of a line or an area."""
    spots = corners(spot.shape) if spot.shape else ()
    feet = (f"{show(p.x.si, 'length', 'ft').removesuffix(' ft')}, {show(p.y.si, 'length', 'ft')}" for p in spots)
    return f" from {' to '.join(feet)}"


@section("attached", title="Attached documents", order=95, reads=("attachments",))
def attached_section(ctx: Context) -> Sequence[Block]:
    attached = ctx.spec("attachments").children()
    if not attached:
        return []
    return [
        Para("These documents are embedded in this PDF. specc has not read them."),
        Bullets(tuple(f"{a.text('title')} ({a.text('file')})" for _, a in attached)),
    ]


def _nights(days: Sequence[date]) -> str:
    """Days in words: those of one month share it."""
    if not days:
        return "not stated"
    words = []
    for n, d in enumerate(days):
        shared = n + 1 < len(days) and days[n + 1].month == d.month
        words.append(f"{_DAYS[d.weekday()]} {d.day}" + ("" if shared else f" {_MONTHS[d.month - 1]}"))
    return f"{', '.join(words)} {days[-1].year}"


@gather(SUMMARY_FACTS, needs=(SHOW,))
def nights_fact(ctx: Context) -> Sequence[Fact]:
    the_show = ctx[SHOW]
    hours = f"{the_show.opens} to {the_show.closes}" if the_show.opens else "hours not stated"
    return (Fact(5, _nights(the_show.nights), "Nights", hours, "nights"),)


@gather(SUMMARY_FACTS, reads=("project",))
def changed_fact(ctx: Context) -> Sequence[Fact]:
    project = ctx.spec("project")
    return (Fact(5, project.text("changes").strip(), "Changed", "", "changed"),) if project.has("changes") else ()


@gather(SUMMARY_FACTS, reads=("event",))
def permit_facts(ctx: Context) -> Sequence[Fact]:
    event = ctx.spec("event")
    if not event.has("permit"):
        return ()
    permit, made = event.child("permit"), []
    if permit.has("holder"):
        made.append(
            Fact(
                5,
                permit.text("holder"),
                "Permit holder",
                permit.text_or("state", "state of the permit not stated"),
                "permit_holder",
            )
        )
    if permit.has("group"):
        group = permit.text("group")
        means = _GROUPS.get(group.strip().upper().removeprefix("GROUP").strip(), "")
        note = f"proposed{f': {means}' if means else ''}; the authority decides"
        made.append(Fact(5, group, "NFPA 160 group", note, "group"))
    return made


# What the standard's groups are, in our words, and how each is known.
_GROUPS = {
    "I": "attended, small, worked by hand (read in a copy of 1998)",
    "II": "unattended, outdoors (read in a copy of 1998)",
    "III": "attended, one production",
    "IV": "large, unattended (from memory)",
    "V": "attended, permanent (from memory)",
    "VI": "attended, portable, worked by hand (from memory)",
    "VII": "fits no other group (read in a copy of 1998)",
}


@gather(SUMMARY_FACTS, needs=(WIND,))
def wind_fact(ctx: Context) -> Sequence[Fact]:
    wind = ctx[WIND]
    stop = wind.stop
    if stop is None:
        return ()
    how = (
        stop.kind + (f" over {stop.averaging.text}" if stop.averaging else "")
        if stop.kind
        else "gust or mean not stated"
    )
    at = f", at {stop.height.text}" if stop.height else ""
    return (Fact(5, stop.speed.text, "stop wind", f"{how}{at}", "stop_wind"),)


@gather(CAUTIONS, wants=(CLOSING_ORDER,))
def cautions(ctx: Context) -> Sequence[Caution]:
    order = ctx[CLOSING_ORDER]
    wait = while_it_blows(c for c in order if c.procedure == "emergency")
    late = f" {wait}." if wait else ""
    memory = Citation("nfpa-10", "pressurized flammable gas fires; edition and section not yet read", "memory")
    return (
        Caution(
            1,
            "Stop a gas fire at the valve. Do not knock the flame down while gas still flows: unburned gas "
            "collects and lights again.",
            memory,
        ),
        Caution(
            2,
            "Propane is heavier than air and runs to low places. Keep flames and sparks away from pits, drains "
            "and basements near the supply.",
            Citation("nist-webbook", "molar masses: propane 44.1, air 29 g/mol", "computed"),
        ),
        Caution(
            3,
            "Look for leaks with soap solution or a listed fluid on each joint after each assembly, before "
            "lighting; never with a flame.",
            PRACTICE,
        ),
        Caution(
            4,
            "Never leave a lit or charged effect alone. Anything wrong: STOP; all close the valve nearest to them."
            f"{late}",
            PRACTICE,
        ),
        Caution(
            5,
            "This packet is computed from what its makers wrote down: what is not in the spec was not checked; compare "
            "the rest with the device.",
            CHOICE,
        ),
    )


@gather(MODEL_LIMITS)
def model_limits(ctx: Context) -> Sequence[ModelLimit]:
    return (
        ModelLimit(
            1,
            "Weather",
            "Three cases stand for the whole event. A cylinder's liquid is taken as warm as the "
            "air, in the sun warmer by the rise the spec states; radiation itself is not computed.",
        ),
        ModelLimit(
            2,
            "Air pressure",
            "A standard day at the site's elevation; highs and lows of the weather move it by some 3 %.",
        ),
        ModelLimit(
            3,
            "Tolerances",
            "Each input's tolerance is tried by itself, and the moves are added up the worst "
            "way. Inputs are taken to be independent, and figures to rise or fall steadily "
            "with them.",
        ),
    )
