"""Documents attached to a spec: hashed, embedded, listed, and refused when they cannot be."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from specc.engine.road import COMPILE, Ask, travel
from specc.packet import render
from specc.testing import project, result_of

BASE = (Path(__file__).parent / "samples" / "garden.yaml").read_text(encoding="utf-8")
LETTER = b"%PDF-1.4 invented letter, not read by specc \x00\xff"


def with_attachment(folder: Path, name: str) -> Path:
    text = BASE + f"\nattachments:\n  letter: {{file: {name}, title: Letter <b>& more}}\n"
    return project(folder, text)


def test_it_is_an_input_like_the_spec(tmp_path: Path) -> None:
    (tmp_path / "papers").mkdir()
    (tmp_path / "papers" / "letter.pdf").write_bytes(LETTER)
    spec = with_attachment(tmp_path, "papers/letter.pdf")
    before = travel(str(spec), None, Ask(COMPILE))
    assert before.exit_code == 0
    assert [f.name for f in before.files] == ["project.yaml", "papers/letter.pdf"]
    reader = PdfReader(io.BytesIO(render(before)))
    assert reader.attachments["papers__letter.pdf"] == [LETTER]
    assert any("Letter <b>& more" in page.extract_text() for page in reader.pages)
    (tmp_path / "papers" / "letter.pdf").write_bytes(LETTER + b"!")
    assert travel(str(spec), None, Ask(COMPILE)).digest != before.digest


@pytest.mark.parametrize("name", ["gone.pdf", "../out.pdf", "/etc/hostname", "folder", "project.yaml", "link.pdf"])
def test_what_cannot_be_attached_is_found_at_its_place(tmp_path: Path, name: str) -> None:
    home = tmp_path / "home"
    (home / "folder").mkdir(parents=True)
    (tmp_path / "out.pdf").write_bytes(LETTER)
    os.symlink(tmp_path / "out.pdf", home / "link.pdf")
    result = result_of(with_attachment(home, name))
    found = [f for f in result.findings if f.level == "error"]
    assert [f.rule for f in found] == ["spec.attachment"]
    line = (home / "project.yaml").read_text(encoding="utf-8").splitlines()[found[0].place.line - 1]
    assert line[found[0].place.column - 1 :].startswith(name)
    assert result.exit_code == 1


def test_an_overlay_attaches_nothing(tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_bytes(LETTER)
    spec = project(tmp_path, BASE)
    overlay = tmp_path / "private.yaml"
    overlay.write_text("attachments: {s: {file: secret.txt, title: Secret}}\n", encoding="utf-8")
    result = travel(str(spec), str(overlay), Ask(COMPILE))
    assert [f.name for f in result.files] == ["project.yaml"]
    assert [f.rule for f in result.findings] == ["spec.overlay"]


def test_a_copy_of_the_private_file_is_no_attachment(tmp_path: Path) -> None:
    for name in ("private.yaml", "notes.txt"):
        (tmp_path / name).write_text("people: {ada: {legal_name: Ada Quill}}\n", encoding="utf-8")
    result = travel(str(with_attachment(tmp_path, "notes.txt")), str(tmp_path / "private.yaml"), Ask(COMPILE))
    assert result.exit_code == 2
    (found,) = [f for f in result.findings if f.rule == "spec.overlay"]
    assert "is a copy of notes.txt" in found.message


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("private.yaml", b"people: {}\n", "is neither a document nor an image"),
        ("club.py", b"pass\n", "is neither a document nor an image"),
        ("letter.pdf", b"MZ\x90", "does not begin as a .pdf file does"),
        ("plan.png", b"%PDF-1.4", "does not begin as a .png file does"),
        ("notes.txt", b"\x00\xff", "is no text in UTF-8"),
        (".secret/letter.pdf", LETTER, "begins with a dot"),
    ],
)
def test_only_documents_and_images_are_attached(tmp_path: Path, name: str, data: bytes, said: str) -> None:
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_bytes(data)
    found = [f for f in result_of(with_attachment(tmp_path, name)).findings if f.level == "error"]
    assert [(f.rule, said in f.message) for f in found] == [("spec.attachment", True)]


@pytest.mark.parametrize(("name", "data"), [("plan.PNG", b"\x89PNG\r\n\x1a\n..."), ("log.txt", "ä\n".encode())])
def test_images_and_texts_are(tmp_path: Path, name: str, data: bytes) -> None:
    (tmp_path / name).write_bytes(data)
    result = result_of(with_attachment(tmp_path, name))
    assert (result.exit_code, result.files[-1].data) == (0, data)


@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes of POSIX")
@pytest.mark.parametrize(
    ("key", "said"),
    [("link.pdf", 'a link to ".secret", a name that begins with a dot'), ("pipe.pdf", "is a pipe, not a file with")],
)
def test_a_link_to_what_is_hidden_and_a_pipe_are_not_attached(tmp_path: Path, key: str, said: str) -> None:
    (tmp_path / ".secret").mkdir()
    (tmp_path / ".secret" / "letter.pdf").write_bytes(LETTER)
    (tmp_path / "link.pdf").symlink_to(".secret/letter.pdf")
    os.mkfifo(tmp_path / "pipe.pdf")
    found = [f for f in result_of(with_attachment(tmp_path, key)).findings if f.level == "error"]
    assert [(f.rule, said in f.message) for f in found] == [("spec.attachment", True)]


@pytest.mark.skipif(sys.platform == "win32", reason="links of POSIX")
@pytest.mark.parametrize(
    ("key", "said"), [("notes.txt", 'a link to "private.yaml"'), ("plan.pdf", "does not begin as a .pdf file does")]
)
def test_a_link_of_another_name_does_not_attach_the_private_file(tmp_path: Path, key: str, said: str) -> None:
    (tmp_path / "private.yaml").write_text("people: {ada: {legal_name: Ada Quill}}\n", encoding="utf-8")
    (tmp_path / key).symlink_to("private.yaml")
    result = result_of(with_attachment(tmp_path, key))  # without the overlay, so that it is not known as one
    found = [f for f in result.findings if f.level == "error"]
    assert [(f.rule, said in f.message) for f in found] == [("spec.attachment", True)]
    assert not any(b"Quill" in file.data for file in result.files)
