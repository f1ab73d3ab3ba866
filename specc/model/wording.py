"""How findings count and list things."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

SHOWN = 3  # the few that a reader can take in; the rest are counted
# How a text begins that names nobody and nothing, or says that it is still to come. "No. 5" is a number.
_NOTHING = re.compile(
    r"(?:no(?![.]?\s*\d)|not|none|nobody|nothing|never|unknown|unread\w*|illegible|undetermined|unproven|tb[acd]|to be|"
    r"n/?a|pending|todo)\b"
)
_BARE_YES = re.compile(r"y|yes|ok|okay|true|done|sure")  # and no word of who, what or how
# Of these the ones that tell a reader nothing as a whole answer; "pending" tells of a permit.
_ALL_OF_IT_NOTHING = re.compile(r"no|none|nobody|nothing|never|unknown|not known|tb[acd]|n/?a|todo")
_PUT_OFF = re.compile(
    r"\b(?:not yet|to be|to come|tb[acd]|todo|pending|awaiting|applied|ordered|on order|in progress|under review|"
    r"planned|proposed|intended|assumed|presumed|guessed|expired|lapsed|withdrawn|revoked|void|maybe|perhaps|probably|"
    r"(?:i|we) (?:think|believe|guess|hope|suppose|recall)|suppos(?:ed|edly)|hopefully|presumably|apparently|"
    r"reportedly|allegedly|should be|(?:not |un)sure|unclear|"
    r"worn off|faded|illegible|unreadable|painted over|ground off|"
    r"un(?:listed|approved|known|proven|marked|certain|certified|rated|tested|verified|confirmed|checked))\b|\?",
    re.IGNORECASE,
)
_DENIED = re.compile(
    r"\b(?:no(?![.]?\s*\d)|not|non|never|neither|nor|cannot|without|except|excluding|unsuitable|incompatible|unfit|"
    r"similar|equivalent|like|clone|substitute|fake|counterfeit|replica|imitation|lookalike|knock-?off)\b|n['’]t\b",
    re.IGNORECASE,
)


def counted(number: int, thing: str) -> str:
    """A number of things in words.

    >>> counted(1, "run"), counted(3, "run"), counted(2, "fire watch")
    ('1 run', '3 runs', '2 fire watches')
    """
    return f"{number} {thing if number == 1 else plural(thing)}"


def plural(thing: str) -> str:
    """Several of a thing.

    >>> plural("battery"), plural("way"), plural("box")
    ('batteries', 'ways', 'boxes')
    """
    if thing.endswith("means"):
        return thing
    if thing.endswith("y") and thing[-2] not in "aeiou":
        return f"{thing[:-1]}ies"
    return thing + ("es" if thing.endswith(("ch", "sh", "s", "x")) else "s")


def several(words: Sequence[str], shown: int = SHOWN, between: str = ", ") -> str:
    """The first few of a list, and how many more there are.

    >>> several(["a", "b", "c", "d", "e"])
    'a, b, c and 2 more'
    """
    comma = "" if between == ", " else between.strip()
    more = f"{comma} and {len(words) - shown} more" if len(words) > shown else ""
    return between.join(words[:shown]) + more


def dated(day: str, issued: str) -> str:
    """A day as written, and that it is to come where the packet was issued before it.

    >>> dated("2027-09-15", "2027-09-01"), dated("2027-08-20", "2027-09-01"), dated("spring", "2027-09-01")
    ('planned 2027-09-15', '2027-08-20', 'spring')
    """
    return f"planned {day}" if day[:1].isdigit() and issued and day > issued else day


def says(text: str) -> bool:
    """Whether a typed text names somebody or something: not a dash, a bare yes, or words for nobody or for later.

    >>> says("hot wire"), says("-"), says("unknown"), says("not yet"), says("No. 5"), says("yes")
    (True, False, False, False, True, False)
    """
    word = text.strip().lower().rstrip(".!")
    return any(c.isalnum() for c in word) and not _NOTHING.match(word) and not _BARE_YES.fullmatch(word)


def names_nothing(text: str) -> bool:
    """Whether the whole of a text is a dash or words for nothing. A sentence may begin with one, and say something.

    >>> names_nothing("none"), names_nothing("pending"), names_nothing("nobody drinks before a shift")
    (True, False, False)
    """
    return not any(c.isalnum() for c in text) or bool(_ALL_OF_IT_NOTHING.fullmatch(text.strip().lower()))


def puts_off(text: str) -> bool:
    """Whether a typed text doubts what it says, or says it of later or of once: for sentences, which may deny something
    and mean it well ("without flame it stays shut").

    >>> puts_off("chained to the post"), puts_off("chained, to be bought"), puts_off("a flame rod, no manual reset")
    (False, True, False)
    """
    return bool(_PUT_OFF.search(text))


def takes_back(text: str) -> bool:
    """Whether a typed text denies, doubts or puts off what it names, anywhere in it: for listings, stamps and names.

    >>> takes_back("UL 125"), takes_back("UL 125 pending"), takes_back("not for propane")
    (False, True, True)
    """
    return puts_off(text) or bool(_DENIED.search(text))


def holds(text: str) -> bool:
    """Whether a typed sentence names something, and of now.

    >>> holds("chained to the post"), holds("planned"), holds("-")
    (True, False, False)
    """
    return says(text) and not puts_off(text)


def follows(one: str, other: str) -> bool:
    """Whether a tag is the next of its kind.

    >>> follows("stem_1", "stem_2"), follows("stem_1", "stem_3"), follows("stem", "stem_2")
    (True, False, False)
    """
    a, b = re.fullmatch(r"(.*?)(\d+)", one), re.fullmatch(r"(.*?)(\d+)", other)
    return bool(a and b and a[1] == b[1] and int(b[2]) == int(a[2]) + 1)


def in_runs(tags: Iterable[str]) -> list[str]:
    """Tags as one reads them out: three or more that count up become one.

    >>> in_runs(["v_p", "v_r1", "v_r2", "v_r3", "v1"])
    ['v_p', 'v_r1 to v_r3', 'v1']
    """
    runs: list[list[str]] = []
    for tag in tags:
        if runs and follows(runs[-1][-1], tag):
            runs[-1].append(tag)
        else:
            runs.append([tag])
    return [word for run in runs for word in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else run)]


_TAGS = re.compile(r"\b[A-Za-z]\w*?\d+(?:, [A-Za-z]\w*?\d+\b){2,}")


def with_runs(text: str) -> str:
    """A text in which each list of tags that count up is said as one reads it out.

    >>> with_runs("its own valve, v_a; of each: v_r1, v_r2, v_r3, v_r4"), with_runs("a1, a2 and a3")
    ('its own valve, v_a; of each: v_r1 to v_r4', 'a1, a2 and a3')
    """
    return _TAGS.sub(lambda found: ", ".join(in_runs(found[0].split(", "))), text)
