"""`specc parts`, and verbs of plugins that set up options of their own."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from specc import Cannot
from specc.cli import main
from specc.kinds.plumbing import CATALOG
from specc.model.blocks import Table
from specc.spec import resources
from specc_plumbing.catalog import families
from specc_plumbing.parts_verb import PARTS

VALIDATOR = Draft202012Validator(resources.schema("output/result.schema.json"))

# The verb under a name of its own, so that these tests do not depend on who registers it.
PLUGIN = """\
from specc import Verb, hookimpl
from specc_plumbing.parts_verb import PARTS

SPECC_CONTRACT = 2

def broken(parser):
    raise RuntimeError("no options today")

@hookimpl
def specc_verbs():
    return [PARTS._replace(name="stock"), PARTS._replace(name="broken", setup=broken)]
"""


@pytest.fixture
def club(tmp_path: Path) -> str:
    path = tmp_path / "club.py"
    path.write_text(PLUGIN, encoding="utf-8")
    return str(path)


def table(*words: str, between: tuple[str, str] | None = None) -> Table:
    given = {"words": list(words), "between": list(between) if between else None, CATALOG.name: families()}
    made = PARTS.function(given)
    assert isinstance(made, Table)
    return made


def refused(*words: str, between: tuple[str, str] | None = None) -> Cannot:
    with pytest.raises(Cannot) as caught:
        table(*words, between=between)
    return caught.value


def cells(made: Table) -> list[dict[str, str]]:
    return [dict(zip((c.name for c in made.columns), row.cells, strict=True)) for row in made.rows]


# The tables


def test_without_words_all_families_with_the_number_of_their_sizes() -> None:
    rows = cells(table())
    assert [r["family"] for r in rows] == [f.name for f in families()]
    assert [int(r["sizes"]) for r in rows] == [len(f.sizes) for f in families()]
    assert next(r for r in rows if r["family"] == "coupling")["source"] == "(practice)"


def test_words_give_sizes_with_ends_measures_source_and_how_it_is_known() -> None:
    rows = cells(table("elbow", "1/2", "45"))
    assert len(rows) == 1
    row = rows[0]
    assert row["ends"] == "1/2 in female NPT; 1/2 in female NPT"
    assert (row["bore"], row["take-out"]) == ("0.622 in", "0.88 in")
    assert "engaged 0.534 in" in row["more"]
    assert "take out: asme-b16-3 (memory)" in row["source"]
    assert "bore: asme-b36-10 (choice)" in row["source"]


def test_what_has_no_measure_names_the_familys_source() -> None:
    row = next(r for r in cells(table("CGA", "510", "connector")) if r["size"] == "CGA 510 x 3/8 flare")
    assert (row["bore"], row["source"]) == ("", "cga-v-1 (reprint)")


def test_a_drill_is_found_by_its_bare_number() -> None:
    assert cells(table("orifice", "60")) == cells(table("orifice", "No. 60"))
    assert len(cells(table("orifice", "60"))) == 1


def test_nothing_by_these_words() -> None:
    wrong = refused("bushnig")
    assert "no part by 'bushnig'" in wrong.message
    assert "hex bushing" in wrong.fix


def test_a_chain_has_a_row_a_part() -> None:
    made = table(between=("1/2 MNPT", "3/8 male flare"))
    rows = cells(made)
    assert [(r["part"], r["family"], r["size"]) for r in rows] == [
        ("1", "coupling", "1/2 in NPT"),
        ("2", "flare swivel connector", "3/8 female flare x 1/2 NPT"),
    ]
    assert [(r["from"], r["to"]) for r in rows] == [
        ("1/2 in female NPT", "1/2 in female NPT"),
        ("1/2 in male NPT", "3/8 in female flare"),
    ]
    assert [r["bore"] for r in rows] == ["0.622 in", "0.281 in"]
    assert "not a pipe thread" in made.note


def test_what_mates_needs_no_part() -> None:
    made = table(between=("1/2 MNPT", "1/2 FNPT"))
    assert made.rows == ()
    assert "they mate directly: threaded" in made.note
    assert "LP-gas" in made.note
    assert "brazed or soldered or welded" in table(between=("5/8 OD tube", "5/8 OD socket")).note


def test_an_unknown_bore_is_not_a_number() -> None:
    assert [r["bore"] for r in cells(table(between=("CGA 510 female", "1/4 FNPT")))] == ["not known"]


def test_what_cannot_be_joined() -> None:
    assert "60 degrees" in refused(between=("1/2 MNPT", "1/2 BSPT female")).message
    wrong_way = refused(between=("1/4 FNPT", "CGA 510 female"))
    assert "the other way" in wrong_way.message
    assert "gas comes from first" in wrong_way.fix
    unread = refused(between=("1/2 NPT", "1/2 FNPT"))
    assert "male or female" in unread.message
    assert '"1/2 in male NPT"' in unread.fix
    assert "no other words" in refused("bushing", between=("1/2 MNPT", "1/2 FNPT")).message


# On the command line


def read_json(capsys: pytest.CaptureFixture[str]) -> Any:
    read = json.loads(capsys.readouterr().out)
    assert [e.message for e in VALIDATOR.iter_errors(read)] == []
    return read


def test_words_and_formats(club: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", "bushing", "1/2", "1/4", "--plugin", club]) == 0
    shown = capsys.readouterr().out
    assert "hex bushing" in shown
    assert "stamped on the part" in shown
    assert main(["stock", "--plugin", club, "bushing", "1/2", "1/4", "--format", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [r["size"] for r in rows] == ["1/2 x 1/4 in NPT"]
    assert main(["stock", "bushing", "1/2", "1/4", "--format", "json", "--plugin", club]) == 0
    assert read_json(capsys)["table"]["rows"][0][1] == "1/2 x 1/4 in NPT"
    assert main(["stock", "--plugin", club]) == 0
    assert "flare connector" in capsys.readouterr().out


def test_between_two_ends(club: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", "--between", "1/4 MNPT", "3/8 female flare", "--plugin", club]) == 0
    assert "3/8 flare x 1/4 FNPT" in capsys.readouterr().out
    assert main(["stock", "--between", "1/2 MNPT", "1/2 FNPT", "--format", "json", "--plugin", club]) == 0
    assert "mate directly: threaded" in read_json(capsys)["table"]["note"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--between", "1/2 NPT", "1/2 FNPT"], 'fix: write "1/2 in male NPT"'),
        (["--between", "1/2 MNPT"], "expected 2 arguments"),
        (["--betwen", "1/2 MNPT", "1/2 FNPT"], "unrecognized arguments: --betwen"),
        (["bushnig"], "no part by 'bushnig'"),
        (["bushing", "--between", "1/2 MNPT", "1/2 FNPT"], "no other words"),
    ],
)
def test_bad_arguments_are_told_and_the_exit_code_is_2(
    words: list[str], says: str, club: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["stock", *words, "--plugin", club]) == 2
    shown = capsys.readouterr()
    assert says in shown.err
    assert shown.out == ""
    assert "failed in the verb" not in shown.err


def test_help_shows_the_verbs_own_options(club: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["stock", "--help", "--plugin", club]) == 0
    shown = capsys.readouterr().out
    assert "--between END END" in shown
    assert "--format" in shown


def test_a_set_up_that_fails_is_the_plugins_failure(club: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["broken", "--plugin", club]) == 3
    assert "the plugin 'club' failed in the verb broken: RuntimeError: no options today" in capsys.readouterr().err


SHIP = """\
format: 1
plumbing:
  catalog:
    long_reach: {kind: fitting, form: adapter, size: 1/2 NPSM to flare, ends: [1/2 in male NPSM, 3/8 in male flare],
                 bore: 0.3 in, source: measured}
