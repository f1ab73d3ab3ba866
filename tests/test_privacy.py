"""The private overlay: what belongs in it is named, and a public packet gives nothing of it away."""

from __future__ import annotations

import re
from pathlib import Path

from pypdf import PdfReader

from specc.cli import main
from specc.engine.road import COMPILE, Ask, travel
from specc.spec.privacy import WORD, _replaced, _texts, given_away, secrets, withheld
from specc.spec.source import load
from specc.testing import findings_of, project

BASE = (Path(__file__).parent / "rules" / "operators.yaml").read_text(encoding="utf-8")
OVERLAY = """people:
  ash: {name: Wren Testperson, phone: 555-0100, born: 1990-04-01}
  birch: {name: Lark Example}
"""
AGE = ("    age: 40\n", "")


def files(folder: Path, *patches: tuple[str, str], overlay: str = OVERLAY) -> tuple[str, str]:
    private = folder / "private.yaml"
    private.write_text(overlay, encoding="utf-8")
    return str(project(folder, BASE, AGE, *patches)), str(private)


def printed(pdf: Path) -> str:
    reader = PdfReader(pdf)
    embedded = b"".join(data for listed in reader.attachments.values() for data in listed)
    return "\n".join(page.extract_text() for page in reader.pages) + embedded.decode("utf-8")


def test_a_private_field_in_the_public_spec_is_a_note_at_its_line(tmp_path: Path) -> None:
    spec = project(tmp_path, BASE, ("    age: 40\n", "    age: 40\n    phone: 555-0100\n"))
    (found,) = findings_of(spec, "spec.private")
    assert found.level == "note"
    assert spec.read_text(encoding="utf-8").splitlines()[found.place.line - 1] == "    phone: 555-0100"


def test_what_the_overlay_gives_is_no_finding(tmp_path: Path) -> None:
    spec, private = files(tmp_path)
    result = travel(spec, private, Ask(kinds=COMPILE))
    assert not [f for f in result.findings if f.rule == "spec.private"]


def test_a_public_packet_is_judged_with_the_overlay_and_prints_nothing_of_it(tmp_path: Path) -> None:
    spec, private = files(tmp_path)
    out = tmp_path / "out.pdf"
    # No plumbing is described, so that either packet is a draft.
    assert main(["compile", spec, "--with", private, "-o", str(out)]) == 1
    text = printed(out)
    assert "Wren Testperson" in text
    assert "555-0100" in text
    assert main(["compile", spec, "--with", private, "--public", "-o", str(out)]) == 1
    text = printed(out)
    assert WORD in text
    for secret in ("Wren", "Testperson", "555-0100", "1990-04-01", "Lark Example"):
        assert secret not in text
    judged = withheld(travel(spec, private, Ask(kinds=COMPILE)), load(spec, private))
    assert {r.id: r.status for r in judged.rules}["operators.operator_age"] == "passed"


def test_a_finding_in_the_overlay_keeps_its_line_to_itself(tmp_path: Path) -> None:
    spec, private = files(tmp_path, overlay=OVERLAY.replace("1990-04-01", "2009-04-01"))
    source = load(spec, private)
    result = withheld(travel(spec, private, Ask(kinds=COMPILE)), source)
    (found,) = (f for f in result.findings if f.rule == "operators.operator_age")
    assert dict(result.excerpts)[found.place] == WORD
    assert given_away(result, source) == ()


def test_no_public_packet_when_the_spec_says_the_same(tmp_path: Path, capsys) -> None:  # type: ignore[no-untyped-def]
    spec, private = files(tmp_path, ("who: the authority", "who: wren  testperson"))
    out = tmp_path / "out.pdf"
    assert main(["compile", spec, "--with", private, "--public", "-o", str(out)]) == 2
    assert not out.exists()
    said = capsys.readouterr().err
    assert "/people/ash/name" in said
    assert "Wren" not in said


def test_a_tag_that_only_the_overlay_has_is_secret_too(tmp_path: Path) -> None:
    spec, private = files(tmp_path, overlay="people:\n  robin_q: {age: 33}\n")
    assert secrets(load(spec, private)) == {"robin_q": "/people/robin_q"}


def test_what_stands_in_many_places_is_gone_through_once() -> None:
    """A figure stands in all that is computed from it: a complete device's took fifteen seconds."""
    shared: tuple[object, ...] = ("Wren Testperson",)
    for _ in range(12):
        shared = (shared, shared)
    assert list(_texts(shared, {})) == ["Wren Testperson"]
    made = _replaced(shared, re.compile("Wren Testperson"), {})
    assert made[0] is made[1]
    while isinstance(made, tuple):
        made = made[0]
    assert made == WORD
