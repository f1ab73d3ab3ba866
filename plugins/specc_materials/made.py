"""What a part or a thing is made of: all that its spec says of it, read together, and where two sayings disagree."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from specc import Unchecked
from specc.kinds.plumbing import Part
from specc.kinds.things import Thing
from specc.model.view import View, join
from specc.model.wording import takes_back
from specc_materials.coatings import Coating
from specc_materials.reading import Reading, read, read_coating, together
from specc_materials.stuffs import BURNS, Family, Stuff
from specc_materials.tubes import GRADES

# Kinds of thing that say what they are of.
_OF_KIND = {"wood": "wood", "fabric": "fabric"}
# What is commonly sold with zinc on it, so that bare metal has to be said.
_IRON: tuple[Family, ...] = ("steel", "iron", "cast iron")


class MadeOf(NamedTuple):
    """What something is made of. Its title can only add a coating, never clear one.

    `said` is its material as written, `covered` what its key coating: says, and `covers` the coatings read in that.
    `title`, and `prose` with what else is written of it, are looked into where it is asked what they tell (`hinted`).
    """

    tag: str
    at: str
    said: str
    reading: Reading
    covered: str
    covers: tuple[str, ...]
    title: str = ""
    prose: View = View({})

    @property
    def stated(self) -> bool:
        r = self.reading
        return bool(r.stuffs or r.standards or r.grades or r.under)

    @property
    def stuffs(self) -> tuple[Stuff, ...]:
        return self.reading.stuffs

    def of(self, *families: Family) -> bool:
        """Whether something says that it is of one of these families of materials."""
        return self.reading.of(*families)

    @property
    def copper(self) -> bool:
        """Copper by name, UNS number, standard, grade or plumbing name; a plating of copper is none."""
        return self.of("copper") or bool(self.reading.grades)

    @property
    def burns(self) -> bool:
        return any(s.family in BURNS for s in self.reading.stuffs)

    @property
    def asked(self) -> str:
        """What has to be asked before anything is known of it; "" when every word of it is on a list."""
        if self.reading.unknown:
            words = " ".join(self.reading.unknown)
            if self.covered and self.reading.unknown[0] not in self.said.lower():
                said = f"{self.tag}: {words!r} in coating: {self.covered!r} is on no list of coatings; name its metal"
                return Unchecked(said, join(self.at, "coating"))
            said = (
                f"{self.tag}: {words!r} in {self.said!r} is on no list of materials; name the metal or its UNS number"
            )
            return Unchecked(said, join(self.at, "material"))
        return "" if self.stated else Unchecked(f"the material of {self.tag} is not stated", join(self.at, "material"))

    def coating(self, *what: str) -> Coating | None:
        """The first coating on it that holds one of these: "zinc", "cadmium" or "lead"."""
        return next((c for c in self.reading.coatings if any(getattr(c, w) for w in what)), None)

    @property
    def zinc_asked(self) -> str:
        """What to ask before it is known to be free of zinc; "" when that is known or its zinc is."""
        if self.coating("zinc") or self.of("zinc"):
            return ""
        if self.asked or self.hinted:
            return self.asked or self.hinted
        if not self.of(*_IRON) or any("zinc" in w for w in self.reading.without):
            return ""
        if not self.reading.coatings:
            return Unchecked(f"whether {self.tag} is zinc-coated is not stated (coating:)", join(self.at, "coating"))
        if all(c.over for c in self.reading.coatings):
            first = self.reading.coatings[0].title
            said = f"whether zinc is under {self.tag}'s coat ({first}) is not stated (coating: {first}, no zinc)"
            return Unchecked(said, join(self.at, "coating"))
        return ""

    @property
    def hinted(self) -> str:
        """What to ask where its name or note and its material say different things."""
        hint = _hint(self.reading, self.tag, self.title, **{key: self.prose.text_or(key) for key in _PROSE})
        if not hint:
            return ""
        said = f"{self.tag}: {hint}, and its material and coating say nothing of it; say it there, or not there"
        return Unchecked(said, join(self.at, "material"), join(self.at, "coating"))

    @property
    def zinc_share(self) -> float:
        """The most zinc in a copper alloy of it, as a share of mass."""
        return max((s.zinc for s in self.reading.stuffs if s.family == "copper alloy"), default=0.0)

    @property
    def disagreements(self) -> tuple[tuple[str, str], ...]:
        """Pairs of sayings that cannot both be true."""
        return tuple(_disagreements(self))


# Remembered: parts are much alike, and each rule asks for them anew; the answer depends on these texts alone.
@lru_cache(maxsize=4096)
def _said_together(texts: tuple[str, ...], title: str, covered: str, standard: str) -> Reading:
    """All that is said of one thing, as one reading."""
    main = together(read(t) for t in texts if t)
    # A title is free prose: it may name a coating that the material does not, and unknown words in it mean nothing.
    more = tuple(c for c in read(title).coatings if c.zinc or c.cadmium or c.lead) if title else ()
    coats = tuple(dict.fromkeys((*main.coatings, *more)))
    # A standard that says nothing of a material (UL 144) is no unknown word.
    key = read_coating(covered) if covered else Reading()
    by_standard = Reading(unknown=(standard,)) if takes_back(standard) else read(standard)._replace(unknown=())
    return together((main._replace(coatings=coats), key, by_standard))


_PROSE = ("marking", "listing", "note")
# Of a name or a note the words count that have one meaning: "gl_1" is a gas line, and "see CAD" a drawing. What stands
# beside a thing is often of conduit, strut or wire.
_SHORT = re.compile(r"\b(?:\w{1,2}|cad|strut|conduit|lead|rigid)\b")
_ELSEWHERE = ("conduit", "fence pipe", "strut channel", "baling or tie wire", "brass or bronze plating")


@lru_cache(maxsize=4096)
def _tells(text: str, name: bool) -> tuple[tuple[str, Family], ...]:
    """The harm that a name or a note tells of, each with its family; of aluminum a name alone."""
    reading = read(_SHORT.sub(" ", text.lower().replace("_", " ")))
    coats = [c for c in reading.coatings if (c.zinc or c.cadmium) and c.title not in _ELSEWHERE]
    told: list[tuple[str, Family]] = [(c.title, "zinc" if c.zinc else "cadmium") for c in coats]
    families = ("zinc", "cadmium", "aluminum") if name else ("zinc", "cadmium")
    return (*told, *((s.title, s.family) for s in reading.stuffs if s.family in families))


_TYPE = re.compile(r"\btype (?:k|l|m|dwv|acr)\b", re.IGNORECASE)


def _hint(reading: Reading, tag: str, title: str, **more: str) -> str:
    """What a thing's name, or more that is written of it, tells of these metals where its material and coating do
    not."""
    names = (("tag", tag, True), ("title", title, True))
    for what, text, name in (*names, *((key, text, False) for key, text in more.items())):
        for told, family in _tells(text, name) if text else ():
            known = reading.of(family) or any(getattr(c, family, False) for c in reading.coatings)
            if not known:
                return f"its {what} tells of {told}"
        of_type = _TYPE.search(text) if reading.grades else None
        if of_type and of_type[0].split()[-1].upper() not in reading.grades:
            return f"its {what} tells of {of_type[0]}"
    return ""


def made_of(part: Part) -> MadeOf:
    """What a part is made of. A tube's grade, size and standard say it too."""
    spec = part.spec
    texts = [spec.text_or("material")]
    grade = spec.text_or("grade").strip()
    if grade:
        texts.append(
            f"grade {grade}" if grade.upper().removeprefix("TYPE ") not in GRADES else f"type {grade.split()[-1]}"
        )
    size = spec.text_or("size").lower()
    if "type " in size:
        texts.append("type " + " ".join(size.partition("type ")[2].split()[:1]).strip(","))
    title = "" if part.title == part.tag else part.title
    covered = spec.text_or("coating")
    reading = _said_together(tuple(texts), title, covered, spec.text_or("standard"))
    return MadeOf(part.tag, part.at, spec.text_or("material"), reading, covered, _covers(covered), title, spec)


