"""What is built holds what the run needs: schemas, plugins, data and entry points. Built without network."""

from __future__ import annotations

import configparser
import re
import subprocess
import sys
import tomllib
import zipfile
from importlib.metadata import requires
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    (built,) = WheelBuilder(str(ROOT)).build(directory=str(tmp_path_factory.mktemp("wheel")), versions=["standard"])
    return Path(built)


def names(wheel: Path) -> set[str]:
    with zipfile.ZipFile(wheel) as archive:
        return {n for n in archive.namelist() if "__pycache__" not in n}


def sources(folder: str) -> set[str]:
    """Files below a folder of the checkout, as git would keep them."""
    return {
        str(p.relative_to(ROOT / folder))
        for p in (ROOT / folder).rglob("*")
        if p.is_file() and "__pycache__" not in p.parts
    }


def test_schemas_are_inside_the_package(wheel):
    expected = {f"specc/schemas/{n}" for n in sources("schemas")}
    assert "specc/schemas/project.schema.json" in expected
    assert expected <= names(wheel)


def test_every_file_of_specc_and_of_the_plugins_is_there(wheel):
    expected = {f"specc/{n}" for n in sources("specc")}
    expected |= {n for n in sources("plugins") if "/tests/" not in n and not n.endswith(".md")}
    assert {"specc/py.typed", "specc/data/starter.yaml", "specc_fuel/references.yaml"} <= expected
    assert expected - names(wheel) == set()


def test_nothing_else_is_there(wheel):
    tops = {n.split("/")[0] for n in names(wheel)}
    plugins = {p.name for p in (ROOT / "plugins").iterdir() if (p / "__init__.py").is_file()}
    assert tops == {"specc", *plugins, f"specc-{PROJECT['version']}.dist-info"}


def entry_points(wheel: Path) -> configparser.ConfigParser:
    parser = configparser.ConfigParser()
    parser.optionxform = str  # type: ignore[assignment, method-assign]
    with zipfile.ZipFile(wheel) as archive:
        (name,) = [n for n in archive.namelist() if n.endswith(".dist-info/entry_points.txt")]
        parser.read_string(archive.read(name).decode())
    return parser


def test_each_plugin_folder_is_one_entry_point(wheel):
    folders = {p.name for p in (ROOT / "plugins").iterdir() if (p / "__init__.py").is_file()}
    points = dict(entry_points(wheel)["specc"])
    assert set(points.values()) == folders
    assert all(module == f"specc_{name}" for name, module in points.items())


def test_the_command_is_there(wheel):
    assert dict(entry_points(wheel)["console_scripts"]) == {"specc": "specc.cli:main"}


def test_it_runs_from_the_wheel_alone(wheel, tmp_path):
    """Unpacked elsewhere, away from the checkout, the sample is checked with both plugins."""
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "site")
    code = """
import sys
sys.path = [p for p in sys.path if p not in ("", {root!r}, {plugins!r})]
sys.path.insert(0, {site!r})
import specc, specc.spec.resources
from specc.engine.road import travel
assert specc.__file__.startswith({site!r}), specc.__file__
assert str(specc.spec.resources.schemas_folder()).startswith({site!r})
result = travel({spec!r})
print(result.exit_code, *[p.name for p in result.plugins])
""".format(
        root=str(ROOT),
        plugins=str(ROOT / "plugins"),
        site=str(tmp_path / "site"),
        spec=str(ROOT / "sample_projects/garden_brazier/project.yaml"),
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path, env={"PATH": "/usr/bin:/bin"}
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.split() == ["0", "core", *sorted(entry_points(wheel)["specc"])]


def test_the_version_is_said_once():
    import specc

    assert PROJECT["version"] == specc.__version__


def test_constraints_pin_all_that_is_asked_for():
    """Every dependency, for running and for testing, has one exact version for CI."""
    import re

    pinned = {
        re.sub(r"[-_.]+", "-", line.split("==")[0]).lower()
        for line in (ROOT / "tests/constraints.txt").read_text(encoding="utf-8").splitlines()
        if re.fullmatch(r"[A-Za-z0-9_.-]+==[A-Za-z0-9.]+", line)
    }
    asked = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]
    needed = {re.sub(r"[-_.]+", "-", re.match(r"[A-Za-z0-9_.-]+", a).group()).lower() for a in asked}
    assert needed - pinned == set()
    assert "rl-accel" in pinned, "reportlab's extra"


def test_what_builds_the_wheel_is_one_version_with_a_hash():
    lines = (ROOT / "tests" / "build.txt").read_text(encoding="utf-8").splitlines()
    pinned = dict(re.fullmatch(r"(\S+)==\S+ --hash=sha256:([0-9a-f]{64})", line).groups() for line in lines[1:])
    system = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["build-system"]
    assert system["requires"] == [lines[1].split(" ")[0]]
    needed = {re.match(r"[\w-]+", r)[0].replace("-", "_") for r in requires("hatchling") if "python_version <" not in r}
    assert {"hatchling", *needed} == set(pinned)
