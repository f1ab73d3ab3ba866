"""The first fill: lines and vessels that held air are filled and let out unlit, before any flame is near.

A vessel that each night lets down by its bleed is filled so each night, since air may have got in.
"""

from __future__ import annotations

from collections.abc import Sequence

from specc.kinds.procedures import Act, Step
from specc_operators.device import Device, listed
from specc_operators.rows import WAIT, row


def first_fill(device: Device, quiet: Sequence[str]) -> list[Step]:
    """Lines and vessels that held air: a short purge each, shut again, then the wait until it has blown away."""
    moment = "First fill: no flame, no spark, nobody downwind, no low place"
    ready = (*device.cylinders(), *quiet)
    made: list[Step] = []
    done: set[str] = set()
    purged: list[tuple[list[Act], str, tuple[str, ...]]] = []
    for outlet in [p.tag for p in device.net.of_kind("pilot", "burner") if p.tag not in device.bursts]:
        needs = device.needs(outlet, ready)
        out = device.fed((*ready, *needs))
        if not needs or outlet in done or any(device.net.by_tag[c].form == "solenoid" for c in needs):
            continue
        if {*out} & {*device.bursts}:
            continue  # said where it is lit
        done |= {*out}
        opened = [device.act("open", c) for c in needs]
        acts = [*(Act("purge", o, opened[-1].who, opened[-1].where) for o in out), *opened]
        purged.append(([*acts, *(a._replace(action="close") for a in reversed(opened))], needs[-1], out))
    groups: dict[tuple[str, str], list[tuple[list[Act], str, tuple[str, ...]]]] = {}
    for one in purged:
        groups.setdefault((one[0][0].who, one[0][0].where), []).append(one)
    for group in groups.values():
        pairs = "; ".join(f"{last} ({listed(out)})" for _, last, out in group)
        made.append(
            row(
                60,
                f"Purge the lines, one at a time: open {pairs} until gas comes, a few seconds, and close.",
                [a for acts, _, _ in group for a in acts],
                moment=moment,
                night="first",
                if_not="It hisses on when closed: close the cylinders.",
            )
        )
    emptied = False  # each night's end lets it down to nothing, and then air may have got in
    for vessel in device.net.of_kind("accumulator"):
        if acts := _vessel(device, vessel.tag, ready):
            by_bleed = [a.tag for a in acts if a.action == "bleed"][:1]
            emptied = emptied or bool(by_bleed)
            feed = listed(dict.fromkeys(a.tag for a in acts if a.action == "open"))
            way = f" by {by_bleed[0]} (any plug behind it out, and back in at the end)" if by_bleed else ""
            made.append(
                row(
                    65,
                    f"Fill {vessel.tag} with {feed}, close {feed}, and let it down unlit{way}, twice, closed again "
                    "while gas still comes: what fills it first is gas mixed with air.",
                    acts,
                    moment=moment,
                    night="every" if by_bleed else "first",
                )
            )
    if made:
        lead = (*device.crew.of_role("lead"), "")[0]
        made.append(
            row(
                69,
                f"Wait {WAIT} (trade habit), and until a gas detector reads nothing at the outlets and in low places. "
                "The nose alone does not tell.",
                [Act("wait", "", lead)],
                moment=moment,
                night="every" if emptied else "first",
                if_not="It still reads gas: nothing is lit; look for what leaks.",
            )
        )
        made.append(
            row(
                69,
                "Nothing was opened or taken apart since the last night but the cylinders' connections.",
                moment="First fill",
                night="later",
                if_not="First fill again, as on the first night.",
            )
        )
    return made


def _vessel(device: Device, tag: str, ready: Sequence[str]) -> list[Act]:
    """Fill a vessel and let it down, twice: by its bleed, else past what holds its burst back."""
    feed = device.needs(tag, ready)
    if not feed or device.fed((*ready, *feed)):
        return []
    below = {p.tag for p in device.net.downstream(tag)}
    bleeds = [b for b in device.bleeds if b in below]
    fill = [device.act("open", c) for c in feed]
    close = [a._replace(action="close") for a in reversed(fill)]
    out: list[Act] = []
    if bleeds:
        out = [device.act("bleed", bleeds[0]), device.act("close", bleeds[0])]
    else:
        bursts = [b for b in device.bursts if b in below]
        if not bursts:
            return []
        held = device.held_by(bursts[0])
        who = device.crew.pick(device.desk or device.place(tag), "valve", (device.bursts[bursts[0]],))
        if all(device.net.by_tag[c].form == "solenoid" for c in held):
            on = [Act("switch_on", c, who, device.desk) for c in held]
            off = [a._replace(action="switch_off") for a in on]
        else:
            on = [device.act("open", c) for c in held]
            off = [a._replace(action="close") for a in reversed(on)]
        out = [Act("purge", bursts[0], who, device.desk), *on, *off]
    return [*fill, *close, *out] * 2
