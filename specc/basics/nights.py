"""One night in order of time: when each scene begins, what is lit from when to when, and each burst."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from specc.kinds.show import SHOW, TIMELINE, Bursts, Cue, Lit, Scene, Shot, Show, Stretch, Timeline
from specc.model.findings import Trouble
from specc.model.passes import Cannot, Context, Judging, not_applicable, passed, rule, value
from specc.model.values import CHOICE, Equation, Quantity, Scalar, Symbol, Worked
from specc.model.view import View, join
from specc.model.wording import counted

_DAY = 86400.0
_LATEST = 20 * 3600.0
# More than these is a slip, or would keep whoever checks the spec waiting: each burst is followed on every night in
# three weather cases.
MOST_SHOTS = 7_500  # bursts of all nights together
MOST_CUES = 2_000
MOST_SCENES = 500
# A show that comes round once a month, and a little more. The cylinders are followed through the days between as well.
MOST_DAYS_BETWEEN = 62

_BETWEEN = Equation(
    forms=(("", "t = t_2 - t_1"),),
    symbols=(
        Symbol("t", "duration", "time that it burns"),
        Symbol("t_1", "duration", "lit, since the scene began"),
        Symbol("t_2", "duration", "put out, or the scene's end"),
    ),
    citations=(CHOICE,),
)


def cues_of(scene: View) -> tuple[Cue, ...]:
    """A scene's cues in order of time. Of a cue without `open:` the bursts are left out, and a rule says so."""
    made = []
    for cue in scene.list_of("cues"):
        assert isinstance(cue, View)
        bursts = None
        if cue.has("burst") and cue.has("open"):
            times = cue.quantity_or_none("times") or Quantity(1.0, "count", "1", cue.at)
            bursts = Bursts(cue.text("burst"), times, cue.quantity("open"), cue.at, cue.quantity_or_none("every"))
        made.append(Cue(cue.quantity("after"), cue.texts("light"), cue.texts("out"), bursts, cue.at))
    return tuple(sorted(made, key=lambda c: c.after.si))


def _seconds(clock: str) -> float:
    return int(clock[:2]) * 3600.0 + int(clock[3:]) * 60.0


def stretches_of(show: Show) -> tuple[Stretch, ...]:
    """Scenes in order of time. One that does not say when it starts follows the one written before it.

    The night turns at the hour the event opens, or at the first scene's: a scene at 00:15 comes late, not early.
    """
    first = show.opens or next((s.starts for s in show.scenes if s.starts), "")
    begin = _seconds(first) if first else 0.0
    made: list[Stretch] = []
    free = 0.0
    for scene in show.scenes:
        starts = (_seconds(scene.starts) - begin) % _DAY if scene.starts else free
        # A little before the event opens is early, and not at the end of the next day.
        if scene.starts and starts > _LATEST:
            starts -= _DAY
        made.append(Stretch(scene.tag, starts, starts + scene.lasts.si))
        free = starts + scene.lasts.si
    zero = min((s.starts for s in made), default=0.0)
    made = [Stretch(s.scene, s.starts - zero, s.ends - zero) for s in made]
    return tuple(sorted(made, key=lambda s: (s.starts, s.ends)))


def _lit(scene: Scene, starts: float) -> list[Lit]:
    """What burns in a scene: from its beginning or a cue to a cue or its end."""
    since: dict[str, Quantity | None] = dict.fromkeys(scene.steady)
    made = []

    def out(effect: str, until: Quantity) -> None:
        lit = since.pop(effect)
        lasts: Scalar = until
        if lit is not None:
            si = max(until.si - lit.si, 0.0)
            lasts = Worked(si, "duration", _BETWEEN, (("t_2", until), ("t_1", lit)), name=f"{effect} burns")
        made.append(Lit(effect, scene.tag, starts + (lit.si if lit is not None else 0.0), lasts))

    for cue in scene.cues:
        after = cue.after if cue.after.si <= scene.lasts.si else scene.lasts
        for effect in cue.out:
            if effect in since:
                out(effect, after)
        for effect in cue.light:
            since.setdefault(effect, after)
    for effect in list(since):
        out(effect, scene.lasts)
    return made


def _shots(scene: Scene, starts: float, bursts: Bursts, cue: float | None = None) -> list[Shot]:
    """A set of bursts one by one, from a cue so many s into the scene, or over the whole of it; spread evenly when no
    spacing is stated. A single burst of a cue comes at its cue."""
    begin = cue or 0.0
    times = round(bursts.times.si)
    if times < 1:
        return []
    if bursts.every is not None:
        gap, first = bursts.every.si, begin
    else:
        gap = (scene.lasts.si - begin) / times
        first = begin + (max(gap - bursts.open.si, 0.0) / 2 if times > 1 or cue is None else 0.0)
    return [Shot(bursts.effect, scene.tag, starts + first + i * gap, bursts.open) for i in range(times)]


def bounded(show: Show) -> None:
    """Raises Cannot for more than can be followed, with how many there are."""
    cues = sum(len(s.cues) for s in show.scenes)
    sets = [b for s in show.scenes for b in (*s.bursts, *(c.bursts for c in s.cues if c.bursts is not None))]
    nights = max(len(show.nights), 1)
    shots = sum(round(b.times.si) for b in sets) * nights
    for one, other in itertools.pairwise(show.nights):
        days = (other - one).days
        if days > MOST_DAYS_BETWEEN:
            raise Cannot(
                f"the nights of {one} and {other} are {days:,} days apart; the gas is not followed through so many",
                show.nights_at,
                f"at most {MOST_DAYS_BETWEEN} days from one night to the next, or a spec for each event",
            )
    for number, most, what in (
        (len(show.scenes), MOST_SCENES, "scenes"),
        (cues, MOST_CUES, "cues"),
        (shots, MOST_SHOTS, f"bursts in {counted(nights, 'night')}"),
    ):
        if number > most:
            at = max(sets, key=lambda b: b.times.si).at if most == MOST_SHOTS else "/show/scenes"
            raise Cannot(
                f"the show has {number:,} {what}; its gas is not followed through so many", at, f"at most {most:,}"
            )


