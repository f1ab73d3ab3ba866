"""What a rule that passed rests on: what the maker typed, an attachment that shows it, or a date still to come.

A rule names the properties (`rests_on=("plumbing.rating",)`) and dates (`dated=("plumbing.tested",)`) that its
answer stands or falls with. A typed property that nobody has seen makes "passed" into "stated"; one that an attachment
shows for each tag makes it "shown"; a date after `project: issued:` makes it "planned". A property is written below its
tag, or the tags below it: `flame: {wind_shown: {stem_1: ...}}` is the property wind_shown of stem_1.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cached_property
from typing import NamedTuple

from specc.model.findings import Unchecked
from specc.model.passes import RuleFacts
from specc.model.statuses import UNSEEN, Status
from specc.spec.fields import KEY
from specc.spec.source.places import steps_of

_DATE = re.compile(r"(\d{4})(?:-(\d\d))?(?:-(\d\d))?$")


class Shown(NamedTuple):
    """An attachment that shows a property of a tag, with who looked and when."""

    attachment: str
    who: str
    on: date


class Rest(NamedTuple):
    """The status of a rule that passed, with words for what was looked at, and by property and tag what nobody saw."""

    status: Status
    words: str = ""
    unseen: tuple[tuple[str, str], ...] = ()
    due: str = ""  # the last day that it waits for, where it is planned


class RestsOn:
    """Looks through the typed values of one spec, once for all its rules."""

    def __init__(self, data: Mapping[str, object], guessed: Iterable[str] = ()) -> None:
        """`guessed`: JSON pointers of values that are typical of a thing's kind, and that nobody measured."""
        project = data.get("project")
        self.issued = last_day(project.get("issued")) if isinstance(project, Mapping) else None
        self._data = data
        self._of: dict[str, dict[str, object]] = {}  # "root.property" -> tag -> value
        guessed = tuple(guessed)
        steps = [steps_of(at) for at in guessed]
        self._guessed = {(f"{s[0]}.{s[-1]}", s[-2]): at for s, at in zip(steps, guessed, strict=True) if len(s) > 2}
        self._shown: dict[tuple[str, str], Shown] = {}
        for (tag, property_), shown in showings(data):
            if self.issued is not None and shown.on <= self.issued:
                self._shown.setdefault((tag, property_), shown)

    @cached_property
    def _typed(self) -> dict[str, dict[str, object]]:
        """All that is typed, gone through when the first rule asks: a rerun for a tolerance has none."""
        for root, below in self._data.items():
            if root != "attachments":
                self._walk(root, root, below)
                self._by_property(root, below)
        return self._of

    def _walk(self, root: str, tag: str, thing: object) -> None:
        if isinstance(thing, Mapping):
            for key, below in thing.items():
                if key == KEY and isinstance(below, Mapping):
                    for plugin, own in below.items():  # copperwick.made of h1, of h1: {x: {copperwick: {made: ...}}}
                        self._walk(str(plugin), tag, own)
                    continue
                if isinstance(below, Mapping | list):
                    # A joint is spoken of by the part that it is at.
                    self._walk(root, tag if key == "joint" else str(key), below)
                # A property may have parts of its own (a plate); right below a root stand tags, or properties by tag.
                if below is not None and not (isinstance(below, Mapping) and tag == root):
                    self._of.setdefault(f"{root}.{key}", {})[tag] = below
        elif isinstance(thing, list):
            for item in thing:
                self._walk(root, tag, item)

    def _by_property(self, root: str, below: object) -> None:
        for key, by_tag in below.items() if isinstance(below, Mapping) else ():
            for tag, value in by_tag.items() if isinstance(by_tag, Mapping) else ():
                self._of.setdefault(f"{root}.{key}", {})[str(tag)] = value

    def of(self, facts: RuleFacts, tags: Iterable[str]) -> Rest:
        """The status of a rule that passed, with words for what was looked at. `tags`: of these alone; () for all."""
        only = set(tags)
        dated = [v for key in facts.dated for tag, v in self._typed.get(key, {}).items() if not only or tag in only]
        days = [day for value in dated for day in _days(value)]
        if days and self.issued is None:
            words = "it rests on dates, and project: issued: is not stated, so they may be still to come"
            return Rest("not checked", Unchecked(words, "/project/issued"))
        if days and self.issued is not None and max(days) > self.issued:
            return Rest(
                "planned",
                f"it rests on {max(days).isoformat()}, after {self.issued.isoformat()}, when this was issued",
                due=max(days).isoformat(),
            )
        resting = [
            (tag, key.partition(".")[2])
            for key in facts.rests_on
            for tag in self._typed.get(key, {})
            if not only or tag in only
        ]
        guessed = sorted(
            (tag, key) for key, tag in self._guessed if key in facts.rests_on and (not only or tag in only)
        )
        if guessed:
            tag, key = guessed[0]
            words = f"{key.partition('.')[2]} of {tag} is only typical of its kind: nobody measured it"
            return Rest("not checked", Unchecked(words, *(self._guessed[key, tag] for tag, key in guessed)))
        if not resting:
            return Rest("passed")
        if unseen := sorted({(what, tag) for tag, what in resting if (tag, what) not in self._shown}):
            (first, tag), *rest = unseen
            others = f", {rest[0][1]}" if rest and rest[0][0] == first else ""
            more = len(rest) - bool(others)
            words = f"{UNSEEN} {first} of {tag}{others}{f' and {more} more' if more else ''}"
            return Rest("stated", words, tuple(unseen))
        who = sorted({f"{s.attachment}, {s.who}, {s.on.isoformat()}" for pair in resting if (s := self._shown[pair])})
        return Rest("shown", "shown by " + "; ".join(who))


def showings(data: Mapping[str, object]) -> list[tuple[tuple[str, str], Shown]]:
    """What the attachments say that they show: tag and property, with who looked and when. One without is left out."""
    made = []
    attachments = data.get("attachments")
    for name, one in attachments.items() if isinstance(attachments, Mapping) else ():
        seen, shows = (one.get("seen"), one.get("shows")) if isinstance(one, Mapping) else (None, None)
        if not isinstance(seen, Mapping) or not isinstance(shows, Mapping):
            continue
        who, on = seen.get("by"), last_day(seen.get("on"))
        if not isinstance(who, str) or not who.strip() or on is None:
            continue
        for tag, properties in shows.items():
            made += [((str(tag), str(p)), Shown(name, who, on)) for p in properties if isinstance(properties, list)]
    return made


def last_day(text: object) -> date | None:
    """A day, or the last day of a month or year, as written; None for anything else."""
    written = _DATE.match(str(text)) if isinstance(text, str | int) and not isinstance(text, bool) else None
    if written is None:
        return None
    year, month, day = (int(part) if part else 0 for part in written.groups())
    try:
        if day:
            return date(year, month, day)
        return date.fromordinal(date(year + (month or 12) // 12, (month or 12) % 12 + 1, 1).toordinal() - 1)
    except ValueError:
        return None


def _days(value: object) -> list[date]:
    listed = value if isinstance(value, list) else [value]
    return [day for one in listed if (day := last_day(one)) is not None]
