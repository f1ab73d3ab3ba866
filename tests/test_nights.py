"""One night in order of time: scenes, what is lit, and each burst."""

from __future__ import annotations

import itertools
import random
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specc.basics.nights import _lit, _shots, bounded, stretches_of
from specc.kinds.show import Bursts, Cue, Lit, Scene, Show, lit_at
from specc.model.passes import Cannot
from specc.model.values import Quantity
from specc.testing import project, result_of

MIN, HOUR = 60.0, 3600.0


def lasts(seconds: float) -> Quantity:
    return Quantity(seconds, "duration", f"{seconds:g} s", "/x")


def scene(tag: str, starts: str, seconds: float, *cues: Cue, steady: tuple[str, ...] = ()) -> Scene:
    return Scene(tag, starts, lasts(seconds), steady, (), f"/{tag}", cues)


def show(*scenes: Scene, opens: str = "") -> Show:
    return Show((), opens, "", scenes, "")


def cue(after: float, light: tuple[str, ...] = (), out: tuple[str, ...] = ()) -> Cue:
    return Cue(lasts(after), light, out, None, "/c")


def places(the_show: Show) -> dict[str, tuple[float, float]]:
    return {s.scene: (s.starts, s.ends) for s in stretches_of(the_show)}


def test_scenes_without_a_start_follow_one_another():
    found = places(show(scene("a", "", HOUR), scene("b", "", 2 * HOUR), scene("c", "", MIN)))
    assert found == {"a": (0, HOUR), "b": (HOUR, 3 * HOUR), "c": (3 * HOUR, 3 * HOUR + MIN)}


def test_a_scene_after_midnight_comes_late():
    found = places(show(scene("late", "00:15", HOUR), scene("dusk", "22:00", HOUR), opens="21:00"))
    assert found == {"dusk": (0, HOUR), "late": (2.25 * HOUR, 3.25 * HOUR)}


def test_a_scene_just_before_the_event_opens_is_early():
    found = places(show(scene("dusk", "19:50", HOUR), scene("late", "21:00", HOUR), opens="20:00"))
    assert found["dusk"] == (0, HOUR)
    assert found["late"][0] == 70 * MIN


def test_cues_light_and_put_out():
    burning = _lit(
        scene("a", "", HOUR, cue(10 * MIN, out=("x",)), cue(20 * MIN, light=("x", "y")), steady=("x",)), 100.0
    )
    assert [(b.effect, b.starts, b.lasts.si) for b in burning] == [
        ("x", 100.0, 10 * MIN),
        ("x", 100.0 + 20 * MIN, 40 * MIN),
        ("y", 100.0 + 20 * MIN, 40 * MIN),
    ]


def test_what_burns_all_through_keeps_the_scenes_own_time():
    the_scene = scene("a", "", HOUR, steady=("x",))
    assert _lit(the_scene, 0.0)[0].lasts is the_scene.lasts


@given(st.integers(1, 200), st.floats(0.01, 5), st.floats(600, 7200))
def test_bursts_spread_evenly_stay_within_their_scene(times: int, open: float, seconds: float):
    if times * open >= seconds:
        return
    bursts = Bursts("p", Quantity(float(times), "count", str(times)), lasts(open), "/b")
    shots = _shots(scene("a", "", seconds), 50.0, bursts, 0.0)
    assert len(shots) == times
    assert shots[0].at >= 50.0
    assert shots[-1].at + open <= 50.0 + seconds * (1 + 1e-12)
    gaps = [b.at - a.at for a, b in itertools.pairwise(shots)]
    assert gaps == pytest.approx([seconds / times] * (times - 1))


def test_bursts_with_a_spacing_begin_at_their_cue():
    bursts = Bursts("p", Quantity(3.0, "count", "3"), lasts(0.5), "/b", lasts(20.0))
    assert [s.at for s in _shots(scene("a", "", HOUR), 0.0, bursts, 60.0)] == [60.0, 80.0, 100.0]


@pytest.mark.parametrize("after", [0.0, 60.0])
def test_a_single_burst_comes_at_its_cue(after: float) -> None:
    burst = Bursts("p", Quantity(1.0, "count", "1"), lasts(0.5), "/b")
    assert [s.at for s in _shots(scene("a", "", HOUR), 100.0, burst, after)] == [100.0 + after]


@pytest.mark.parametrize(
    ("scenes", "said"),
    [
        (501, "501 scenes"),
        (500, ""),
    ],
)
def test_more_scenes_than_can_be_followed_are_counted(scenes: int, said: str) -> None:
    many = show(*(scene(f"s{i}", "", MIN) for i in range(scenes)))
    if not said:
        return bounded(many)
    with pytest.raises(Cannot, match=said):
        bounded(many)


def test_more_cues_and_bursts_than_can_be_followed_are_counted() -> None:
    with pytest.raises(Cannot, match="2,001 cues"):
        bounded(show(scene("a", "", HOUR, *(cue(1.0) for _ in range(2_001)))))
    sets = tuple(Bursts("puff", Quantity(float(n), "count", str(n), ""), lasts(1), f"/b{n}") for n in (1_500, 2_251))
    one = scene("a", "", HOUR)._replace(bursts=sets)
    with pytest.raises(Cannot, match="7,502 bursts in 2 nights") as caught:
        bounded(show(one)._replace(nights=(date(2027, 6, 19), date(2027, 6, 20))))
    assert caught.value.at == "/b2251"
    assert caught.value.fix == "at most 7,500"
    bounded(show(one))


def test_nights_that_are_too_far_apart_are_told() -> None:
    """The days between were followed in steps of minutes: two centuries of them took ten seconds."""
    one = show(scene("a", "", HOUR))
    bounded(one._replace(nights=(date(2027, 6, 19), date(2027, 8, 20))))
    with pytest.raises(Cannot, match="2027-06-19 and 2027-08-21 are 63 days apart") as caught:
        bounded(
            one._replace(nights=(date(2027, 6, 18), date(2027, 6, 19), date(2027, 8, 21)), nights_at="/event/dates")
        )
    assert caught.value.at == "/event/dates"


def test_a_show_of_too_many_scenes_is_no_fault_of_specc(tmp_path):
    """Its table would be longer than a table may be: that counted as a crash."""
    scenes = "".join(f"    s{i}: {{lasts: 1 s}}\n" for i in range(20_001))
    event = "event: {name: A, dates: [2027-06-19], elevation: 0 ft}"
    spec = project(tmp_path, f"format: 1\nproject: {{title: Many}}\n{event}\nshow:\n  scenes:\n{scenes}")
    result = result_of(spec, only=("table core.scenes", "table core.cues"))
    assert [f.rule for f in result.findings if f.rule.startswith("plugin.")] == []
    said = {o.id: o.cause for o in result.outcomes}
    assert "20,001 scenes" in said["core.scenes"]
    assert "20,001 scenes" in said["core.cues"]
    assert [f.rule for f in result.findings if "20,001" in f.message] == ["core.timeline"]  # once, not for each table


def test_what_is_lit_at_each_moment_is_what_has_begun_and_not_ended():
    chosen = random.Random(7)
    lit = [Lit(f"e{n % 5}", "dusk", float(chosen.randrange(40)), lasts(float(chosen.randrange(9)))) for n in range(60)]
    moments = sorted({one.starts for one in lit} | {one.starts + one.lasts.si for one in lit})
    assert lit_at(lit, moments) == [
        [one for one in lit if one.starts <= at < one.starts + one.lasts.si] for at in moments
    ]
    assert lit_at(lit, []) == []
