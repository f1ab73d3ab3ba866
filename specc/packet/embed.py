"""The inputs inside the PDF, as attachments, with a manifest of their sums."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from typing import Any

from specc.model.result import Result

_LONGEST = 120  # characters of an attached name


def manifest(result: Result) -> bytes:
    """JSON: digest, versions, and each input's name, the name it is attached under, sha256 and size in bytes."""
    attached = attached_names(f.name for f in result.files)
    data = {
        "specc": result.specc_version,
        "digest": result.digest,
        "plugins": [{"name": p.name, "version": p.version, "origin": p.origin} for p in result.plugins],
        "files": [
            {"name": f.name, "attached": attached[f.name], "sha256": f.sha256, "size": len(f.data)}
            for f in result.files
        ],
    }
    return (json.dumps(data, indent=2, sort_keys=True, ensure_ascii=True) + "\n").encode()


def attached_names(names: Iterable[str]) -> dict[str, str]:
    """Each input's name -> one that a program can save on any system: no folders, no leading dot, no odd characters.

    >>> attached_names(["parts/fuel.yaml", "../crew.yaml"])
    {'parts/fuel.yaml': 'parts__fuel.yaml', '../crew.yaml': 'up__crew.yaml'}
    """
    made: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        steps = ("up" if step == ".." else step for step in name.split("/"))
        plain = re.sub(r"[^\w.+ ()-]", "_", "__".join(steps), flags=re.ASCII).lstrip(".")[-_LONGEST:] or "input"
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
