"""The packet's style, measured: sizes of letters, the accent, the margin for holes; and that nothing is lost."""

from __future__ import annotations

import io
import re
import sys
from collections import Counter
from pathlib import Path
from typing import Literal

import pytest
from pypdf import PdfReader

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from fake import fake
from pdf_text import read_pages
from sample_packets import complete, printed

from specc.engine.derived import citations_in
from specc.measure.printing import psig
from specc.model.blocks import SLOTS, Column, Para, Row, Table, TableBlock
from specc.model.result import Result, SectionMade
from specc.model.values import Figure
from specc.model.wording import with_runs
from specc.packet import render
from specc.packet.press import Press
from specc.packet.style import ACCENT, PAPERS, Color

ROOT = Path(__file__).parents[2]
SAMPLES = ("garden_brazier", "lantern_reeds")
SIZES = {20.0, 9.5, 8.5}


@pytest.mark.parametrize("name", SAMPLES)
def test_every_page_keeps_to_the_sizes_and_leaves_the_margin(name: str) -> None:
    data, pages, words = printed(name)
    assert {w.page for w in words} == set(range(1, len(pages) + 1))
    assert {w.font for w in words if not w.font.startswith("Specc")} == set()
    per_page: dict[int, Counter[float]] = {}
    for w in words:
        per_page.setdefault(w.page, Counter())[w.size] += len(w.text)
    for page, sizes in per_page.items():
        # Letters of drawings have 7 points at least; only lowered and raised ones, in equations, are smaller.
        small = sum(n for size, n in sizes.items() if size < 7)
        assert small <= 0.02 * sum(sizes.values()), (page, sizes)
        large = sum(n for size, n in sizes.items() if size > 9.5 and size != 20.0)  # the sum signs of equations
        assert large <= 0.01 * sum(sizes.values()), (page, sizes)
    sheets = enumerate(PdfReader(io.BytesIO(data)).pages, 1)
    lying = {n for n, sheet in sheets if sheet.mediabox.width > sheet.mediabox.height}
    assert min(w.x for w in words if w.page not in lying) >= 62.5  # holes are punched left of it


@pytest.mark.parametrize("name", SAMPLES)
def test_if_this_fails_then_is_read_on_one_page_of_the_front(name: str) -> None:
    pages = printed(name).pages
    start = [n for n, text in enumerate(pages[:12]) if "One failure at a time, gas on." in text]
    rows = [n for n, text in enumerate(pages[:12]) if "gas out, unlit" in text]
    assert len(start) == 1
    assert rows == start


@pytest.mark.parametrize("name", SAMPLES)
def test_no_heading_and_no_signature_stands_alone(name: str) -> None:
    pages = printed(name).pages
    foot = 60.0  # what stands lower is the running foot
    for page in range(1, len(pages) + 1):
        body = [w for w in printed(name).words if w.page == page and w.y > foot and w.text.strip()]
        low = min(w.y for w in body)
        last = [w for w in body if abs(w.y - low) < 0.5]
        assert not all(w.size == 20.0 for w in last), (page, last)
        # Lines to write on have no words.
        assert not all(w.size == 9.5 and "Semibold" in w.font and w.text != "Conditions" for w in last), (page, last)
    signed = [n for n, t in enumerate(pages) if "For the authority" in t]
    assert signed == [n for n, t in enumerate(pages) if "This signature is for" in t and "For the lead operator" in t]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("questions", [5, 9, 12, 14, 16])
def test_a_signature_stands_beside_a_question(paper: Literal["letter", "a4"], questions: int) -> None:
    """On A4 the lines to sign stood on a page of their own, behind all that they answer."""
    asked = tuple(f"Is thing number {n} enough? {'It goes on about it. ' * 9}" for n in range(questions))
    some = fake()._replace(decisions=asked)
    pages = read_pages(render(some, paper))
    (signed,) = [p for p in pages if "For the authority" in p]
    assert f"Is thing number {questions - 1} enough?" in signed


