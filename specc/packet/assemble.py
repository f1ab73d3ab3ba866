"""The packet's order, and the printing of its pages."""

from __future__ import annotations

import io
from collections.abc import Sequence

from specc.kinds.packet import CAUTIONS, MODEL_LIMITS
from specc.model.blocks import PART_TITLES, DrawingBlock, Para, TableBlock
from specc.model.findings import Place
from specc.model.result import Result, SectionMade
from specc.packet import back, body, changes, embed, refused, rules_page, signing, summary
from specc.packet.canvas import bare_streams, opened
from specc.packet.contents import contents
from specc.packet.desk import Desk, NoSuchPart, clip, failures, short_digest
from specc.packet.layout import Page, PageItem, inside, paginate, tall
from specc.packet.press import Press
from specc.packet.questions import to_decide
from specc.packet.still_open import with_open_lines
from specc.packet.style import DRAFT_TINT, FINE_STRONG, QUIET, TEXT, Paper
from specc.packet.tables import Grid
from specc.packet.text import Paragraph, wide

FINDINGS_LEAD = "The worst first, each with its line and column. A waiver says who accepted what, until when."
OTHERS = "From other plugins"


_READ_AT_ONCE = ("faults",)  # parts that a reader has to see whole
BUILDER = "builder"  # what only the builder needs: in a full packet, or asked for by this name
FEWEST = 6  # rows of such a part that are told one by one


def items(desk: Desk, paper: Paper) -> list[PageItem]:
    """All of the packet in its order: the front, which a marshal reads, then the appendix. A draft has its findings
    behind the summary."""
    result = desk.result
    draft = bool(failures(result))
    front = _front(desk)
    behind = ("appendix", *((BUILDER,) if desk.full or desk.apart else ()))
    rest = sorted((s for s in result.sections if s.part in behind and s.blocks), key=lambda s: (s.order, s.id))
    own = [s for s in rest if desk.is_built_in(s.plugin)]
    others = [s for s in rest if not desk.is_built_in(s.plugin)]
    if not desk.full:
        desk.look_into([*rest, *(s for some in front.values() for s in some)])
    back_parts = ["rules", *([] if draft else ["findings"]), *(s.id for s in (*own, *others))]
    back_parts += ["limits", "models", "references", "about"]
    # The builder's sheet, asked for by its name, stands on pages of its own behind all else.
    sheet = [s.id for s in (*own, *others) if s.part == BUILDER] if desk.apart else []
    back_parts = [*(p for p in back_parts if p not in sheet), *sheet]
    order = ["summary", *(["findings"] if draft else []), *front, *back_parts]
    # Numbers first: the summary points to what comes after it.
    for number, part in enumerate(order, 1):
        desk.sections[part] = str(number)
    sections = {s.id: s for s in (*own, *others)}
    made: list[PageItem] = []
    if draft:
        made += _back("findings", desk, paper)
        made[0].new_page = True
    for n, part in enumerate(front):
        some = _front_part(part, front[part], desk, paper)
        if part in _READ_AT_ONCE and not desk.full:
            some = on_one_page(some, paper)
        # A part begins where a fifth of a page is left for it; one that is read at once where it ends on the same page,
        # if that leaves no hole before it; and it lies as its drawing does.
        total = tall(some, paper)
        some[0].need = min(total, paper.room * 0.22)
        some[0].rather = total if part in _READ_AT_ONCE and total <= paper.room else 0.0
        if any(i.lying for i in some):
            for item in some:
                item.lying, item.need, item.rather = True, 0.0, 0.0
        some[0].new_page = n == 0
        made += some
    after: list[PageItem] = []
    for part in back_parts:
        some = list(body.section(sections[part], desk, paper) if part in sections else _back(part, desk, paper))
        some[0].new_page = some[0].new_page or part in sheet[:1]
        after += some
    desk.contents.insert(0, ("1", "Summary", "summary", 0))
    page_one = summary.page(desk, paper)
    return [page_one, *made, *contents(desk.contents, desk.answers, paper.room), *after]


def on_one_page(items: Sequence[PageItem], paper: Paper) -> list[PageItem]:
    """A part that is read at once, with as many rows of its table told in one as that takes."""
    for at, item in enumerate(items):
        if not isinstance(item, Grid) or not item.folds[1]:
            continue
        most = len(item.folds[1]) - FEWEST
        made = list(items)
        number = 0
        while tall(made, paper) > paper.room and number < most:
            number += 1 if number else 2  # one row in place of one saves nothing
            made[at] = item.folded(min(number, most))
        return made
    return list(items)


def _front(desk: Desk) -> dict[str, list[SectionMade]]:
    """The parts of the front that have something, each with its sections. What a third party's plugin adds stands
    behind all others, so that nothing is pushed off by it."""
    titles = [p for p in PART_TITLES if p != "summary"]
    parts: dict[str, list[SectionMade]] = {p: [] for p in titles}
    parts["others"] = []
    # Page one takes no sections: one that asks for it stands with the others.
    for s in sorted(desk.result.sections, key=lambda s: (s.order, s.id)):
        if s.part in PART_TITLES and s.blocks:
            parts[s.part if desk.is_built_in(s.plugin) and s.part in titles else "others"].append(s)
    kept = {p: some for p, some in parts.items() if some or p in ("changes", "shutdown")}
    if "others" not in kept:
        return kept
    return {**{p: s for p, s in kept.items() if p != "others"}, "others": kept["others"]}


