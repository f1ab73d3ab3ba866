"""Every pass has an outcome that is shown: nothing that was due vanishes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from specc.cli import main
from specc.model.blocks import Lacking
from specc.model.result import Outcome, Result
from specc.packet import render
from specc.testing import plugin_file, project, result_of

SAMPLE = Path(__file__).parent.parent / "sample_projects" / "garden_brazier" / "project.yaml"
SOON = ('starts: "22:00", lasts: 1 h', 'starts: "22:00", lasts: soon')

HEAD = """
from specc import *
from specc import (CHOICE, Caution, Figure, FigureList, Gathered, Key, Limit, Para, Table, Column, Cannot, Trouble,
    TableBlock, drawn, figure, found, gather, hookimpl, passed, rule, section, table, value)
from specc.kinds.packet import CAUTIONS, SUMMARY_FACTS
from specc.kinds.show import SHOW, TIMELINE
from specc.kinds.gas import CYLINDER_PRESSURE
SPECC_CONTRACT = {contract}
"""


def club(
    tmp_path: Path, body: str, *passes: str, contract: int = 1, patches: tuple[tuple[str, str], ...] = ()
) -> Result:
    text = HEAD.format(contract=contract) + body + f"\n@hookimpl\ndef specc_passes(): return [{', '.join(passes)}]\n"
    return result_of(project(tmp_path, SAMPLE, *patches), plugins=(plugin_file(tmp_path, "club", text),))


def outcome(result: Result, id: str, plugin: str = "club") -> Outcome:
    return next(o for o in result.outcomes if (o.plugin, o.id) == (plugin, id))


def text_of(result: Result, tmp_path: Path) -> str:
    import subprocess

    (tmp_path / "out.pdf").write_bytes(render(result))
    made = subprocess.run(["pdftotext", "-layout", tmp_path / "out.pdf", "-"], capture_output=True, check=True)
    return " ".join(made.stdout.decode().split())


def test_every_pass_of_a_clean_spec_has_an_outcome_and_none_is_lost() -> None:
    result = result_of(SAMPLE)
    assert not [o for o in result.outcomes if o.is_lost or o.without]
    assert {(o.plugin, o.id) for o in result.outcomes if o.kind == "rule"} == {(r.plugin, r.id) for r in result.rules}
    assert {o.id for o in result.outcomes if o.kind == "section"} == {s.id for s in result.sections}
    one = outcome(result, "description", "core")
    assert (one.function, one.kind, one.status) == ("specc.basics.pages.description", "section", "made")
    keys = [(o.plugin, o.kind, o.id, o.function) for o in result.outcomes]
    assert len(keys) == len(set(keys))


def test_a_section_that_could_not_be_made_stands_in_its_place_with_its_cause(tmp_path: Path) -> None:
    result = result_of(project(tmp_path, SAMPLE, SOON))
    cause = "it needs core.show, which could not be had: /show/scenes/late/lasts is refused or missing"
    assert outcome(result, "description", "core").cause == cause
    [section] = [s for s in result.sections if s.id == "description"]
    assert section.blocks == (Lacking(f"This section could not be made: {cause}."),)
    assert [s.id for s in result.sections] == [s.id for s in result_of(SAMPLE).sections]
    printed = text_of(result, tmp_path)
    # Letters of the watermark may fall between a heading and what follows it.
    assert re.search(rf"Effects and times ([DRAFT]+ )?This section could not be made: {re.escape(cause)}\.", printed)
    assert "DRAFT: 1 error" in printed


def test_check_all_says_in_json_what_is_lacking(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--all", "--format", "json", str(project(tmp_path, SAMPLE, SOON))]) == 1
    [made] = json.loads(capsys.readouterr().out)["files"]
    [section] = [o for o in made["outcomes"] if (o["kind"], o["id"]) == ("section", "description")]
    assert section["status"] == "blocked"
    assert "/show/scenes/late/lasts" in section["cause"]


def test_a_lost_caution_is_a_line_among_the_cautions(tmp_path: Path) -> None:
    body = "@gather(CAUTIONS, needs=(TIMELINE,))\ndef hot(ctx): return [Caution(9, 'hot after dark', CHOICE)]\n"
    assert "hot after dark" in [c.text for c in club(tmp_path, body, "hot").cautions]  # type: ignore[attr-defined]
    result = club(tmp_path, body, "hot", patches=(SOON,))
    assert outcome(result, "packet.cautions").status == "blocked"
    line = "packet.cautions of the plugin club (specc_plugin_club.hot): /show/scenes/late/lasts is refused or missing"
    assert line in dict(result.lost)["packet.cautions"]
    assert f"Lacking here: {line}." in text_of(result, tmp_path)


CANNOT = "@figure(Key('club.f', Figure), title='t', unit='lb')\ndef f(ctx): raise Cannot('no way', '/project/title')\n"
WAIVED = ("weather:", "waivers: {w: {rule: club.f, reason: r, who: w, until: 2030-01-01}}\nweather:")


def test_a_waived_figure_that_is_missing_leaves_a_draft_and_says_so(tmp_path: Path) -> None:
    section = "@section('club', title='Club', order=90)\ndef s(ctx): return [FigureList(('club.f',))]\n"
    result = club(tmp_path, CANNOT + section, "f", "s", patches=(WAIVED,))
    assert [(f.rule, f.waived) for f in result.findings if f.level == "error"] == [
        ("packet.incomplete", ""),
        ("club.f", "w"),
    ]
    assert "figure club.f of club: it cannot be computed: no way" in result.findings[0].message
    assert result.exit_code == 1
    assert "Figure “club.f” could not be made: it cannot be computed: no way." in text_of(result, tmp_path)


def test_what_is_missing_cannot_be_waived(tmp_path: Path) -> None:
    two = WAIVED[1].replace("{w: ", "{x: {rule: packet.incomplete, reason: r, who: w, until: 2030-01-01}, w: ")
    result = club(tmp_path, CANNOT, "f", patches=((WAIVED[0], two),))
    assert {f.rule for f in result.findings if f.level == "error" and not f.waived} >= {"waivers.not_waivable"}
    assert result.draft


def test_needs_block_before_the_call(tmp_path: Path) -> None:
    body = (
        "@rule('club.r', level='error', statement='s', source=CHOICE, needs=(SHOW,))\n"
        "def r(ctx): return passed('without looking')\n"
    )
    assert outcome(club(tmp_path, body, "r"), "club.r").status == "passed"
    result = club(tmp_path, body, "r", patches=(SOON,))
    assert outcome(result, "club.r").status == "blocked"


def test_a_want_that_was_not_had_is_named(tmp_path: Path) -> None:
    body = (
        "@section('club', title='Club', order=90, wants=(SHOW,))\n"
        "def s(ctx): return [Para(str(ctx.get(SHOW) is None))]\n"
    )
    result = club(tmp_path, body, "s", patches=(SOON,))
    said = "core.show: /show/scenes/late/lasts is refused or missing"
    assert outcome(result, "club").without == (said,)
    [section] = [s for s in result.sections if s.id == "club"]
    assert section.blocks[-1] == Lacking(f"Lacking here: {said}.")


def test_a_rule_that_does_without_what_it_wants_has_not_checked(tmp_path: Path) -> None:
    body = (
        "@value(Key('club.most', int), wants=(SHOW,))\ndef most(ctx): return 1\n"
        "@rule('club.direct', level='error', statement='s', source=CHOICE, wants=(SHOW,))\n"
        "def direct(ctx): return passed('without the show')\n"
        "@rule('club.through', level='error', statement='s', source=CHOICE, needs=(Key('club.most', int),))\n"
        "def through(ctx): return passed('the most of it')\n"
    )
    names = ("most", "direct", "through")
    ended = {r.id: r.status for r in club(tmp_path, body, *names, contract=2).rules}
    assert (ended["club.direct"], ended["club.through"]) == ("passed", "passed")
    rules = {r.id: r for r in club(tmp_path, body, *names, contract=2, patches=(SOON,)).rules}
    for id in ("club.direct", "club.through"):
        assert rules[id].status == "not checked"
        assert "lacking: core.show: /show/scenes/late/lasts is refused or missing" in rules[id].looked


MISTYPED = {
    "wants=(Key('core.shwo', object),)": "did you mean core.show?",
    "wants=(Key('core.nothing_like_it', object),)": "see specc plugins --keys",
    "needs=(Gathered('packet.caution', Caution),)": "did you mean packet.cautions?",
}


@pytest.mark.parametrize("asked", MISTYPED)
def test_a_mistyped_key_is_found(tmp_path: Path, asked: str) -> None:
    body = f"@rule('club.r', level='error', statement='s', source=CHOICE, {asked})\ndef r(ctx): return passed('l')\n"
    result = club(tmp_path, body, "r")
    [said] = [f for f in result.findings if f.rule == "plugin.unknown_key"]
    assert (said.plugin, said.fix, result.exit_code) == ("club", MISTYPED[asked], 3)


def test_an_item_added_to_a_mistyped_key_is_found(tmp_path: Path) -> None:
    body = "@gather(Gathered('packet.cautoins', Caution))\ndef c(ctx): return [Caution(1, 't', CHOICE)]\n"
    [said] = [f for f in club(tmp_path, body, "c").findings if f.rule == "plugin.unknown_key"]
    assert (said.plugin, said.fix) == ("club", "did you mean packet.cautions?")


def test_an_optional_key_of_a_plugin_that_is_not_here_is_no_fault(tmp_path: Path) -> None:
    body = (
        "@rule('club.r', level='error', statement='s', source=CHOICE, wants=(Key('barge.moorings', object),))\n"
        "def r(ctx): return passed('nothing' if ctx.get(Key('barge.moorings', object)) is None else 'some')\n"
    )
    assert club(tmp_path, body, "r").exit_code == 0


LIMITS = (
    "LEAST = Limit('club.least', '3 ft', 'length', 'max', 's', CHOICE)\n"
    "@rule('club.r', level='error', statement='s', source=CHOICE{declared})\n"
    "def r(ctx): return passed(ctx.limit('{asked}').text)\n"
)


@pytest.mark.parametrize(
    ("contract", "declared", "asked", "says"),
    [
        (2, ", limits=('club.least',)", "club.least", ""),
        (2, "", "club.least", "club.r asks for the limit club.least, which it does not declare in limits"),
        (1, "", "club.least", ""),
        (1, "", "club.leats", "which no plugin declares; did you mean club.least?"),
    ],
)
def test_a_limit_that_is_asked_for_is_declared(
    tmp_path: Path, contract: int, declared: str, asked: str, says: str
) -> None:
    result = club(tmp_path, LIMITS.format(declared=declared, asked=asked), "LEAST", "r", contract=contract)
    assert outcome(result, "club.r").status == ("crashed" if says else "passed")
    assert [says in f.message for f in result.findings if f.rule == "plugin.crash"] == ([True] if says else [])


def test_a_rule_names_the_figures_and_limits_it_read(tmp_path: Path) -> None:
    body = LIMITS.format(declared=", needs=(CYLINDER_PRESSURE,)", asked="club.least").replace(
        "return passed(", "return passed(ctx[CYLINDER_PRESSURE].key + "
    )
    [rule] = [r for r in club(tmp_path, body, "LEAST", "r").rules if r.id == "club.r"]
    assert rule.figures == ("fuel.cylinder_pressure_highest",)
    assert rule.limits == ("club.least",)


def test_contract_1_runs_with_a_warning_that_says_what_to_change(tmp_path: Path) -> None:
    result = club(tmp_path, LIMITS.format(declared="", asked="club.least"), "LEAST", "r", contract=1)
    [said] = [f for f in result.findings if f.rule == "plugin.contract"]
    assert (said.level, said.plugin, result.exit_code) == ("warning", "club", 0)
    assert said.fix == "name in limits= each limit that a pass asks for, then write SPECC_CONTRACT = 2"


def test_keys_names_every_shared_key_with_its_line_and_its_owner(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plugins", "--keys", "--format", "json"]) == 0
    keys = {key["key"]: key for key in json.loads(capsys.readouterr().out)["keys"]}
    assert not [name for name, key in keys.items() if not key["says"]]
    network = keys["plumbing.network"]
    assert (network["import"], network["provided_by"]) == ("specc.kinds.plumbing.NETWORK", ["plumbing"])
    assert network["records"]["Network"][:3] == ["parts", "runs", "links"]
    cautions = keys["packet.cautions"]
    assert cautions["gathered"]
    assert "fuel" in cautions["provided_by"]
    assert main(["plugins", "--keys"]) == 0
    printed = capsys.readouterr().out
    assert all(f"{name}: " in printed for name in keys)


LOST = """
from specc.kinds.targets import TARGETS, Target
MINE = Key("club.mine", tuple)

