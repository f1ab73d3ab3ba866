"""Where parts meet: which end of one meets which end of the other, and how that joint is made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from specc import Context, value
from specc.kinds.plumbing import FITTED, JOINTS, NETWORK, End, Fitted, Joint, Network, Part
from specc.model.view import Unreadable, View, join
from specc_plumbing.ends import mates, methods
from specc_plumbing.fitted import unreadable

Link = tuple[str, str]


class _Ends:
    """The ends of all parts and which of them are taken, as the links are gone through in flow order."""

    def __init__(self, net: Network, fitted: Mapping[str, Fitted]) -> None:
        self.net = net
        self.fitted = fitted
        self.taken: dict[str, set[int]] = defaultdict(set)
        self.known: dict[tuple[End, End], bool] = {}

    def mate(self, a: End, b: End) -> bool:
        key = (a._replace(at=""), b._replace(at=""))
        if key not in self.known:
            self.known[key] = not unreadable(a) and not unreadable(b) and mates(*key) is not None
        return self.known[key]

    def free(self, tag: str, way: str) -> list[int]:
        """The ends of a part that a line may still leave by (`way` "out") or come in by ("in")."""
        fit = self.fitted[tag]
        count = len(fit.ends)
        numbers = range(count)
        if fit.ordered and count > 1:
            numbers = range(1, count) if way == "out" else range(1)
        return [i for i in numbers if i not in self.taken[tag]]

    def leads_on(self, tag: str, inlet: int) -> bool:
        """Whether, with this end as inlet, the part's other ends fit what comes next."""
        ends = self.fitted[tag].ends
        left = [i for i in self.free(tag, "out") if i != inlet]
        for to in self.net.after.get(tag, ()):
            wanted = [self.fitted[to].ends[i] for i in self.free(to, "in")]
            if wanted and not any(self.mate(ends[i], other) for i in left for other in wanted):
                return False
        return True

    def of(self, tag: str, method: str) -> tuple[End, ...]:
        """A part's ends. Plain tube that a joint says is flared has a flare there, and its nut."""
        ends, part = self.fitted[tag].ends, self.net.by_tag[tag]
        if method != "flared" or part.kind != "tube" or part.spec.has("ends"):
            return ends
        return tuple(
            End("flare", e.size, "female", nut=True) if (e.family, e.gender) == ("tube", "male") else e for e in ends
        )

    def meet(self, link: Link, method: str) -> tuple[End | None, End | None]:
        """The pair of ends that this link joins: one that mates and leads on, if there is one; else the next ones.
        `method` as the spec states it."""
        before, to = link
        outs, ins = self.free(before, "out"), self.free(to, "in")
        out_ends, in_ends = self.of(before, method), self.of(to, method)
        pairs = [(o, i) for o in outs for i in ins if self.mate(out_ends[o], in_ends[i])]
        best: tuple[int | None, int | None] = (outs[0] if outs else None, ins[0] if ins else None)
        if not outs and len(ins) > 1:  # nobody knows what comes before it
            best = (None, next((i for i in ins if self.leads_on(to, i)), ins[0]))
        if pairs:
            best = next((p for p in pairs if self.leads_on(to, p[1])), pairs[0])
        for tag, number in zip(link, best, strict=True):
            if number is not None:
                self.taken[tag].add(number)
        out, into = best
        return (out_ends[out] if out is not None else None, in_ends[into] if into is not None else None)


def _entries(plumbing: View) -> Mapping[frozenset[str], tuple[str, View]]:
    """The entries under joints: by the two tags they name. The first of two for one pair counts."""
    found: dict[frozenset[str], tuple[str, View]] = {}
    for tag, spec in plumbing.child("joints").children():
        try:
            found.setdefault(frozenset(spec.texts("between")), (tag, spec))
        except Unreadable:
            continue  # reported by the schema
    return found


def _method(spec: View) -> str:
    try:
        return spec.text_or("method")
    except Unreadable:
        return ""  # reported by the schema


def _within(number: int, part: Part, plumbing: View) -> Joint | None:
    """The joint within a part, such as a burner brazed from pieces."""
    try:
        spec = part.spec.child("joint")
        if not spec.has("method"):
            return None
    except Unreadable:
        return None  # reported by the schema
    method = _method(spec)
    return Joint(number, "", method, True, (part,), (), spec, spec.at, *_sealant(plumbing, spec, method))


def _sealant(plumbing: View, spec: View, method: str) -> tuple[str, str]:
    """What seals a joint, and where the spec says so."""
    for said, key in ((spec, "sealant"), (plumbing.child("seals"), method)):
        try:
            if key and said.has(key):
                return said.text(key), said.here(key)
        except Unreadable:
            continue  # reported by the schema
    return "", ""


def _steps(net: Network) -> Mapping[Link, str]:
    """Where in the spec each link stands: at the second part's place in its run."""
    at: dict[Link, str] = {}
    for run in net.runs:
        before = run.start
        for i, tag in enumerate(run.line):
            at.setdefault((before, tag), join(run.at, "line", i))
            before = tag
    return at


@value(JOINTS, needs=(NETWORK, FITTED), reads=("plumbing",))
def joints(ctx: Context) -> tuple[Joint, ...]:
    """All joints, numbered in the order of the runs; a joint within a part follows the one that leads to it."""
    net, fitted = ctx[NETWORK], ctx[FITTED]
    plumbing = ctx.spec("plumbing")
    entries, steps = _entries(plumbing), _steps(net)
    ends = _Ends(net, fitted)
    made: list[Joint] = []
    seen: set[str] = set()

    def add_within(tag: str) -> None:
        if tag not in seen:
            seen.add(tag)
            joint = _within(len(made) + 1, net.by_tag[tag], plumbing)
            if joint is not None:
                made.append(joint)

    for link in net.links:
        before, to = (net.by_tag[tag] for tag in link)
        add_within(before.tag)
        tag, spec = entries.get(frozenset(link), ("", View({}, steps.get(link, before.at))))
        method = _method(spec)
        met = ends.meet(link, method)
        stated = bool(method)
        method = method or _only_method(*met)
        seal = _sealant(plumbing, spec, method)
        made.append(Joint(len(made) + 1, tag, method, stated, (before, to), met, spec, spec.at, *seal))
        add_within(to.tag)
    for part in net.parts:
        add_within(part.tag)
    return tuple(made)


def _only_method(a: End | None, b: End | None) -> str:
    """The method that two ends leave no choice about. A tube in its socket may be brazed, soldered or welded: only
    the spec can say which."""
    if a is None or b is None or unreadable(a) or unreadable(b):
        return ""
    allowed = methods(a, b)
    return allowed[0] if len(allowed) == 1 else ""