def _front_part(part: str, sections: list[SectionMade], desk: Desk, paper: Paper) -> list[PageItem]:
    number = desk.sections[part]
    title = PART_TITLES.get(part, OTHERS)
    made: list[PageItem] = [body.heading(desk, number, title, f"part-{part}", paper)]
    if len(sections) == 1 and all(isinstance(b, Para) for b in sections[0].blocks) and part != "changes":
        made[0] = body.small(made[0])  # little to say
    for s in sections:
        # A section that opens with a drawing or a table has its title in the caption.
        captioned = isinstance(s.blocks[0], TableBlock | DrawingBlock) and desk.is_built_in(s.plugin)
        if (len(sections) > 1 and not captioned) or part == "others":
            name = s.title if desk.is_built_in(s.plugin) else f"{s.title} (plugin {s.plugin})"
            made.append(body.subheading(desk, "", name, f"section-{s.id}"))
        desk.answers += [(answer, s.title, made[0].anchor) for answer in s.answers]
        made[-1].changed = f"section {s.id}" in desk.moved
        blocks = refused.left(part, s.blocks, desk)
        blocks = with_open_lines(part, blocks, desk) if desk.is_built_in(s.plugin) else blocks
        made += body.blocks(blocks, s.id, number, desk, paper, part)
    if part == "changes":
        made += _changes_and_sign_off(desk)
    return made


def _changes_and_sign_off(desk: Desk) -> list[PageItem]:
    made: list[PageItem] = []
    if desk.result.since is not None:
        head = body.subheading(desk, "", f"Changed since {desk.result.since.name}", "own-changed")
        made += [head, *changes.since(desk.result.since, desk)]
    stated = next((f.value for _, f in summary.facts_of(desk) if f.slot == "changed"), "")
    if stated:
        made.append(Paragraph(f"Changed, as the makers state it: {stated}", before=4))
    asks = to_decide(desk)
    if asks:
        head = body.subheading(desk, "", "Questions that need you", "own-questions")
        made += [head, *signing.questions(asks)]
    if failures(desk.result):
        made.append(Paragraph("A draft is not signed: the lines for it are printed once no error is left.", before=10))
        return made
    return [*made, *signing.sign_off(desk)]


def _back(part: str, desk: Desk, paper: Paper) -> list[PageItem]:
    """One of the parts of the appendix that every packet has."""
    result = desk.result

    def head(title: str) -> PageItem:
        return body.heading(desk, desk.sections[part], title, f"own-{part}", paper)

    if part == "rules":
        return [head("Rules and their outcomes"), *rules_page.rules(desk)]
    if part == "findings" and not result.findings and not result.waivers:
        said = f"{back.found_nothing(result)} Nothing is waived." if result.rules else "No rules were run."
        return [body.small(head("Findings and waivers")), Paragraph(said, TEXT, before=2)]
    if part == "findings":
        made = [head("Findings and waivers"), back.lead(FINDINGS_LEAD), *back.findings(desk)]
        made.append(body.subheading(desk, "", "Waivers", "waivers"))
        return [*made, *back.waivers(result.waivers)]
    if part == "limits":
        left = [f.key for f in result.figures if f.key not in desk.shown]
        made = [head("Other figures, and limits used"), *body.figures_beside(left, desk)]
        return [*made, *rules_page.limits(desk)] if left or result.limits else [*made, back.lead("There are none.")]
    if part == "models":
        made = [head("Cautions, and limits of the models"), *back.cautions(desk), *body.lost(desk, CAUTIONS.name)]
        head_of_limits = back.lead("What the models leave out")
        head_of_limits.keep = True
        made += [head_of_limits, *back.model_limits(desk)]
        return [*made, *body.lost(desk, MODEL_LIMITS.name)]
    if part == "references":
        return [head("References"), *back.references(desk)]
    return [head("About this packet"), *back.about(desk)]


# -- printing


def _anchors(pages: Sequence[Page]) -> dict[str, int]:
    found: dict[str, int] = {}
    for number, page in enumerate(pages, 1):
        for placed in page.placed:
            for item in inside(placed.item):
                for anchor in (item.anchor, *getattr(item, "anchors", ())):
                    if anchor:
                        found.setdefault(anchor, number)
    return found


def _fitted(text: str, width: float) -> str:
    """The text cut to fit a line of the running head."""
    while text and wide(text, FINE_STRONG) > width:
        text = clip(text, max(len(text) - 4, 1)) if len(text) > 8 else ""
    return text