def thing_made_of(thing: Thing) -> MadeOf:
    """What a thing that stands near is made of. Wood and fabric are that by their kind, unless it is a fabric all of
    metal or mineral."""
    text, by_kind = thing.material, _OF_KIND.get(thing.kind, "")
    title = "" if thing.title == thing.tag else thing.title
    reading = _said_together((text,), title, thing.coating, "")
    woven = thing.kind == "fabric" and reading.stuffs and not reading.unknown
    if by_kind and not woven:
        reading = _said_together((text, by_kind), title, thing.coating, "")
    prose = View({"note": thing.note})
    return MadeOf(thing.tag, thing.at, text or by_kind, reading, thing.coating, _covers(thing.coating), title, prose)


def _covers(text: str) -> tuple[str, ...]:
    return tuple(c.title for c in read_coating(text).coatings) if text else ()


_ALIKE: dict[str, str] = {"iron": "iron", "cast iron": "iron", "steel": "steel"}


def _disagreements(made: MadeOf) -> Iterable[tuple[str, str]]:
    reading = made.reading
    if len(reading.grades) > 1:
        yield f"type {reading.grades[0]}", f"type {reading.grades[1]}"
    for standard in reading.standards:
        other = [g for g in reading.grades if standard.grades and g not in standard.grades]
        if other:
            yield f"{standard.number} ({standard.what})", f"type {other[0]}"
    # A thing may be of several metals, but a tube or pipe of one standard is of one.
    families = {s.number: s.family for s in reading.standards}
    for number, family in families.items():
        strange = [s for s in reading.stuffs if _ALIKE.get(s.family, s.family) != _ALIKE.get(family, family)]
        if strange and not any(s.family == family for s in reading.stuffs):
            yield number, strange[0].title
    distinct = sorted(set(families.values()))
    if len(distinct) > 1:
        yield (
            next(n for n, f in families.items() if f == distinct[0]),
            next(n for n, f in families.items() if f == distinct[1]),
        )
    if reading.grades and reading.stuffs and not any(s.family == "copper" for s in reading.stuffs):
        yield f"type {reading.grades[0]}, a grade of copper tube", reading.stuffs[0].title
    # Paint and powder go over zinc; nickel, chrome, tin and "none" do not stand beside it.
    zinc = made.coating("zinc")
    if zinc and zinc.title not in made.covers and {"none", "nickel", "chrome", "tin"} & set(made.covers):
        yield zinc.title, f"coating: {made.covered}"
    if zinc and any(w for w in reading.without if "zinc" in w):
        yield zinc.title, "free of zinc"
    soft = [s for s in reading.stuffs if s.family in ("copper", "copper alloy", "aluminum", "plastic", "rubber")]
    if zinc and zinc.steel and soft and len(soft) == len(reading.stuffs):  # only iron and steel are galvanized
        yield soft[0].title, zinc.title
    by_steel = {s.family for s in reading.stuffs} & {"steel", "stainless"}
    if len(by_steel) > 1:
        yield "stainless steel", "steel"
