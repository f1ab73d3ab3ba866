"""Rules on looks, maintenance and tests: what was done last still holds on the event's last day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Literal, NamedTuple

from specc import Citation, Context, Limit, Trouble, Unchecked, Verdict, found, not_applicable, not_checked, rule
from specc.model.passes import Judging, passed
from specc_extinguishers.dates import Dated, event_days, years_later
from specc_extinguishers.units import NO_ROOT, NO_UNITS, ROOT, WORDS, ListedUnit, described, units

_LOOK = Citation("ifc-2018-minnesota", "inspection of portable extinguishers at 30-day intervals", "read")
_YEARLY = Citation("osha-1910-157-summary", "annual maintenance check, with its record", "reprint")
_SIX_YEARS = Citation("nfpa-10-interval-reprints", "six-year internal examination", "reprint")
_TESTS = Citation("nfpa-10-interval-reprints", "hydrostatic test intervals by type and shell", "reprint")
_NON_RECHARGEABLE = Citation(
    "nfpa-10-interval-reprints", "non-rechargeable units out of service at 12 years", "reprint"
)

INSPECTION_DAYS = Limit(
    "extinguishers.inspection_days",
    "30 d",
    "duration",
    "min",
    "The longest time between an inspection of an extinguisher and a day of the event",
    _LOOK,
    was=("extinguishers.look_days",),
)

YEARLY = 1
SIX_YEARS = 6
NON_RECHARGEABLE_YEARS = 12

# Shells of dry chemical units that keep the long interval; stainless ones do not.
_LONG_SHELLS = ("mild_steel", "brazed_brass", "aluminum")
_LONG_TYPES = ("halogenated", "dry_powder")
_SHELL_MATTERS = ("stored_pressure_dry_chemical", "cartridge_dry_chemical")
_STORED_POWDER = ("stored_pressure_dry_chemical", "halogenated", "dry_powder")


def years_between_tests(type: str, shell: str) -> int:
    """Years between hydrostatic tests. A dry chemical unit whose shell is not stated gets the short one.

    Source: reprints of NFPA 10's table of test intervals.

    >>> years_between_tests("carbon_dioxide", ""), years_between_tests("stored_pressure_dry_chemical", "mild_steel")
    (5, 12)
    """
    if type in _LONG_TYPES or (type in _SHELL_MATTERS and shell in _LONG_SHELLS):
        return 12
    return 5


def needs_internal_examination(type: str, shell: str) -> bool:
    """Whether a unit is opened every six years: stored-pressure ones that are tested every twelve."""
    return type in _STORED_POWDER and shell != "stainless"


class Standing(NamedTuple):
    """How a unit stands on the event's last day. `good_to` is None when nothing usable is dated."""

    state: Literal["good", "overdue", "missing", "unclear"]
    good_to: date | None = None
    key: str = ""
    done: Dated | None = None


def standing(unit: ListedUnit, keys: Sequence[str], years: int, days: Sequence[date]) -> Standing:
    """Judge the latest of some dates. Those that do not count are reported by rules of their own: then a
    unit that is not good without them is unclear, never good."""
    given = [(key, when) for key in keys if (when := unit.when(key))]
    usable = [(key, when) for key, when in given if when.known != "none" and when.last <= days[0]]
    if not usable:
        return Standing("unclear" if given else "missing")
    key, done = max(usable, key=lambda pair: pair[1].first)
    good_to = years_later(done.first, years)
    if good_to >= days[-1]:
        return Standing("good", good_to, key, done)
    told_elsewhere = len(usable) < len(given) or (done.known == "year" and key != "made")
    return Standing("unclear" if told_elsewhere else "overdue", good_to, key, done)


def maintenance(unit: ListedUnit, days: Sequence[date]) -> Standing:
    return standing(unit, ("serviced", "made"), YEARLY, days)


def internal(unit: ListedUnit, days: Sequence[date]) -> Standing | None:
    """None for a unit that is not opened. A pressure test opens it too."""
    if unit.non_rechargeable or not needs_internal_examination(unit.type, unit.spec.text_or("shell")):
        return None
    return standing(unit, ("internal_examination", "hydrostatic_test", "made"), SIX_YEARS, days)


