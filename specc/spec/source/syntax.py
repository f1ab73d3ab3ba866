"""Says in plain words what the YAML parser could not read, and how to mend it.

The texts looked for are those of libyaml; PyYAML's own parser words most of them alike. What is not
allowed is passed on in the parser's words.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

import yaml

from specc.model.findings import Place
from specc.spec.source.faults import FileFault, shown

TAB_LINES_LIMIT = 20

_NO_SPACE_AFTER_COLON = re.compile(r"""(?P<before>\s*(?:- +)*[^\s:#"'\[\]{},&*!|>%@`-][^\s:]*):(?!//)\S""")


class Problem(NamedTuple):
    """A parser's complaint: its words, what it was doing, and both places (line and column from 0)."""

    words: str
    doing: str
    line: int
    column: int
    from_line: int
    from_column: int
    lines: list[str]

    @property
    def text(self) -> str:
        """The line complained of; "" past the end of the file."""
        return self.lines[self.line] if 0 <= self.line < len(self.lines) else ""


class SyntaxComplaint(NamedTuple):
    """A complaint in plain words, with the place to mend (line and column from 0)."""

    message: str
    fix: str
    line: int
    column: int


def explain(trouble: Exception, lines: list[str], file: str, open_at: Place | None) -> list[FileFault]:
    """The faults, at least one, that stand for an exception of the YAML parser.

    `open_at` is where the innermost list or mapping begins that was not read to its end.
    """
    problem = _problem(trouble, lines, open_at)
    if problem is None:
        why = f"The parser says: {' '.join(str(trouble).split())}"
        message, fix = "this is not YAML that can be read", "check the file with a YAML editor"
        return [FileFault("spec.yaml", message, fix, Place(file), why=why, fatal=True)]
    if _is_about_a_tab(problem):
        return _tabs(problem, file)
    why = f"The parser says: {problem.words}{f', {problem.doing}' if problem.doing else ''}."
    reading = next((said for said in (explain(problem) for explain in _EXPLAIN) if said), None)
    if reading is None:
        message, fix = "this is not YAML that can be read", "check quotes, colons and indentation here"
        reading = SyntaxComplaint(message, fix, problem.line, problem.column)
    rule = "spec.yaml"
    if "<document start>" in problem.words and any(line.startswith("...") for line in lines[: problem.line]):
        rule = "spec.second_document"
        message = "the file goes on after the end of its document"
        fix = "one document a file; delete the `...`"
        reading = SyntaxComplaint(message, fix, problem.line, problem.column)
    if "nesting depth" in problem.words:
        rule = "spec.too_deep"
        message, fix = "far too many levels, one inside the other", "use fewer levels"
        reading = SyntaxComplaint(message, fix, problem.line, problem.column)
    place = _place_in(lines, reading, file)
    return [FileFault(rule, reading.message, reading.fix, place, why=why, fatal=True)]


def _problem(trouble: Exception, lines: list[str], open_at: Place | None) -> Problem | None:
    if not isinstance(trouble, yaml.MarkedYAMLError) or trouble.problem_mark is None:
        return None
    here, there = trouble.problem_mark, trouble.context_mark or trouble.problem_mark
    words, doing = trouble.problem or "", trouble.context or ""
    if doing == "while parsing a flow node" and open_at is not None:
        there_line, there_column = open_at.line - 1, open_at.column - 1
    else:
        there_line, there_column = there.line, there.column
    return Problem(words, doing, here.line, here.column, there_line, there_column, lines)


def _place_in(lines: list[str], reading: SyntaxComplaint, file: str) -> Place:
    """The place; the end of the last line when the parser points past the end of the file."""
    if reading.line >= len(lines):
        return Place(file, len(lines), len(lines[-1]) + 1)
    return Place(file, reading.line + 1, reading.column + 1)


def _is_about_a_tab(problem: Problem) -> bool:
    if "tab" in problem.words.split() or problem.text[problem.column : problem.column + 1] == "\t":
        return True
    # Spaces and then a tab: the parser takes the line as more of the value above and stops at its colon.
    return "mapping values are not allowed" in problem.words and "\t" in _indentation(problem.text)


def _indentation(line: str) -> str:
    return line[: len(line) - len(line.lstrip(" \t"))]


def _tabs(problem: Problem, file: str) -> list[FileFault]:
    """A fault for this line and each later one that is indented with a tab: all can be mended at once."""
    spots = [(problem.line, _first_tab(problem.text, problem.column))]
    for number in range(problem.line + 1, len(problem.lines)):
        line = problem.lines[number]
        indentation = _indentation(line)
        if "\t" in indentation and len(indentation) < len(line):
            spots.append((number, indentation.index("\t")))
    message, fix = "a tab; YAML indents with spaces", "put spaces in its place, two for each level"
    return [
        FileFault("spec.tab", message, fix, Place(file, line + 1, column + 1), fatal=True)
        for line, column in spots[:TAB_LINES_LIMIT]
    ]


def _first_tab(line: str, column: int) -> int:
    """The column of the tab complained of: the mark can stand a little before it."""
    indentation = _indentation(line)
    if "\t" in indentation:
        return indentation.index("\t")
    return max(line.find("\t", column), 0)


def _value_in_a_value(problem: Problem) -> SyntaxComplaint | None:
    if "mapping values are not allowed" not in problem.words:
        return None
    before = problem.line - 1
    while before >= 0 and not problem.lines[before].strip():
        before -= 1
    glued = _NO_SPACE_AFTER_COLON.match(problem.lines[before]) if before >= 0 else None
    if glued:
        message, fix = "no space after the colon", "write a space after the colon: `key: value`"
        return SyntaxComplaint(message, fix, before, len(glued["before"]))
    message = "a second colon where a value already stands"
    fix = "put text with ': ' in it in quotes; or, if this is a new key, line it up with its neighbors"
    return SyntaxComplaint(message, fix, problem.line, problem.column)


def _open_quote(problem: Problem) -> SyntaxComplaint | None:
    if "quoted scalar" not in problem.doing or "unexpected" not in problem.words:
        return None
    message, fix = "this quote is never closed", "close it with the same quote"
    return SyntaxComplaint(message, fix, problem.from_line, problem.from_column)


def _open_bracket(problem: Problem) -> SyntaxComplaint | None:
    for opening, closing in ("[]", "{}"):
        if f"expected ',' or '{closing}'" not in problem.words:
            continue
        if problem.line == problem.from_line:
            message = "no comma or closing bracket where one is due"
            fix = f"put a comma or `{closing}` here"
            return SyntaxComplaint(message, fix, problem.line, problem.column)
        noticed = f"noticed on line {problem.line + 1}"
        message = f"this `{opening}` is never closed, or a comma is missing below ({noticed})"
        return SyntaxComplaint(message, f"close it with `{closing}`", problem.from_line, problem.from_column)
    return None


def _open_bracket_at_the_end(problem: Problem) -> SyntaxComplaint | None:
    """As above, when a value was due and the file ended."""
    rest = (problem.text[problem.column :], *problem.lines[problem.line + 1 :])
    if problem.doing != "while parsing a flow node" or any(line.strip() for line in rest):
        return None
    opening = problem.lines[problem.from_line][problem.from_column : problem.from_column + 1]
    message, fix = f"this `{opening}` is never closed", "close it with `]` or `}`, as it was opened"
    return SyntaxComplaint(message, fix, problem.from_line, problem.from_column)


def _list_beside_its_key(problem: Problem) -> SyntaxComplaint | None:
    if "sequence entries are not allowed" not in problem.words:
        return None
    message = "a list cannot begin on the line of its key"
    fix = "begin the list on the next line; put a lone dash in quotes"
    return SyntaxComplaint(message, fix, problem.line, problem.column)


def _odd_indentation(problem: Problem) -> SyntaxComplaint | None:
    if "did not find expected key" not in problem.words and "expected <block end>" not in problem.words:
        return None
    if problem.text[: problem.column].strip():
        message = "something stands after a value that is already complete"
        return SyntaxComplaint(message, "put the whole value in one pair of quotes", problem.line, problem.column)
    message = "this line does not line up with its neighbors"
    return SyntaxComplaint(message, "indent it as the keys that it belongs with", problem.line, problem.column)


def _list_and_keys_mixed(problem: Problem) -> SyntaxComplaint | None:
    if "expected '-' indicator" not in problem.words:
        return None
    message = "a list item was due here"
    fix = "begin the line with `- `, or indent it so that it is not part of the list"
    return SyntaxComplaint(message, fix, problem.line, problem.column)


def _no_colon(problem: Problem) -> SyntaxComplaint | None:
    if "could not find expected ':'" not in problem.words:
        return None
    message, fix = "a line with no colon where a key is due", "write `key: value`"
    return SyntaxComplaint(message, fix, problem.from_line, problem.from_column)


def _odd_first_letter(problem: Problem) -> SyntaxComplaint | None:
    if "cannot start any token" not in problem.words:
        return None
    before = problem.text[: problem.column].rstrip()
    if problem.text[problem.column : problem.column + 1] == "|" and before[-1:] in ("]", "}"):
        message = "a bar cannot stand between lists or mappings"
        return SyntaxComplaint(message, "put the bars inside: [a | b, c | d]", problem.line, problem.column)
    letter = shown(problem.text[problem.column : problem.column + 1])
    message, fix = f"text cannot begin with {letter} here", "put the text in quotes"
    return SyntaxComplaint(message, fix, problem.line, problem.column)


def _odd_escape(problem: Problem) -> SyntaxComplaint | None:
    if "escape" not in problem.words:
        return None
    message = "a backslash in double quotes that stands for nothing"
    return SyntaxComplaint(message, "use single quotes, or write two backslashes", problem.line, problem.column)


def _stray(problem: Problem) -> SyntaxComplaint | None:
    if "did not find expected node content" not in problem.words:
        return None
    message, fix = "no value can begin here", "delete the stray sign, or put the text in quotes"
    return SyntaxComplaint(message, fix, problem.line, problem.column)


def _unknown_tag(problem: Problem) -> SyntaxComplaint | None:
    if "tag" not in problem.words and "tag" not in problem.doing:
        return None
    message = "a word that begins with `!` is a YAML tag, and none is allowed"
    fix = "put the text in quotes"
    return SyntaxComplaint(message, fix, problem.line, problem.column)


_EXPLAIN: tuple[Callable[[Problem], SyntaxComplaint | None], ...] = (
    _value_in_a_value,
    _open_quote,
    _open_bracket,
    _open_bracket_at_the_end,
    _list_beside_its_key,
    _odd_indentation,
    _list_and_keys_mixed,
    _no_colon,
    _odd_first_letter,
    _odd_escape,
    _stray,
    _unknown_tag,
)
