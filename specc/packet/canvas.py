"""The PDF document itself: its own records, and nothing of the clock or the environment in it."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from specc.model.result import Result
from specc.packet.fonts import load_reportlab
from specc.packet.style import Paper


def opened(buffer: io.BytesIO, result: Result, paper: Paper, title: str, subject: str, first_font: Any = None) -> Any:
    """A canvas of reportlab with the document's records set. `first_font`: else reportlab's own."""
    load_reportlab()
    from reportlab.pdfgen.canvas import Canvas

    more = {} if first_font is None else {"initialFontName": first_font}
    with _no_date_from_outside():
        canvas = Canvas(buffer, (paper.width, paper.height), pageCompression=1, invariant=1, lang="en-US", **more)
    canvas.setTitle(_plain(title))
    canvas.setSubject(subject)
    canvas.setAuthor("specc")
    canvas.setCreator(f"specc {result.specc_version}")
    canvas.setKeywords(_plain(f"digest {result.digest}"))
    canvas.setViewerPreference("DisplayDocTitle", "true")
    return canvas


@contextmanager
def bare_streams() -> Iterator[None]:
    """Streams without text armor are smaller and faster; the setting is reportlab's own, and a global one."""
    load_reportlab()
    from reportlab import rl_config

    before, rl_config.useA85 = rl_config.useA85, 0
    try:
        yield
    finally:
        rl_config.useA85 = before


@contextmanager
def _no_date_from_outside() -> Iterator[None]:
    """Same inputs give the same bytes: reportlab takes its date from this variable even where it is told not to."""
    date = os.environ.pop("SOURCE_DATE_EPOCH", None)  # noqa: TID251
    try:
        yield
    finally:
        if date is not None:
            os.environ["SOURCE_DATE_EPOCH"] = date  # noqa: TID251


def _plain(text: str) -> str:
    """Text for the document's own records, which cannot hold half of a letter."""
    return text.encode("utf-8", "replace").decode("utf-8")
