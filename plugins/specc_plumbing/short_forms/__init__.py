"""Plumbing's short forms: parts as text, parts in a run, classes, stamps, joints by part."""

from __future__ import annotations

from specc.spec.short_forms import Said, Tree, alike
from specc_plumbing.short_forms import classes, joined, runs, text


def write_out(whole: Tree, said: list[Said]) -> None:
    """Rewrite `plumbing:` into its long form, in place.

    A part's own keys go before its text, that before what it is like, then the classes of its run, those of the
    project, and what is stamped on it.
    """
    plumbing = whole.map("plumbing")
    if not plumbing.data:
        return
    if plumbing.has("runs") and not plumbing.has("parts"):
        plumbing.put("parts", {}, runs.no_parts(plumbing))
    parts = plumbing.map("parts")
    of_run = runs.write_out(plumbing, parts, said)
    for tag, part in parts.children():
        text.write_out(parts, tag, part, said)
    alike.resolve(parts, said, leave=True)  # it may name an entry of the project's catalog
    classes.apply(plumbing, parts, of_run, said)
    joined.write_out(plumbing, said)