def tested(unit: ListedUnit, days: Sequence[date]) -> Standing | None:
    """None for a non-rechargeable unit, which is not tested but replaced."""
    if unit.non_rechargeable:
        return None
    return standing(
        unit, ("hydrostatic_test", "made"), years_between_tests(unit.type, unit.spec.text_or("shell")), days
    )


def thrown_away(unit: ListedUnit, days: Sequence[date]) -> Standing | None:
    """None for a unit that can be recharged, or a non-rechargeable type that no limit is known for."""
    if not unit.non_rechargeable or unit.type != "stored_pressure_dry_chemical":
        return None
    return standing(unit, ("made",), NON_RECHARGEABLE_YEARS, days)


def _none(ctx: Context) -> Verdict:
    """Every effect needs extinguishers: a spec that says nothing of them does not say that there are none."""
    return not_applicable(NO_UNITS) if described(ctx) else not_checked(NO_ROOT)


def _judge(
    ctx: Context,
    how: Callable[[ListedUnit, Sequence[date]], Standing | None],
    trouble: Callable[[ListedUnit, Standing, date], Trouble],
    none: str,
) -> Verdict:
    """One verdict over all units: troubles, else what could not be looked at, else passed."""
    listed = units(ctx)
    if not listed:
        return _none(ctx)
    days = event_days(ctx.spec("event"))
    stands = [(unit, s) for unit in listed if (s := how(unit, days))]
    if not stands:
        return not_applicable(none)
    troubles = [trouble(u, s, days[-1]) for u, s in stands if s.state in ("overdue", "missing")]
    unclear = [u for u, s in stands if s.state == "unclear"]
    if unclear and not troubles:
        said = f"a date is incomplete or to come, see its own finding: {', '.join(u.tag for u in unclear)}"
        return not_checked(said, *(u.spec.at for u in unclear))
    soft = [u.tag for u, s in stands if s.done and s.done.known != "day"]
    words = f"{len(stands)} extinguishers, to {days[-1]}"
    if soft:
        words += "; no day given, so counted from the first of the month or year: " + ", ".join(soft)
    if unclear:
        words += "; not checked: " + ", ".join(u.tag for u in unclear)
    return found(troubles, words)


def _late(unit: ListedUnit, s: Standing, last: date, years: int, own: str, why: str, more: str = "") -> Trouble:
    """What to say of work that is overdue or not dated. `own` is the key that new work is written under."""
    period = "a year" if years == 1 else f"{years} years"
    right = f"have it done before the event, and give {own}:"
    if s.done is None or s.good_to is None:
        return Trouble(
            unit.at(own),
            f"{unit.tag} has neither a date of {WORDS[own]} nor a date of make",
            f"{own}: with the date on its tag",
            why,
        )
    return Trouble(
        s.done.at,
        f"the last {WORDS[s.key]} of {unit.tag}, {s.done.read_as}, was good"
        f"{'' if s.key == own else f' as {WORDS[own]}'} for {period}, to {s.good_to}; the event ends on {last}"
        if s.key != "made"
        else f"{unit.tag} was made {s.done.read_as} and no {WORDS[own]} since is given; {period} ran to {s.good_to}, "
        f"the event ends on {last}",
        right + more,
        why,
    )


def bare_days(looks: Sequence[Dated], days: Sequence[date], limit: float) -> list[date]:
    """The days that no inspection covers: each counts for the days from its own to the limit's end, s."""
    return [day for day in days if not any(k.last <= day and (day - k.first).days * 86400.0 <= limit for k in looks)]


