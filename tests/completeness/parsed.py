"""Python sources as trees, each parsed once for all tests that look through them: parsing all takes two seconds."""

from __future__ import annotations

import ast
from functools import cache


@cache
def parsed(source: str) -> ast.Module:
    """Only to be looked at."""
    return ast.parse(source)