def test_letters_come_in_four_sizes_and_the_accent_is_for_the_reader(monkeypatch: pytest.MonkeyPatch) -> None:
    sizes: Counter[float] = Counter()
    accented: list[str] = []
    words = Press.words

    def see(press: Press, x: float, y: float, text: str, font: str, size: float, color: Color) -> float:
        sizes[round(size, 2)] += len(text)
        if color == ACCENT:
            accented.append(text)
        return words(press, x, y, text, font, size, color)

    monkeypatch.setattr(Press, "words", see)
    render(fake())
    body = sum(n for size, n in sizes.items() if size in SIZES)
    small = {size: n for size, n in sizes.items() if size < 7}
    assert body / sum(sizes.values()) > 0.9, sizes
    assert sum(small.values()) / sum(sizes.values()) < 0.01, small  # lowered and raised letters alone
    assert accented
    assert all(re.fullmatch(r"\s*\d+|.*needs you.*", text) for text in accented), accented


FRONT = {"lantern_reeds": 12, "garden_brazier": 10}  # pages at most
WHOLE = {"lantern_reeds": 40, "garden_brazier": 22}


@pytest.mark.parametrize("name", SAMPLES)
def test_a_packet_keeps_to_its_number_of_pages(name: str) -> None:
    pages = printed(name).pages
    assert len(pages) <= WHOLE[name]
    assert next(n for n, t in enumerate(pages) if "For the authority" in t) < FRONT[name]


def test_there_is_room_for_holes() -> None:
    assert all(p.left >= 63 for p in PAPERS.values())


def _tags(key: str) -> list[str]:
    """What of a figure's key may be its thing's tag: a table of like figures has a dot in its place."""
    steps = key.split(".")
    return [".".join(steps[n:]) for n in range(1, len(steps))]


@pytest.mark.parametrize("name", SAMPLES)
def test_nothing_of_the_result_is_lost(name: str) -> None:
    from specc.packet.figure_words import amounts

    result, pages = complete(name), printed(name).pages
    # What goes on over a page's end is read without the running head and foot, which are set first.
    event = " ".join(dict(result.event)["event"].split())
    bodies = [p.partition(" digest ")[2].partition(event)[2] for p in pages]
    assert all(bodies)
    whole = " ".join(bodies)
    # Nor with the name that is said again where a figure goes on.
    for title in {t for f in result.figures for t in (f.title, *(f.title.replace(p, "…") for p in _tags(f.key)))}:
        whole = whole.replace(f"{title}, continued", "")
    text = whole.replace(" ", "").replace("\u00a0", "")
    lost = []
    for f in result.figures:
        value = amounts(f.si, f)[0]
        number = value.split(" ")[0]
        tag = f.key.split(".", 2)[-1] if f.key.count(".") > 1 else f.key.split(".", 1)[-1]
        if number not in text or (f.key not in text and tag.replace(" ", "") not in text):
            lost.append((f.key, value))
    assert lost == []
    assert [f.key for f in result.figures if not _stands_by_its_key(f, result, whole.replace("\u00a0", " "))] == []
    # Where in its sources an equation stands, and each limit that a rule about something that is there read.
    for citation in {c for f in result.figures for c in f.worked.equation.citations if c.reference}:
        assert citation.where.replace(" ", "") in text, citation
    read = {key for rule in result.rules if rule.status != "not applicable" for key in rule.limits}
    for limit in result.limits:
        assert limit.key not in read or limit.statement.replace(" ", "") in text, limit.key
    for finding in result.findings:
        assert finding.message.replace(" ", "") in text
    for rule in result.rules:
        if rule.status == "not applicable":
            assert rule.id in text
        else:
            assert rule.statement.replace(" ", "") in text, rule.id
    cited = {citation.reference for _, citation in citations_in(result)}
    for reference in result.references:
        if reference.id in cited:
            assert reference.title.replace(" ", "") in text, reference.id


