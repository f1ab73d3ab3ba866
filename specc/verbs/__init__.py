"""The verbs of the command line, one module each."""

from __future__ import annotations

# Verb to its module in this package; a name that Python or the library uses gets a suffix.
VERBS = {
    "start": "start",
    "check": "check",
    "compile": "compile_",
    "cards": "cards",
    "compare": "compare",
    "figures": "figures",
    "show": "show",
    "trace": "trace",
    "table": "table",
    "drawing": "drawing",
    "rules": "rules",
    "explain": "explain",
    "limits": "limits",
    "sources": "sources",
    "schema": "schema",
    "plugins": "plugins",
    "calc": "calc",
    "completion": "completion",
}
