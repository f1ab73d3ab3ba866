"""What is wrong with a short form."""

from __future__ import annotations

from typing import NamedTuple

from specc.model.findings import Place


class Said(NamedTuple):
    """A short form that cannot be written out: the words, the fix, and where it stands."""

    message: str
    fix: str
    place: Place
    rule: str = "spec.short_form"