@value(TIMELINE, needs=(SHOW,))
def timeline(ctx: Context) -> Timeline:
    show = ctx[SHOW]
    bounded(show)
    stretches = stretches_of(show)
    begins = {s.scene: s.starts for s in stretches}
    lit: list[Lit] = []
    shots: list[Shot] = []
    for scene in show.scenes:
        starts = begins[scene.tag]
        lit += _lit(scene, starts)
        for bursts in scene.bursts:
            shots += _shots(scene, starts, bursts)
        for cue in scene.cues:
            if cue.bursts is not None:
                shots += _shots(scene, starts, cue.bursts, cue.after.si)
    order = {s.tag: i for i, s in enumerate(show.scenes)}
    timed = [s for s in show.scenes if s.starts]
    clock = ""
    if timed:
        first = min(timed, key=lambda s: begins[s.tag])
        minute = round((_seconds(first.starts) - begins[first.tag]) / 60) % 1440
        clock = f"{minute // 60:02d}:{minute % 60:02d}"
    return Timeline(
        clock,
        stretches,
        tuple(sorted(lit, key=lambda one: (one.starts, order[one.scene], one.effect))),
        tuple(sorted(shots, key=lambda one: (one.at, order[one.scene], one.effect))),
    )


@rule(
    "core.scenes_apart",
    level="error",
    statement="No scene begins before the one before it has ended",
    source=CHOICE,
    needs=(SHOW,),
)
def scenes_apart(ctx: Context) -> Judging:
    show = ctx[SHOW]
    if len(show.scenes) < 2:
        return not_applicable("fewer than two scenes")
    at = {s.tag: s for s in show.scenes}
    stretches = stretches_of(show)
    for before, after in itertools.pairwise(stretches):
        over = before.ends - after.starts
        if over > 1.0:
            scene = at[after.scene]
            yield Trouble(
                join(scene.at, "starts") if scene.starts else scene.at,
                f"the scene {after.scene} begins {over / 60:.0f} min before {before.scene} has ended",
                "scenes one after another; what changes within a scene goes under its cues:",
                "what burns in both would be counted twice in one and not at all in the other's plan",
            )
    return passed(counted(len(show.scenes), "scene"))


@rule(
    "core.cues_fit",
    level="error",
    statement="Each cue lies within its scene, lights what is out, puts out what is lit, and says how long a burst is",
    source=CHOICE,
    needs=(SHOW,),
    reads=("show",),
)
def cues_fit(ctx: Context) -> Judging:
    views = dict(ctx.spec("show").child("scenes").children())
    count = 0
    for scene in ctx[SHOW].scenes:
        lit = set(scene.steady)
        for cue in scene.cues:
            count += 1
            yield from _misfits(scene, cue, lit)
        for raw in views[scene.tag].list_of("cues"):
            if isinstance(raw, View) and raw.has("burst") and not raw.has("open"):
                yield Trouble(raw.here("burst"), "how long the burst is open is not stated", "open: 0.5 s")
        sets = [*scene.bursts, *(c.bursts._replace(at=c.at) for c in scene.cues if c.bursts)]
        begins = [0.0] * len(scene.bursts) + [c.after.si for c in scene.cues if c.bursts]
        for bursts, begin in zip(sets, begins, strict=True):
            count += bursts.every is not None
            yield from _too_many(scene, bursts, begin)
    if not count:
        return not_applicable("no cues, and no bursts with a spacing")
    return passed(counted(count, "cue"))


def _misfits(scene: Scene, cue: Cue, lit: set[str]) -> Iterator[Trouble]:
    """What is wrong with a cue, given what is lit when it comes; changes `lit` as the cue does."""
    if cue.after.si > scene.lasts.si:
        yield Trouble(
            join(cue.at, "after"),
            f"the cue comes {cue.after.text} after {scene.tag} begins, which lasts {scene.lasts.text}",
            "a cue within its scene",
        )
    for i, effect in enumerate(cue.out):
        if effect not in lit:
            yield Trouble(join(cue.at, "out", i), f"{effect} is not lit at that time", "what is lit by then")
        lit.discard(effect)
    for i, effect in enumerate(cue.light):
        if effect in lit:
            yield Trouble(join(cue.at, "light", i), f"{effect} is lit already", "what is out by then")
        lit.add(effect)


def _too_many(scene: Scene, bursts: Bursts, begin: float) -> list[Trouble]:
    """Bursts that do not fit into what is left of the scene, or follow faster than each lasts."""
    times = round(bursts.times.si)
    gap = bursts.every.si if bursts.every is not None else (scene.lasts.si - begin) / max(times, 1)
    at = join(bursts.at, "every") if bursts.every is not None else bursts.at
    if times > 1 and gap < bursts.open.si:
        return [
            Trouble(
                at,
                f"in {scene.tag} a burst of {bursts.effect} follows the last after {gap:.1f} s, and each is open "
                f"{bursts.open.text}",
                "a spacing longer than a burst",
            )
        ]
    if bursts.every is not None and begin + (times - 1) * gap + bursts.open.si > scene.lasts.si + 1e-6:
        return [
            Trouble(
                at,
                f"{times} bursts of {bursts.effect}, one every {bursts.every.text}, do not fit into {scene.tag}",
                "fewer bursts, or closer together",
            )
        ]
    return []
