"""What plugins are made of: keys, passes, and the decorators that make passes of functions.

A pass takes a `Context` and gives one thing. It says what it needs (keys other passes provide) and what it
reads (roots of the spec); the host works out the order, hands out nothing that was not declared, and keeps
a failure inside the pass that failed.

    GAS = Key("fuel.gas_on_site", Figure)

    @figure(GAS, title="Gas on site", unit="lb", needs=(NETWORK,))
    def gas_on_site(ctx: Context) -> Worked: ...
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from typing import Any, Generic, Literal, NamedTuple, Protocol, TypeAlias, TypedDict, TypeVar, Unpack, overload

from specc.drawing.shapes import Drawing
from specc.model.blocks import Block, PacketPart, Table
from specc.model.findings import Level, Trouble, Unchecked, Verdict, answers_of
from specc.model.values import Case, Citation, Figure, Quantity, Worked
from specc.model.view import Unreadable, View
from specc.model.wording import counted, several

T = TypeVar("T")
FigureSet: TypeAlias = Mapping[str, Figure]


class Key(Generic[T]):
    """A typed name for a value that exactly one pass provides."""

    gathered = False

    def __init__(self, name: str, kind: Any = object) -> None:
        self.name = name
        self.kind = kind

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.name!r})"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Key) and other.name == self.name

    def __hash__(self) -> int:
        return hash(self.name)


class Gathered(Key[T]):
    """A typed name for values that many passes add to. Each gives a sequence; the reader gets one tuple,
    sorted by the items' `order` where they have one, then by plugin name and the order given.

    `signed`: the field that people read, before which the host puts a third party's name."""

    gathered = True

    def __init__(self, name: str, kind: Any = object, signed: str = "") -> None:
        super().__init__(name, kind)
        self.signed = signed


class Context(Protocol):
    """What a pass sees of the run: the keys and roots it declared, its weather case, and limits."""

    @property
    def case(self) -> Case:
        """The weather case, in a pass marked `per_case`."""

    @overload
    def __getitem__(self, key: Gathered[T]) -> tuple[T, ...]: ...
    @overload
    def __getitem__(self, key: Key[T]) -> T: ...

    def get(self, key: Key[T]) -> T | None:
        """A key named in `wants`: None when nobody provides it or its pass did not finish."""

    def all(self, key: Key[T]) -> Mapping[str, T]:
        """A per-case key's values by the name of the weather case."""

    def spec(self, root: str) -> View:
        """A root of the spec that the pass declared in `reads`; an empty view when absent."""

    def limit(self, key: str) -> Quantity:
        """A limit, as the tool, the spec or a profile sets it. One that only the authority sets stops the pass with a
        finding while nobody has."""

    def limit_or_none(self, key: str) -> Quantity | None:
        """The same, None for a limit that only the authority sets while nobody has: the rule ends with
        `authority_decides`."""

    def lacks(self, what: str, cause: str, *answers: str) -> None:
        """Says that what this pass gives is not the whole: no rule passes that rests on it, and figures say so.
        `answers`: where in the spec it would be mended."""


class Cannot(Exception):
    """Raise in a pass when its value cannot be computed honestly. Becomes a finding at `at`."""

    def __init__(self, message: str, at: str = "", fix: str = "", why: str = "") -> None:
        super().__init__(message)
        self.message, self.at, self.fix, self.why = message, at, fix, why


class FigureFacts(NamedTuple):
    """How a figure is shown. `worst` says which weather case governs; `unit` "" is the dimension's own."""

    title: str
    unit: str = ""
    digits: int = 3
    worst: Literal["max", "min"] = "max"
    decision: bool = False


class RuleFacts(NamedTuple):
    """`was`: ids that the rule had before. A waiver that names one still covers it, and a note says the new one.

    `rests_on`: properties that the maker typed and the answer stands or falls with, as "root.property"; `dated`: dates.
    `waived_by` "authority": a waiver counts only from the event's authority.
    """

    level: Level
    statement: str
    citation: Citation
    was: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()
    dated: tuple[str, ...] = ()
    waived_by: Literal["anybody", "authority"] = "anybody"


