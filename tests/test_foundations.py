"""What later plugins stand on, each used by a toy plugin: outlets on the site, targets and stand-offs, wind, zones,
faults and what moves valves, steps as data."""

from __future__ import annotations

from pathlib import Path

from specc.model.blocks import Para
from specc.model.result import Result
from specc.testing import Patch, findings_at, findings_of, plugin_file, project, result_of, status_of

RULES = Path(__file__).parent / "rules"
HEAD = "from specc import *\nSPECC_CONTRACT = 2\n"
TAIL = "\n@hookimpl\ndef specc_passes():\n    return [{}]\n"


def with_toy(folder: Path, base: str, body: str, passes: str, *patches: Patch) -> Result:
    """A base spec's Result with one plugin, "toy", made of `body`."""
    spec = project(folder, RULES / base, *patches)
    toy = plugin_file(folder, "toy", HEAD + body + TAIL.format(passes))
    result = result_of(spec, plugins=(toy,))
    assert not [f for f in result.findings if f.rule.startswith("plugin.")], result.findings
    return result


def said(result: Result) -> list[str]:
    """The paragraphs of the toy's section."""
    (section,) = (s for s in result.sections if s.id == "toy")
    return [b.text for b in section.blocks if isinstance(b, Para)]


SECTION = """
@section("toy", title="Toy", order=90, {asks})
def toy(ctx):
    return [Para(line) for line in lines(ctx)]
"""


def telling(folder: Path, base: str, asks: str, body: str, *patches: Patch) -> list[str]:
    """What a toy's section says, whose `lines(ctx)` are in `body`."""
    return said(with_toy(folder, base, body + SECTION.format(asks=asks), "toy", *patches))


OUTLETS = """
from specc.kinds.outlets import OUTLET_PLACES
def lines(ctx):
    for o in ctx[OUTLET_PLACES]:
        p = o.point
        where = [round(v.si, 4) if v is not None else None for v in p] if p else None
        yield f"{o.tag} of {o.effect or 'no effect'} at {where}, {o.aim.tilt.text if o.aim else 'aim not said'}"
"""


def test_an_outlet_has_a_place_a_height_and_an_aim(tmp_path: Path) -> None:
    patches = (
        ("right: {kind: burner, form: bar,", "right: {kind: burner, form: bar, height: 30 in, offset: [1 m, -2 m],"),
        ("left: {kind: burner, form: bar,", "left: {kind: burner, form: bar, aim: {tilt: 90°, bearing: 45°},"),
    )
    effects = ("effects:\n  glow:\n", "places: {bowl: {at: [3 m, 4 m]}}\neffects:\n  glow:\n    at: bowl\n")
    told = telling(tmp_path, "plumbing.yaml", "needs=(OUTLET_PLACES,)", OUTLETS, *patches, effects)
    assert told == [
        "left of glow at [3.0, 4.0, None], 90°",
        "right of glow at [4.0, 2.0, 0.762], aim not said",
    ]


def test_a_distance_from_an_outlet_is_traced_to_its_place_and_offset(tmp_path: Path) -> None:
    body = """
from specc.kinds.outlets import OUTLET_PLACES
from specc.kinds.geometry import Point
@figure(Key("toy.gap", Figure), title="gap", unit="m", needs=(OUTLET_PLACES,))
def gap(ctx):
    left, right = (o.point for o in ctx[OUTLET_PLACES])
    return distance(left, right)
"""
    result = with_toy(
        tmp_path,
        "plumbing.yaml",
        body,
        "gap",
        ("right: {kind: burner, form: bar,", "right: {kind: burner, form: bar, offset: [3 m, 4 m],"),
        ("effects:\n  glow:\n", "places: {bowl: {at: [1 m, 1 m]}}\neffects:\n  glow:\n    at: bowl\n"),
    )
    gap = result.figure("toy.gap")
    assert gap is not None
    assert abs(gap.si - 5) < 1e-12


