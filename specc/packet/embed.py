"""The inputs inside the PDF, as attachments, with a manifest of their sums."""

from __future__ import annotations

import json
from typing import Any

from specc.model.result import Result


def manifest(result: Result) -> bytes:
    """JSON: digest, versions, and each input's name, sha256 and size in bytes."""
    data = {
        "specc": result.specc_version,
        "digest": result.digest,
        "plugins": [{"name": p.name, "version": p.version, "origin": p.origin} for p in result.plugins],
        "files": [{"name": f.name, "sha256": f.sha256, "size": len(f.data)} for f in result.files],
    }
    return (json.dumps(data, indent=2, sort_keys=True, ensure_ascii=True) + "\n").encode()


def attach(canvas: Any, result: Result) -> None:
    """Put the inputs and the manifest into the catalog's name tree, which wants its names sorted."""
    from reportlab.pdfbase import pdfdoc

    document = canvas._doc
    names: list[Any] = []
    inputs = {f.name: f.data for f in result.files}
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
