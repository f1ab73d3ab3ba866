"""Limits: the tool's own, the spec's, laxer ones in sight, unknown and unreadable ones."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.cli import main
from specc.engine.limits import settle
from specc.engine.road import Ask, travel
from specc.model.passes import Limit
from specc.model.result import LimitShown, Result
from specc.model.values import CHOICE
from specc.testing import Patch, checked, plugin_file, project, status_of

SAMPLE = Path(__file__).parent / "samples" / "garden.yaml"
MOST = Limit("t.most", "10 psi", "gauge_pressure", "min", "no more than this", CHOICE)
LEAST = Limit("t.least", "20 %", "ratio", "max", "no less than this", CHOICE)
PSI = 6894.757293168


def with_limits(tmp_path: Path, text: str, *patches: Patch) -> Result:
    return checked(project(tmp_path, SAMPLE, ("fuel.reserve: 30 %", text), *patches))


def shown(result: Result, key: str) -> LimitShown:
    return next(limit for limit in result.limits if limit.key == key)


def test_the_default_holds_when_the_spec_says_nothing() -> None:
    got = settle([MOST], {})
    assert got.troubles == ()
    limit = got.limits["t.most"]
    assert limit.value is not None
    assert limit.value.si == pytest.approx(10 * PSI)
    assert (limit.by, limit.laxer) == ("", False)


@pytest.mark.parametrize(
    ("limit", "value", "laxer"),
    [(MOST, "9 psi", False), (MOST, "10 psi", False), (MOST, "11 psi", True),
     (LEAST, "30 %", False), (LEAST, "20 %", False), (LEAST, "10 %", True), (LEAST, 0.1, True)],
)  # fmt: skip
def test_the_specs_value_is_used_and_a_laxer_one_warned_of(limit: Limit, value: object, laxer: bool) -> None:
    got = settle([limit], {limit.key: value})
    assert got.limits[limit.key].laxer is laxer
    assert got.limits[limit.key].by == "the project's spec"
    assert [(rule, t.level) for rule, t in got.troubles] == ([("limits.laxer", "warning")] if laxer else [])
    if laxer:
        assert limit.default in got.troubles[0][1].message


def test_who_set_a_limit_is_named() -> None:
    got = settle([MOST], {"t.most": {"value": "12 psi", "who": "the fire marshal"}})
    assert got.limits["t.most"].by == "the fire marshal"
    assert "the fire marshal" in got.troubles[0][1].message


CLUB = """
from specc import PRACTICE, Limit, found, hookimpl, rule

SPECC_CONTRACT = 2

LIMIT = Limit("club.hose_age", "5 years", "age", "min", "the age of a hose", PRACTICE)


@rule("club.hose_age", level="warning", statement="No hose is old", source=PRACTICE, limits=("club.hose_age",))
def hose_age(ctx):
    return found([], f"at most {ctx.limit('club.hose_age').si / 86400:g} days")


@hookimpl
def specc_passes():
    return [LIMIT, hose_age]