def _stands_by_its_key(figure: Figure, result: Result, text: str) -> bool:
    """Whether a figure's number stands beside its key, in the table of its family, or where that says that it does."""
    from specc.packet.figure_family import kind_of
    from specc.packet.figure_words import amounts

    number = amounts(figure.si, figure)[0].replace("\u00a0", " ").split(" ")[0]
    numbers = {number, re.sub(r"\.0+$", "", number)}
    if figure.dim == "gauge_pressure":  # the table of zones prints a pressure no finer than it is known
        numbers.add(psig(figure.si).removesuffix(" psig"))
    family = kind_of(figure.key)

    def of_family(kind: str) -> list[str]:
        return [text[m.end() : m.end() + 2600] for m in re.finditer(re.escape(f"{kind}, ") + r"\d+ figures", text)]

    own = re.finditer(rf"(?<![\w.]){re.escape(figure.key)}(?![\w.])", text)
    near = [*of_family(family), *(text[max(0, m.start() - 1500) : m.end() + 200] for m in own)]
    for said in tuple(near):
        if same := re.search(r"same values as ([\w.]+)\.", said[:700]):
            near += of_family(same[1])
        for _, table in result.tables:
            if f"stand in the table {table.title}" in said[:700]:
                near += [
                    text[m.end() : m.end() + 4000] for m in re.finditer(rf"Table \d+ +{re.escape(table.title)}", text)
                ]
    return any(re.search(rf"(?<![\d.,]){re.escape(n)}(?![\d.,]*\d)", said) for n in numbers for said in near)


# Of each sample, what a marshal reads: the whole of each answer, so that none is wrong in the Result and on page one.
READ = {
    "lantern_reeds": """
38.1 ft nearest flame to the audience reed_1, reed_5 to rope, from the middle; computed: 9.44 ft (extrapolated). wisp:
75.7 ft, computed: 34.7 ft (extrapolated)

30.8 ft tallest flame, above ground nozzle; still air, low case; under a single fault up to 34.6 ft

alder, lead operator 17:25 to 23:40; then fir and hazel, fire watch, to 00:15; legal name: ask for the private copy

555-555-0142, lent by the mill, carried by alder fire watch: hazel; own numbers: ask for the
private copy

v_a and v_b; while nozzle blows v_a and v_b wait, 30 s at most: they feed pilot_1; emergency stop at desk (stop), for
the solenoid valves alone: 6 other flames burn on; nothing
and nobody stops 20 of 138 failures: at worst hose h_a parted, 1500 lb/h unlit supply: two cylinders, chained to a post
behind the hedge; before it each cylinder's own valve

sv_1, sv_2 stuck open, one at a time: only the other solenoid valve of its row still holds the gas
by hand v3, once nozzle is seen out: all stuck, it empties, 0.21 lb, time not computed; v2 stops the feed

cylinders: tank_a in date, due 2031-03; tank_b in date, due 2029-06; leak tests: planned 2027-09-15, dated 2027-09-04,
older than joints that it reaches; certificates: in date, the first ends 2028-03-06; extinguishers: in date
to 2028-03-11 as typed, no tag or stamp seen; hoses and regulators: undated

since revision 2: v3 and rod are new; the nozzle is 3/8 in, was 1/2 in; mast, stand and cylinders stand farther apart
stated. Not compared with an earlier revision.

nothing that a rule covers {typed} rest on what the makers state or plan, {unread} on sources not verified; NFPA 160
itself was not read; what no rule covers, specc does not see

alder, lead operator, and nobody else once every line of go or no go is yes; anybody says stop
""",
    "garden_brazier": """
25 ft to the audience on one side alone: the other sides are not checked ring_of_flame to rope, from the middle;
computed: 8.51 ft

4.56 ft tallest flame, above ground ring; still air, low case; under a single fault up to 8.51 ft

heron, lead operator named; no roster says when; legal name: ask for the private copy

not stated no number is in this copy; ask for the private one, or write it in: ________________

v0; nothing and nobody stops 21 of 23 failures, as nobody is posted: at worst hose h1 parted, 207 lb/h unlit;
1 not computed supply: cylinder on a paving slab, chained to a post; before it the cylinder's own valve

not applicable: no solenoid no valve is moved by a coil

cylinders: tank_a in date, due 2035-08; leak tests: planned 2027-06-19; certificates: none listed as typed,
no tag or stamp seen; hoses and regulators: undated

none; this is the first revision stated. Not compared with an earlier revision.

{silent}: no roster is described, so nobody's hours and posts are known, 37 rules; no place says what it
is, so there is no plan of the site, 13 rules; the spec says nothing of extinguishers, 12 rules; 21 more in section 13
{typed} more rest on what the makers state or plan, {unread} on sources not verified; NFPA 160 itself was not read;
what no rule covers, specc does not see

heron, lead operator, and nobody else once every line of go or no go is yes; anybody says stop
""",
}


