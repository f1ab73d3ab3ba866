"""The contract between specc and its plugins: six hooks, none with an argument, all on this page.

A plugin is a module (or package) that states the contract it was made for and implements some of these:

    from specc import hookimpl

    SPECC_CONTRACT = 2

    @hookimpl
    def specc_passes():
        return [my_rule]

Hooks are called once, each gives a list of things, and the order of plugins never matters: the order of
passes follows from what they need and provide. DEVELOPERS.md shows plugins that run.
"""

# mypy: disable-error-code="empty-body"

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import pluggy

if TYPE_CHECKING:
    from specc.formulas.calculators import Calculator
    from specc.model.passes import Limit, Pass
    from specc.model.values import Reference
    from specc.model.verb import Verb
    from specc.spec.short_forms import Rewrite

CONTRACT = 2
# Plugins made for these contracts run too, with a warning that says what to change.
OLDER = (1,)

hookspec = pluggy.HookspecMarker("specc")
hookimpl = pluggy.HookimplMarker("specc")


@hookspec
def specc_schema() -> Mapping[str, Mapping[str, object]]:
    """Roots of the spec that the plugin owns: root name to JSON Schema (draft 2020-12).

    Beside the standard keywords, these are understood; `specc schema` prints what they mean to an editor:
    `x-dimension` (a dimension from specc.dims; the value is written with its unit), `x-written` ("date",
    "time" or "month"), `x-above` and `x-most` (bounds of a measured value, in SI), `x-signed` (it may be
    below zero), `x-example` (how such a value reads), `x-choose` ({"by": key, "from": {value: schema}}: more
    keys, by what one key says), `x-private` (true: belongs in the private file), `x-renamed` ({old key: [new
    key, since]}), `x-renamed-values` ({old value: [new value, since]}), `x-says` (what a pattern asks, in words),
    `x-told` (true: a text that a reader acts on, so that a dash, none or unknown is refused),
    `x-short` (what may be typed beside the long form: see specc.spec.editors), `x-refers` ("part", "person", "part
    or place": the tag of one that has to be there; of a mapping each key).
    A `$ref` to "common/NAME" is filled in from schemas/common. Inside anyOf, if and their like only the standard
    keywords and `x-written` can stand. A root belongs to one plugin only. Fields at what has a tag, in any root, stand
    under its place with `.x` behind it, such as "plumbing.parts.x"; a spec has them as `x: {plugin: {...}}`.
    """


@hookspec
def specc_references() -> Sequence[Reference]:
    """The published sources that the plugin's citations name by id. Two plugins may give the same one,
    if they say the same of it."""


@hookspec
def specc_passes() -> Sequence[Pass | Limit]:
    """The plugin's passes (values, figures, rules, tables, drawings, sections) and its limits.

    Made with the decorators in specc.model.passes. A rule's id starts with a name of the plugin's own and a dot.
    """


@hookspec
def specc_calculators() -> Sequence[Calculator[..., Any]]:
    """Calculators for `specc calc`. Names are lower case with hyphens and belong to one plugin only."""


@hookspec
def specc_verbs() -> Sequence[Verb]:
    """Verbs of the trade for the command line: name, help, arguments, and a function that gives a Table
    or an Answer. The core prints it and sets the exit code."""


@hookspec
def specc_short_forms() -> Sequence[Rewrite]:
    """Functions that rewrite short forms of the plugin's own roots into the long form, before the schema judges.

    Each is called with the whole spec as a `Tree` (specc.spec.short_forms), which it changes in place, and with a list
    to which it adds what is wrong (`Said`). It changes its own roots only, and leaves a long form as it is.
    """
