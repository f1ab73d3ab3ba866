"""How text is printed: how wide, and whether in color. Files and pipes get neither."""

from __future__ import annotations

import os
import shutil
from typing import NamedTuple, TextIO

from specc.report.lines import safe

ROOM = 100  # columns where nobody says
_CODES = {"error": "31;1", "warning": "33;1", "note": "36", "strong": "1", "quiet": "2"}


class PrintLook(NamedTuple):
    """Columns for folded text, and whether words are colored."""

    room: int = ROOM
    color: bool = False

    def paint(self, text: str, how: str) -> str:
        """A piece of text as `how` ("error", "warning", "note", "strong", "quiet") looks; made safe."""
        return f"\x1b[{_CODES[how]}m{safe(text)}\x1b[0m" if self.color else safe(text)


PLAIN = PrintLook()


def look_of(stream: TextIO) -> PrintLook:
    """The look for a stream: of a terminal its width and, unless NO_COLOR is set or it is a dumb one, color."""
    if not stream.isatty():
        return PLAIN
    columns = shutil.get_terminal_size((ROOM, 24)).columns
    color = not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"  # noqa: TID251 (not a pass)
    return PrintLook(max(40, min(columns, 160)), color)
