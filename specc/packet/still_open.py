"""What the go list asks besides the plugins' own lines: what was still to happen when the packet was made.

Without these lines every line could be yes with no test done, no question answered and nothing signed.
"""

from __future__ import annotations

from collections.abc import Sequence

from specc.model.blocks import Block, Bullets, Lacking
from specc.model.statuses import UNJUDGED
from specc.model.wording import counted
from specc.packet.desk import Desk
from specc.packet.questions import to_decide

# With "planned" the line on what was planned asks for it.
_HELD = ("passed", "stated", "shown", "not applicable", "planned")
_NAMED = 4  # so many rules are named here


def open_lines(desk: Desk) -> list[str]:
    """A line for each kind; none where nothing is left of it. What was planned is named rule by rule, as the rules and
    their outcomes have it, with room for who saw it done."""
    rules, made = desk.result.rules, []
    planned: dict[str, list[str]] = {}
    for r in rules:
        if r.status == "planned":
            planned.setdefault(r.plugin, []).append(r.id.partition(".")[2].replace("_", " "))
    if planned:
        of = "; ".join(f"{plugin}: {', '.join(own)} ______" for plugin, own in planned.items())
        made.append(f"Planned when this was printed, now done, its result written down, seen by: {of}.")
    if any(r.id == "flame.holds_in_wind" and r.status not in _HELD for r in rules):
        made.append("Not shown when this was printed, now seen in the stop wind, by: flame: holds in wind ______.")
    if asks := len(to_decide(desk)):
        made.append(f"The authority has answered {counted(asks, 'question')} in writing, at the sign-off: all ______.")
    if silent := [r.id for r in rules if r.status in UNJUDGED]:
        if len(silent) <= _NAMED:
            made.append(
                f"{counted(len(silent), 'rule')} not checked by this packet ({', '.join(silent)}): inspected on site "
                "by ______."
            )
        else:  # one blank for all of them would be filled in by one glance
            where = f"section {desk.sections.get('rules', '')}"
            made.append(
                f"{counted(len(silent), 'rule')} not checked by this packet: each one inspected on site, ticked and "
                f"named in {where}; one left bare is a no."
            )
    made.append("The sign-off is signed, for this revision and digest, by the authority and by the lead operator.")
    return made


def with_open_lines(part: str, blocks: Sequence[Block | Lacking], desk: Desk) -> list[Block | Lacking]:
    """The blocks of a section, with what is still open at the end of the go list."""
    made = list(blocks)
    at = next((n for n, b in enumerate(made) if isinstance(b, Bullets)), None) if part == "start-up" else None
    if at is not None:
        listed = made[at]
        assert isinstance(listed, Bullets)
        made[at] = listed._replace(items=(*listed.items, *open_lines(desk)))
    return made
