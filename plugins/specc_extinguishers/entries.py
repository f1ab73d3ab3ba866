"""Rules on whether what is written about a unit can be used."""

from __future__ import annotations

import difflib

from specc import CHOICE, Citation, Context, Trouble, Verdict, found, not_applicable, rule
from specc.kinds.places import PLACES
from specc.model.passes import Judging, passed
from specc_extinguishers.agents import unknown_agent, wrong_agent
from specc_extinguishers.dates import event_days
from specc_extinguishers.units import NO_UNITS, NOT_KNOWN, ROOT, WATER, WORDS, units


@rule(
    "extinguishers.rating_readable",
    level="error",
    statement="Each extinguisher's rating can be read",
    source=CHOICE,
    reads=(ROOT,),
)
def rating_readable(ctx: Context) -> Verdict:
    listed = units(ctx)
    if not listed:
        return not_applicable(NO_UNITS)
    return found(
        (
            Trouble(
                unit.at("rating") if unit.spec.has("rating") else unit.spec.at,
                f"the rating of {unit.tag} is not known"
                if unit.rated == NOT_KNOWN
                else f"the rating {unit.rated!r} of {unit.tag} cannot be read",
                "as the label has it, with numbers before A and B: 2-A, 10-B:C, 4-A:80-B:C, K",
                "a unit whose rating is not known does not count here",
            )
            for unit in listed
            if unit.rating is None
        ),
        f"{len(listed)} ratings",
    )


@rule(
    "extinguishers.rating_fits_type",
    level="warning",
    statement="Each rating and agent is one that its type of extinguisher can have: water is for A only, carbon "
    "dioxide and powder of a bicarbonate not for A",
    source=Citation("nfpa-10", "classification of agents; section not yet read", "memory"),
    reads=(ROOT,),
)
def rating_fits_type(ctx: Context) -> Judging:
    listed = [u for u in units(ctx) if u.rating is not None]
    if not listed:
        return not_applicable("no extinguisher with a rating that can be read")
    for unit in listed:
        rating = unit.rating
        if rating is None:
            continue
        if unit.type == WATER and (rating.b or rating.letters):
            said, right = "water, and is rated for more than ordinary solids", "a rating such as 2-A"
        elif unit.type == "carbon_dioxide" and rating.a:
            said, right = "carbon dioxide, and has an A rating", "a rating such as 10-B:C"
        else:
            continue
        yield Trouble(
            unit.at("rating"),
            f"{unit.tag} is {said} ({unit.rated})",
            f"{right}, or the type that the label gives",
            "the type or the rating is not the label's",
        )
    yield from (trouble for unit in listed if (trouble := wrong_agent(unit)))
    yield from (unknown for unit in listed if (unknown := unknown_agent(unit)))
    return passed(f"{len(listed)} ratings beside their types")


@rule(
    "extinguishers.place_known",
    level="error",
    statement="Each extinguisher stands at a place that is described",
    source=CHOICE,
    needs=(PLACES,),
    reads=(ROOT,),
)
def place_known(ctx: Context) -> Judging:
    listed = units(ctx)
    if not listed:
        return not_applicable(NO_UNITS)
    known = list(ctx[PLACES].keys())
    for unit in listed:
        place = unit.spec.text("place")
        if place not in known:
            near = difflib.get_close_matches(place, known, 1, 0.5)
            yield Trouble(
                unit.at("place"),
                f"{unit.tag} stands at {place!r}, which is not among the places",
                f"did you mean {near[0]}?" if near else "describe it under places:",
                "an extinguisher that nobody can find is none",
            )
    return passed(f"{len(listed)} extinguishers")


@rule(
    "extinguishers.date_complete",
    level="error",
    statement="Each date exists and gives at least its month; a month without a day is read at its strict end",
    source=CHOICE,
    reads=(ROOT,),
)
def date_complete(ctx: Context) -> Judging:
    given = [(unit, key, when) for unit in units(ctx) for key, when in unit.all_dates()]
    if not given:
        return not_applicable("no date of an extinguisher is given")
    for unit, key, when in given:
        if when.known == "none":
            yield Trouble(
                when.at,
                f"the {WORDS[key]} of {unit.tag}, {when.text}, is a day that does not exist",
                "the date on its tag or label, such as 2027-05-30",
            )
        elif when.known == "year":
            # Makers often stamp no more than the year, and its first day is strict; a service tag has a month.
            yield Trouble(
                when.at,
                f"the {WORDS[key]} of {unit.tag} gives the year {when.text} and no month",
                f"the month too, such as {when.text}-04, from its tag or label",
                "the time since then is counted from 1 January",
                "warning" if key == "made" else None,
            )
    months = sum(when.known == "month" for _, _, when in given)
    return passed(f"{len(given)} dates" + (f", {months} of them without a day" if months else ""))


@rule(
    "extinguishers.done_before",
    level="error",
    statement="What is dated was done before the event: a test or service to come does not count",
    source=CHOICE,
    reads=(ROOT, "event"),
    dated=(
        "extinguishers.inspected",
        "extinguishers.serviced",
        "extinguishers.internal_examination",
        "extinguishers.hydrostatic_test",
    ),
)
def done_before(ctx: Context) -> Judging:
    given = [(unit, key, when) for unit in units(ctx) for key, when in unit.all_dates()]
    if not given:
        return not_applicable("no date of an extinguisher is given")
    days = event_days(ctx.spec("event"))
    first, last = days[0], days[-1]
    for unit, key, when in given:
        # A monthly inspection may also fall due, and be done, while a long event runs.
        limit = last if key == "inspected" else first
        if when.known == "none" or when.last <= limit:
            continue
        last_one = "the date on its label" if key == "made" else "the last one that was done before the event"
        what = f"the {WORDS[key]} of {unit.tag}, {when.text},"
        if when.first > last:
            said = f"{what} lies after the event, which ends on {last}, so it does not count"
            right = last_one
        elif when.first > limit:
            said = f"{what} lies after the event's first day, {first}, so it does not count for all of it"
            right = last_one
        elif when.known == "month":
            said = f"{what} gives no day, and may lie after {limit}, so it does not count"
            right = f"the day too, such as {when.first}"
        else:
            continue  # a year alone: extinguishers.date_complete asks for the month
        yield Trouble(when.at, said, right, "what is to be done later makes nothing safe today")
    return passed(f"{len(given)} dates against {first} to {last}")


@rule(
    "extinguishers.after_made",
    level="error",
    statement="No service, test or look is dated before the extinguisher was made",
    source=CHOICE,
    reads=(ROOT, "event"),
)
def after_made(ctx: Context) -> Verdict:
    last = event_days(ctx.spec("event"))[-1]
    troubles = []
    looked = 0
    for unit in units(ctx):
        made = unit.when("made")
        if made is None or made.first > last:
            continue  # one that does not exist or lies after the event is found by rules of its own
        looked += 1
        troubles += [
            Trouble(
                when.at,
                f"the {WORDS[key]} of {unit.tag}, {when.text}, is before it was made, {made.text}",
                "both dates as its label and tag have them",
                "one of the two is wrong, and the times until the next test rest on them",
            )
            for key, when in unit.all_dates()
            if key != "made" and when.last < made.first
        ]
    return found(troubles, f"{looked} extinguishers") if looked else not_applicable("no date of make is given")
