"""Who and what stands in the heat: the places that `flame:` names, and how much each may get."""

from __future__ import annotations

from collections.abc import Sequence

from specc import CHOICE, Citation, Context, Limit, Trouble, Unchecked, gather, not_applicable, rule
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.plumbing import OUTLETS as OUTLET_KINDS
from specc.kinds.targets import TARGETS, Target, TargetKind
from specc.model.passes import Judging, passed
from specc.model.values import PRACTICE
from specc.model.view import join
from specc.model.wording import counted

HUD = Citation("hud-51c", "24 CFR 51.203(a)(2): 450 BTU/(h·ft²) where people gather outdoors without shelter", "read")
CLOTHED = Citation("api-521", "500 BTU/(h·ft²): people with appropriate clothing, continuous", "reprint")
URGENT = Citation("api-521", "1,500 BTU/(h·ft²): emergency action of 2 to 3 min, appropriate clothing", "reprint")
WOOD = Citation("babrauskas-2001", "wood has ignited from 4.3 kW/m² on, over a long time", "reprint")

AUDIENCE_FLUX = Limit(
    "flame.audience_flux",
    "1.42 kW/m²",
    "heat_flux",
    "min",
    "most radiation on the public, from all effects at once: by analogy to siting of housing beside hazards",
    HUD,
)
PERFORMER_FLUX = Limit(
    "flame.performer_flux",
    "1.42 kW/m²",
    "heat_flux",
    "min",
    "most radiation on performers: no published level for costumes, so that of the public",
    CHOICE,
)
OPERATOR_FLUX = Limit(
    "flame.operator_flux",
    "1.58 kW/m²",
    "heat_flux",
    "min",
    "most radiation on an operator at their station, in long sleeves of cotton or wool",
    CLOTHED,
)
URGENT_FLUX = Limit(
    "flame.urgent_flux",
    "4.73 kW/m²",
    "heat_flux",
    "min",
    "most radiation where somebody has to close a valve, fetch an extinguisher or get out while all burns",
    URGENT,
)
BURNS_FLUX = Limit(
    "flame.burns_flux",
    "4.3 kW/m²",
    "heat_flux",
    "min",
    "most radiation on what burns: wood, fabric, dry ground",
    WOOD,
)
GAS_FLUX = Limit(
    "flame.gas_flux",
    "1.42 kW/m²",
    "heat_flux",
    "min",
    "most radiation on cylinders and stored fuel: little more than the sun, whose warmth is counted already",
    CHOICE,
)

LEVELS: dict[str, str] = {
    "audience": AUDIENCE_FLUX.key,
    "performer": PERFORMER_FLUX.key,
    "operator": OPERATOR_FLUX.key,
    "burns": BURNS_FLUX.key,
    "overhead": BURNS_FLUX.key,
    "way_out": URGENT_FLUX.key,
    "extinguisher": URGENT_FLUX.key,
    "part": GAS_FLUX.key,
}
# Those for people and what burns.
LEVEL_LIMITS = tuple(sorted({*LEVELS.values()} - {GAS_FLUX.key}))
_LISTED: tuple[tuple[str, TargetKind, str], ...] = (
    ("audience", "audience", "the public"),
    ("performers", "performer", "performers"),
    ("operators", "operator", "an operator"),
    ("exits", "way_out", "a way out"),
    ("dry", "burns", "what burns"),
    ("overhead", "overhead", "what hangs over"),
)


@gather(TARGETS, needs=(PLACES,), reads=("flame",))
def targets(ctx: Context) -> Sequence[Target]:
    made = []
    flame = ctx.spec("flame")
    for key, kind, what in _LISTED:
        for i, tag in enumerate(flame.texts(key)):
            spot = ctx[PLACES].get(tag)
            if spot and spot.shape:
                made.append(Target(tag, kind, spot.shape, None, f"{what} at {tag}", flame.here(key, i), PRACTICE))
    return made


@rule(
    "flame.places",
    level="error",
    statement="Each place that flame: names is described, with coordinates, and each burner is one of the plumbing",
    source=CHOICE,
    needs=(PLACES, NETWORK),
    reads=("flame",),
)
def places_known(ctx: Context) -> Judging:
    flame = ctx.spec("flame")
    burners = {p.tag for p in ctx[NETWORK].of_kind(*OUTLET_KINDS)}
    named = [(tag, flame.here(key, i)) for key, _, _ in _LISTED for i, tag in enumerate(flame.texts(key))]
    shown = flame.child("wind_shown")
    lit = [(tag, shown.here(tag)) for tag in shown]
    if not named and not lit:
        return not_applicable("flame: names no place and no burner")
    why = "nobody and nothing is looked for there"
    for tag, at in named:
        spot = ctx[PLACES].get(tag)
        if spot is None:
            yield Trouble(at, f"{tag!r} is not among the places", "the tag of one, described there", why)
        elif not spot.shape:
            yield Unchecked(
                f"the place {tag} has no coordinates, so the heat there is not known", join("/places", tag, "at")
            )
    for tag, at in lit:
        if tag not in burners:
            yield Trouble(at, f"{tag!r} is no burner or pilot", "the tag of one in plumbing:", "it shows nothing")
    return passed(f"{counted(len(named), 'place')} and {counted(len(lit), 'burner')}")
