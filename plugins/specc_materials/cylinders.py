"""Rules on cylinders: marks, dates, overfill device, standing, and vapor only."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, timedelta
from typing import NamedTuple

from specc import (
    Citation,
    Context,
    Cure,
    Trouble,
    Unchecked,
    Verdict,
    answers_of,
    not_applicable,
    not_checked,
    rule,
    show,
)
from specc.kinds.plumbing import Part
from specc.kinds.show import SHOW, Show
from specc.measure.units import POUND, PSI
from specc.model.passes import Judging, judged, passed
from specc.model.view import join
from specc.model.wording import counted, holds, takes_back
from specc_materials.joined import JOINED, JoinedParts
from specc_materials.months import Month, NotAMonth, read_month

_MARK = Citation("california-13-933", "DOT containers for LP-gas: service pressure at least 240 psi", "read")
_DATES = Citation("cfr-49-180", "180.209(e): 12 years from manufacture, then 12, 10 or 5 by method", "reprint")

# Years until a propane cylinder is due again, by how it was last requalified.
FIRST = 12
PERIODS: Mapping[str, int] = {"volumetric": 12, "proof": 10, "external": 5}
# Types that 49 CFR 180.209(e) speaks of, and the one that is thrown away when empty.
_TYPES = ("4B", "4BA", "4BW", "4B240ET", "4E")
_TYPE = re.compile(r"\b(?:DOT|TC|ICC|CTC)[ -]*(4B240ET|4BA|4BW|4B|4E|39|[348]\w*)", re.IGNORECASE)
_IN_MARK = re.compile(r"4B(240)ET|4(?:BA|BW|B|E)[ -]?(\d{3})\b", re.IGNORECASE)
# Filled with a porous mass and acetylene, or a flask for cold liquids: never for propane (49 CFR 178.57 to 178.60, from
# memory).
_OTHER_GAS = ("8", "8AL", "4L")
# CGA 555 however it is written, and a valve that is named for liquid.
_LIQUID = re.compile(r"(?<!\d)555(?!\d)|\bliquid\b", re.IGNORECASE)


# What cylinders with a tube to the bottom, and those that lie, are called.
_FOR_LIQUID = re.compile(
    r"\b(fork ?lift|lift truck|motor fuel|dip[ -]?tube|liquid[ -](withdrawal|valve|take-?off|service|draw\w*))\b",
    re.IGNORECASE,
)


class Due(NamedTuple):
    """When a cylinder may no longer be filled. `on` None: not known, and `why` says so."""

    on: date | None
    why: str = ""
    refillable: bool = True


def cylinder_type(part: Part) -> str:
    """The DOT type in a cylinder's marking; "" when there is none."""
    found = _TYPE.search(part.spec.text_or("marking"))
    return found[1].upper() if found else ""


def _cylinders(j: JoinedParts) -> tuple[Part, ...]:
    return j.net.of_kind("cylinder")


_NONE = "no cylinder is described"


