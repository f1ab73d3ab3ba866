"""What tables and rules of parts say alike: parts in flow order, cells for what is stated or not, how rules end."""

from __future__ import annotations

from specc import View
from specc.kinds.plumbing import Network, Part
from specc.model.view import Unreadable

NOT_STATED = "not stated"
REFUSED = "see findings"
# The few that a reader can take in; the rest are counted.
SHOWN = 3


def in_flow(net: Network) -> tuple[Part, ...]:
    """All parts: in the order of the runs, then what is in no run."""
    tags = dict.fromkeys(tag for run in net.runs for tag in (run.start, *run.line) if tag in net.by_tag)
    return (*(net.by_tag[tag] for tag in tags), *(p for p in net.parts if p.tag not in tags))


def said(spec: View, key: str, otherwise: str = NOT_STATED) -> str:
    """A measured value as written."""
    try:
        return spec.quantity(key).text if spec.has(key) else otherwise
    except Unreadable:
        return REFUSED


def written(spec: View, key: str, otherwise: str = NOT_STATED) -> str:
    """A text as written."""
    try:
        return spec.text_or(key, otherwise)
    except Unreadable:
        return REFUSED


def yes(spec: View, key: str) -> bool:
    """Whether something is said to be so; a refused value is not."""
    try:
        return spec.yes(key)
    except Unreadable:
        return False
