"""The packet: a Result as a PDF. The only place that knows reportlab, which is imported when it is used."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from specc.model.result import Result
from specc.packet.desk import NoSuchPart

__all__ = ["NoSuchPart", "render"]


def render(
    result: Result,
    paper: Literal["letter", "a4"] = "letter",
    public: bool = False,
    full: bool = False,
    only: Sequence[str] = (),
    larger: Literal["", "tabloid"] = "",
) -> bytes:
    """The packet as PDF bytes. The same Result gives the same bytes.

    `paper` is "letter" or "a4"; any other is a ValueError. `public` only marks the copy as such: what is
    private has been withheld before the Result was made. `full` spells out every figure's derivation. `only`: the
    pages that show these parts, numbered as in the whole packet; a part that it lacks raises NoSuchPart. `larger`: the
    sheet of the whole system.
    """
    from specc.packet.assemble import print_packet
    from specc.packet.style import PAPERS

    if paper not in PAPERS:
        raise ValueError(f"no paper {paper!r}; there is {', '.join(PAPERS)}")
    return print_packet(result, PAPERS[paper]._replace(larger=larger), public, full, only)
