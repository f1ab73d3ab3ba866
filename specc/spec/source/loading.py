"""Puts a spec together: the file itself, the files it includes, and the private file."""

from __future__ import annotations

import hashlib
import os
import posixpath
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path, PureWindowsPath
from typing import NamedTuple

from specc.model.findings import Place
from specc.model.result import InputFile
from specc.spec.source import merge
from specc.spec.source.faults import Faults, FileFault, shown
from specc.spec.source.files import CONTROL, STDIN, Bytes, decode, read_bytes, read_stdin, split_lines
from specc.spec.source.places import Places, SpecSpot, join
from specc.spec.source.reader import Budget, FileRead, read

INCLUDES_LIMIT = 32
# An empty file of this name marks the folder up to which the includes of all specs below it may reach.
ROOT_MARKER = "specc.root"
ATTACHMENTS_LIMIT = 32
_ATTACHABLE = "a file of at most 4 MiB in the spec's folder or below it"
# What a packet may hand in beside the spec, and how such a file begins; a text is anything that reads as one.
_DOCUMENTS = {
    ".pdf": (b"%PDF-",),
    ".png": (b"\x89PNG\r\n\x1a\n",),
    ".jpg": (b"\xff\xd8\xff",),
    ".jpeg": (b"\xff\xd8\xff",),
    ".txt": (),
    ".csv": (),
}
# Characters that the pointers of all private values may have together: each repeats the keys above it.
PRIVATE_POINTERS_LIMIT = 50_000_000


# A private file, several, or none.
Overlays = str | Path | Sequence[str | Path] | None
# Takes what is wrong, how to mend it, the place and the pointer.
_Complain = Callable[[str, str, Place, str], None]


class Source(NamedTuple):
    """A spec as read. `usable`: no fatal fault; `data` holds what could be read even when there is one.

    `files` are the public inputs, the spec first, then its includes and its attachments in order; an overlay is
    never among them. `private` has the pointer of every value that came from the overlay. `texts` has the lines of
    each file by its name in places, the overlay's too: look before printing an excerpt in public.
    """

    data: dict[str, object]
    places: Places
    files: tuple[InputFile, ...]
    overlay_files: tuple[InputFile, ...]
    faults: tuple[FileFault, ...]
    folder: Path
    usable: bool
    private: frozenset[str]
    texts: dict[str, list[str]]


def load(path: str | Path, overlay: Overlays = None, instead: Iterable[tuple[str, bytes]] = ()) -> Source:
    """Reads a spec with its includes, and adds the private files that are named, one after the other. Never raises.

    `-` is standard input, whose includes are looked for in the folder where one stands. `instead`: other bytes than
    those on the disk, by path.
    """
    spec = STDIN if os.fspath(path) == "-" else os.fspath(path)
    loading = _Loading(spec, dict(instead))
    loading.read_spec()
    if not loading.budget.spent:
        loading.read_includes()
    # Before the overlay: what a private file names is not handed in with the public packet.
    loading.read_attachments()
    named = (overlay,) if isinstance(overlay, (str, Path)) else overlay or ()
    for one in dict.fromkeys(os.fspath(one) for one in named):
        if not loading.budget.spent:
            loading.read_overlay(one)
    faults = loading.faults.all()
    return Source(
        data=loading.data,
        places=Places(loading.spot),
        files=tuple(loading.files),
        overlay_files=tuple(loading.overlay_files),
        faults=faults,
        folder=Path(loading.folder or "."),
        usable=not any(fault.fatal for fault in faults),
        private=frozenset(loading.private),
        texts=loading.texts,
    )


def excerpt(texts: dict[str, list[str]], place: Place) -> str:
    """The line of text at a place; "" when the place names a whole file or one that was not read."""
    lines = texts.get(place.file, [])
    return lines[place.line - 1] if 0 < place.line <= len(lines) else ""