def test_stand_offs_of_several_plugins_are_gathered_and_the_largest_governs(tmp_path: Path) -> None:
    body = """
from specc.kinds.targets import CONTOURS, STANDOFFS, TARGETS, Contour, Standoff, Target, governing
from specc.kinds.geometry import Point
def m(v):
    return Quantity(v, "length", f"{v:g} m")
@gather(STANDOFFS)
def heat(ctx):
    return [Standoff("audience", "bowl", m(4), "heat", PRACTICE), Standoff("part", "bowl", m(1), "heat", PRACTICE)]
@gather(STANDOFFS)
def fall(ctx):
    falls = Standoff("audience", "bowl", m(6), "it falls over", PRACTICE)
    return [falls, Standoff("audience", "mast", m(2), "x", PRACTICE)]
@gather(TARGETS)
def targets(ctx):
    return [Target("rope", "audience", Point(m(0), m(9)), None, "middle of the rope", "/places/rope")]
@gather(CONTOURS)
def rings(ctx):
    square = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))
    return [Contour("heat", "where people may stand", None, (square, tuple((x / 2, y / 2) for x, y in square)))]
def lines(ctx):
    for (what, start), one in governing(ctx[STANDOFFS]).items():
        yield f"{what} from {start}: {one.distance.text}, {one.why}"
    yield f"{len(ctx[TARGETS])} target, level {ctx[TARGETS][0].level}; {len(ctx[CONTOURS][0].rings)} rings"
""" + SECTION.format(asks="needs=(STANDOFFS, TARGETS, CONTOURS)")
    assert said(with_toy(tmp_path, "core.yaml", body, "heat, fall, targets, rings, toy")) == [
        "audience from bowl: 6 m, toy: it falls over",
        "part from bowl: 1 m, toy: heat",
        "audience from mast: 2 m, toy: x",
        "1 target, level None; 2 rings",
    ]


WIND = """
from specc.kinds.weather import WIND
def lines(ctx):
    for w in (ctx[WIND].usual, ctx[WIND].stop):
        yield f"{w.speed.text} {w.kind or '?'}; not said: {', '.join(w.unsaid) or 'nothing'}"
"""


def test_wind_says_what_it_is_and_what_is_not_said_is_not_checked(tmp_path: Path) -> None:
    whole = telling(tmp_path, "core.yaml", "needs=(WIND,)", WIND)
    assert whole == ["6 mph gust; not said: nothing", "15 mph gust; not said: nothing"]
    lacking = (", kind: gust, averaging: 3 s, height: 6 ft", ", usual_is: {kind: mean}, averaging: 10 min")
    told = telling(tmp_path, "core.yaml", "needs=(WIND,)", WIND, lacking)
    assert told == [
        "6 mph mean; not said: the height it is measured at",
        "15 mph ?; not said: whether it is a gust or a mean, the height it is measured at",
    ]
    assert status_of(tmp_path / "project.yaml", "core.wind_stated") == "not checked"


def test_zones_have_borders_and_figures_by_zone_regulator_state_and_case(tmp_path: Path) -> None:
    body = """
from specc.kinds.plumbing import ZONE_BORDERS
def lines(ctx):
    for z in ctx[ZONE_BORDERS]:
        told = (f"{b.before}>{b.after} {'from' if b.inward else 'to'} {b.other}" for b in z.borders)
        yield f"{z.name}: " + "; ".join(told)
""" + SECTION.format(asks="needs=(ZONE_BORDERS,)")
    result = with_toy(tmp_path, "plumbing.yaml", body, "toy")
    assert said(result)[:2] == [
        "cylinder pressure: pr1>v1 to pr1",
        "pr1: pr1>v1 from cylinder pressure; fo1>split to open to the air",
    ]
    figure = result.figure("fuel.zone_pressure.pr1.failed_open")
    assert figure is not None
    assert figure.case == "high"
    assert [c.case for c in figure.cases] == ["low", "usual", "high"]


def test_what_moves_valves_is_gathered_and_two_who_disagree_are_found(tmp_path: Path) -> None:
    body = """
from specc.kinds.faults import SHARED_MEANS, SharedMeans
@gather(SHARED_MEANS)
def wiring(ctx):
    return [SharedMeans("relay", "k7", ("sv1",), "toy", "/toy"), SharedMeans("supply", "box", ("sv1",), "toy", "/toy")]
"""
    other = plugin_file(tmp_path, "toy", HEAD + body + TAIL.format("wiring"))
    spec = project(
        tmp_path, RULES / "plumbing.yaml", ("supply: box}}", "supply: box}} # expect: plumbing.driven_alike")
    )
    found = list(findings_of(spec, "plumbing.driven_alike", plugins=(other,)))
    assert [f.message for f in found] == ["the relay of sv1 is k1 here, and k7 in toy"]
    assert not [rule for _, _, rule in findings_at(spec) if rule == "plumbing.driven_alike"]