@gather(TARGETS, needs=(CYLINDER_PRESSURE,), reads=("people",))
def mine(ctx):
    raise Cannot("the queue is not known", "/people", "say where")

@value(MINE, needs=(TARGETS,))
def counted(ctx):
    return tuple(ctx[TARGETS])

@rule("club.direct", level="error", statement="s", source=CHOICE, needs=(TARGETS,))
def direct(ctx):
    return passed("all of them")

@rule("club.through", level="error", statement="s", source=CHOICE, needs=(MINE,))
def through(ctx):
    return passed("all of mine")

@rule("club.failing", level="warning", statement="s", source=CHOICE, needs=(MINE,))
def failing(ctx):
    return found([Trouble("/people", "wrong", "right")], "one")

@rule("club.other", level="error", statement="s", source=CHOICE, needs=(SHOW,))
def other(ctx):
    return passed("the show")
"""


def test_a_rule_that_reads_what_is_not_all_there_has_not_checked(tmp_path: Path) -> None:
    names = ("mine", "counted", "direct", "through", "failing", "other")
    text = HEAD.format(contract=2) + LOST + f"\n@hookimpl\ndef specc_passes(): return [{', '.join(names)}]\n"
    only = tuple(f"rule club.{name}" for name in names[2:])
    result = result_of(project(tmp_path, SAMPLE), plugins=(plugin_file(tmp_path, "club", text),), only=only)
    ended = {r.id: (r.status, "lacking: site.targets of the plugin club (club.mine)" in r.looked) for r in result.rules}
    lacking = {k: v for k, v in ended.items() if k.startswith("club.")}
    assert {k: v[0] for k, v in lacking.items()} == {
        "club.direct": "not checked",
        "club.through": "not checked",
        "club.failing": "failed",
        "club.other": "passed",
    }
    told = {r.id: r.looked for r in result.rules}
    for id in ("club.direct", "club.through", "club.failing"):
        assert "lacking: site.targets of the plugin club" in told[id]
        assert "the queue is not known" in told[id]


def test_what_a_plugin_s_rules_say_comes_after_the_built_ins_and_carries_its_name(tmp_path: Path) -> None:
    body = "@rule('club.a', level='error', statement='A plate', source=CHOICE)\ndef a(ctx): return stated('typed')\n"
    text = HEAD.format(contract=2) + body + "\n@hookimpl\ndef specc_passes(): return [a]\n"
    result = result_of(project(tmp_path, SAMPLE), plugins=(plugin_file(tmp_path, "club", text),))
    assert [r.plugin for r in result.rules].index("club") == len(result.rules) - 1
    bare = project(tmp_path, "format: 1\nproject: {title: A}\n", name="bare.yaml")
    said = text_of(result_of(bare, plugins=(str(tmp_path / "club.py"),)), tmp_path)
    assert "club: A plate: typed" in said


def test_series_over_time_are_in_the_result_and_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--all", "--format", "json", str(SAMPLE)]) == 0
    said = capsys.readouterr().out
    (file,) = json.loads(said)["files"]
    made = {(i["item"]["key"], i["item"]["case"]): i["item"] for i in file["gathered"]["core.series"]}
    assert {key for key, _ in made} == {"fuel.pressure_over_time.tank_a", "fuel.liquid_over_time.tank_a"}
    assert len(said) < 5_000_000, "a value stands in it once for each way that leads to it"
    flow = file["gathered"]["faults.releases"][0]["item"]["flow"]
    assert set(flow) == {"name", "si", "dim", "equation", "inputs", "regime", "beyond", "also"}
    low = made["fuel.pressure_over_time.tank_a", "low"]
    assert low["dim"] == "gauge_pressure"
    assert len(low["times"]) == len(low["values"]) > 10
    assert low["times"] == sorted(low["times"])
    figure = next(f for f in result_of(SAMPLE, only=("figures",)).figures if f.key == "fuel.supply_lowest.tank_a")
    assert min(v for (k, _), s in made.items() if "pressure" in k for v in s["values"]) == pytest.approx(
        figure.si, rel=0.05
    )
