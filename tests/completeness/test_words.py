"""Plain American in everything a person reads: spelling, and one term for one thing.

Looked at are the sources themselves, comments and docstrings too, since what is printed is written there. The other
spelling still reads in a spec where it once was a key or a value (`x-renamed`), and as a unit.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

FILES = [
    *sorted(
        p
        for folder in ("specc", "plugins", "schemas", "sample_projects")
        for p in (ROOT / folder).rglob("*")
        if p.suffix in (".py", ".json", ".yaml", ".md") and "__pycache__" not in p.parts
    ),
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
]

BRITISH = re.compile(
    r"vapours?|vaporis\w*|centres?\b|centred|aluminium|\bburnt|\bgrey|colours?|licences?|metres?\b|litres?\b"
    r"|catalogues?|neighbour\w*|behaviour\w*|sulphur|galvanis\w*|labelled|modelled|travelling|misspelt",
    re.IGNORECASE,
)

# What was said before, and what is said now.
TERMS = {
    "would be right": "fix",
    "known here": "allowed",
    "stands twice": "appears twice",
    "climbs with": "leaves the folder",
    "put right": "fixed",
    "counts for nothing": "specc ignores this key",
    "this tool's choice": "specc default",
    "remade": "reassembled",
    "made up again": "reassembled",
    "throwaway": "non-rechargeable",
    "by the piece": "each",
    "length in all": "total length",
    "lengths to cut": "cut list",
    "as bought": "factory assembly",
    "burners of tube": "tube burners",
    "not given, so taken": "default",
    "found on the way": "intermediate result",
    "quick sum": "quick calculation",
    "belongs into": "belongs in",
    "private overlay": "private file",
    "source from memory": "source not verified",
    "weather that governs": "worst case",
    "whose choice": "set by",
    "one no is a no": 'any "no" means no go',
    "shut-down": "shutdown",
    "not judged": "not checked",
    "within the part": "internal joint",
    "leak test of the whole": "full-system leak test",
    "dew pressure": "condensation pressure",
    "reckon": "calculate",
    'f"governs: ': "worst case: ",
    "let off into": "vented",
    "times of america": "times are America",
    "nipple fitting": "nipple",
    "coupling fitting": "coupling",
    "how seen": "how measured",
    "is no input": "is not an input",
    "way of the gas": "flow order",
    "nothing reads it": "specc ignores this key",
    "mend what it found": "fix the finding",
    "whoever gave it": "have it renewed",
    'of the way out"': "outlet area",
    "pressure ahead of the hole": "upstream pressure",
    'monthly look"': "monthly inspection",
    "serviced inside": "internal examination",
    "full stop": "quarter-turn shutoff",
    "how much, how fast": "fuel supply and consumption",
    "every line is so": "only if every item is yes",
    "one can see": "visibility at least",
    "ways out free": "exits clear",
    "what the filler reads": "the filling plant's reading decides",
    "to be changed in": "standby cylinder",
    "goes before what the catalog": "overrides the catalog",
}

# Where the old word has to stand: what a spec may say all the same, and units as people write them.
ALLOWED = re.compile(
    r"x-renamed|was=\(|\"remade\": \[|CATALOGUE|_OTHER = frozenset|if not judged and"
    r"|also=\(\"met|also=\(\"millimet|\"l litre"
)


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_spelling_and_terms(path: Path) -> None:
    found = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        if ALLOWED.search(line):
            continue
        found += [f"{number}: {m.group()}" for m in BRITISH.finditer(line)]
        found += [f"{number}: {old!r}, say {new!r}" for old, new in TERMS.items() if old in line.lower()]
    assert found == []


def test_the_list_sees_what_it_should() -> None:
    seen = "Vapour in a grey catalogue, in the centre of 3 metres of aluminium"
    assert [m.group() for m in BRITISH.finditer(seen)] == [
        "Vapour",
        "grey",
        "catalogue",
        "centre",
        "metres",
        "aluminium",
    ]