@pytest.mark.parametrize("name", SAMPLES)
def test_the_front_answers_what_a_marshal_asks(name: str) -> None:
    """Ten questions, each with its answer in plain words on page one; each answer is taken from the Result."""
    from specc.packet.summary import ASKED, JOINED

    result, pages = complete(name), printed(name).pages
    first = pages[0]
    facts: dict[str, str] = {}
    for f in (f._replace(value=with_runs(f.value)) for f in result.summary_facts):
        facts[f.slot] = f"{facts[f.slot]}; {f.value}" if f.slot in JOINED and f.slot in facts else f.value
    silent = sum(1 for r in result.rules if r.status in ("not checked", "blocked", "crashed"))
    facts["silent"] = f"{silent} of {len(result.rules)} rules" if silent else "nothing that a rule covers"
    assert len(ASKED) == 10
    at = first.index("Asked first")
    for n, (slot, question) in enumerate(ASKED.items(), 1):
        at = first.index(f"{n} {question}", at)
        assert first[at:].startswith(f"{n} {question} {facts.get(slot, 'not stated').strip()}"[:100]), slot
    typed = sum(1 for r in result.rules if r.status in ("stated", "planned", "shown"))
    unread = sum(1 for r in result.rules if r.status == "passed" and r.from_memory)
    read = [" ".join(answer.split()) for answer in READ[name].split("\n\n")]
    for n, (question, answer) in enumerate(zip(ASKED.values(), read, strict=True), 1):
        assert f" {n} {question} {answer.format(silent=facts['silent'], typed=typed, unread=unread)} " in first, n
    assert "Not compared with an earlier revision" in first
    for slot in SLOTS:
        assert slot in facts or "not stated" in first, slot


@pytest.mark.parametrize("name", SAMPLES)
def test_what_is_dated_after_the_issue_reads_planned(name: str) -> None:
    result, pages = complete(name), printed(name).pages
    first_night = (ROOT / "sample_projects" / name / "project.yaml").read_text(encoding="utf-8")
    night = re.search(r"dates: \[(\S+?)[,\]]", first_night)
    assert night
    told = [cell for _, t in result.tables for row in t.rows for cell in row.cells] + [r.looked for r in result.rules]
    done = []
    for text in told:
        for found in re.finditer(r"(\S+ )?\b(\d{4}-\d\d-\d\d)", text):
            # Of the rules a planned one says so by its status.
            if result.issued < found[2] < night[1] and (found[1] or "") not in ("planned ", "on "):
                done.append(text)
    assert done == []
    assert "planned, not done yet" in " ".join(pages)


def test_a_question_that_the_spec_does_not_answer_says_what_lacks() -> None:
    from specc.packet.summary import ASKED, LACKS

    first = read_pages(render(fake()))[0]
    for slot in ASKED:
        if slot not in ("changed", "silent"):
            assert f"not stated {LACKS[slot]}" in first, slot
    assert "What changed? not stated Not compared with an earlier revision." in first


def test_a_draft_lets_nobody_say_go() -> None:
    first = read_pages(render(fake(draft=True)))[0]
    assert "Who says go? nobody: a draft is not lit" in first


@pytest.mark.parametrize("rows", [6, 9, 25])
def test_a_table_leaves_no_two_rows_alone_on_either_side_of_a_page(rows: int) -> None:
    from specc.packet.tables import Grid, Track, cell

    table = Grid(
        [Track("tag", 1.0), Track("what", 2.0)],
        [[cell(f"v{n}"), cell("a valve")] for n in range(rows)],
        ("Table 1", "Valves"),
        "A note under it.",
    )
    whole, cut = table.height(400.0), 0
    for room in range(40, int(whole)):
        parts = table.split(400.0, float(room))
        if parts is None:
            continue
        (a, b), (c, d) = (part._ends(400.0) for part in parts)  # type: ignore[attr-defined]
        assert (a, b, d) == (0, c, rows)
        assert b >= 2, room
        assert d - c >= 3 or b <= 4, room  # a table of few rows has to stand somewhere
        cut += 1
    assert cut > 20


