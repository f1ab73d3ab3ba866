"""What the core adds to every packet: the description, cautions, and the limits of its own models."""

from __future__ import annotations

from collections.abc import Sequence

from specc.kinds.packet import CAUTIONS, MODEL_LIMITS
from specc.kinds.show import EFFECTS, SHOW, Bursts
from specc.kinds.weather import CASES
from specc.measure.printing import show as shown
from specc.model.blocks import (
    Block,
    Bullets,
    Caution,
    Column,
    Facts,
    Heading,
    ModelLimit,
    Para,
    Row,
    Table,
    TableBlock,
)
from specc.model.passes import Context, gather, section, table
from specc.model.values import CHOICE, PRACTICE, Citation


def _bursts(b: Bursts) -> str:
    every = f", one every {b.every.text}" if b.every is not None else ""
    return f"{b.effect}, {b.times.text} of {b.open.text}{every}"


@table("core.cues", title="Cues within the scenes", needs=(SHOW,))
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


@table("core.scenes", title="Scenes, each night", needs=(SHOW,))
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
    title="What it is",
    order=10,
    part="summary",
    needs=(EFFECTS, SHOW),
    wants=(CASES,),
    reads=("project", "event", "weather", "places", "attachments"),
)
def description(ctx: Context) -> Sequence[Block]:
    project, event = ctx.spec("project"), ctx.spec("event")
    made: list[Block] = []
    if project.has("summary"):
        made += [Para(p.strip()) for p in project.text("summary").split("\n\n") if p.strip()]
    the_show = ctx[SHOW]
    facts = [("event", event.text("name"))]
    if event.has("site"):
        facts.append(("site", event.text("site")))
    facts.append(("nights", ", ".join(d.isoformat() for d in the_show.nights)))
    if the_show.opens:
        facts.append(("hours", f"{the_show.opens} to {the_show.closes}"))
    facts.append(("elevation", event.quantity("elevation").text))
    facts.append(("authority", event.text_or("authority", "not stated")))
    if project.has("makers"):
        facts.append(("makers", ", ".join(project.texts("makers"))))
    made.append(Facts(tuple(facts)))
    listed = ctx[EFFECTS]
    if listed:
        made.append(Heading("Effects"))
        made.append(
            Bullets(
                tuple(
                    f"{e.title}: {e.kind}, from {', '.join(e.outlets)}" + (f", at {e.place}" if e.place else "")
                    for e in listed
                )
            )
        )
    if the_show.scenes:
        made += [Heading("The show"), TableBlock("core.scenes")]
        if any(scene.cues for scene in the_show.scenes):
            made.append(TableBlock("core.cues"))
    attached = ctx.spec("attachments").children()
    if attached:
        made.append(Heading("Attached"))
        made.append(Para("These documents are embedded in this PDF. specc has not read them."))
        made.append(Bullets(tuple(f"{a.text('title')} ({a.text('file')})" for _, a in attached)))
    weather = ctx.get(CASES)
    if weather:
        made.append(Heading("Weather cases"))
        made.append(
            Para(
                "Every figure that depends on the weather is computed for three cases; the one that is "
                "worst for its purpose governs."
            )
        )
        made.append(
            Bullets(
                tuple(
                    f"{c.name}: air {c.air.text}, cylinder liquid {shown(c.liquid.si, 'temperature')}"
                    + (f", wind {c.wind.text}" if c.wind else ", wind not stated")
                    for c in weather
                )
            )
        )
    return made


@gather(CAUTIONS)
def cautions(ctx: Context) -> Sequence[Caution]:
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
            "Never leave a lit or pressurized effect alone. Close the cylinder valve first when anything is wrong.",
            PRACTICE,
        ),
        Caution(
            5,
            "This packet is computed from what its makers wrote down. What is not in the spec has not been "
            "looked at, and what is in it must be compared with the device.",
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


PASSES = (scenes_table, cues_table, description, cautions, model_limits)
