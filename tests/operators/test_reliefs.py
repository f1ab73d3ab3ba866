"""Which spotters only relieve another, against every pair of them looked at one by one."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from specc_operators.clock import Moment, TimeSpan
from specc_operators.hours import Duty
from specc_operators.reliefs import not_reliefs

EVENING = datetime(2027, 6, 19, 18, tzinfo=UTC)


def duty(person: str, station: str, night: int, starts: int, lasts: int) -> Duty:
    first = EVENING + timedelta(days=night, hours=starts)
    moments = (Moment(t, t) for t in (first, first + timedelta(hours=lasts)))
    return Duty("s", person, "spotter", (), station, date(2027, 6, 19) + timedelta(days=night), TimeSpan(*moments), "")


def pair_by_pair(duties: list[Duty]) -> tuple[str, ...]:
    kept = []
    for d in duties:
        others = [k for k in duties if k.station == d.station and k.person != d.person]
        meets = any(k.span.start.real < d.span.end.real and d.span.start.real < k.span.end.real for k in others)
        first = all(k.span.start.real >= d.span.start.real for k in others if k.night == d.night)
        kept += [d.person] if meets or first else []
    return tuple(dict.fromkeys(kept))


DUTIES = st.builds(
    duty, st.sampled_from("abc"), st.sampled_from("xy"), st.integers(0, 1), st.integers(0, 5), st.integers(1, 4)
)


@given(st.lists(DUTIES, max_size=7))
def test_who_only_relieves_another_is_left_out(duties: list[Duty]) -> None:
    assert not_reliefs(duties) == pair_by_pair(duties)


def test_a_relief_is_left_out_and_a_second_is_not() -> None:
    assert not_reliefs([duty("a", "x", 0, 0, 2), duty("b", "x", 0, 2, 2)]) == ("a",)
    assert not_reliefs([duty("a", "x", 0, 0, 2), duty("b", "x", 0, 1, 2)]) == ("a", "b")