def test_a_number_is_not_parted_from_its_unit() -> None:
    from specc.packet.tables import Grid, Track, cell

    words = "gas from both ends, and much of it, until somebody closes what is ahead of where it has parted " * 3
    table = Grid([Track("then", 3.0), Track("in 5 min", 0.4, True)], [[cell(words), cell("2,000 oz")]])
    assert [len(c) for c in table._made(300.0).rows[0].cells][1] == 1


def test_a_family_of_figures_is_cut_in_what_is_said_of_it_and_never_before_its_equation() -> None:
    from specc.packet.figure_family import HeadedTable
    from specc.packet.layout import Stack, inside
    from specc.packet.tables import Grid, Track, cell
    from specc.packet.text import Paragraph

    said = Stack([Paragraph(f"line {n} of what is said") for n in range(8)], indent=10.0)
    table = Grid([Track("of", 1.0)], [[cell("v1")] for _ in range(9)])
    block = HeadedTable([Stack([Paragraph("Title"), said]), table])
    block.name = "Jet area of …"
    assert block.split(200.0, 20.0) is None
    parts = block.split(200.0, 90.0)
    assert parts is not None
    assert parts[0].height(200.0) <= 90.0
    # What goes on says whose it is, at the cost of a line.
    head = next(i for i in inside(parts[1]) if isinstance(i, Paragraph))
    assert "".join(s.text for s in head.spans) == "Jet area of …, continued"
    rest = parts[1].height(200.0) - head.height(200.0)
    assert parts[0].height(200.0) + rest == pytest.approx(block.height(200.0), abs=8.0)


def test_a_status_stays_in_one_piece_beside_its_mark_and_a_heading_on_one_line_where_there_is_room() -> None:
    from specc.packet.style import FINE, QUIET
    from specc.packet.tables import Grid, Track
    from specc.packet.text import Span, lines

    status = (Span("", FINE, mark="half"), Span("planned", FINE))
    long = (Span("what was looked at, at some length, " * 40, FINE),)
    tracks = [Track("status", 0.8), Track("rule", 2.0), Track("looked", 2.0)]
    narrow = Grid(tracks, [[status, long, long]])
    assert len(lines(status, narrow._widths(240.0)[0])) == 1
    table = Grid(
        [Track("hose", 1.0), Track("age, years", 1.0, right=True)], [[(Span("h1", FINE),), (Span("3", FINE),)]]
    )
    assert len(lines((Span("age, years", QUIET),), table._widths(300.0)[1])) == 1


def test_a_column_that_is_wider_than_its_words_gives_width_to_one_that_is_cut_into_lines() -> None:
    from specc.packet.tables import Grid, Track, cell

    step = "Open v_a slowly and soap every joint up to the valve box, then wait until nothing hisses any more"
    who = [cell("dogwood at supply; cedar at accumulator_stand"), *[cell("birch at box")] * 11]
    table = Grid([Track("step", 2.0), Track("who, where", 2.0)], [[cell(step), w] for w in who])
    made = table._made(420.0)
    assert sum(made.widths) == pytest.approx(420.0 - 9.0)
    assert sum(row.deep for row in made.rows) <= 2 * 12  # one long cell of the second column does not rule all rows
    assert min(made.widths) > 50.0


def test_the_words_beside_a_title_do_not_run_into_what_stands_below() -> None:
    from specc.packet.style import STRONG, TITLE
    from specc.packet.text import Pair, Paragraph

    head = Pair(
        Paragraph("Garden Brazier", TITLE), "Incomplete: several answers of this page are not stated. " * 2, STRONG
    )
    right = head.right.height(head._widths(400.0)[1])
    assert head.height(400.0) >= right + 9.0  # its first line stands on the title's baseline, that much lower


def test_tags_that_count_up_are_said_as_one_reads_them_out() -> None:
    result, pages = complete("lantern_reeds"), printed("lantern_reeds").pages
    assert any("stem_1, stem_2, stem_3" in c for _, t in result.tables for row in t.rows for c in row.cells)
    text = " ".join(pages)
    assert "stem_1 to stem_5" in text
    # The legend of a plot has its labels from the plot.
    assert text.count("stem_1, stem_2, stem_3") == text.count("stem_1, stem_2, stem_3 ...")


