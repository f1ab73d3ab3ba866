"""Plumbing's short forms: parts as text, parts in a run, classes, stamps, joints by part."""

from __future__ import annotations

from specc.spec.short_forms import Said, Tree, alike
from specc.spec.short_forms.tree import copied
from specc_plumbing.short_forms import classes, joined, runs, text, typical


def write_out(whole: Tree, said: list[Said]) -> None:
    """Rewrite `plumbing:` into its long form, in place.

    A part's own keys go before its text, that before what it is like, then the classes of its run, those of the
    project, what is stamped on it, and of a cylinder its usual shape.
    """
    plumbing = whole.map("plumbing")
    if not plumbing.data:
        return
    if plumbing.has("runs") and not plumbing.has("parts"):
        plumbing.put("parts", {}, runs.no_parts(plumbing))
    parts = plumbing.map("parts")
    stock = plumbing.map("stock")
    plumbing.drop("stock")
    counted: set[str] = set()
    of_run = runs.write_out(plumbing, parts, stock, counted, said)
    _referred(whole, counted, said)
    for tag, part in stock.children():
        text.write_out(stock, tag, part, said)
    _from_stock(parts, stock)
    for tag, part in parts.children():
        text.write_out(parts, tag, part, said)
    alike.resolve(parts, said, leave=True)  # it may name an entry of the project's catalog
    classes.apply(plumbing, parts, of_run, said)
    for _, part in parts.children():
        if part.is_map:
            typical.fill_in(part)
    joined.write_out(plumbing, counted, said)


# Roots that refer to parts by tag, and keys of free words in them.
_REFER = ("effects", "waivers", "places", "things", "structure", "control", "operators", "show", "extinguishers")
_WORDS = frozenset({"note", "title", "reason", "who", "says", "words"})


def _referred(whole: Tree, counted: set[str], said: list[Said]) -> None:
    """Say where something refers to a part by a counted name."""
    if not counted:
        return
    plumbing = whole.map("plumbing")
    due = [whole.child(root) for root in _REFER if whole.has(root)] + [plumbing.map("joints"), plumbing.map("parts")]
    while due:
        here = due.pop()
        due += [below for key, below in here.children() if key not in _WORDS] + here.items()
        if isinstance(here.data, str) and here.data in counted:
            said.append(runs.moves(here))


def _from_stock(parts: Tree, stock: Tree) -> None:
    """Fill in the parts that a run takes out of the stock: by their own tag, or `tag: NAME OF THE STOCK`.

    What stands in the stock under the part's own tag is that very part, with its dates and tare; under another tag it
    is what the part is like.
    """
    for tag, part in parts.children():
        name = part.data if isinstance(part.data, str) else part.data.get("like") if part.is_map else None
        if not isinstance(name, str) or name not in stock.data or (part.is_map and name in parts.data):
            continue
        taken = stock.child(name)
        if not taken.is_map:
            continue
        if name == tag:
            value, spot = copied(taken.data, taken.spot)
            parts.put(tag, value, spot)
            continue
        if part.is_map:
            made = part
            made.drop("like")
        else:
            made = Tree({}, type(part.spot)(part.spot.value, part.spot.key, {}))
            parts.put(tag, made.data, made.spot)
        alike.take_over(made, taken, name)