class SectionFacts(NamedTuple):
    title: str
    order: int
    answers: tuple[str, ...]
    part: PacketPart = "appendix"


class Limit(NamedTuple):
    """A limit that rules compare with. `safer` says which way is safer: a smaller ("min") or larger value.

    A spec or profile may set another value; a laxer one is shown beside this default, with whose it is. A `default` of
    "" says that only the authority sets it: until a spec does, and says who, `ctx.limit_or_none` gives None.
    `was`: keys that it had before. A spec that sets one still sets it, and a note says the new one.
    """

    key: str
    default: str
    dim: str
    safer: Literal["max", "min"]
    statement: str
    citation: Citation
    was: tuple[str, ...] = ()


Kind: TypeAlias = Literal["value", "figure", "figures", "rule", "section", "drawing", "table"]


class Pass(NamedTuple):
    """A function with what it needs and provides. Made by the decorators below."""

    kind: Kind
    id: str
    function: Callable[[Any], Any]
    provides: Key[Any] | None
    needs: tuple[Key[Any], ...]
    wants: tuple[Key[Any], ...]
    reads: tuple[str, ...]
    per_case: bool
    facts: FigureFacts | RuleFacts | SectionFacts | None
    title: str = ""
    was: tuple[str, ...] = ()  # ids of an earlier version, by which a waiver may still name what it finds
    limits: tuple[str, ...] = ()
    recalls: tuple[Citation, ...] = ()  # see Asks

    def given_by(self, ctx: Context) -> Any:
        """What the function gives; of a rule that yields, its verdict."""
        given = self.function(ctx)
        return concluded(given) if self.kind == "rule" else given


Keys: TypeAlias = Sequence[Key[Any]]
Wrap: TypeAlias = Callable[[Callable[[Any], T]], Pass]
Judging: TypeAlias = Generator[Trouble | str, None, Verdict]


class Asks(TypedDict, total=False):
    """What every pass may ask for: keys that it cannot do without, keys that it can, roots of the spec, limits.

    `recalls`: what it computes with from memory beside figures and limits, such as a table in its code. A rule that
    rests on it, at whatever remove, never simply passes."""

    needs: Keys
    wants: Keys
    reads: Sequence[str]
    limits: Sequence[str]
    recalls: Sequence[Citation]


class FigureAsks(Asks, total=False):
    """What a figure may ask for, and how it is shown: see `FigureFacts`."""

    unit: str
    digits: int
    worst: Literal["max", "min"]
    decision: bool
    per_case: bool


def _pass(
    kind: Kind,
    id: str,
    asks: Mapping[str, Any],
    provides: Key[Any] | None = None,
    *,
    per_case: bool = False,
    facts: FigureFacts | RuleFacts | SectionFacts | None = None,
    title: str = "",
    was: tuple[str, ...] = (),
) -> Wrap[Any]:
    unknown = asks.keys() - Asks.__annotations__.keys()
    if unknown:
        raise TypeError(f"{id}: a pass of this kind says nothing of {', '.join(sorted(unknown))}")
    needs, wants, reads, limits = (tuple(asks.get(name, ())) for name in ("needs", "wants", "reads", "limits"))
    recalls = tuple(asks.get("recalls", ()))

    def wrap(function: Callable[[Any], Any]) -> Pass:
        return Pass(kind, id, function, provides, needs, wants, reads, per_case, facts, title, was, limits, recalls)

    return wrap


def value(provides: Key[T], *, per_case: bool = False, was: tuple[str, ...] = (), **asks: Unpack[Asks]) -> Wrap[T]:
    """A pass that provides a shared value under an owned key. `was`: names that the key had before."""
    return _pass("value", provides.name, asks, provides, per_case=per_case, was=was)


