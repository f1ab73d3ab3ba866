"""The spec with its short forms written out, each plugin's shut off from the failures of the others.

A third party's short forms rewrite what is its own: what they change, put or take out elsewhere is found, so that no
plugin can quietly judge another spec than the one that was written.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from specc.engine.guard import calling, crash
from specc.engine.plugin import Host, Plugin, PluginTrouble
from specc.engine.plugin import said as said_of
from specc.model.findings import Finding, Place
from specc.model.view import join
from specc.spec import fields, schema
from specc.spec.short_forms import Rewrite, Said, Tree, write_out
from specc.spec.source import Source
from specc.spec.source.places import SpecSpot, steps_of


def long_form(source: Source, host: Host) -> tuple[Source, list[Finding], list[PluginTrouble]]:
    """The source with its short forms written out, what could not be, and the plugins that failed at it."""
    troubles: list[PluginTrouble] = []

    def guarded(of: Plugin, rewrite: Rewrite) -> Rewrite:
        plugin = of.name

        def run_it(whole: Tree, said: list[Said]) -> None:
            before = list(_standing(whole.spot)) if of.third_party else []
            values = dict(_others_values(of, whole.data, whole.spot)) if of.third_party else {}
            told = len(said)
            try:
                with calling(f"a short form of the plugin {plugin}"):
                    rewrite(whole, said)
                if before and len(said) == told:
                    said += _dropped(plugin, before, whole.spot)
                if of.third_party:
                    said += _changed(of, values, whole, _known_keys(host))
            except KeyboardInterrupt:
                raise
            except BaseException as e:  # a plugin may fail in any way, also by leaving
                message = f"the short forms of the plugin {plugin!r} failed: {said_of(e)}{crash(e)}"
                troubles.append(PluginTrouble(plugin, "plugin.short_forms", message))

        return run_it

    # Asked before rewriting: the pointers of what is private are those of the short form.
    overlay = {source.places.of(at).file for at in source.private}
    rewrites = [guarded(p, r) for p in host.plugins for r in p.short_forms]
    spot = source.places.root
    faults = write_out(Tree(source.data, spot), rewrites)
    why = "it is left out, so rules that need it were not checked"
    found = [Finding(f.rule, "error", f.message, f.place, "", f.fix, why, "core") for f in faults]
    private = source.private | frozenset(_standing_in(spot, overlay)) if overlay else source.private
    return source._replace(private=private), found, troubles


def _standing(spot: SpecSpot, at: str = "") -> Iterable[tuple[SpecSpot, str]]:
    """The spots of all values that hold no others, with their pointers."""
    below = spot.inside.items() if isinstance(spot.inside, dict) else enumerate(spot.inside or ())
    if not spot.inside:
        yield spot, at
    for key, inside in below:
        yield from _standing(inside, join(at, key))


def _dropped(plugin: str, before: Iterable[tuple[SpecSpot, str]], spot: SpecSpot) -> list[Said]:
    """What a plugin's short form took out of a spec, with nothing put there that stands at its place."""
    left = {place for one, _ in _standing(spot) for place in (one.value, one.key)}
    fix = "in the plugin, put what it stands for: a map() of an absent key hangs nowhere until its parent's put()"
    said = "the short forms of the plugin {!r} leave out {}, and put nothing in its place"
    return [
        Said(said.format(plugin, at), fix, one.value, "plugin.short_forms")
        for one, at in before
        if one.value not in left and (one.key is None or one.key not in left)
    ]


def _spot_in(spot: SpecSpot, key: str | int) -> SpecSpot:
    """The spot of what stands in another; the other's, where it was put there without a place."""
    if isinstance(spot.inside, dict) and isinstance(key, str):
        return spot.inside.get(key, spot)
    if isinstance(spot.inside, list) and isinstance(key, int) and key < len(spot.inside):
        return spot.inside[key]
    return spot


def _others_values(plugin: Plugin, data: Any, spot: SpecSpot, at: str = "") -> Iterator[tuple[str, tuple[Any, Place]]]:
    """The values that hold no others and are not a plugin's own, by pointer: what its short forms leave alone."""
    own = at.count("/") == 1 and at[1:] in plugin.schema
    if own or at.endswith(f"/{fields.KEY}/{plugin.name}"):
        return
    below = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    if not below:
        yield at, (data, spot.key or spot.value)
    for key, one in below:
        yield from _others_values(plugin, one, _spot_in(spot, key), join(at, key))


def _changed(
    plugin: Plugin, before: Mapping[str, tuple[Any, Place]], tree: Tree, known: Mapping[str, frozenset[str]]
) -> list[Said]:
    """What a plugin's short form put, made into something else, or took out, outside of what is its own.

    A key that nobody knows it may take out: that is how a short form of its own can be written at a part or a person.
    """
    done = []
    after = dict(_others_values(plugin, tree.data, tree.spot))
    for at, (value, place) in after.items():
        was = before.get(at)
        if was is None:
            done.append((f"put {value!r} at {at}", place))
        elif type(was[0]) is not type(value) or was[0] != value:
            done.append((f"change {at} from {was[0]!r} to {value!r}", was[1]))
    for at, (_, place) in before.items():
        steps = steps_of(at)
        if at not in after and all(step in known.get(steps[0], ()) for step in steps[-1:]):
            done.append((f"take {at} out", place))
    said = "the short forms of the plugin {!r} {}, which is not their own"
    fix = "rewrite what stands under the plugin's own roots, and its own fields under x:"
    return [Said(said.format(plugin.name, does), fix, place, "plugin.short_forms") for does, place in done]


def _known_keys(host: Host) -> dict[str, frozenset[str]]:
    """By root of the spec, all keys that its schema knows."""
    roots = [*schema.core()["properties"].items(), *(item for p in host.plugins for item in p.schema.items())]
    return {root: schema.keys_of(part) for root, part in roots}


def _standing_in(spot: SpecSpot, files: set[str], at: str = "") -> Iterable[str]:
    """The pointers of all values that stand in some files."""
    if spot.value.file in files:
        yield at
    below = spot.inside.items() if isinstance(spot.inside, dict) else enumerate(spot.inside or ())
    for key, inside in below:
        yield from _standing_in(inside, files, join(at, key))


__all__ = ["long_form"]
