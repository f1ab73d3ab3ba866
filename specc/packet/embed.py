"""The inputs inside the PDF, as attachments, with a manifest of their sums."""

from __future__ import annotations

import hashlib
import json
import re
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path, PurePosixPath
from typing import Any, NamedTuple

from specc.model.result import Result
from specc.spec.source.loading import ROOT_MARKER

_LARGEST = 64_000_000  # bytes of one attached file
_LONGEST = 120  # characters of an attached name


def manifest(result: Result) -> bytes:
    """JSON: digest, versions, and each input's name, the name it is attached under, sha256 and size in bytes."""
    attached = attached_names(f.name for f in result.files)
    data = {
        "specc": result.specc_version,
        "digest": result.digest,
        "revision": result.revision,
        "issued": result.issued,
        "spec": result.files[0].name if result.files else "",
        "plugins": [{"name": p.name, "version": p.version, "origin": p.origin} for p in result.plugins],
        "files": [
            {"name": f.name, "attached": attached[f.name], "sha256": f.sha256, "size": len(f.data)}
            for f in result.files
        ],
    }
    return (json.dumps(data, indent=2, sort_keys=True, ensure_ascii=True) + "\n").encode()


class Unpacked(NamedTuple):
    """A packet's inputs, written out: the path of its spec, and what the packet says of itself."""

    spec: str
    revision: str
    issued: str


def unpacked(data: bytes, folder: str) -> Unpacked:
    """Write the inputs that a packet carries into a folder, each under its own name and with the sum that the manifest
    gives. Raises ValueError for a PDF that is no packet as specc wrote it: another program may have saved it anew."""
    streams = list(_embedded(data))
    manifest = next((m for s in streams if (m := _manifest(s)) is not None), None)
    if manifest is None:
        raise ValueError("it carries no spec as specc attaches one, or another program has saved it anew")
    by_sum = {hashlib.sha256(s).hexdigest(): s for s in streams}
    names = [str(f["name"]) for f in manifest["files"]]
    deep = max((PurePosixPath(n).parts.count("..") for n in names), default=0)
    top = Path(folder).resolve()
    base = top.joinpath(*["in"] * deep)
    for file in manifest["files"]:
        name, content = str(file["name"]), by_sum.get(str(file["sha256"]))
        if content is None:
            raise ValueError(f"{name} in it is not the file that its manifest names")
        path = (base / name).resolve()
        if top not in path.parents:
            raise ValueError(f"{name} in it would be written outside its folder")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    if deep:
        (top / ROOT_MARKER).write_bytes(b"")
    spec = str(manifest.get("spec") or (names[0] if names else ""))
    return Unpacked(str(base / spec), str(manifest.get("revision", "")), str(manifest.get("issued", "")))


_STREAM = re.compile(rb"/Type /EmbeddedFile\s*>>\s*stream\r?\n")


def _embedded(data: bytes) -> Iterator[bytes]:
    for found in _STREAM.finditer(data):
        # A stream ends by itself; what follows it is no part of it.
        inflate = zlib.decompressobj()
        try:
            made = inflate.decompress(data[found.end() :], _LARGEST)
        except zlib.error:
            continue
        if not inflate.unconsumed_tail:
            yield made


def _manifest(stream: bytes) -> dict[str, Any] | None:
    try:
        read = json.loads(stream)
    except ValueError:
        return None
    fits = isinstance(read, dict) and "specc" in read and isinstance(read.get("files"), list)
    whole = fits and all(isinstance(f, dict) and {"name", "sha256"} <= set(f) for f in read["files"])
    return read if whole else None


# What one widespread system takes for a device, whatever follows the dot (from memory).
_A_DEVICE = re.compile(r"(CON|PRN|AUX|NUL|COM\d|LPT\d) *(\.|$)", re.IGNORECASE)


def attached_names(names: Iterable[str]) -> dict[str, str]:
    """Each input's name -> one that a program can save on any system: plain, and no option or device.

    >>> attached_names(["parts/fuel.yaml", "../crew.yaml"])
    {'parts/fuel.yaml': 'parts__fuel.yaml', '../crew.yaml': 'up__crew.yaml'}
    """
    made: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        steps = ("up" if step == ".." else step for step in name.split("/"))
        plain = re.sub(r"[^\w.+ ()-]", "_", "__".join(steps), flags=re.ASCII)[-_LONGEST:].lstrip(". -").rstrip(". ")
        plain = f"_{plain}" if _A_DEVICE.match(plain) else plain or "input"
        free, n = plain, 1
        while free.lower() in taken:  # some systems keep no two names that differ in case alone
            n += 1
            free = f"{n}_{plain}"
        taken.add(free.lower())
        made[name] = free
    return made


def attach(canvas: Any, result: Result) -> None:
    """Put the inputs and the manifest into the catalog's name tree, which wants its names sorted."""
    from reportlab.pdfbase import pdfdoc

    document = canvas._doc
    names: list[Any] = []
    attached = attached_names(f.name for f in result.files)
    inputs = {attached[f.name]: f.data for f in result.files}
    own = "manifest.json"
    while own in inputs:  # an input may have that name: it keeps it
        own = "specc-" + own
    for name, data in sorted({**inputs, own: manifest(result)}.items()):
        stream = pdfdoc.PDFStream(content=data, filters=[pdfdoc.PDFZCompress])
        stream.dictionary["Type"] = pdfdoc.PDFName("EmbeddedFile")
        stream.dictionary["Params"] = pdfdoc.PDFDictionary({"Size": len(data)})
        reference = document.Reference(stream)
        spec = pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("Filespec"),
                "F": pdfdoc.PDFString(name),
                "UF": pdfdoc.PDFString(name),
                "EF": pdfdoc.PDFDictionary({"F": reference, "UF": reference}),
            }
        )
        names += [pdfdoc.PDFString(name), document.Reference(spec)]
    files = pdfdoc.PDFDictionary({"Names": pdfdoc.PDFArray(names)})
    document.Catalog.Names = pdfdoc.PDFDictionary({"EmbeddedFiles": document.Reference(files)})