def gather(provides: Gathered[T], **asks: Unpack[Asks]) -> Wrap[Sequence[T]]:
    """A pass that adds items under a gathered key."""
    return _pass("value", provides.name, asks, provides)


def _figure(kind: Kind, provides: Key[Any], title: str, asks: Mapping[str, Any]) -> Wrap[Any]:
    shown = {name: asks[name] for name in FigureFacts._fields if name in asks}
    others = {name: asked for name, asked in asks.items() if name not in ("per_case", *shown)}
    facts = FigureFacts(title, **shown)
    return _pass(kind, provides.name, others, provides, per_case=asks.get("per_case", False), facts=facts)


def figure(provides: Key[Figure], *, title: str, **asks: Unpack[FigureAsks]) -> Wrap[Worked]:
    """A pass that computes one figure. Its key is the figure's name in the packet and on the command line."""
    return _figure("figure", provides, title, asks)


def figures(provides: Key[FigureSet], *, title: str, **asks: Unpack[FigureAsks]) -> Wrap[Mapping[str, Worked]]:
    """A pass that computes one figure for each of several tags; their names are `key.tag`.

    `title` may hold {tag}.
    """
    return _figure("figures", provides, title, asks)


def rule(
    id: str,
    *,
    level: Level,
    statement: str,
    source: Citation,
    was: Sequence[str] = (),
    rests_on: Sequence[str] = (),
    dated: Sequence[str] = (),
    waived_by: Literal["anybody", "authority"] = "anybody",
    **asks: Unpack[Asks],
) -> Wrap[Verdict | Judging]:
    """A rule. The function returns a Verdict: see `passed`, `found`, `not_applicable` and the others. Or it yields what
    is wrong (a Trouble) and what it could not check (words; `Unchecked` says where in the spec the answer would stand)
    as it goes, and returns how it ends if there is neither.

    `rests_on` names what the maker typed and the answer stands or falls with ("plumbing.rating"): the host makes passed
    into stated, or shown. `dated` names dates ("plumbing.tested"): one after `project: issued:` makes it planned.
    """
    facts = RuleFacts(level, statement, source, tuple(was), tuple(rests_on), tuple(dated), waived_by)
    return _pass("rule", id, asks, facts=facts)


def section(
    id: str,
    *,
    title: str,
    order: int,
    answers: Sequence[str] = (),
    part: PacketPart = "appendix",
    **asks: Unpack[Asks],
) -> Wrap[Sequence[Block]]:
    """A section of the packet. `part` says into which part of it the section goes, `order` where within that part.

    `answers` are the authority's questions (such as "B5") it answers.
    """
    return _pass("section", id, asks, facts=SectionFacts(title, order, tuple(answers), part))


def table(id: str, *, title: str, **asks: Unpack[Asks]) -> Wrap[Table]:
    """A table, for sections to show and for `specc table`."""
    return _pass("table", id, asks, title=title)


def drawn(id: str, *, title: str, **asks: Unpack[Asks]) -> Wrap[Drawing]:
    """A drawing, for sections to show and for `specc drawing`."""
    return _pass("drawing", id, asks, title=title)


# The ways a rule can end. Silence is never "fine": a rule that returns nothing has crashed.


def passed(looked: str, tags: Iterable[str] = ()) -> Verdict:
    """What was asked was looked at and found so. `looked` says what was looked at, in a few words. `tags`: whose stated
    properties it looked at, if not all."""
    return Verdict("passed", looked, tags=tuple(tags))


def found(troubles: Iterable[Trouble], looked: str = "", tags: Iterable[str] = ()) -> Verdict:
    """Failed with troubles, or passed when there are none. `tags`: whose stated properties it looked at, if not all."""
    listed = tuple(troubles)
    return Verdict("failed" if listed else "passed", looked, listed, tags=tuple(tags))


def stated(looked: str) -> Verdict:
    """It rests on what the maker typed, and nobody has seen it. With `rests_on` the host says so by itself."""
    return Verdict("stated", looked)


