"""The names of specc's own verbs. No plugin takes one of them, and the command line loads the module of one alone."""

from __future__ import annotations

# Verb to its module in specc.verbs; a name that Python or the library uses gets a suffix.
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

# Verbs of the built-in plugins with their help, for a list of verbs that loads no plugin. A test holds it to theirs.
OF_BUILT_IN = {"parts": "what the catalog has by some words, or what joins two ends"}
