"""Numbers that no device has: each may be typed, and each would make other figures wrong without a word."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from specc import PRACTICE, Context, Trouble, Unchecked, not_applicable, rule, show
from specc.kinds.plumbing import FITTED, NETWORK, OUTLETS, Fitted, Network, Part
from specc.kinds.show import SHOW
from specc.measure.units import FOOT
from specc.model.passes import Judging, passed
from specc.model.values import Scalar
from specc.model.view import View, join
from specc.model.wording import counted
from specc_plumbing.as_written import REFUSED, written
from specc_plumbing.burners import bore_of

# Sharp edges let some 60 % through and rounded ones nearly all; below 40 % something else holds the gas
# back. Both limits are common practice, no published source.
LEAST_DISCHARGE = 0.4
# Valves that turn the gas most, globe and lift check, have some 8 to 16 fully open (Crane TP-410, 340 and 600 times
# the friction factor, from memory); what has ten times that is not open, or its number a slip.
MOST_LOSS = 100.0
HIGHEST_SITE = 15_000 * FOOT  # m; no event that people drive to in North America stands higher


def _discharge(part: Part, spec: View) -> Iterator[Trouble]:
    discharge = spec.quantity_or_none("discharge")
    if discharge is not None and discharge.si < LEAST_DISCHARGE:
        yield Trouble(
            spec.here("discharge"),
            f"a discharge coefficient of {discharge.text} at {part.tag} is that of no hole",
            f"{LEAST_DISCHARGE:g} to 1: some 0.6 for a sharp edge, 0.8 or more for a drilled orifice",
            "flow goes with it: gas, heat and pressures would all be too small",
        )


def _loss(part: Part, fit: Fitted) -> Iterator[Trouble]:
    loss = fit.measures.get("loss")
    if loss is not None and loss.si > MOST_LOSS * (1 + 1e-9):
        yield Trouble(
            part.spec.here("loss") if part.spec.has("loss") else part.at,
            f"a loss coefficient of {loss.si:,.0f} at {part.tag} is that of no {part.kind} that is open",
            f"K at its bore, at most {MOST_LOSS:g}; or cv:, from its data sheet",
            "what it is said to hold back would be missing from the pressure behind it",
        )


def _bores_beside(
    net: Network, fitted: Mapping[str, Fitted], part: Part, ways: Mapping[str, tuple[str, ...]]
) -> list[tuple[str, Scalar]]:
    """The first known bore on each way from a part, past a few that say none: a valve, a tee."""
    found: list[tuple[str, Scalar]] = []
    met = [t for t in ways.get(part.tag, ()) if t in fitted]
    for tag in met:  # grows while it is walked
        bore = bore_of(fitted[tag])
        if bore is not None:
            found.append((tag, bore))
        elif net.by_tag[tag].kind not in _LETS_OUT and len(met) < _FAR:
            met += [t for t in ways.get(tag, ()) if t in fitted and t not in met]
    return found


_LETS_OUT = ("cylinder", "regulator", "accumulator", "orifice", *OUTLETS)
_FAR = 6


def _orifice(net: Network, fitted: Mapping[str, Fitted], part: Part) -> Iterator[Trouble | str]:
    hole = part.spec.quantity("bore")
    sides = [_bores_beside(net, fitted, part, ways) for ways in (net.before, net.after)]
    if not any(sides):
        said = f"how wide the line is beside the hole of {part.tag} (bore: or size: of what stands next to it)"
        beside = (*net.before.get(part.tag, ()), *net.after.get(part.tag, ()))
        yield Unchecked(said, *(join(net.by_tag[t].at, "bore") for t in beside if t in net.by_tag))
    for side in sides:
        tag, bore = min(side, key=lambda one: one[1].si, default=("", hole))
        if hole.si > bore.si * (1 + 1e-9):
            near = tag in (*net.before.get(part.tag, ()), *net.after.get(part.tag, ()))
            yield Trouble(
                part.spec.here("bore"),
                f"the hole of {part.tag}, {hole.text}, is larger than the bore of {tag}{' beside it' * near}, "
                f"{show(bore.si, 'length', 'in', 3)}",
                "the size of the drill, in inches or as No. 58",
                "an orifice that does not hold back leaves the pressure to what follows it",
            )


def _slit(fitted: Mapping[str, Fitted], part: Part) -> Iterator[Trouble]:
    jets = part.spec.child("jets")
    width, bore = jets.quantity_or_none("width"), bore_of(fitted[part.tag])
    if width is not None and bore is not None and width.si > bore.si * (1 + 1e-9):
        yield Trouble(
            jets.here("width"),
            f"a slit {width.text} wide is wider than the bore of {part.tag}, {show(bore.si, 'length', 'in', 3)}",
            "the width of the saw or the shim that was used",
        )


@rule(
    "plumbing.plausible",
    level="error",
    statement="Holes, slits, discharge coefficients, the site's height and the day of the leak test can be so",
    source=PRACTICE,
    needs=(NETWORK, FITTED, SHOW),
    reads=("event", "plumbing"),
)
def plausible(ctx: Context) -> Judging:
    net, fitted, event = ctx[NETWORK], ctx[FITTED], ctx.spec("event")
    if not net.parts:
        return not_applicable("no part is described")
    for part in net.of_kind("fitting", "valve"):
        yield from _loss(part, fitted[part.tag])
    for part in net.of_kind("orifice"):
        yield from [*_discharge(part, part.spec), *_orifice(net, fitted, part)]
    for part in net.of_kind(*OUTLETS):
        jets = part.spec.child("jets")
        yield from [*_discharge(part, jets), *_slit(fitted, part)]
        if jets.has("width") and bore_of(fitted[part.tag]) is None:
            said = f"how wide the tube of {part.tag} is, beside its slit (outside: and wall:, or bore:)"
            yield Unchecked(said, *(join(part.at, key) for key in ("outside", "wall", "bore")))
    height = event.quantity("elevation")
    if height.si > HIGHEST_SITE * (1 + 1e-9):
        yield Trouble(
            event.here("elevation"),
            f"the site stands {height.text} above the sea",
            "at most 15,000 ft; feet and meters are easily mixed up",
            "the air's pressure there decides what each gauge means",
        )
    tested, nights = written(ctx.spec("plumbing"), "tested", ""), ctx[SHOW].nights
    if tested not in ("", REFUSED) and nights and tested > nights[0].isoformat():
        yield Trouble(
            ctx.spec("plumbing").here("tested"),
            f"the leak test of {tested} comes after the first gas, on {nights[0]}",
            "a full-system leak test before the first night",
            "gas would run through joints that nobody has tested",
            level="warning",
        )
    return passed(counted(len(net.parts), "part"))