def _sections(names: Sequence[str], room: float) -> str:
    """The sections of a page, all of them, or the first and the last: a name that ends in the middle tells nothing."""
    first_and_last = f"{names[0]} to {names[-1]}" if len(names) > 1 else ""
    ends = [n.split()[0] for n in (names[0], names[-1])] if len(names) > 1 else []
    numbers = f"sections {ends[0]} to {ends[1]}" if all(n.isdigit() for n in ends) and ends else ""
    for said in (", ".join(names), first_and_last, numbers):
        if said and wide(said, QUIET) <= room:
            return said
    return _fitted(names[0], room) if names else ""


def _frame(press: Press, desk: Desk, page: Page, number: int, total: int) -> None:
    """Running head and footer."""
    paper, result = press.paper, desk.result
    left, right = paper.left, paper.width - paper.right
    y = paper.height - paper.top - 8
    revision = f"revision {clip(result.revision, 24)}" if result.revision else "no revision stated"
    revision += f", issued {clip(result.issued, 12)}" if result.issued else ""
    used = press.text(left, y, _fitted(clip(result.title, 120), paper.measure * 0.45), FINE_STRONG)
    press.text(left + used + 10, y, revision, QUIET)
    room = paper.measure - used - 10 - wide(revision, QUIET) - 20
    press.text(right, y, _sections(page.sections, room), QUIET, "right")
    press.line(left, y - 7, right, y - 7)
    y = paper.bottom + 10
    press.line(left, y + 11, right, y + 11)
    press.text(left, y, back.DEFERRAL, QUIET)
    press.text(right, y, f"page {number} of {total}", QUIET, "right")
    press.text(left, y - 10, f"digest {short_digest(result.digest)}, {_version(result)}", QUIET)
    event = dict(result.event).get("event", "")
    whose = "public copy" if desk.public else clip(event, 60)
    if len(press.printed) < total:
        whose = f"part of a packet of {total} pages; {whose}"
    press.text(right, y - 10, _fitted(whose, paper.measure * 0.4), QUIET, "right")


def _version(result: Result) -> str:
    """The state of version control, in short."""
    if result.git is None:
        return "not under version control"
    return f"git {result.git.revision[:8]}, {'files differ' if result.git.differs else 'clean'}"


def _draft(press: Press) -> None:
    """The word across the page, so pale that all can be read over it."""
    c, paper = press.canvas, press.paper
    c.saveState()
    c.translate(paper.width / 2, paper.height / 2)
    c.rotate(52)
    style = FINE_STRONG._replace(size=170.0, color=DRAFT_TINT)
    press.text(0, -58, "DRAFT", style, "middle")
    c.restoreState()


def _named_from_the_folder(result: Result) -> Result:
    """The result with its files named from the spec's folder: a packet must not depend on where one stands."""
    folder = result.spec_folder + "/"

    def near(place: Place) -> Place:
        name = place.file.replace("\\", "/")
        name = name.removeprefix(folder) if name.startswith(folder) else name.rsplit("/", 1)[-1]
        return place._replace(file=name)

    return result._replace(
        findings=tuple(f._replace(place=near(f.place)) for f in result.findings),
        waivers=tuple(w._replace(place=near(w.place)) for w in result.waivers),
        places=tuple((at, near(place)) for at, place in result.places),
        excerpts=tuple((near(place), line) for place, line in result.excerpts),
    )


def _those_of(parts: Sequence[str], desk: Desk, pages: Sequence[Page]) -> frozenset[int]:
    """The numbers of the pages that show some parts. Raises NoSuchPart for one that this packet does not have."""
    sheet = [s.id for s in desk.result.sections if s.part == BUILDER and s.blocks]
    known = [*desk.sections, *((BUILDER,) if sheet else ())]
    unknown = [p for p in parts if p not in known]
    if unknown:
        raise NoSuchPart(f"the packet has no part {unknown[0]!r}; it has: {', '.join(known)}")
    parts = [p for part in parts for p in (sheet if part == BUILDER else (part,))]
    numbers = {desk.sections[p] for p in parts}
    return frozenset(n for n, page in enumerate(pages, 1) if numbers & {s.split()[0] for s in page.sections})


def print_packet(result: Result, paper: Paper, public: bool, full: bool = False, only: Sequence[str] = ()) -> bytes:
    result = _named_from_the_folder(result)
    desk = Desk(result, public, full, apart=BUILDER in only)
    pages = paginate(items(desk, paper), paper)
    printed = _those_of(only, desk, pages) if only else frozenset(range(1, len(pages) + 1))
    buffer = io.BytesIO()
    with bare_streams():
        revision = f", revision {result.revision}" if result.revision else ""
        canvas = opened(buffer, result, paper, f"{result.title}, safety packet{revision}", summary.KIND)
        press = Press(canvas, paper, _anchors(pages), printed)
        draft = bool(failures(result))
        for number, page in enumerate(pages, 1):
            if number not in printed:
                continue
            press.paper = paper.lying if page.lying else paper
            canvas.setPageSize((press.paper.width, press.paper.height))
            if draft:
                _draft(press)
            _frame(press, desk, page, number, len(pages))
            for placed in page.placed:
                here = press.paper
                placed.item.show(press, here.left, here.first_line - placed.top, here.measure)
            canvas.showPage()
        canvas.showOutline()
        embed.attach(canvas, result)
        canvas.save()
    return buffer.getvalue()