@rule(
    "extinguishers.monthly_inspection",
    level="error",
    statement="Each extinguisher was inspected in the 30 days before each day of the event",
    source=_LOOK,
    reads=(ROOT, "event"),
    limits=("extinguishers.inspection_days",),
    dated=("extinguishers.inspected",),
    was=("extinguishers.monthly_look",),
)
def monthly_inspection(ctx: Context) -> Judging:
    listed = units(ctx)
    if not listed:
        return _none(ctx)
    days = event_days(ctx.spec("event"))
    limit = ctx.limit(INSPECTION_DAYS.key)
    unclear, soft = [], []
    for unit in listed:
        looks = unit.looks()
        if not looks:
            yield Trouble(
                unit.at("inspected"),
                f"{unit.tag} has no date of an inspection",
                f"inspected: with a day in the {limit.text} before {days[-1]}",
                "a unit that lost its pressure looks like any other until it is needed",
            )
            continue
        bare = bare_days(looks, days, limit.si)
        if not bare:
            soft += [unit.tag] if any(k.known != "day" for k in looks) else []
            continue
        if any(k.known in ("none", "year") or k.last > days[-1] for k in looks):
            unclear.append(unit)
            continue
        latest = max(looks, key=lambda k: k.first)
        yield Trouble(
            latest.at,
            f"{unit.tag} was inspected on {latest.read_as}, which does not cover {bare[-1]}: "
            f"an inspection counts for {limit.text} from its day",
            f"an inspection in the {limit.text} before each day of the event; several are written as a list",
            "a unit that lost its pressure looks like any other until it is needed",
        )
    if unclear:
        said = f"a date is incomplete or to come, see its own finding: {', '.join(u.tag for u in unclear)}"
        yield Unchecked(said, *(u.at("inspected") for u in unclear))
    words = f"{len(listed)} extinguishers, {days[0]} to {days[-1]}, {limit.text}"
    if soft:
        words += "; no day given, so counted from the first of the month: " + ", ".join(soft)
    return passed(words)


@rule(
    "extinguishers.yearly_maintenance",
    level="error",
    statement="Each extinguisher's yearly maintenance holds through the event's last day",
    source=_YEARLY,
    reads=(ROOT, "event"),
    dated=("extinguishers.serviced",),
)
def yearly_maintenance(ctx: Context) -> Verdict:
    why = "maintenance finds what an inspection from outside does not"
    return _judge(ctx, maintenance, lambda u, s, last: _late(u, s, last, YEARLY, "serviced", why), "no unit needs it")


@rule(
    "extinguishers.six_year_service",
    level="error",
    statement="Stored-pressure units that are hydrostatically tested every 12 years were given an internal examination "
    "in the last 6",
    source=_SIX_YEARS,
    reads=(ROOT, "event"),
    dated=("extinguishers.internal_examination",),
)
def six_year_service(ctx: Context) -> Verdict:
    why = "powder packs and seals harden with the years, unseen"
    return _judge(
        ctx,
        internal,
        lambda u, s, last: _late(u, s, last, SIX_YEARS, "internal_examination", why),
        "no stored-pressure unit that is tested every 12 years and can be recharged",
    )


@rule(
    "extinguishers.pressure_test",
    level="error",
    statement="Each shell's hydrostatic test, every 5 or 12 years by type, holds through the event's last day",
    source=_TESTS,
    reads=(ROOT, "event"),
    dated=("extinguishers.hydrostatic_test",),
)
def hydrostatic_test(ctx: Context) -> Verdict:
    def said(unit: ListedUnit, s: Standing, last: date) -> Trouble:
        shell = unit.spec.text_or("shell")
        unstated = unit.type in _SHELL_MATTERS and not shell
        more = "; or state its shell: (5 years are for stainless, 12 for mild steel and others)" if unstated else ""
        years = years_between_tests(unit.type, shell)
        return _late(unit, s, last, years, "hydrostatic_test", "a weak shell can burst in the hand", more)

    return _judge(ctx, tested, said, "non-rechargeable units only")


@rule(
    "extinguishers.non_rechargeable",
    level="error",
    statement="No non-rechargeable dry chemical unit is more than 12 years old on the event's last day",
    source=_NON_RECHARGEABLE,
    reads=(ROOT, "event"),
    was=("extinguishers.throwaway",),
)
def non_rechargeable(ctx: Context) -> Verdict:
    def said(unit: ListedUnit, s: Standing, last: date) -> Trouble:
        if s.done is None:
            return Trouble(
                unit.at("made"),
                f"{unit.tag} is a non-rechargeable unit and has no date of make",
                "made: from its label",
            )
        return Trouble(
            s.done.at,
            f"non-rechargeable unit {unit.tag} was made {s.done.read_as}; its 12 years end {s.good_to}, the event "
            f"{last}",
            "a newer one",
            "it cannot be opened or tested, so age is all there is to go by",
        )

    verdict = _judge(ctx, thrown_away, said, "no non-rechargeable dry chemical unit")
    other = [u.tag for u in units(ctx) if u.non_rechargeable and u.type != "stored_pressure_dry_chemical"]
    if other and verdict.status in ("not applicable", "passed"):
        return not_checked(f"no age limit is allowed for this non-rechargeable type, ask its maker: {', '.join(other)}")
    return verdict