@rule(
    "materials.cylinder_marking",
    level="error",
    statement="Each cylinder is marked with its type and a service pressure of at least 240 psi",
    source=_MARK,
    needs=(JOINED,),
    rests_on=("plumbing.marking", "plumbing.service_pressure"),
)
def cylinder_marking(ctx: Context) -> Judging:
    cylinders = _cylinders(ctx[JOINED])
    if not cylinders:
        return not_applicable(_NONE)
    for c in cylinders:
        marking = c.spec.text_or("marking")
        if not marking:
            yield Unchecked(f"{c.tag}: state its marking:", join(c.at, "marking"))
            continue
        if not cylinder_type(c) or (cylinder_type(c) != "39" and takes_back(marking)):
            yield Trouble(
                join(c.at, "marking"),
                f"{c.tag} is marked {marking!r}, in which no DOT or TC type can be read"
                + (" for sure" if cylinder_type(c) else ""),
                "the type and pressure on its collar, such as DOT-4BW240",
                "only a cylinder built to a known type is filled",
                "warning",
            )
            continue
        if cylinder_type(c) == "39":
            continue
        if cylinder_type(c) in _OTHER_GAS:
            yield Trouble(
                join(c.at, "marking"),
                f"{c.tag} is marked {marking!r}, a cylinder for another gas",
                "a propane cylinder, such as DOT-4BW240",
                "what is inside it, or left in it, is not propane",
            )
            continue
        in_mark = _IN_MARK.search(marking)
        marked = float(in_mark[1] or in_mark[2]) if in_mark else None
        stamped = c.spec.quantity_or_none("service_pressure")
        if stamped is not None and marked is not None and stamped.si / PSI > marked * 1.005:
            stamped = None  # what is stamped on it holds, however much is typed
        psi = stamped.si / PSI if stamped else marked
        if psi is None:
            yield Unchecked(f"{c.tag}: state its service_pressure:", join(c.at, "service_pressure"))
        elif psi < 240 * (1 - 1e-9):
            yield Trouble(
                join(c.at, "service_pressure" if stamped else "marking"),
                f"{c.tag} has a service pressure of {psi:.0f} psi",
                "a propane cylinder of that service pressure",
                "propane reaches that in a hot vehicle",
                cure=Cure(
                    "240 psi would pass",
                    ((stamped.at, "240 psi"),)
                    if stamped
                    else ((join(c.at, "marking"), marking.replace(f"{psi:.0f}", "240")),),
                ),
            )
    return passed(counted(len(cylinders), "cylinder") + "; the rule read is one for vehicles")._replace(
        tags=tuple(c.tag for c in cylinders)
    )


def last_day(the_show: Show) -> date | None:
    """The event's last day; the day after its last night when hours run past midnight."""
    if not the_show.nights:
        return None
    past = bool(the_show.closes) and bool(the_show.opens) and the_show.closes <= the_show.opens
    return the_show.nights[-1] + timedelta(days=1 if past else 0)


def next_due(part: Part) -> Due:
    """The first day on which a cylinder may be overdue, as far as the spec says."""
    kind = cylinder_type(part)
    if kind == "39":
        return Due(None, "not refillable", refillable=False)
    if kind not in _TYPES:
        words = f"the periods of {kind or 'a cylinder without marking'} are not allowed"
        return Due(None, Unchecked(words, join(part.at, "marking")))
    made = read_month(part.spec.text("made")) if part.spec.has("made") else None
    again = read_month(part.spec.text("requalified")) if part.spec.has("requalified") else None
    if isinstance(again, Month):
        by = part.spec.text_or("requalified_by")
        return Due(again.first(PERIODS.get(by, min(PERIODS.values()))), "" if by else "requalified_by: not stated")
    if isinstance(made, Month) and again is None:
        return Due(made.first(FIRST))
    said = "state made: and, if it was requalified, requalified:"
    return Due(None, Unchecked(said, join(part.at, "made"), join(part.at, "requalified")))


def _months(c: Part, last: date) -> list[Trouble]:
    """What is wrong with the months as written."""
    troubles = []
    read: dict[str, Month] = {}
    for key in ("made", "requalified"):
        if not c.spec.has(key):
            continue
        text = c.spec.text(key)
        month = read_month(text)
        if isinstance(month, NotAMonth):
            troubles.append(
                Trouble(
                    join(c.at, key),
                    f"{key}: of {c.tag} is {text!r}, {month.message}",
                    month.fix,
                    "the date decides whether it may be filled",
                )
            )
        else:
            read[key] = month
            if month.first() > last:
                troubles.append(
                    Trouble(
                        join(c.at, key),
                        f"{key}: of {c.tag} is {month}, after the event's last day, {last}",
                        "a date that is stamped on it before the event",
                    )
                )
    if not troubles and len(read) == 2 and read["requalified"] < read["made"]:
        troubles.append(
            Trouble(
                join(c.at, "requalified"),
                f"{c.tag} was requalified in {read['requalified']}, before it was made in {read['made']}",
                "both dates as stamped",
            )
        )
    return troubles


def _same_month(c: Part, last: date) -> bool:
    """Whether it was requalified in the month of the event, and would be overdue without that mark."""
    again = read_month(c.spec.text("requalified")) if c.spec.has("requalified") else None
    made = read_month(c.spec.text("made")) if c.spec.has("made") else None
    if not isinstance(again, Month) or (again.year, again.month) != (last.year, last.month):
        return False
    return not (isinstance(made, Month) and last < made.first(FIRST))