"""
CLUB = """\
from specc import Citation, Constant, gather, hookimpl
from specc.kinds.plumbing import CATALOG, Family, Size

SPECC_CONTRACT = 2

@gather(CATALOG)
def ours(ctx):
    known = Citation("club", "drawer 3", "declared")
    wide = (("bore", Constant(0.012, "length", "12 mm", known)),)
    sizes = (Size("odd", ("1/2 in male NPT", "3/8 in male flare"), wide),)
    return [Family("drawer elbow", "fitting", "elbow", sizes, known, adapter=True)]

@hookimpl
def specc_passes():
    return [ours]
"""


def test_what_a_project_and_a_club_add_is_searched_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec, club = tmp_path / "project.yaml", tmp_path / "club.py"
    spec.write_text(SHIP, encoding="utf-8")
    club.write_text(CLUB, encoding="utf-8")
    assert main(["parts", "long_reach"]) == 2
    assert main(["parts", "long_reach", "--spec", str(spec)]) == 0
    assert "1/2 in male NPSM" in capsys.readouterr().out
    odd = ["parts", "--between", "1/2 FNPSM", "3/8 female flare"]
    assert main(odd) == 2
    assert main([*odd, "--spec", str(spec)]) == 0
    assert "long_reach" in capsys.readouterr().out
    asked = ["parts", "--between", "1/2 FNPT", "3/8 female flare"]
    assert main([*asked, "--plugin", str(club)]) == 0
    assert "drawer elbow" in capsys.readouterr().out
    assert main(["parts", "--spec", str(tmp_path / "absent.yaml")]) == 2
    assert "absent.yaml" in capsys.readouterr().err