def test_what_two_figures_say_alike_at_length_stands_with_the_first() -> None:
    pages = printed("lantern_reeds").pages
    text = " ".join(pages)
    assert text.count("followed through the nights in small steps") == 1
    assert "in the same way as fuel.supply_lowest.tank_a" in text


def test_a_table_of_steps_is_cut_before_a_moment_and_not_within_it() -> None:
    from specc.packet.tables import Grid, Track, cell

    rows = [[cell(f"step {n}"), cell("birch at box")] for n in range(20)]
    table = Grid([Track("step", 2.0), Track("who", 1.0)], rows, ("Table 1", "Start-up"), heads=[0, 8, 14])
    whole = table.height(400.0)
    cuts = set()
    for room in range(int(whole * 0.5), int(whole) - 1):
        parts = table.split(400.0, float(room))
        assert parts is not None
        cuts.add(parts[0]._ends(400.0)[1])  # type: ignore[attr-defined]
    assert 14 in cuts
    assert not cuts & {15, 16, 17}  # of the last moment, a few steps


def test_a_question_or_a_rule_is_shortened_at_a_sentence_and_not_in_the_middle() -> None:
    from specc.packet.desk import shortly

    asked = "Which B ratings suit this effect, and how near? The table asks for 10-B within 30 ft: so it is here"
    assert shortly(asked, 60) == "Which B ratings suit this effect, and how near?"
    assert shortly("Each battery lasts for the whole show: 1 battery; nobody has seen it", 45) == (
        "Each battery lasts for the whole show"
    )
    assert shortly("a word " * 30, 40).endswith("…")
    for name in SAMPLES:
        pages = printed(name).pages
        assert "…" not in pages[0], name


def test_the_front_names_the_page_of_what_is_done_while_gas_is_on() -> None:
    pages = printed("lantern_reeds").pages
    (line,) = (p[p.index("While gas is on: firing") :] for p in pages[:12] if "While gas is on: firing" in p)
    (page,) = re.findall(r"page (\d+)", line[:200])
    assert "Before each burst the pressure is read" in pages[int(page) - 1]


def test_every_question_for_the_authority_stands_on_page_one() -> None:
    from specc.packet.desk import Desk
    from specc.packet.questions import to_decide

    for name in SAMPLES:
        result, pages = complete(name), printed(name).pages
        for text, _ in to_decide(Desk(result, False)):
            assert text.split("?")[0][:60] in pages[0], text


def test_words_of_ours_are_explained_on_page_one() -> None:
    for name in SAMPLES:
        result, pages = complete(name), printed(name).pages
        for case in result.cases:
            assert f"{case.name} case: air at {case.air.text}" in pages[0]
        assert "specc default: chosen by this tool" in pages[0]


def test_a_heading_goes_with_columns_whose_first_item_cannot_be_cut_where_it_says() -> None:
    """What an item says that it needs at least is an estimate: the page above is left for it to begin on the next."""
    from specc.packet.layout import Gap, PageItem, Snaking, paginate

    class Heading(Gap):
        keep = True

    class Optimist(Gap):
        def least(self, width: float) -> float:
            return 50.0  # and it cannot be cut at all

    paper = PAPERS["letter"]
    title: PageItem = Heading(20.0)
    pages = paginate([Gap(paper.room - 120.0), title, Snaking([Optimist(200.0), Optimist(200.0)])], paper)
    assert title in [p.item for p in pages[1].placed]


def test_a_part_that_is_read_at_once_leaves_no_hole_before_it() -> None:
    """It stands whole on the next page where that leaves less than a seventh of this one empty, else it begins here."""
    from specc.packet.layout import HOLE, Gap, paginate

    paper = PAPERS["letter"]
    for empty, pages in ((0.9 * HOLE, [1, 2]), (1.1 * HOLE, [2, 1])):
        first, second = Gap(20.0), Gap(paper.room - 30.0)
        first.need, first.rather = 40.0, paper.room - 5.0
        some = paginate([Gap(paper.room * (1 - empty)), first, second], paper)
        assert [len(p.placed) for p in some] == pages, empty