class _Loading:
    def __init__(self, spec: str, instead: dict[str, bytes]) -> None:
        self.spec = spec
        self.instead = instead
        self.folder = os.path.dirname(spec)
        self.budget = Budget()
        self.faults = Faults()
        self.data: dict[str, object] = {}
        self.spot = SpecSpot(Place(spec), inside={})
        self.files: list[InputFile] = []
        self.overlay_files: list[InputFile] = []
        self.attached: list[str] = []
        self.private: set[str] = set()
        self.texts: dict[str, list[str]] = {}
        self._read_before: dict[tuple[int, int], str] = {}  # file on disk -> its name
        self._includes: list[tuple[object, Place, str]] = []

    def read_spec(self) -> None:
        got = self._bytes(self.spec, Place(self.spec))
        if got is None:
            return
        self._read_before[got.identity] = self.spec
        name = os.path.basename(self.spec)
        reading = self._text(got, self.spec, name, self.files)
        if reading is None:
            return
        self.data, self.spot = reading
        if "include" in self.data:
            self._list_includes(self.data.pop("include"))

    def read_includes(self) -> None:
        for item, place, at in self._includes:
            if len(self.files) > INCLUDES_LIMIT:
                message, fix = f"more than {INCLUDES_LIMIT} includes", "put some of them together"
                self._include_fault(message, fix, place, at)
                return
            name = self._name(item, place, at, self._include_fault, up=True)
            if name is not None:
                self._include(name, place, at)
            if self.budget.spent:
                return

    def read_overlay(self, path: str) -> None:
        got = self._bytes(path, Place(path))
        if got is None:
            return
        if got.identity in self._read_before:
            message = f"the private file {path} is also read as {self._read_before[got.identity]}"
            fix = "name each private file once, and only with `--with`"
            self._overlay_fault(message, fix, Place(path), "", fatal=True)
            return
        if copy := next((f.name for f in self.files if got.data and f.data == got.data), ""):
            message = f"the private file {path} is a copy of {copy}, which the packet carries"
            fix = "take it out of the spec's includes and attachments"
            self._overlay_fault(message, fix, Place(path), "", fatal=True)
            return
        self._read_before[got.identity] = path
        reading = self._text(got, path, self._overlay_name(path), self.overlay_files)
        if reading is None:
            return
        if "include" in reading.data:
            place = _key_place(reading.spot, "include")
            message, fix = "a private file cannot include files", "write everything private in this one file"
            self._overlay_fault(message, fix, place, "/include", fatal=True)
            del reading.data["include"]
        if "attachments" in reading.data:
            place = _key_place(reading.spot, "attachments")
            message, fix = "a private file cannot attach documents", "attach it in the spec, or hand it over apart"
            self._overlay_fault(message, fix, place, "/attachments", fatal=False)
            del reading.data["attachments"]
        added = merge.add(self.data, self.spot, reading.data, reading.spot)
        for clash in added.clashes:
            message = f"the private file gives {clash.at} again; the spec has it on {_said(clash.first)}"
            fix = "a private file only adds; delete it here, or leave it out of the spec"
            self._overlay_fault(message, fix, clash.second, clash.at, fatal=False)
        self._note_private(added, path)

    def read_attachments(self) -> None:
        """Documents that the spec hands in beside itself. They are inputs like the spec: hashed and embedded."""
        listed = self.data.get("attachments")
        places = Places(self.spot)
        for tag, item in listed.items() if isinstance(listed, dict) else ():
            at = join("/attachments", str(tag), "file")
            if not isinstance(item, dict) or not isinstance(item.get("file"), str):
                continue  # the schema says what is wrong with it
            place = places.of(at)
            name = self._name(item["file"], place, at, self._attachment_fault)
            if name is None:
                continue
            if len(self.attached) >= ATTACHMENTS_LIMIT:
                message, fix = f"more than {ATTACHMENTS_LIMIT} attachments", "put some of them together"
                self._attachment_fault(message, fix, place, at)
                return
            path = os.path.join(self.folder, name)
            got = read_bytes(path, place)
            if isinstance(got, FileFault):
                fix = _ATTACHABLE if got.rule == "spec.too_large" else got.fix
                self.faults.add(got._replace(rule="spec.attachment", at=at, fix=fix, fatal=False))
            elif got.identity in self._read_before:
                message, fix = f"{shown(name)} is read twice", "name each file once, and not the spec itself"
                self._attachment_fault(message, fix, place, at)
            elif wrong := _no_document(name, got.data) or _links_to_none(path):
                fix = f"attach a document or an image: {', '.join(_DOCUMENTS)}"
                self._attachment_fault(f"{shown(name)} {wrong}", fix, place, at)
            else:
                self._read_before[got.identity] = path
                self.attached.append(name)
                self.files.append(InputFile(name, got.data, hashlib.sha256(got.data).hexdigest()))

    # -- steps

    def _bytes(self, path: str, place: Place, at: str = "") -> Bytes | None:
        got = read_stdin(place) if path == STDIN else read_bytes(path, place)
        if isinstance(got, FileFault):
            self.faults.add(got._replace(at=at))
            return None
        return got._replace(data=self.instead.get(path, got.data))

    def _text(self, got: Bytes, shown_as: str, name: str, files: list[InputFile]) -> FileRead | None:
        """Notes the file as an input and reads its text."""
        files.append(InputFile(name, got.data, hashlib.sha256(got.data).hexdigest()))
        text = decode(got.data, shown_as)
        if isinstance(text, FileFault):
            self.texts[shown_as] = split_lines(CONTROL.sub("\ufffd", got.data.decode("utf-8-sig", "replace")))
            self.faults.add(text)
            return None
        self.texts[shown_as] = split_lines(text)
        return read(text, shown_as, self.budget, self.faults)

    def _list_includes(self, listed: object) -> None:
        places = Places(self.spot)
        if not isinstance(listed, list):
            fix = "write a list: `include: [plumbing.yaml]`"
            self._include_fault("include is not a list of files", fix, places.of("/include"), "/include")
            return
        for index, item in enumerate(listed):
            at = join("/include", index)
            self._includes.append((item, places.of(at), at))

    def _root(self) -> Path:
        """The folder that a root marker stands in, at the spec's or nearest above it; else the spec's own."""
        own = Path(os.path.realpath(self.folder or "."))
        return next((f for f in (own, *own.parents) if (f / ROOT_MARKER).is_file()), own)

    def _name(self, item: object, place: Place, at: str, complain: _Complain, *, up: bool = False) -> str | None:
        """A file's path from the spec's folder, or None after a fault. `up`: as far as the root marker's folder."""
        inside = "name a file in the spec's folder or below it, such as more/people.yaml"
        if not isinstance(item, str) or not item.strip() or CONTROL.search(item) or "\n" in item:
            complain("this is not the name of a file", inside, place, at)
            return None
        if "\\" in item:
            message = f"{shown(item)} has a backslash in it"
            complain(message, "write folders with `/`, which works on every system", place, at)
            return None
        if item.startswith("/") or PureWindowsPath(item).drive:
            complain(f"{shown(item)} does not start from the spec's folder", inside, place, at)
            return None
        steps = posixpath.normpath(item).split("/")
        if item.split("/").count("..") > (steps.count("..") if up else 0):
            complain(f"{shown(item)} leaves the folder", inside, place, at)
            return None
        item = posixpath.normpath(item)
        if any(step.startswith(".") and step not in (".", "..") for step in item.split("/")):
            complain(f"{shown(item)} has a name in it that begins with a dot", "rename it", place, at)
            return None
        try:
            own = Path(os.path.realpath(self.folder or "."))
            root = self._root() if item.startswith("..") else own
            real = Path(os.path.realpath(os.path.join(self.folder, item)))
            if item.startswith("..") and not Path(os.path.normpath(own / item)).is_relative_to(root):
                fix = f"put an empty file {ROOT_MARKER} into the folder that all devices share"
                complain(f"{shown(item)} leaves the folder", f"{inside}; or {fix}", place, at)
                return None
        except (OSError, ValueError):
            complain(f"{shown(item)} cannot be followed to a file", inside, place, at)
            return None
        if not real.is_relative_to(root):
            complain(f"{shown(item)} leads out of the spec's folder by a link", inside, place, at)
            return None
        led = os.path.relpath(real, own).split(os.sep)
        if hidden := next((step for step in led if step.startswith(".") and step != ".."), ""):
            message = f"{shown(item)} is a link to {shown(hidden)}, a name that begins with a dot"
            complain(message, "put the file itself beside the spec, not a link", place, at)
            return None
        return posixpath.normpath(item)

    def _include(self, name: str, place: Place, at: str) -> None:
        path = os.path.join(self.folder, name)
        got = self._bytes(path, place, at)
        if got is None:
            return
        before = self._read_before.setdefault(got.identity, path)
        if before != path or path in self.texts:
            message = f"{shown(name)} is read twice"
            self._include_fault(message, "name each file once, and not the spec itself", place, at)
            return
        reading = self._text(got, path, name, self.files)
        if reading is None:
            return
        if "include" in reading.data:
            message, fix = "an included file cannot include others", "list all files in the spec itself"
            self._include_fault(message, fix, _key_place(reading.spot, "include"), "/include")
            del reading.data["include"]
        for clash in merge.add(self.data, self.spot, reading.data, reading.spot).clashes:
            message = f"{clash.at} is given twice; the first is on {_said(clash.first)}"
            self._include_fault(message, "keep one of them", clash.second, clash.at)

    def _note_private(self, added: merge.Added, path: str) -> None:
        room = PRIVATE_POINTERS_LIMIT
        for at, spot in added.new:
            for pointer in merge.pointers(at, spot):
                room -= len(pointer)
                if room < 0:
                    message = "the private file's keys are too long and too deep"
                    fault = FileFault("spec.too_large", message, "use short names", Place(path), fatal=True)
                    self.faults.add(fault)
                    return
                self.private.add(pointer)

    def _overlay_name(self, path: str) -> str:
        """From the spec's folder when it is in there; else its bare name, which gives no home folder away."""
        try:
            relative = Path(os.path.abspath(path)).relative_to(os.path.abspath(self.folder or "."))
        except ValueError:
            return os.path.basename(path)
        return relative.as_posix()

    def _include_fault(self, message: str, fix: str, place: Place, at: str) -> None:
        why = "Without it, or with two values for one thing, the spec is incomplete."
        self.faults.add(FileFault("spec.include", message, fix, place, at, why, fatal=True))

    def _attachment_fault(self, message: str, fix: str, place: Place, at: str) -> None:
        why = "The packet names it as handed in, and it would not be there."
        self.faults.add(FileFault("spec.attachment", message, fix, place, at, why))

    def _overlay_fault(self, message: str, fix: str, place: Place, at: str, *, fatal: bool) -> None:
        why = "The private file is for additions: the public spec must mean the same without it."
        self.faults.add(FileFault("spec.overlay", message, fix, place, at, why, fatal))


def _no_document(name: str, data: bytes) -> str:
    """Why an attached file is neither a document nor an image, in words; "" when it is one."""
    ending = posixpath.splitext(name)[1].lower()
    if ending not in _DOCUMENTS:
        return "is neither a document nor an image"
    starts = _DOCUMENTS[ending]
    if starts and not data.startswith(starts):
        return f"does not begin as a {ending} file does"
    if not starts and isinstance(decode(data, name), FileFault):
        return "is no text in UTF-8"
    return ""


def _links_to_none(path: str) -> str:
    """Why what a link leads to is neither a document nor an image, in words: the private file, called notes.txt."""
    real = os.path.basename(os.path.realpath(path))
    is_one = posixpath.splitext(real)[1].lower() in _DOCUMENTS
    return "" if is_one else f"is a link to {shown(real)}, neither a document nor an image"


def _key_place(spot: SpecSpot, key: str) -> Place:
    return Places(spot).key(join("", key))


def _said(place: Place) -> str:
    return f"line {place.line} of {place.file}"