def test_faults_releases_and_a_closing_order_are_gathered(tmp_path: Path) -> None:
    body = """
from specc.kinds.faults import CLOSING_ORDER, FAULTS, RELEASES, Closing, Fault, Release
@gather(FAULTS)
def faults(ctx):
    return [Fault("h1.parted", "parted", ("h1",), "hose h1 parted", "/plumbing/parts/h1")]
@gather(RELEASES)
def releases(ctx):
    return [Release("h1.parted", "h1", "low", Quantity(0.01, "mass_flow", "0.01 kg/s"))]
@gather(CLOSING_ORDER)
def order(ctx):
    return [Closing(2, "normal", "tank", "close"), Closing(1, "normal", "v1", "close")]
def lines(ctx):
    known = {f.key: f.what for f in ctx[FAULTS]}
    for r in ctx[RELEASES]:
        yield f"{known[r.fault]}: {r.flow.text} at {r.where}, {'stops' if r.duration else 'nothing stops it'}"
    yield ", ".join(f"{c.action} {c.tag}" for c in ctx[CLOSING_ORDER] if c.procedure == "normal")
""" + SECTION.format(asks="needs=(FAULTS, RELEASES, CLOSING_ORDER)")
    told = said(with_toy(tmp_path, "core.yaml", body, "faults, releases, order, toy"))
    assert told[0] == "hose h1 parted: 0.01 kg/s at h1, nothing stops it"
    assert told[-1].startswith("close v1, close tank")


def test_steps_are_data(tmp_path: Path) -> None:
    body = """
from specc.kinds.procedures import STEPS, Step
@gather(STEPS)
def steps(ctx):
    return [Step(10, "test", "Close v1, and look at g1.", action="close", tag="v1", who="valve", where="box",
                 look_for="g1 does not move", if_not="close the cylinders", night="first")]
def lines(ctx):
    for s in ctx[STEPS]:
        if s.tag == "v1" and s.procedure == "test":
            yield f"{s.who} at {s.where}: {s.action} {s.tag}; look for: {s.look_for}; if not: {s.if_not}; {s.night}"
""" + SECTION.format(asks="needs=(STEPS,)")
    told = said(with_toy(tmp_path, "plumbing.yaml", body, "steps, toy"))
    assert told == ["valve at box: close v1; look for: g1 does not move; if not: close the cylinders; first"]


def test_roster_extinguishers_and_gas_are_there_for_other_plugins(tmp_path: Path) -> None:
    body = """
from specc.kinds.extinguishers import EXTINGUISHERS
from specc.kinds.gas import GAS_LEFT, GAS_ON_SITE, NIGHT_GAS, RUN_TIME
from specc.kinds.people import ROSTER
@section("toy", title="Toy", order=90, needs=(ROSTER, EXTINGUISHERS, GAS_ON_SITE),
         wants=(GAS_LEFT, NIGHT_GAS, RUN_TIME))
def toy(ctx):
    duty, (unit, *_) = ctx[ROSTER][0], ctx[EXTINGUISHERS]
    gas = [ctx.get(NIGHT_GAS), *ctx.get(GAS_LEFT).values(), *ctx.get(RUN_TIME).values()]
    return [Para(f"{duty.person} {duty.role} {duty.night} {duty.starts} {duty.ends} {duty.at}"),
            Para(f"{unit.tag} {unit.type} {unit.rating} {unit.place}"),
            Para(f"{ctx[GAS_ON_SITE].si > 0} {all(g.si > 0 for g in gas)} {len(gas)}")]
"""
    base = (Path(__file__).parent.parent / "sample_projects/garden_brazier/project.yaml").read_text(encoding="utf-8")
    crew = (
        "extinguishers: {units: {dry: {type: stored_pressure_dry_chemical, rating: 4-A:80-B:C, place: post}}}\n"
        "people: {ada: {role: operator}}\n"
        'operators: {shifts: {first: {person: ada, role: lead, from: "20:00", to: "23:30"}}}\n'
    )
    toy = plugin_file(tmp_path, "toy", HEAD + body + TAIL.format("toy"))
    spec = tmp_path / "project.yaml"
    spec.write_text(base + crew, encoding="utf-8")
    result = result_of(spec, plugins=(toy,), only=("section toy",))
    assert said(result)[0] == "ada lead 2027-06-19 20:00 23:30 /operators/shifts/first"
    assert said(result)[1].split()[1:3] == ["stored_pressure_dry_chemical", "4-A:80-B:C"]
    assert said(result)[2] == "True True 2"  # no run time: it gets too cold first
