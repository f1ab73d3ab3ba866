"""README's two commands are what CI runs, and what README says of verbs and exit codes is so."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from specc.cli import VERBS, main
from specc.engine.host import find

ROOT = Path(__file__).resolve().parent.parent
OF_PLUGINS = [verb.name for plugin in find().plugins for verb in plugin.verbs]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands() -> list[str]:
    """README's commands, found otherwise than .ci/run finds them."""
    return [block.strip("\n") for block in re.findall(r"^```sh\n(.*?)^```$", README, re.M | re.S)]


def test_readme_has_two_commands_of_one_line():
    assert len(commands()) == 2
    assert not any("\n" in command for command in commands())


def test_the_first_makes_the_sample_packet_and_the_second_runs_the_tests():
    packet, tests = commands()
    assert packet.endswith("specc compile sample_projects/garden_brazier/project.yaml")
    assert tests.endswith("-m pytest -n 2 --dist loadfile")
    assert all("-m venv .venv && .venv/bin/pip install -c tests/constraints.txt" in c for c in (packet, tests))


def test_ci_runs_exactly_these():
    shown = subprocess.run([ROOT / ".ci/run", "--show"], capture_output=True, text=True, check=True, cwd="/")
    assert shown.stdout.splitlines() == commands()
    script = (ROOT / ".ci/run").read_text(encoding="utf-8")
    for n in (0, 1):
        assert f'step "${{commands[{n}]}}"' in script
    assert "pip install" not in script, "only README's commands install anything"


def test_every_path_in_the_commands_is_there():
    named = {w for c in commands() for w in c.split() if "/" in w and not w.startswith(".venv")}
    assert len(named) == 2
    assert [w for w in named if not (ROOT / w).exists()] == []


def test_the_table_of_verbs_is_the_command_line_s():
    assert re.findall(r"^\| `specc ([a-z]+)", README, re.M) == [*VERBS, *OF_PLUGINS]


@pytest.mark.parametrize("verb", [*VERBS, *OF_PLUGINS])
def test_every_option_in_the_table_exists(verb, capsys):
    row = next(line for line in README.splitlines() if line.startswith(f"| `specc {verb}"))
    main([verb, "--help"])
    shown = capsys.readouterr().out
    assert "usage: specc " + verb in shown
    for option in re.findall(r"(?<!\S)`?(--?[a-z]+)", row):
        assert option in shown


def test_what_its_examples_of_a_spec_hold_is_known(tmp_path):
    from specc.engine.long_form import long_form
    from specc.engine.road import composed_schema
    from specc.spec.judge import judge
    from specc.spec.source import load

    examples = re.findall(r"^```yaml\n(.*?)^```$", README, re.M | re.S)
    assert len(examples) >= 2
    host = find()
    for example in examples:
        (tmp_path / "example.yaml").write_text(example, encoding="utf-8")
        source, short, _ = long_form(load(tmp_path / "example.yaml"), host)
        assert [f.message for f in short if "joined to nothing" not in f.message] == []
        refused = judge(composed_schema(), source.data).refusals
        # They are parts of a spec: what they leave out is missing, and nothing else is wrong.
        assert [r.message for r in refused if r.rule != "spec.missing_key"] == []


def test_the_hook_for_pre_commit_calls_a_verb():
    import yaml

    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    program, verb, folder = hook["entry"].split()
    assert program == "specc"
    assert verb in VERBS
    # A change may stand in an included file: all specs are checked on any of YAML.
    assert (folder, hook["types"], hook["pass_filenames"]) == (".", ["yaml"], False)
    assert "files" not in hook
