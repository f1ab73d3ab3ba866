"""The packet's order, and the printing of its pages."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import get_args

from specc.kinds.packet import CAUTIONS, MODEL_LIMITS
from specc.model.blocks import PacketPart
from specc.model.findings import Place
from specc.model.result import Result
from specc.packet import back, body, embed, front
from specc.packet.canvas import opened
from specc.packet.desk import Desk, clip, failures, short_digest
from specc.packet.layout import Page, PageItem, inside, paginate
from specc.packet.press import Press
from specc.packet.style import DRAFT_TINT, FINE_STRONG, PAPERS, QUIET, Paper
from specc.packet.text import wide

RULES_LEAD = (
    "Each rule with what was looked at, how it ended, and who says so. “Passed” speaks of that rule alone;"
    " it approves nothing."
)
FINDINGS_LEAD = "Errors first, each with its line and column. A waiver says who accepted what, until when."


def items(desk: Desk, paper: Paper) -> list[PageItem]:
    """All of the packet in its order. A draft has its findings up front."""
    result = desk.result
    draft = bool(failures(result))
    order = get_args(PacketPart)
    sections = sorted(
        result.sections, key=lambda s: (order.index(s.part), not desk.is_built_in(s.plugin), s.order, s.id)
    )
    parts = [*(s.id for s in sections), "rules"]
    parts = ["findings", *parts] if draft else [*parts, "findings"]
    parts += ["cautions", "models", "references", "about", "sign-off"]
    own = {s.id: s for s in sections}
    # Numbers first: the reviewer's page points to sections that come after it.
    numbers = [str(n) for n in range(1, len(parts) + 1)]
    for number, part in zip(numbers, parts, strict=True):
        if part not in own:
            desk.sections[part] = number
    after: list[PageItem] = []
    for n, (number, part) in enumerate(zip(numbers, parts, strict=True)):
        made = list(body.section(own[part], number, desk, paper)) if part in own else _part(part, number, desk, paper)
        made[0].new_page = n == 0 or (draft and n == 1)
        after += made
    up_front: list[PageItem] = []
    if draft:
        # Findings stand before the contents.
        end = next(n for n, item in enumerate(after) if n and item.new_page)
        up_front, after = after[:end], after[end:]
    contents = front.contents(desk.contents, desk.answers)
    return [*front.cover(desk, paper), front.reviewer(desk, paper), *up_front, *contents, *after]


def _part(part: str, number: str, desk: Desk, paper: Paper) -> list[PageItem]:
    """One of the parts that every packet has."""
    result = desk.result

    def head(title: str) -> PageItem:
        return body.heading(desk, number, title, f"own-{part}", paper)

    if part == "rules":
        made: list[PageItem] = [head("Rules and their outcomes"), back.lead(RULES_LEAD)]
        made.append(back.lead(back.status_counts(result)))
        plugins = list(dict.fromkeys(r.plugin for r in result.rules))
        for n, plugin in enumerate(plugins, 1):
            made.append(body.subheading(desk, f"{number}.{n}", plugin.capitalize() or "Core", f"rules-{plugin}"))
            made.append(back.rules_grid([r for r in result.rules if r.plugin == plugin], desk))
        if result.limits:
            made.append(body.subheading(desk, f"{number}.{len(plugins) + 1}", "Limits", "limits"))
            made.append(back.limits_grid(result.limits, desk))
        return made
    if part == "findings":
        made = [head("Findings and waivers"), back.lead(FINDINGS_LEAD), *back.findings(desk)]
        made.append(body.subheading(desk, f"{number}.1", "Waivers", "waivers"))
        return [*made, *back.waivers(result.waivers)]
    if part == "cautions":
        return [head("Cautions"), *back.cautions(desk), *body.lost(desk, CAUTIONS.name)]
    if part == "models":
        text = "What the models leave out, so that nobody reads more into a figure than there is."
        return [
            head("Limits of the models"),
            back.lead(text),
            *back.model_limits(desk),
            *body.lost(desk, MODEL_LIMITS.name),
        ]
    if part == "references":
        return [head("References"), *back.references(desk)]
    if part == "about":
        return [head("About this packet"), *back.about(desk)]
    return [head("Sign-off"), *back.sign_off(desk)]


# -- printing


def _anchors(pages: Sequence[Page]) -> dict[str, int]:
    found: dict[str, int] = {}
    for number, page in enumerate(pages, 1):
        for placed in page.placed:
            for item in inside(placed.item):
                if item.anchor:
                    found.setdefault(item.anchor, number)
    return found


def _fitted(text: str, width: float) -> str:
    """The text cut to fit a line of the running head."""
    while text and wide(text, FINE_STRONG) > width:
        text = clip(text, max(len(text) - 4, 1)) if len(text) > 8 else ""
    return text


def _frame(press: Press, desk: Desk, page: Page, number: int, total: int) -> None:
    """Running head and footer."""
    paper, result = press.paper, desk.result
    left, right = paper.left, paper.width - paper.right
    y = paper.height - paper.top - 8
    revision = f"revision {clip(result.revision, 24)}" if result.revision else ""
    used = press.text(left, y, _fitted(clip(result.title, 120), paper.measure * 0.45), FINE_STRONG)
    press.text(left + used + 10, y, revision, QUIET)
    press.text(right, y, _fitted(", ".join(page.sections), paper.measure * 0.35), QUIET, "right")
    press.line(left, y - 7, right, y - 7)
    y = paper.bottom + 10
    press.line(left, y + 11, right, y + 11)
    press.text(left, y, back.DEFERRAL, QUIET)
    press.text(right, y, f"page {number} of {total}", QUIET, "right")
    press.text(left, y - 9, f"digest {short_digest(result.digest)}", QUIET)
    if desk.public:
        press.text(right, y - 9, "public copy", QUIET, "right")


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


def print_packet(result: Result, paper_name: str, public: bool) -> bytes:
    from reportlab import rl_config

    paper = PAPERS[paper_name]
    result = _named_from_the_folder(result)
    desk = Desk(result, public)
    pages = paginate(items(desk, paper), paper)
    buffer = io.BytesIO()
    # Streams without text armour are smaller and faster; the setting is reportlab's own global one.
    before, rl_config.useA85 = rl_config.useA85, 0
    try:
        revision = f", revision {result.revision}" if result.revision else ""
        canvas = opened(buffer, result, paper, f"{result.title}, safety packet{revision}", front.KIND)
        press = Press(canvas, paper, _anchors(pages))
        draft = bool(failures(result))
        for number, page in enumerate(pages, 1):
            if draft:
                _draft(press)
            _frame(press, desk, page, number, len(pages))
            for placed in page.placed:
                placed.item.show(press, paper.left, paper.first_line - placed.top, paper.measure)
            canvas.showPage()
        canvas.showOutline()
        embed.attach(canvas, result)
        canvas.save()
    finally:
        rl_config.useA85 = before
    return buffer.getvalue()