def shown(looked: str) -> Verdict:
    """A document shows it. `looked` names the document, who looked, and when."""
    return Verdict("shown", looked)


def planned(looked: str) -> Verdict:
    """It is still to happen. `looked` says what, and when."""
    return Verdict("planned", looked)


def judged(troubles: Iterable[Trouble], unchecked: Sequence[str], looked: str) -> Verdict:
    """Troubles if there are any; else what could not be checked, if anything; else passed."""
    listed = tuple(troubles)
    left = several(unchecked, between="; ")
    if listed:
        made = found(listed, looked + (f"; not checked: {left}" if left else ""))
    else:
        made = not_checked(left, *answers_of(*unchecked)) if left else passed(looked)
    return made._replace(left=tuple(map(str, unchecked)))


def concluded(given: Verdict | Judging) -> Verdict:
    """The verdict of a rule, also of one that yields. What is wrong counts wherever it ends, also where it stops at a
    value that cannot be read; what could not be checked, where it would be passed or stated without it."""
    if not isinstance(given, Generator):
        return given
    listed: list[Trouble | str] = []
    end = passed("")
    try:
        while True:
            listed.append(next(given))
    except StopIteration as done:
        end = done.value
    except Unreadable as stop:
        listed.append(Unchecked(f"what reads {stop.at or 'a value'}, which is refused or missing", stop.at))
        if not any(isinstance(one, Trouble) for one in listed):
            raise
    troubles, unchecked = parted(listed)
    if not isinstance(end, Verdict) or (end.status not in ("passed", "stated", "not applicable") and not troubles):
        return end
    if not troubles and not unchecked:
        return end
    made = judged((*troubles, *end.troubles), list(dict.fromkeys(unchecked)), end.looked)
    return end._replace(
        status=made.status, looked=made.looked, troubles=made.troubles, answers=made.answers, left=made.left
    )


def each(things: Iterable[T], judge: Callable[[T], Iterable[Trouble | str]], thing: str, none: str) -> Verdict:
    """How a rule about each of some things ends. `judge` gives what is wrong with one, as troubles, and what could not
    be checked of it, as words. `thing` counts them; `none` says that there are none, and then it does not apply."""
    listed = tuple(things)
    if not listed:
        return not_applicable(none)
    troubles, unchecked = parted(one for item in listed for one in _told(judge(item)))
    return judged(troubles, unchecked, counted(len(listed), thing))


def _told(by_judge: Iterable[Trouble | str]) -> Iterable[Trouble | str]:
    if isinstance(by_judge, str):  # letter by letter it would be words, too
        raise TypeError(f"judge gave the text {by_judge!r}; a list of them is due")
    return by_judge


def parted(said: Iterable[Trouble | str]) -> tuple[list[Trouble], list[str]]:
    """Troubles, and what could not be checked. Whatever else a rule says would be lost, and the rule would pass: it is
    a TypeError."""
    troubles: list[Trouble] = []
    unchecked: list[str] = []
    for one in said:
        if isinstance(one, Trouble):
            troubles.append(one)
        elif isinstance(one, str):
            unchecked.append(one)
        else:
            got = "nothing" if one is None else f"a {type(one).__name__} ({one!r})"[:80]
            raise TypeError(f"a rule gave {got} where a Trouble is due, or words for what could not be checked")
    return troubles, unchecked


def not_applicable(why: str) -> Verdict:
    """Nothing of the kind is in this project."""
    return Verdict("not applicable", why)


def not_checked(why: str, *answers: str) -> Verdict:
    """It could not be looked at, and a person has to. `answers`: where in the spec the answer would stand, as JSON
    pointers ("/operators"), with "*" where any tag may stand ("/places/*/kind")."""
    return Verdict("not checked", str(why), answers=Unchecked(why, *answers).answers, left=(str(why),))


def authority_decides(what: str, troubles: Iterable[Trouble] = ()) -> Verdict:
    """Only the authority can say. `what` is the question put to it, with what it should know."""
    return Verdict("authority to decide", what, tuple(troubles))