def test_columns_that_fit_once_their_drawing_is_smaller_stay_on_the_page() -> None:
    """A table beside a plot that just missed the foot went to the next page, and left a quarter of this one empty."""
    from specc.packet.layout import Gap, PageItem, Snaking, paginate

    class Plot(Gap):
        def shrink(self, width: float, room: float) -> PageItem | None:
            return Gap(room) if room >= 100.0 else None

    paper = PAPERS["letter"]
    for left, count in ((110.0, 1), (90.0, 2)):
        pages = paginate([Gap(paper.room - left - 8.0), Snaking([Gap(50.0), Plot(140.0)], before=8.0)], paper)
        assert len(pages) == count


def test_a_low_table_of_a_few_rows_is_not_cut() -> None:
    from specc.packet.tables import Grid, Track, cell

    def table(rows: int) -> Grid:
        return Grid(
            [Track("of"), Track("value")], [[cell(f"stem_{n}"), cell("2 lb/h")] for n in range(rows)], ("T", "G")
        )

    few, more = table(4), table(12)
    assert all(few.split(400.0, float(room)) is None for room in range(40, int(few.height(400.0))))
    assert few.least(400.0) == few.height(400.0)
    assert any(more.split(400.0, float(room)) for room in range(40, int(more.height(400.0))))


def test_a_list_in_columns_leaves_no_last_line_alone_on_the_next_page() -> None:
    from specc.packet.layout import TAIL, Gap, Snaking

    listed = Snaking([Gap(12.0) for _ in range(40)])
    for room in range(60, int(listed.height(400.0))):
        parts = listed.split(400.0, float(room))
        assert parts is not None
        left = parts[1]
        assert isinstance(left, Snaking)
        assert sum(i.height(100.0) for i in left.items) >= TAIL, room


def test_symbols_in_words_are_set_whatever_follows_them() -> None:
    from specc.packet.figure_words import prose
    from specc.packet.style import QUIET

    for text in ("T where h·(T_g - T) = e·σ·(T⁴ - T_a⁴)", "p_1² less p_2", "h_K·A"):
        assert "_" not in "".join(s.text for s in prose(text, QUIET)), text
    for name in SAMPLES:
        pages = printed(name).pages
        assert not re.search(r"\b[A-Za-z]_[A-Za-z0-9][²³⁴]", " ".join(pages))


@pytest.mark.parametrize("paper", PAPERS)
def test_what_one_page_has_no_room_for_is_told_in_one_row_of_it(paper: Literal["letter", "a4"]) -> None:
    """The page decides how many rows it has room for; those that are kept stand there in any case."""
    rows = [Row((f"hose h{n} parted", "gas from both ends, 40 lb/h unlit " * (3 + n % 3))) for n in range(60)]
    rows[40] = rows[40]._replace(kept=True)
    folds = tuple(Row((f"{n} other failures", "no more gas than above")) for n in range(1, 60))
    table = Table("plumbing.if_this_fails", "If this fails, then", (Column("if"), Column("then")), tuple(rows))
    blocks = (Para("One at a time."), TableBlock(table.key))
    head = SectionMade("plumbing_faults", "If this fails, then", 22, blocks, "plumbing", part="faults")
    for kept in (table._replace(folds=folds), table._replace(rows=tuple(rows[:9]), folds=folds[:8])):
        some = fake()._replace(sections=(head,), tables=((table.key, kept),))
        pages = read_pages(render(some, paper))
        (page,) = [p for p in pages if "One at a time." in p]
        told = [row.cells[0] for row in kept.rows if f"{row.cells[0]} " in page]
        if len(kept.rows) < 10:
            assert told == [row.cells[0] for row in kept.rows]
            assert "other failures" not in page
            continue
        assert 20 < len(told) < 50
        assert f" {60 - len(told)} other failures" in page
        assert told == [row.cells[0] for row in (*rows[: len(told) - 1], rows[40])]
        assert page.index("other failures") < page.index("hose h40")
        assert not any("hose h0 parted" in p for p in pages if p is not page)
        full = " ".join(read_pages(render(some, paper, full=True)))
        assert "other failures" not in full