@rule(
    "materials.cylinder_dates",
    level="warning",
    statement="No cylinder is due for requalification by the event's last day; an overdue one may not be filled, and "
    "the filling plant decides",
    source=_DATES,
    needs=(JOINED, SHOW),
    rests_on=("plumbing.marking", "plumbing.made", "plumbing.requalified", "plumbing.requalified_by"),
    dated=("plumbing.requalified",),
)
def cylinder_dates(ctx: Context) -> Judging:
    cylinders = _cylinders(ctx[JOINED])
    last = last_day(ctx[SHOW])
    if not cylinders:
        return not_applicable(_NONE)
    if last is None:
        return not_checked("the event has no dates", "/event/dates")
    said = []
    for c in cylinders:
        due = next_due(c)
        if not due.refillable:
            said.append(f"{c.tag} not refillable")
            continue
        wrong = _months(c, last)
        if wrong:
            yield from wrong
        elif due.on is None:
            yield Unchecked(f"{c.tag}: {due.why}", *answers_of(due.why))
        elif due.on <= last:
            key = "requalified" if c.spec.has("requalified") else "made"
            guess = due.why and ", taken as an external inspection since requalified_by: is not stated"
            yield Trouble(
                join(c.at, key),
                f"{c.tag} requalification was due {due.on:%Y-%m}{guess}, and the event's last day is {last}",
                "a cylinder in date, or this one requalified first",
                "an overdue cylinder may not be filled; the filling plant's reading decides",
            )
        elif _same_month(c, last):
            yield Trouble(
                join(c.at, "requalified"),
                f"{c.tag} is requalified in {c.spec.text('requalified')}, the month of the event",
                "the mark on it before the gas is fetched",
                "a month does not tell which came first",
            )
        else:
            said.append(f"{c.tag} due {due.on:%Y-%m}")
    return passed(f"last day {last}: {', '.join(said) or 'none in date'}; the filling plant decides")._replace(
        tags=tuple(c.tag for c in cylinders)
    )


@rule(
    "materials.cylinder_overfill",
    level="error",
    statement="Each cylinder of 4 to 40 lb has an overfill device",
    source=Citation("opd-notice-2002", "cylinders of 4 to 40 lb are not refilled without one since 2002-04-01", "read"),
    needs=(JOINED,),
    rests_on=("plumbing.overfill_device",),
)
def cylinder_overfill(ctx: Context) -> Verdict:
    cylinders = [c for c in _cylinders(ctx[JOINED]) if _needs_device(c)]
    if not cylinders:
        return not_applicable("no cylinder of 4 to 40 lb is described")
    return judged(
        (
            Trouble(
                join(c.at, "overfill_device"),
                f"{c.tag} ({c.spec.quantity('capacity').text}) has no overfill device",
                "a valve with one: a triangular handwheel, or OPD on the valve. Some horizontal cylinders made before "
                "1998-10 are exempt and say so",
                "nobody may fill it, and an overfilled cylinder lets gas go when the sun warms it",
            )
            for c in cylinders
            if c.spec.has("overfill_device") and not c.spec.yes("overfill_device")
        ),
        [
            Unchecked(f"{c.tag}: state overfill_device:", join(c.at, "overfill_device"))
            for c in cylinders
            if not c.spec.has("overfill_device")
        ],
        counted(len(cylinders), "cylinder"),
    )


def _needs_device(c: Part) -> bool:
    pounds = c.spec.quantity("capacity").si / POUND
    return 4 - 1e-6 <= pounds <= 40 + 1e-6 and cylinder_type(c) != "39"


@rule(
    "materials.cylinder_secured",
    level="error",
    statement="Each cylinder is held so that it cannot fall",
    source=Citation("ifc-2018-minnesota", "chapter 53, secured to a fixed object, or in a cart, rack or frame", "read"),
    needs=(JOINED,),
    rests_on=("plumbing.secured",),
)
def cylinder_secured(ctx: Context) -> Verdict:
    cylinders = _cylinders(ctx[JOINED])
    if not cylinders:
        return not_applicable(_NONE)

    def loose(c: Part) -> bool:
        return c.spec["secured"] is False or bool(re.match(r"(no|not|none|nothing)\b", _secured(c)))

    return judged(
        (
            Trouble(
                join(c.at, "secured"),
                f"{c.tag} is not secured",
                "a chain or strap to something fixed, or a rack, cart or frame",
                "a cylinder that falls may break its valve or send liquid into the line",
            )
            for c in cylinders
            if c.spec.has("secured") and loose(c)
        ),
        [
            Unchecked(f"{c.tag}: state what holds it (secured:)", join(c.at, "secured"))
            for c in cylinders
            if not holds(_secured(c))
        ],
        counted(len(cylinders), "cylinder"),
    )


