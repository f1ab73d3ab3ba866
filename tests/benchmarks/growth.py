"""How time grows with each thing that a spec has more of: parts, cues, bursts, nights, people, tolerances, findings,
files. Processor time within one process; the exponent is that of n in the last doubling, what a spec with next to none
of them takes taken off. measures.py prints them.

The ceilings of size (500 scenes, 2,000 cues, 7,500 bursts) are in DEVELOPERS.md.
"""

from __future__ import annotations

import copy
import math
import sys
import tempfile
from collections.abc import Callable
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import yaml

sys.path.insert(0, str(Path(__file__).parent))

from measures import ROOT, busy
from test_check import spec as wall

REEDS = ROOT / "sample_projects/lantern_reeds/project.yaml"


class Growth(NamedTuple):
    """Seconds of processor time for each number of things, in order: next to none, half, and all of them."""

    seconds: dict[int, float]

    @property
    def exponent(self) -> float:
        """How much more all of them take than half of them, as a power of how many more they are: 1 for work that
        grows as the number."""
        few, half, most = self.seconds
        none = self.seconds[few]
        taken = max(self.seconds[most] - none, 1e-4) / max(self.seconds[half] - none, 1e-4)
        return math.log(taken) / math.log((most - few) / (half - few))


@cache
def _reeds() -> Any:
    """`lantern_reeds` as one long spec."""
    from specc.engine.host import find
    from specc.engine.long_form import long_form
    from specc.spec.source import load

    source, _, _ = long_form(load(REEDS), find())
    return source.data


def _cues(n: int) -> Any:
    data = copy.deepcopy(_reeds())
    scene = data["show"]["scenes"]["wisps"]
    cue = ({"light": ["reed_1"]}, {"out": ["reed_1"]})
    scene["cues"] = [{"after": f"{60 + 1.3 * i:.1f} s", **cue[i % 2]} for i in range(n)]
    return data


def _bursts(n: int) -> Any:
    data = copy.deepcopy(_reeds())
    data["show"]["scenes"]["wisps"]["bursts"] = {"wisp": {"times": n, "open": "0.1 s"}}
    return data


def _nights(n: int) -> Any:
    """Short scenes: a supply that runs out is followed no further, or through more than usual."""
    data = copy.deepcopy(_reeds())
    for scene in data["show"]["scenes"].values():
        scene["lasts"] = "2 min"
        if "bursts" in scene:
            scene["bursts"] = {"wisp": {"times": 1, "open": "0.1 s"}}
    data["event"]["dates"] = [str(date(2027, 9, 1) + timedelta(days=i)) for i in range(n)]
    return data


def _flames(n: int) -> Any:
    """Effects that all burn at one place."""
    data = copy.deepcopy(_reeds())
    data["effects"].update({f"f{i}": copy.deepcopy(data["effects"]["reed_1"]) for i in range(n)})
    return data


def _people(n: int) -> Any:
    data = copy.deepcopy(_reeds())
    for i in range(n):
        data["people"][f"p{i}"] = {"role": "spotter", "age": 30, "sober": True}
        shift = {"person": f"p{i}", "role": "spotter", "station": "rope", "from": "19:30", "to": "23:30"}
        data["operators"]["shifts"][f"s{i}"] = shift
    return data


def _findings(n: int) -> Any:
    data = copy.deepcopy(_reeds())
    data["places"].update({f"q{i}": {"at": ["1 ft", "2 in in", "0 ft"], "odd": i} for i in range(n // 2)})
    return data


def _tolerances(n: int) -> Any:
    data = yaml.safe_load(wall(24, 1000))
    for i in range(n):
        data["plumbing"]["parts"][f"o{i}"]["bore"] = "0.020 in ± 0.001 in"
    return data


def _written(make: Callable[[int], Any], n: int, folder: Path) -> list[str]:
    path = folder / f"{make.__name__}_{n}.yaml"
    made = make(n)
    path.write_text(made if isinstance(made, str) else yaml.safe_dump(made, sort_keys=False), encoding="utf-8")
    return [str(path)]


def _files(n: int, folder: Path) -> list[str]:
    return [str(ROOT / "sample_projects/garden_brazier/project.yaml")] * n


def _parts(n: int) -> str:
    return wall(max(n // 7, 1), 12)


# What grows, how many of it, and whether the tolerances are asked for. So many that they take more than all the rest.
KINDS: dict[str, tuple[Callable[[int], Any], int, bool]] = {
    "parts": (_parts, 2100, False),
    "cues": (_cues, 2000, False),
    "bursts": (_bursts, 600, False),
    "nights": (_nights, 64, False),
    "flames": (_flames, 300, False),
    "people": (_people, 4000, False),
    "tolerances": (_tolerances, 24, True),
    "findings": (_findings, 16_000, False),
    "files": (_files, 16, False),  # type: ignore[dict-item]
}


@cache
def _read_once() -> None:
    """What is read once a process: after that each measured run begins with nothing remembered."""
    from specc.engine.road import CHECK, Ask, travel

    travel(str(REEDS), None, Ask(kinds=CHECK, spots=True))


def growth(kind: str, times: int = 2, alone: str = "", share: float = 1.0) -> Growth:
    """Measured at three sizes, the best of so many. Of a check, or of one pass alone with what it needs. `share`: of
    the number of things that KINDS says."""
    from specc.engine import remembered
    from specc.engine.road import CHECK, Ask, travel

    make, most, tolerance = KINDS[kind]
    most = round(most * share)
    # With many bursts more is found, and fewer spots are tried for it: that would hide how the rest grows.
    spots = kind != "bursts"
    ask = (
        Ask(kinds=frozenset(), ids=frozenset((alone,))) if alone else Ask(kinds=CHECK, tolerance=tolerance, spots=spots)
    )
    _read_once()
    seconds = {}
    with tempfile.TemporaryDirectory() as made:
        for n in (2, most // 2, most):
            paths = make(n, Path(made)) if make is _files else _written(make, n, Path(made))  # type: ignore[call-arg]

            def all_of_them(paths: list[str] = paths) -> None:
                for path in paths:
                    remembered.forget()  # one file stands for many that are not alike
                    travel(path, None, ask)

            seconds[n] = min(busy(all_of_them) for _ in range(times))
    return Growth(seconds)