"""


@pytest.mark.parametrize(
    ("instead", "words", "fix"),
    [
        ('"5 years", "years"', "'years' is not a dimension", "one of: length, area"),
        ('"5 years", "ages"', "'ages' is not a dimension", "did you mean 'age'? one of: length"),
        ('"5 fortnights", "age"', "is not a unit for an age", "known are yr, mo, wk, d, s"),
        ('"5000 years", "age"', "out of all bounds for an age", "to 1,000 yr"),
        ('"365 d", "duration"', "out of all bounds for a time", "to 31 d"),
    ],
)
def test_a_default_that_cannot_be_read_is_said_once_and_blocks(
    tmp_path: Path, instead: str, words: str, fix: str
) -> None:
    club = plugin_file(tmp_path, "club", CLUB.replace('"5 years", "age"', instead))
    spec = project(tmp_path, SAMPLE, ("fuel.reserve: 30 %", "club.hose_age: 6 years"))
    result = travel(str(spec), ask=Ask(ids=frozenset({"rule club.hose_age"}), plugin_files=(club,)))
    (found,) = [f for f in result.findings if "club" in f.message]
    assert (found.rule, found.plugin) == ("plugin.limit", "club")
    assert words in found.message
    assert fix in found.fix
    assert status_of(result, "club.hose_age") == "blocked"
    assert result.exit_code == 3


def test_a_limit_in_years_is_the_clubs_and_not_the_tools_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    club = plugin_file(tmp_path, "club", CLUB)
    spec = project(tmp_path, SAMPLE, ("fuel.reserve: 30 %", "club.hose_age: 10 years"))
    ask = Ask(ids=frozenset({"rule club.hose_age"}), plugin_files=(club,))
    result = travel(str(spec), ask=ask)
    assert next(r.looked for r in result.rules if r.id == "club.hose_age") == "at most 3652.5 days"
    (laxer,) = [f for f in result.findings if f.rule == "limits.laxer"]
    assert "10 years here, by the project's spec; club's own is 5 years" in laxer.message
    assert main(["limits", "--plugin", club, "--format", "csv"]) == 0
    printed = capsys.readouterr().out.splitlines()
    assert next(line for line in printed if line.startswith("club.hose_age,5 years")).endswith("club's default")
    assert next(line for line in printed if line.startswith("fuel.reserve")).endswith("specc default")


def test_a_limit_in_the_spec_changes_the_figures(tmp_path: Path) -> None:
    """Run time counts what lies above the reserve: 60 % of the content against 70 %."""
    small = ("bore: 0.028 in", "bore: 0.014 in")  # so that the cylinder runs down to its reserve
    before = checked(project(tmp_path, SAMPLE, small)).figure("fuel.run_time.tank_a")
    after = with_limits(tmp_path, "fuel.reserve: 40 %", small).figure("fuel.run_time.tank_a")
    assert before is not None
    assert after is not None
    assert after.si / before.si == pytest.approx(0.6 / 0.7)


def test_a_laxer_limit_stays_in_sight(tmp_path: Path) -> None:
    result = with_limits(tmp_path, "fuel.reserve: {value: 28 %, who: the club's captain}")
    assert (result.findings, shown(result, "fuel.reserve").by) == ((), "the club's captain")
    result = with_limits(tmp_path, "fuel.commercial_margin: {value: 5 %, who: the club's captain}")
    (found,) = [f for f in result.findings if f.rule == "limits.laxer"]
    assert found.level == "warning"
    assert "5 %" in found.message
    assert "15 %" in found.message
    assert "the club's captain" in found.message
    assert shown(result, "fuel.commercial_margin").laxer


def test_an_unknown_limit_is_at_its_key_with_the_nearest(tmp_path: Path) -> None:
    result = with_limits(tmp_path, "fuel.reserv: 30 %")
    (found,) = [f for f in result.findings if f.rule == "limits.unknown"]
    lines = (tmp_path / "project.yaml").read_text(encoding="utf-8").splitlines()
    assert lines[found.place.line - 1][found.place.column - 1 :] == "fuel.reserv: 30 %"
    assert "fuel.reserve" in found.fix
    assert result.exit_code == 1
    assert status_of(result, "plumbing.connected") == "passed"


@pytest.mark.parametrize("value", ["30 psi", "thirty", "{value: 30 psi, who: us}"])
def test_an_unreadable_limit_blocks_only_what_uses_it(tmp_path: Path, value: str) -> None:
    result = with_limits(tmp_path, f"fuel.reserve: {value}")
    (found,) = result.findings
    assert (found.rule, found.at.split("/")[1:3]) == ("limits.value", ["limits", "fuel.reserve"])
    assert result.exit_code == 1
    assert result.figure("fuel.run_time.tank_a") is None
    assert result.figure("fuel.flow.ring") is not None
    assert status_of(result, "fuel.enough_gas") == "blocked"
    assert status_of(result, "fuel.rated_for_supply") == "stated"


@pytest.mark.parametrize("value", ["[30 %]", "true", "{value: 30 %}", "{who: us}", "{value: 30 %, who: us, why: so}"])
def test_a_limit_of_the_wrong_shape_is_said_once(tmp_path: Path, value: str) -> None:
    result = with_limits(tmp_path, f"fuel.reserve: {value}")
    assert len(result.findings) == 1, result.findings
    assert result.findings[0].at.startswith("/limits/fuel.reserve")
    assert result.exit_code == 1


def test_a_limit_no_calculation_covers_is_the_specs_fault(tmp_path: Path) -> None:
    result = with_limits(tmp_path, "fuel.reserve: -5 %")
    assert result.exit_code == 1
    assert result.figure("fuel.run_time.tank_a") is None
    assert not [f for f in result.findings if f.rule.startswith("plugin.")]


ONLY = Limit("t.only", "", "heat_flux", "min", "what a spectator may get", CHOICE)


def test_a_limit_that_only_the_authority_sets_has_no_value_until_then() -> None:
    assert settle([ONLY], {}).limits["t.only"].value is None
    got = settle([ONLY], {"t.only": {"value": "1.42 kW/m²", "who": "the fire marshal"}})
    limit = got.limits["t.only"]
    assert limit.value is not None
    assert (limit.value.si, limit.by, limit.laxer, got.troubles) == (pytest.approx(1420), "the fire marshal", False, ())


def test_such_a_limit_counts_only_with_whose_it_is() -> None:
    got = settle([ONLY], {"t.only": "1.42 kW/m²"})
    assert [rule for rule, _ in got.troubles] == ["limits.value"]
    assert got.refused == {"t.only"}


TOY = """
from specc import *
SPECC_CONTRACT = 2
ONLY = Limit("toy.only", "", "heat_flux", "min", "what a spectator may get", CHOICE)
@rule("toy.asks", level="error", statement="asks", source=CHOICE, limits=("toy.only",))
def asks(ctx):
    limit = ctx.limit_or_none("toy.only")
    return passed(limit.text) if limit else authority_decides("the most that a spectator may get")
@rule("toy.takes", level="error", statement="takes", source=CHOICE, limits=("toy.only",))
def takes(ctx):
    return passed(ctx.limit("toy.only").text)
@hookimpl
def specc_passes():
    return [ONLY, asks, takes]
"""


def test_a_rule_asks_for_it_and_leaves_it_to_the_authority(tmp_path: Path) -> None:
    toy = plugin_file(tmp_path, "toy", TOY)
    bare = checked(SAMPLE, plugins=(toy,))
    assert status_of(bare, "toy.asks") == "authority to decide"
    assert "nobody has set toy.only" in " ".join(f.message for f in bare.findings if f.rule == "toy.takes")
    words = "fuel.reserve: 30 %\n  toy.only: {value: 1.42 kW/m², who: the fire marshal}"
    set_ = checked(project(tmp_path, SAMPLE, ("fuel.reserve: 30 %", words)), plugins=(toy,))
    assert (status_of(set_, "toy.asks"), status_of(set_, "toy.takes")) == ("passed", "passed")