def _secured(c: Part) -> str:
    return str(c.spec["secured"]).strip().lower() if c.spec.has("secured") else ""


@rule(
    "materials.cylinder_upright",
    level="error",
    statement="Each cylinder stands upright, its relief valve in the vapor",
    source=Citation("nfpa-58-ch8", "relief valve in the vapor space; IFC 53: valve end up", "reprint"),
    needs=(JOINED,),
    rests_on=("plumbing.upright",),
)
def cylinder_upright(ctx: Context) -> Verdict:
    cylinders = _cylinders(ctx[JOINED])
    if not cylinders:
        return not_applicable(_NONE)
    return judged(
        (
            Trouble(
                join(c.at, "upright"),
                f"{c.tag} does not stand upright",
                "upright on a firm, level base",
                "liquid gets into the line and burns many times higher than anything computed here",
            )
            for c in cylinders
            if c.spec.has("upright") and not c.spec.yes("upright")
        ),
        [Unchecked(f"{c.tag}: state upright:", join(c.at, "upright")) for c in cylinders if not c.spec.has("upright")],
        counted(len(cylinders), "cylinder"),
    )


@rule(
    "materials.cylinder_vapor",
    level="error",
    statement="Gas is drawn as vapor only: no liquid withdrawal, no CGA 555 connection, no dip tube",
    source=Citation("cga-555", "CGA 555 is for liquid withdrawal; vapor only is specc default", "reprint"),
    needs=(JOINED,),
    rests_on=("plumbing.withdrawal", "plumbing.connection", "plumbing.ends", "plumbing.dip_tube"),
    was=("materials.cylinder_vapour",),
)
def cylinder_vapor(ctx: Context) -> Judging:
    cylinders = _cylinders(ctx[JOINED])
    if not cylinders:
        return not_applicable(_NONE)
    for c in cylinders:
        wrong = []
        if c.spec.text_or("withdrawal") == "liquid":
            wrong.append(("withdrawal", "is drawn from as liquid"))
        if _LIQUID.search(c.spec.text_or("connection")):
            wrong.append(("connection", f"has the connection {c.spec.text('connection')}, which is for liquid"))
        ends = [end for end in (c.spec.texts("ends") if c.spec.has("ends") else ()) if _LIQUID.search(end)]
        if ends:
            wrong.append(("ends", f"has the connection {ends[0]}, which is for liquid"))
        if c.spec.yes("dip_tube"):
            wrong.append(("dip_tube", "has a dip tube, which takes liquid from the bottom"))
        if wrong:
            key, words = wrong[0]
            yield Trouble(
                join(c.at, key),
                f"{c.tag} {words}",
                "a cylinder for vapor, with CGA 791 or 510",
                "nothing computed here holds for liquid: it burns many times higher, and freezes what it touches",
            )
        elif not c.spec.has("withdrawal"):
            yield Unchecked(f"{c.tag}: state withdrawal:", join(c.at, "withdrawal"))
        elif (called := _FOR_LIQUID.search(_called(c))) and not c.spec.has("dip_tube"):
            said = f"{c.tag} is called {called[0]!r}, and such cylinders often give liquid: state dip_tube:"
            yield Unchecked(said, join(c.at, "dip_tube"))
    return passed(counted(len(cylinders), "cylinder"))._replace(tags=tuple(c.tag for c in cylinders))


def _called(c: Part) -> str:
    return f"{c.spec.text_or('title')} {c.spec.text_or('note')}"


def service_words(c: Part) -> str:
    """Service pressure for the table: as stated, or as the marking says."""
    stated = c.spec.quantity_or_none("service_pressure")
    return show(stated.si, "gauge_pressure", "psig", 3) if stated else ""
